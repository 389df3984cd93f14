"""An electrical path on its plate: leg by leg with its lengths, the way straight across, and the path laid straight."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from markupsafe import Markup

from fitcheck.findings import Finding
from fitcheck.report.path_labels import Label, labels
from fitcheck.report.path_legs import Leg, Over, Path, words
from fitcheck.report.path_plane import PathPlane
from fitcheck.report.study_page.ink import Paper, line
from fitcheck.report.wording import judged_range, plain, straight_across

_WIDE = 360.0
_LETTER = (6.6, 15.0)
_HEAD_TALL = 34.0
_MOST_FULL = 10
"""With more legs than this the picture bears letters alone, where there is room; the list has the figures."""
_ROOM = 12.0

_LAID_TALL, _LAID_LINE = 64.0, 38.0
_APART = 7.0
"""How wide the break is where metal is crossed for nothing."""

_Point = tuple[float, float]


def drawn(finding: Finding, judge_by: str, path: Path, cut: PathPlane, paper: Paper) -> Markup:
    """The legs over a section laid on this paper, the judged figure in a box at the top."""
    ends = [tuple(paper.at(cut.plane.flat(np.array(point))) for point in (leg.start, leg.end)) for leg in path.legs]
    legs = [(one, other) for one, other in ends]
    figure = judged_range(finding, judge_by)
    wide = 7.2 * len(figure) + 16.0
    corners = [corner for leg in legs for corner in leg] or [_middle(finding, cut, paper)]
    top = min([_half(leg) for leg in legs] or corners, key=lambda spot: (round(spot[1]), abs(spot[0] - _WIDE / 2)))
    at = min(max(top[0], wide / 2 + 8.0), _WIDE - wide / 2 - 8.0)
    head = Markup(
        '{}<rect class="label" x="{:.1f}" y="8" width="{:.1f}" height="22"/>'
        '<text class="figure" x="{:.1f}" y="23.5" text-anchor="middle">{}</text>'
    ).format(line([top, (at, 30.0)], "leader"), at - wide / 2, wide, at, figure)
    straight, taken = _straight(finding, corners)
    texts = _texts(path, legs)
    frame = (4.0, _HEAD_TALL, _WIDE - 4.0, paper.tall - 24.0)
    taken.append(shapely.LineString([top, (at, 30.0)]).buffer(2.0))
    placed = labels(texts, legs, letter=_LETTER, frame=frame, taken=taken)
    return Markup("").join(
        [
            straight,
            head,
            *(_line(leg, flat, held) for leg, flat, held in zip(path.legs, legs, cut.held, strict=True)),
            *_ends(corners),
            *(_label(one) for one in placed),
        ]
    )


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
    if end - start < 7.0:
        return drawing
    middle = (start + end) / 2
    x = middle if abs(middle - limit) > 8.0 else middle - 0.25 * (end - start)
    return drawing + Markup('<text class="leg" x="{:.1f}" y="{:.1f}" text-anchor="middle">{}</text>').format(
        x, y - 7, leg.mark
    )


def _middle(finding: Finding, cut: PathPlane, paper: Paper) -> _Point:
    points = np.mean([np.array(point) for point in finding.points or ()], axis=0)
    return paper.at(cut.plane.flat(points))


def _half(leg: tuple[_Point, _Point]) -> _Point:
    return (leg[0][0] + leg[1][0]) / 2, (leg[0][1] + leg[1][1]) / 2


def _texts(path: Path, legs: Sequence[tuple[_Point, _Point]]) -> list[str]:
    if len(path.legs) <= _MOST_FULL:
        return [_text(leg) for leg in path.legs]
    return [leg.mark if _long(flat) >= _ROOM else "" for leg, flat in zip(path.legs, legs, strict=True)]


def _text(leg: Leg) -> str:
    return f"{leg.mark} {plain(leg.length, 2)}" if leg.counts else f"{leg.mark} 0"


def _long(flat: tuple[_Point, _Point]) -> float:
    return float(np.hypot(flat[1][0] - flat[0][0], flat[1][1] - flat[0][1]))


def _straight(finding: Finding, corners: Sequence[_Point]) -> tuple[Markup, list[shapely.Polygon]]:
    """A thin line between the ends of a path that bends, with how far apart they lie under it."""
    across = straight_across(finding)
    if not across:
        return Markup(""), []
    start, end = corners[0], corners[-1]
    text = f"straight across {across}"
    x = min(max((start[0] + end[0]) / 2, 3.4 * len(text)), _WIDE - 3.4 * len(text))
    y = max(corner[1] for corner in corners) + 37.0
    drawing = Markup('{}<text class="across" x="{:.1f}" y="{:.1f}" text-anchor="middle">{}</text>').format(
        line([start, end], "straight"), x, y, text
    )
    return drawing, [shapely.box(x - 3.4 * len(text), y - 12, x + 3.4 * len(text), y + 4)]


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


def _label(one: Label) -> Markup:
    leader = line([one.of, one.at], "leader") if one.led else Markup("")
    return leader + Markup('<text class="leg" x="{:.1f}" y="{:.1f}" text-anchor="middle">{}</text>').format(
        one.at[0], one.at[1] + 4.0, one.text
    )
