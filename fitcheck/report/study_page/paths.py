"""An electrical path on its plate: leg by leg with its lengths, the way straight across, and the path laid straight."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from markupsafe import Markup
from shapely.geometry.base import BaseGeometry

from fitcheck.findings import Finding
from fitcheck.report.letters import width
from fitcheck.report.path_labels import Label, Wanted, labels, over_piece, seen_of
from fitcheck.report.path_legs import Leg, Over, Path, words
from fitcheck.report.path_plane import PathPlane
from fitcheck.report.study_page.ink import Paper, line
from fitcheck.report.wording import judged_range, plain, straight_across

_WIDE = 360.0
_SIZE, _TALL, _HEAD_SIZE = 12.0, 15.0, 13.0
"""Of the letters beside a leg, with the room over and under them, and of the judged figure."""
_BESIDE = 4.5
"""Nothing is written so near to a path."""
_BAR_TALL = 24.0
_MOST_FULL = 10
"""With more legs than this the picture bears letters alone, where there is room; the list has the figures."""
_FAR = 45.0
"""How far from its leg a letter may stand."""

_LAID_TALL, _LAID_LINE = 64.0, 38.0
_APART = 7.0
"""How wide the break is where metal is crossed for nothing."""

_Point = tuple[float, float]


def drawn(
    finding: Finding, judge_by: str, path: Path, cut: PathPlane, paper: Paper
) -> tuple[Markup, list[BaseGeometry]]:
    """The legs over a section laid on this paper, the judged figure in a box at the top; and the room that it takes."""
    ends = [tuple(paper.at(cut.plane.flat(np.array(point))) for point in (leg.start, leg.end)) for leg in path.legs]
    legs = [(one, other) for one, other in ends]
    figure = judged_range(finding, judge_by)
    wide = width(figure, _HEAD_SIZE, bold=True) + 16.0
    corners = [corner for leg in legs for corner in leg] or [_middle(finding, cut, paper)]
    top = min([_half(leg) for leg in legs] or corners, key=lambda spot: (round(spot[1]), abs(spot[0] - _WIDE / 2)))
    at = min(max(top[0], wide / 2 + 8.0), _WIDE - wide / 2 - 8.0)
    head = Markup(
        '{}<rect class="label" x="{:.1f}" y="8" width="{:.1f}" height="22"/>'
        '<text class="figure" x="{:.1f}" y="23.5" text-anchor="middle">{}</text>'
    ).format(line([top, (at, 30.0)], "leader"), at - wide / 2, wide, at, figure)
    drawn_line = shapely.MultiLineString(legs).buffer(_BESIDE, quad_segs=2)
    straight, across = _straight(finding, corners, drawn_line)
    wanted = [*_wanted(path, legs)]
    if across is not None:
        # Before letters that may be left out, but after figures, which keep nearer to their legs.
        wanted.insert(0 if len(legs) > _MOST_FULL else len(legs), across)
    about = [drawn_line, shapely.LineString([top, (at, 30.0)]).buffer(2.0)]
    if across is not None:
        about.append(shapely.LineString([corners[0], corners[-1]]).buffer(1.5))
    taken = [shapely.box(at - wide / 2, 8.0, at + wide / 2, 30.0)]
    frame = (4.0, 4.0, _WIDE - 4.0, paper.tall - _BAR_TALL)
    placed = labels(wanted, frame=frame, path=shapely.union_all(about), taken=taken)
    drawing = Markup("").join(
        [
            straight,
            head,
            *(_line(leg, flat, held) for leg, flat, held in zip(path.legs, legs, cut.held, strict=True)),
            *_ends(corners),
            *(_label(one, "across" if across is not None and one.text == across.text else "leg") for one in placed),
        ]
    )
    return drawing, [*taken, *about, *(one.covered for one in placed)]


def listed(path: Path) -> list[tuple[str, str, str, str]]:
    """(letter, length, what it runs over, class of its line) of each leg."""
    return [
        (leg.mark, f"{plain(leg.length, 2)} mm", words(leg, path.bridged_mm), _line_class(leg)) for leg in path.legs
    ]


def laid_straight(finding: Finding, path: Path) -> Markup:
    """The legs one after the other on a straight line, to scale, against what is required; empty without either."""
    if finding.required is None or not path.legs:
        return Markup("")
    scale = (_WIDE - 20.0 - _APART * sum(leg.over is Over.METAL for leg in path.legs)) / (
        max(path.total, finding.required, 1e-6) * 1.08
    )
    x, y = 8.0, _LAID_LINE
    limit = x + finding.required * scale + _APART * _crossed_before(path, finding.required)
    pieces = []
    for leg in path.legs:
        if leg.over is Over.METAL:
            pieces.append(Markup('<path class="axis" d="M{:.1f} {:.1f}l2 -8m3 8l2 -8"/>').format(x, y + 4))
            x += _APART
            continue
        far = x + (leg.length * scale if leg.counts else 0.0)
        pieces.append(_laid_leg(leg, x, far, y, limit))
        x = far
    anchor = "start" if limit < 80 else "end" if limit > _WIDE - 80 else "middle"
    said = f"The path laid straight: {plain(path.total, 2)} mm; {plain(finding.required, 2)} mm required"
    return Markup(
        '<svg class="laid" viewBox="0 0 {:g} {:g}" role="img" aria-label="{}"><path class="tick" d="M8 {:.1f}v10"/>{}'
        '<path class="limit" d="M{:.1f} {:.1f}v22"/><text x="{:.1f}" y="13" text-anchor="{}">required {}</text>'
        '<text class="small" x="8" y="{:.1f}">the path laid straight: {}</text></svg>'
    ).format(
        _WIDE,
        _LAID_TALL,
        said,
        y - 5,
        Markup("").join(pieces),
        limit,
        y - 16,
        limit,
        anchor,
        plain(finding.required, 2),
        _LAID_TALL - 5,
        f"{plain(path.total, 2)} mm",
    )


def _crossed_before(path: Path, length: float) -> int:
    """How often the path crosses metal before it is so long."""
    spent, crossed = 0.0, 0
    for leg in path.legs:
        crossed += leg.over is Over.METAL and spent < length
        spent += leg.length if leg.counts else 0.0
    return crossed


def _laid_leg(leg: Leg, start: float, end: float, y: float, limit: float) -> Markup:
    """One leg with its letter over it, clear of the mark of what is required."""
    drawing = Markup('<path class="{}" d="M{:.1f} {:.1f}H{:.1f}"/><path class="tick" d="M{:.1f} {:.1f}v10"/>').format(
        _line_class(leg), start, y, end, end, y - 5
    )
    x = over_piece(start, end, width(leg.mark, _SIZE, bold=True) + 1.0, limit)
    if x is None:
        return drawing
    return drawing + Markup('<text class="leg" x="{:.1f}" y="{:.1f}" text-anchor="middle">{}</text>').format(
        x, y - 7, leg.mark
    )


def _middle(finding: Finding, cut: PathPlane, paper: Paper) -> _Point:
    points = np.mean([np.array(point) for point in finding.points or ()], axis=0)
    return paper.at(cut.plane.flat(points))


def _half(leg: tuple[_Point, _Point]) -> _Point:
    return (leg[0][0] + leg[1][0]) / 2, (leg[0][1] + leg[1][1]) / 2


def _wanted(path: Path, legs: Sequence[tuple[_Point, _Point]]) -> Iterator[Wanted]:
    many = len(path.legs) > _MOST_FULL
    for leg, flat in zip(path.legs, legs, strict=True):
        text = leg.mark if many else _text(leg)
        size = (width(text, _SIZE, bold=True) + 4.0, _TALL)
        yield Wanted(text=text, size=size, leg=flat, far=_FAR if many else math.inf)


def _text(leg: Leg) -> str:
    return f"{leg.mark} {plain(leg.length, 2)}" if leg.counts else f"{leg.mark} 0"


def _straight(finding: Finding, corners: Sequence[_Point], path: BaseGeometry) -> tuple[Markup, Wanted | None]:
    """A thin line between the ends of a path that bends, and how far apart they lie."""
    across = straight_across(finding)
    if not across:
        return Markup(""), None
    ends = (corners[0], corners[-1])
    text = f"straight across {across}"
    wanted = Wanted(text=text, size=(width(text, _SIZE) + 4.0, _TALL), leg=seen_of(ends, path))
    return line(ends, "straight"), wanted


def _line(leg: Leg, flat: tuple[_Point, _Point], held: bool) -> Markup:
    name = _line_class(leg) if held else f"{_line_class(leg)} off"
    return line(flat, f"{name} under") + line(flat, name)


def _line_class(leg: Leg) -> str:
    kind = {Over.SURFACE: "surface", Over.BRIDGED: "bridged", Over.METAL: "through"}.get(leg.over, "air")
    return f"leg {kind}"


def _ends(corners: Sequence[_Point]) -> list[Markup]:
    """A dot at each corner, the two ends larger."""
    seen = list(dict.fromkeys((round(x, 1), round(y, 1)) for x, y in corners))
    dots = [(corner, 1.8) for corner in seen[1:-1]] + [(corner, 3.4) for corner in (seen[0], seen[-1])]
    return [Markup('<circle class="corner" cx="{:.1f}" cy="{:.1f}" r="{:g}"/>').format(*at, r) for at, r in dots]


def _label(one: Label, name: str) -> Markup:
    leader = line(one.leader, "leader") if one.led else Markup("")
    return leader + Markup('<text class="{}" x="{:.1f}" y="{:.1f}" text-anchor="middle">{}</text>').format(
        name, one.at[0], one.at[1] + 4.0, one.text
    )
