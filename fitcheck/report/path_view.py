"""Sections that hold the electrical paths that decide, drawn leg by leg with their lengths."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from shapely.geometry.base import BaseGeometry

from fitcheck.findings import Finding
from fitcheck.model.part import State
from fitcheck.report import sheet
from fitcheck.report.letters import broken, width
from fitcheck.report.outline import cut, silhouette
from fitcheck.report.path_labels import Box, Line, Wanted, labels, over_piece, seen_of
from fitcheck.report.path_legs import Leg, Over, Path, critical, path_of, total_words, words
from fitcheck.report.path_plane import PathPlane, path_plane
from fitcheck.report.scene import DrawnPart, Scene
from fitcheck.report.section_view import balloons, key_of, whole_section
from fitcheck.report.wording import judged_range, plain, requirement, straight_across, subject
from fitcheck.result import Result

MOST_PATHS = 24
"""Of the findings in trouble; the list of findings has them all."""

_WIDTH = sheet.WIDTH - 2 * sheet.EDGE
_WHOLE_WIDTH, _TITLE, _TALL, _LAID_TALL = 2.6, 0.7, 3.6, 0.9
_DETAIL_WIDTH = _WIDTH - _WHOLE_WIDTH - 0.2
_MOST_FULL = 10
"""With more legs than this the picture bears letters alone; the list has the figures."""
_LAID_TYPE = 7.5 / 72.0
"""Inches; of the letters over the path laid straight."""
_RIM_INCH, _BESIDE_INCH, _FAR_INCH = 0.05, 0.05, 0.7
"""The rim that stays free, how far from a path nothing is written, and how far from a leg its letter may stand."""

_DASH_DOT = (7.0, 2.0, 1.5, 2.0)
_LINE: dict[Over, Any] = {
    Over.SURFACE: {"linestyle": "-", "linewidth": 2.2},
    Over.BRIDGED: {"linestyle": (0, _DASH_DOT), "linewidth": 2.2},
    Over.AIR: {"linestyle": (0, (4, 2.5)), "linewidth": 2.2},
    Over.STRAIGHT: {"linestyle": (0, (4, 2.5)), "linewidth": 2.2},
    Over.METAL: {"linestyle": (0, (1, 1.6)), "linewidth": 1.4},
}
_LINES = (
    "Path: solid over a surface, dash-dot bridged, dashed through air or straight, dotted across metal. "
    "Metal is hatched one way, insulation crosswise."
)
_MANY = "The legs are many: they bear letters alone, and none where there is no room for one; the list has them all."
_INK = "#17507d"
_HATCH = {"insulation": "xx", "": None}
"""Insulation crosswise, metal one way; what is neither, not at all."""


@dataclass(frozen=True, kw_only=True, eq=False)
class _Drawn:
    """One path to be drawn: where it is cut, and what is cut there as (number, part, shape)."""

    scene: Scene
    finding: Finding
    judge_by: str
    path: Path
    at: PathPlane
    cuts: list[tuple[int, DrawnPart, BaseGeometry]]

    def flat(self, point: Any) -> tuple[float, float]:
        return self.at.plane.flat(np.array(point))


def sheets(scene: Scene, result: Result) -> Iterator[tuple[str, Figure]]:
    """(name, drawn sheet) of each path, the worst first."""
    for number, finding in enumerate(critical(result.findings, scene, result.judge_by)[:MOST_PATHS], 1):
        shown = scene.aged if finding.state == State.END and scene.aged is not None else scene
        yield f"path_{number}", _sheet(_prepared(shown, finding, result.judge_by))


def _prepared(scene: Scene, finding: Finding, judge_by: str) -> _Drawn:
    path = path_of(finding, scene)
    at = path_plane(scene, finding, path)
    plane = at.plane
    cuts = [
        (number, part, cut(part.vertices, part.faces, plane.normal, plane.across, plane.up, plane.through))
        for number, part in enumerate(scene.parts, 1)
    ]
    cuts = [(number, part, shape) for number, part, shape in cuts if not shape.is_empty]
    return _Drawn(scene=scene, finding=finding, judge_by=judge_by, path=path, at=at, cuts=cuts)


def _sheet(drawn: _Drawn) -> Figure:
    finding = drawn.finding
    says = list(_says(drawn))
    window = _window(drawn)
    parts = key_of(drawn.cuts, window)
    tall = [sheet.key_height(lines, _WIDTH) for lines in (says, parts)]
    many = _MANY if len(drawn.path.legs) > _MOST_FULL else ""
    said = (_sum(drawn), drawn.at.words, _LINES, many)
    notes = [line for text in said if text for line in broken(text, 7.5, 72.0 * _WIDTH)]
    height = _TITLE + _TALL + 0.35 + sum(tall) + 0.16 * len(notes) + 0.2
    aged = ", parts drawn at end of life" if finding.state == State.END else ""
    under = f"{drawn.scene.build} build, section {drawn.at.plane.words}: {subject(finding)}{aged}"
    figure = sheet.new_sheet(height, drawn.scene.title or "Layout", under)
    bottom = height - _TITLE - _TALL
    whole_section(figure, (0.3, bottom + _LAID_TALL, _WHOLE_WIDTH, _TALL - _LAID_TALL), drawn.cuts, window)
    _laid(figure, (0.3, bottom, _WHOLE_WIDTH, _LAID_TALL), drawn)
    _detail(figure, (0.3 + _WHOLE_WIDTH + 0.2, bottom, _DETAIL_WIDTH, _TALL), drawn, window)
    y = bottom - 0.2
    for text in notes:
        sheet.note(figure, 0.3, y, text)
        y -= 0.16
    sheet.key(figure, 0.3, y - 0.06, _WIDTH, says)
    sheet.key(figure, 0.3, y - 0.16 - tall[0], _WIDTH, parts)
    return figure


def _says(drawn: _Drawn) -> Iterator[tuple[str, str]]:
    for leg in drawn.path.legs:
        yield leg.mark, f"{plain(leg.length, 2)} mm {words(leg, drawn.path.bridged_mm)}"


def _sum(drawn: _Drawn) -> str:
    across = straight_across(drawn.finding)
    straight = f"straight across {across}" if across else ""
    asked = f"{requirement(drawn.finding)} required" if drawn.finding.required is not None else ""
    return "; ".join(filter(None, (total_words(drawn.path, drawn.finding), straight, asked)))


def _window(drawn: _Drawn) -> tuple[float, float, float, float]:
    """All of the path, half as large as the picture, so that there is room for its figures."""
    points = [drawn.flat(point) for point in (*drawn.path.corners, *(drawn.finding.points or ()))]
    xs, ys = zip(*points, strict=True)
    half = max(1.25 * (max(xs) - min(xs)), 1.7 * (max(ys) - min(ys)), 2.5)
    x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    tall = half * _TALL / _DETAIL_WIDTH
    return (x - half, y - tall, x + half, y + tall)


def _detail(figure: Figure, at: Any, drawn: _Drawn, window: Any) -> None:
    axes = sheet.bare_axes(figure, at, window)
    low, high = axes.get_xlim(), axes.get_ylim()
    frame = shapely.box(low[0], high[0], low[1], high[1])
    _behind(axes, drawn, frame)
    shown = [(number, part, shapely.intersection(shape, frame)) for number, part, shape in drawn.cuts]
    shown = [(number, part, shape) for number, part, shape in shown if not shape.is_empty]
    for _, part, shape in shown:
        hatch = _HATCH.get(part.conducts, "//")
        sheet.draw(
            axes, shape, zorder=2, facecolor=sheet.fill(part.role), edgecolor=sheet.FAINT, linewidth=0.0, hatch=hatch
        )
        sheet.draw(axes, shape, zorder=3, facecolor="none", edgecolor=sheet.INK, **sheet.LINE_STYLE[part.change])
    edge: dict[str, Any] = {"fill": False, "ec": sheet.INK, "lw": 1.4, "zorder": 60, "clip_on": False}
    axes.add_patch(Rectangle((low[0], high[0]), low[1] - low[0], high[1] - high[0], **edge))
    taken = [sheet.scale_bar(axes)]
    outlines = shapely.union_all([shape.boundary for _, _, shape in shown])
    taken += _path(axes, drawn, taken, outlines)
    balloons(axes, shown, drawn.finding.parts, taken)


def _behind(axes: Axes, drawn: _Drawn, frame: BaseGeometry) -> None:
    """Insulation that the path runs over and the section passes by, in outline."""
    plane = drawn.at.plane
    cut_here = {part.name for _, part, _ in drawn.cuts}
    for name in sorted({leg.part for leg in drawn.path.legs if leg.over is Over.SURFACE} - cut_here):
        part = drawn.scene.by_name[name]
        flat = (part.vertices - plane.through) @ np.stack([plane.across, plane.up], axis=1)
        shape = shapely.intersection(silhouette(flat, part.faces), frame)
        sheet.draw(axes, shape, zorder=1, facecolor="none", edgecolor="#d2d0c8", linewidth=0.0, hatch="xx")
        sheet.draw(axes, shape, zorder=1, facecolor="none", edgecolor=sheet.FAINT, linewidth=0.8, linestyle=(0, (2, 2)))


def _path(axes: Axes, drawn: _Drawn, taken: Sequence[BaseGeometry], outlines: BaseGeometry) -> list[BaseGeometry]:
    """The legs with their figures, what is judged over them; returns the room that all of it takes. The figures keep
    off the `outlines` of the parts where they can."""
    legs = [(drawn.flat(leg.start), drawn.flat(leg.end)) for leg in drawn.path.legs]
    for leg, ends, held in zip(drawn.path.legs, legs, drawn.at.held, strict=True):
        xs, ys = zip(*ends, strict=True)
        axes.plot(xs, ys, color="white", linewidth=4.5, solid_capstyle="round", zorder=40)
        style = line_style(axes, leg.over, math.dist(*ends))
        axes.plot(xs, ys, color=_INK, alpha=1.0 if held else 0.55, zorder=41, **style)
    corners = [end for leg in legs for end in leg]
    for spot in dict.fromkeys(corners):
        size = 6 if spot in (corners[0], corners[-1]) else 3.5
        axes.plot(*([value] for value in spot), "o", ms=size, mfc="white", mec=_INK, mew=1.2, zorder=42)
    scale = sheet.mm_per_inch(axes)
    line = shapely.MultiLineString(legs).buffer(_BESIDE_INCH * scale, quad_segs=2)
    head, to_head = _head(axes, drawn, legs)
    about = shapely.union_all([line, to_head, *_straight(axes, drawn, legs)])
    texts = {leg.mark: _figure(axes, text) for leg, text in zip(drawn.path.legs, _texts(drawn.path.legs), strict=True)}
    far = _FAR_INCH * scale if len(legs) > _MOST_FULL else np.inf
    wanted = [
        Wanted(text=leg.mark, size=_size(axes, texts[leg.mark]), leg=ends, far=far)
        for leg, ends in zip(drawn.path.legs, legs, strict=True)
    ]
    across = _across(axes, drawn)
    if across is not None:
        # Before letters that may be left out, but after figures, which keep nearer to their legs.
        wanted.insert(
            0 if len(legs) > _MOST_FULL else len(legs),
            Wanted(text="", size=_size(axes, across), leg=seen_of((corners[0], corners[-1]), line)),
        )
        texts[""] = across
    placed = labels(wanted, frame=_frame(axes), path=about, taken=[*taken, head], shown=outlines)
    for one in placed:
        texts.pop(one.text).set_position(one.at)
        if one.led:
            axes.plot(*zip(*one.leader, strict=True), color=sheet.INK, linewidth=0.5, zorder=43)
    for left_out in texts.values():
        left_out.remove()
    return [head, about, *(one.covered for one in placed)]


def line_style(axes: Axes, over: Over, length: float) -> dict[str, Any]:
    """How a leg of this length is drawn: a short bridge has the dash and the dot closer, or it would look solid."""
    style: dict[str, Any] = _LINE[over]
    if over is not Over.BRIDGED or length <= 0.0:
        return style
    points = 72.0 * length / sheet.mm_per_inch(axes)
    shrunk = min(1.0, points / ((sum(_DASH_DOT) + _DASH_DOT[0]) * style["linewidth"]))
    return {**style, "linestyle": (0, tuple(shrunk * each for each in _DASH_DOT)), "dash_capstyle": "butt"}


def _texts(legs: tuple[Leg, ...]) -> list[str]:
    if len(legs) > _MOST_FULL:
        return [leg.mark for leg in legs]
    return [f"{leg.mark} {plain(leg.length, 2) if leg.counts else 0}" for leg in legs]


def _figure(axes: Axes, text: str, weight: str = "bold") -> Text:
    """A text over what is drawn, not yet in its place."""
    halo = {"fc": "white", "ec": "none", "pad": 1.0, "alpha": 0.85}
    return axes.text(0.0, 0.0, text, ha="center", va="center", fontsize=7.5, fontweight=weight, bbox=halo, zorder=46)


def _frame(axes: Axes) -> Box:
    """What may be written on: the picture but for a rim."""
    (left, right), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    rim = _RIM_INCH * sheet.mm_per_inch(axes)
    return left + rim, bottom + rim, right - rim, top - rim


def _size(axes: Axes, text: Text) -> tuple[float, float]:
    left, low, right, high = sheet.written(axes, text).bounds
    return right - left, high - low


def _laid(figure: Figure, at: tuple[float, float, float, float], drawn: _Drawn) -> None:
    """The legs that count one after the other on a straight line, to scale, against what is required."""
    required, total = drawn.finding.required, drawn.path.total
    if required is None or not drawn.path.legs:
        return
    most = max(required, total)
    axes = sheet.bare_axes(figure, at, (0.0, 0.0, most, 0.0))
    scale = most / (at[2] - 0.5)
    axes.set_xlim(-0.2 * scale, (at[2] - 0.2) * scale)
    axes.set_ylim(-0.45 * scale, 0.45 * scale)
    x = 0.0
    axes.plot([0.0, 0.0], [-0.06 * scale, 0.06 * scale], color=_INK, linewidth=1.0)
    for leg in drawn.path.legs:
        if leg.counts:
            far = x + leg.length
            axes.plot([x, far], [0.0, 0.0], color=_INK, **line_style(axes, leg.over, leg.length))
            axes.plot([far, far], [-0.06 * scale, 0.06 * scale], color=_INK, linewidth=1.0)
            at_x = over_piece(x, far, (width(leg.mark, _LAID_TYPE, bold=True) + 0.03) * scale, required)
            if at_x is not None:
                axes.text(at_x, 0.07 * scale, leg.mark, ha="center", va="bottom", fontsize=7.5, fontweight="bold")
            x = far
    axes.plot([required, required], [-0.14 * scale, 0.22 * scale], color=sheet.INK, linewidth=2.2)
    side = "left" if required < most / 4 else "right" if required > most * 0.75 else "center"
    axes.text(required, 0.25 * scale, f"required {plain(required, 2)}", ha=side, va="bottom", fontsize=7.5)
    axes.text(0.0, -0.16 * scale, f"the path laid straight: {plain(total, 2)} mm", ha="left", va="top", fontsize=7.5)


def _head(axes: Axes, drawn: _Drawn, legs: Sequence[Line]) -> tuple[BaseGeometry, BaseGeometry]:
    """What is judged, in a box at the top, with a line to the path; returns the room that each takes."""
    finding = drawn.finding
    middles = [((one[0] + other[0]) / 2, (one[1] + other[1]) / 2) for one, other in legs]
    centre = sum(axes.get_xlim()) / 2
    ends = [drawn.flat(point) for point in finding.points or ()]
    spot = max(middles or ends, key=lambda at: (round(at[1], 3), -abs(at[0] - centre)))
    status = " at ".join(filter(None, (finding.status.value.upper(), finding.state)))
    asked = f"\n{requirement(finding)} required" if finding.required is not None else ""
    said = f"{judged_range(finding, drawn.judge_by)}{asked}\n{status}"
    return sheet.head(axes, said, spot, zorder=39)


def _straight(axes: Axes, drawn: _Drawn, legs: Sequence[Line]) -> list[BaseGeometry]:
    """A thin line between the ends of a path that bends; returns the room that it takes."""
    if not straight_across(drawn.finding):
        return []
    ends = (legs[0][0], legs[-1][1])
    axes.plot(*zip(*ends, strict=True), color=sheet.INK, linewidth=0.8, linestyle=(0, (3, 3)), zorder=38)
    return [shapely.LineString(ends).buffer(0.02 * sheet.mm_per_inch(axes))]


def _across(axes: Axes, drawn: _Drawn) -> Text | None:
    across = straight_across(drawn.finding)
    return _figure(axes, f"straight across {across}", "normal") if across else None
