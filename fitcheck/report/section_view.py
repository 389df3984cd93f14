"""Sections through the tightest gap of each kind, dimensioned."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from shapely.geometry.base import BaseGeometry

from fitcheck.findings import Finding
from fitcheck.model.part import State
from fitcheck.report import sheet
from fitcheck.report.balloon_places import place
from fitcheck.report.outline import Floats, cut
from fitcheck.report.path_labels import around
from fitcheck.report.scene import DrawnPart, Scene
from fitcheck.report.views import direction
from fitcheck.report.wording import judged_range, plain, requirement, spare, subject
from fitcheck.result import Result

_WIDTH = sheet.WIDTH - 2 * sheet.EDGE
_WHOLE_WIDTH = 2.8
_TITLE = 0.7
_TALL = 3.95
_DETAIL_WIDTH = _WIDTH - _WHOLE_WIDTH - 0.2
_INSET_MM = 0.5
"""How far the section is moved off a face that it would only graze."""

_HATCHES = ("////", "\\\\\\\\", "xxx", "//", "\\\\")
"""Slanting only: upright and level ones would pass for edges."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Plane:
    """Where the section runs: unit vectors in case axes, a point in it, and its words."""

    normal: Floats
    across: Floats
    up: Floats
    through: Floats
    words: str

    def flat(self, point: Floats) -> tuple[float, float]:
        """Plane coordinates of a point, seen along the normal."""
        return float((point - self.through) @ self.across), float((point - self.through) @ self.up)


def tightest(result: Result, scene: Scene) -> list[Finding]:
    """The gap with the least to spare of each pair of roles, in the order of least to spare."""
    best: dict[tuple[str, str], tuple[float, Finding]] = {}
    for finding in result.findings:
        left = spare(finding, result.judge_by)
        if finding.check != "gap" or finding.points is None or left is None or finding.build != scene.build:
            continue
        if not all(name in scene.by_name for name in finding.parts):
            continue
        first, second = sorted(scene.by_name[name].role for name in finding.parts)
        if (first, second) not in best or left < best[first, second][0]:
            best[first, second] = (left, finding)
    return [finding for _, finding in sorted(best.values(), key=lambda pair: pair[0])]


def sheets(scene: Scene, result: Result) -> Iterator[tuple[str, Figure]]:
    """(name, drawn sheet) of each section, the one with the least to spare first."""
    for number, finding in enumerate(tightest(result, scene), 1):
        shown = scene.aged if finding.state == State.END and scene.aged is not None else scene
        yield f"section_{number}", _sheet(shown, result, finding)


def plane_of(scene: Scene, finding: Finding) -> Plane:
    """A plane that holds both points of a gap, upright where it can be, and cuts both parts rather than grazes them.

    Raises ValueError for a finding without points.
    """
    if finding.points is None:
        raise ValueError(f"{subject(finding)} has no points to draw a section through")
    start, end = (np.array(point) for point in finding.points)
    gap = end - start
    length = float(np.linalg.norm(gap))
    along = gap / length if length > 0.0 else np.zeros(3)
    # Looking forward or to the right by preference gives upright sections; from above is the last resort.
    views = [(direction(scene.axes, toward), direction(scene.axes, top), words) for toward, top, words in _LOOKS]
    toward, top, words = min(views, key=lambda view: round(abs(float(view[0] @ along)), 6))
    normal = toward - (toward @ along) * along
    normal /= np.linalg.norm(normal)
    through = (start + end) / 2
    through = through + normal * off_the_faces(scene, finding, normal, float(through @ normal))
    return _laid(normal, top, through, words, "both points")


def plane_square_to(scene: Scene, normal: Floats, through: Floats) -> Plane:
    """The plane through a point with this unit normal, seen from where its own look is nearest to the normal."""
    views = [(direction(scene.axes, toward), direction(scene.axes, top), words) for toward, top, words in _LOOKS]
    toward, top, words = max(views, key=lambda view: round(abs(float(view[0] @ normal)), 6))
    return _laid(normal if toward @ normal > 0.0 else -normal, top, through, words, "the path")


def _laid(normal: Floats, top: Floats, through: Floats, words: str, what: str) -> Plane:
    """`top` is what shows upward as far as the plane allows; `what` an oblique plane goes through."""
    up = top - (top @ normal) * normal
    up /= np.linalg.norm(up)
    axis = int(np.argmax(np.abs(normal)))
    at = f"at {'xyz'[axis]} = {plain(float(through[axis]), 1)} mm"
    oblique = "" if abs(normal[axis]) > 1 - 1e-9 else f", laid oblique through {what}"
    return Plane(normal=normal, across=np.cross(up, normal), up=up, through=through, words=f"{words}, {at}{oblique}")


_LOOKS = (
    ("rearward", "up", "seen from the rear"),
    ("left", "up", "seen from the left"),
    ("up", "right", "seen from above"),
)


def off_the_faces(scene: Scene, finding: Finding, normal: Floats, at: float) -> float:
    """How far to move the plane along its normal so that it lies within both parts, where they have depth for it."""
    spans = [scene.by_name[name].vertices @ normal for name in finding.parts]
    low, high = max(span.min() for span in spans), min(span.max() for span in spans)
    inset = min(_INSET_MM, (high - low) / 2)
    return 0.0 if inset <= 0.0 else float(np.clip(at, low + inset, high - inset) - at)


def _sheet(scene: Scene, result: Result, finding: Finding) -> Figure:
    plane = plane_of(scene, finding)
    cuts = [
        (number, part, cut(part.vertices, part.faces, plane.normal, plane.across, plane.up, plane.through))
        for number, part in enumerate(scene.parts, 1)
    ]
    cuts = [(number, part, shape) for number, part, shape in cuts if not shape.is_empty]
    window = _window(finding, plane)
    lines = key_of(cuts, window)
    height = _TITLE + _TALL + 0.2 + sheet.key_height(lines, _WIDTH) + 0.3
    aged = ", parts drawn at end of life" if finding.state == State.END else ""
    play = "; parts with play drawn where they stand, the line ends where they may go" if finding.in_play else ""
    title = f"{scene.build} build, section {plane.words}: {subject(finding)}{aged}{play}"
    figure = sheet.new_sheet(height, scene.title or "Layout", title)
    bottom = height - _TITLE - _TALL
    whole_section(figure, (0.3, bottom, _WHOLE_WIDTH, _TALL), cuts, window)
    detail = (0.3 + _WHOLE_WIDTH + 0.2, bottom, _DETAIL_WIDTH, _TALL)
    _detail(figure, detail, cuts, window, plane, finding, result)
    sheet.key(figure, 0.3, bottom - 0.2, _WIDTH, lines)
    return figure


_Cut = tuple[int, DrawnPart, BaseGeometry]
_Box = tuple[float, float, float, float]


def _window(finding: Finding, plane: Plane) -> _Box:
    """What the enlarged view shows: some ten times the gap or its requirement, whichever is larger."""
    points = [plane.flat(np.array(point)) for point in finding.points or ()]
    x, y = (sum(values) / 2 for values in zip(*points, strict=True))
    length = float(np.hypot(points[1][0] - points[0][0], points[1][1] - points[0][1]))
    half = 5.0 * max(length, finding.required or 0.0, 1.0)
    tall = half * _TALL / _DETAIL_WIDTH
    return (x - half, y - tall, x + half, y + tall)


def key_of(cuts: Sequence[_Cut], window: _Box) -> list[tuple[str, str]]:
    """(number, what it is) of the parts that the enlarged view shows; in the whole section nothing is numbered."""
    shown = shapely.box(*window)
    return [
        (str(number), f"{part.name} ({part.role}, {part.change})")
        for number, part, shape in cuts
        if shapely.intersects(shape, shown)
    ]


def _lay(axes: Axes, cuts: list[_Cut], *, hatched: bool) -> None:
    for number, part, shape in cuts:
        hatch = _HATCHES[number % len(_HATCHES)] if hatched else None
        sheet.draw(
            axes, shape, zorder=2, facecolor=sheet.fill(part.role), edgecolor=sheet.FAINT, linewidth=0.0, hatch=hatch
        )
        style = sheet.LINE_STYLE[part.change]
        if not hatched:
            style = style | {"linewidth": style["linewidth"] * 0.6}
        sheet.draw(axes, shape, zorder=3, facecolor="none", edgecolor=sheet.INK, **style)


def whole_section(figure: Figure, at: _Box, cuts: list[_Cut], window: _Box) -> None:
    """The whole section in the space `at` (inches), a box about the enlarged place."""
    bounds = shapely.total_bounds([shape for _, _, shape in cuts])
    low_x, low_y, high_x, high_y = shapely.total_bounds([shapely.box(*bounds), shapely.box(*window)])
    scale = max((high_x - low_x) / (at[2] - 0.3), (high_y - low_y) / (at[3] - 1.4))
    margin = 0.15 * scale
    box = (low_x - margin, low_y - 0.6 * scale, high_x + margin, high_y + 0.4 * scale)
    axes = sheet.bare_axes(figure, at, box)
    _lay(axes, cuts, hatched=False)
    # A window too small to see is framed by a box of a size that can be seen.
    side = max(window[2] - window[0], 0.16 * scale), max(window[3] - window[1], 0.16 * scale)
    middle = ((window[0] + window[2]) / 2, (window[1] + window[3]) / 2)
    corner = (middle[0] - side[0] / 2, middle[1] - side[1] / 2)
    axes.add_patch(Rectangle(corner, *side, facecolor="none", edgecolor=sheet.INK, linewidth=1.4, zorder=30))
    top = corner[1] + side[1]
    axes.plot([middle[0], middle[0]], [top, high_y + 0.1 * scale], color=sheet.INK, linewidth=0.5, zorder=30)
    left, right = axes.get_xlim()
    at_x = min(max(middle[0], left + 0.5 * scale), right - 0.5 * scale)
    axes.text(at_x, high_y + 0.12 * scale, "enlarged at right", ha="center", va="bottom", fontsize=7.5)
    sheet.scale_bar(axes)


def _detail(
    figure: Figure, at: _Box, cuts: list[_Cut], window: _Box, plane: Plane, finding: Finding, result: Result
) -> None:
    axes = sheet.bare_axes(figure, at, window)
    low, high = axes.get_xlim(), axes.get_ylim()
    frame = shapely.box(low[0], high[0], low[1], high[1])
    shown = [(number, part, shapely.intersection(shape, frame)) for number, part, shape in cuts]
    shown = [(number, part, shape) for number, part, shape in shown if not shape.is_empty]
    _lay(axes, shown, hatched=True)
    axes.add_patch(
        Rectangle(
            (low[0], high[0]),
            low[1] - low[0],
            high[1] - high[0],
            fill=False,
            ec=sheet.INK,
            lw=1.4,
            zorder=60,
            clip_on=False,
        )
    )
    taken = [sheet.scale_bar(axes), *_dimension(axes, plane, finding, result)]
    balloons(axes, shown, finding.parts, taken)


def _dimension(axes: Axes, plane: Plane, finding: Finding, result: Result) -> list[BaseGeometry]:
    """The gap as an arrow between its two points, its figures in a box clear of it; returns the room that both take."""
    scale = sheet.mm_per_inch(axes)
    start, end = (np.array(plane.flat(np.array(point))) for point in finding.points or ())
    arrow = {"arrowstyle": "<|-|>", "lw": 1.1, "color": sheet.INK, "shrinkA": 0, "shrinkB": 0, "mutation_scale": 8}
    if np.hypot(*(end - start)) > 0.02 * scale:
        axes.annotate("", tuple(end), tuple(start), arrowprops=arrow, zorder=45)
    else:
        axes.plot(*((value,) for value in start), marker="x", markersize=8, color=sheet.INK, zorder=45)
    middle = (start + end) / 2
    status = " at ".join(filter(None, (finding.status.value.upper(), finding.state)))
    said = f"{judged_range(finding, result.judge_by)}\n{requirement(finding)} required\n{status}"
    head, leader = sheet.head(axes, said, (float(middle[0]), float(middle[1])), zorder=44)
    return [head, leader, shapely.LineString([start, end]).buffer(0.1 * scale)]


def balloons(axes: Axes, shown: Sequence[_Cut], pair: Sequence[str], taken: Sequence[BaseGeometry]) -> None:
    """A balloon in each part that shows enough of itself clear of what is `taken`; the two of the pair first."""
    (left, right), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    rim = 0.05 * sheet.mm_per_inch(axes)
    frame, held = (left + rim, bottom + rim, right - rim, top - rim), list(taken)
    for number, part, shape in sorted(shown, key=lambda one: one[1].name not in pair):
        status = part.status if part.name in pair else None
        size = sheet.balloon_size(axes, number, status)
        spot = place(shape, size, frame, held)
        if spot is not None:
            sheet.balloon(axes, spot, number, status)
            held.append(around(spot, size))
