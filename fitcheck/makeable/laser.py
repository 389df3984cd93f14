"""What a cutting shop would ask about a flat piece, by the sourced rules of thumb."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

from fitcheck.errors import OutsideTable
from fitcheck.makeable.contour import Contour, Loop, Round, polygon_of, ring_of
from fitcheck.makeable.material import Kind, without_grade
from fitcheck.makeable.piece import CutRemark, Piece
from fitcheck.model.shape import Point2
from fitcheck.sources import PRACTICE
from fitcheck.standards.laser_cut import (
    ACCURACY,
    ACCURACY_SOURCE,
    CHARRED,
    CLEAN,
    EDGE,
    HOLE,
    INNER_CORNER,
    SMALLEST_PART,
    SMALLEST_PART_MM,
    WEB,
    CutRule,
    clean_edge,
)

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

SLACK_MM = 1e-6

CORNER_DEGREES = 45.0
"""A contour that turns by less in one corner is a curve drawn with chords."""


LARGEST_SHEET_MM = (3000.0, 1500.0)
"""A common size of sheet and of the table under a cutting head."""

SHARP_DEGREES = 25.0
"""A tip more pointed than this burns away before the cut has gone round it."""

THICKEST_MM = ACCURACY[-1][0]
"""Beyond this no page that was read says how true a laser cuts."""


def remarks_of(piece: Piece) -> tuple[CutRemark, ...]:
    """In a fixed order; none for what is not cut flat. Foam and rubber are cut with a knife, a die or water: of them no
    rule for sheet speaks but that of the largest size."""
    if not piece.is_flat:
        return ()
    if piece.worked_as is Kind.SOFT:
        return (*_edge_quality(piece), *_large(piece))
    shape = (*_block(piece), *_holes(piece), *_edges(piece), *_webs(piece), *_necks(piece), *_tips(piece))
    return (*shape, *_size(piece), *_large(piece), *_edge_quality(piece), *_inner_corners(piece), *_grade(piece))


def hole_name(number: int) -> str:
    """What the drawing calls an opening, counted from 0."""
    return f"H{number + 1}"


def _below(found: Sequence[tuple[str, float]], what: str, rule: CutRule, thickness: float) -> Iterator[CutRemark]:
    """One remark for all that fall short of one rule; `found` pairs names with widths in mm."""
    least = rule.least(thickness)
    short = [f"{name} {width:.2f}" for name, width in found if width < least - SLACK_MM]
    if short:
        text = f"{what} {', '.join(short)} mm, below {least:g}: {rule.text}"
        yield CutRemark(text=text, source=rule.source)


def _holes(piece: Piece) -> Iterator[CutRemark]:
    found = [(hole_name(number), least_width(opening.contour)) for number, opening in enumerate(piece.openings)]
    yield from _below(found, "Width of", HOLE, piece.thickness.nominal)


def least_width(contour: Contour) -> float:
    """A circle's diameter, or the short side of the smallest rectangle about a ring."""
    if isinstance(contour, Round):
        return contour.diameter
    corners = list(polygon_of(contour).minimum_rotated_rectangle.exterior.coords)
    return min(math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2]))


def _between(one: Contour, other: Contour) -> float:
    """The web between two openings, in mm; circles are taken as they are, not by chords."""
    (a, r), (b, s) = _inner(one), _inner(other)
    return float(a.distance(b)) - r - s


def _inner(contour: Contour) -> tuple[BaseGeometry, float]:
    """A contour as a shape and how far it reaches about it."""
    from shapely import Point

    if isinstance(contour, Round):
        return Point(contour.centre), contour.diameter / 2.0
    return polygon_of(contour), 0.0


def _to_rim(outline: Contour, opening: Contour) -> float:
    """What is left between an opening and the edge of the part, in mm."""
    core, reach = _inner(opening)
    if isinstance(outline, Loop):
        return float(polygon_of(outline).exterior.distance(core)) - reach
    corners = [opening.centre] if isinstance(opening, Round) else opening.corners
    return outline.diameter / 2.0 - max(math.dist(outline.centre, corner) for corner in corners) - reach


def _edges(piece: Piece) -> Iterator[CutRemark]:
    found = [
        (hole_name(number), _to_rim(piece.outline, opening.contour)) for number, opening in enumerate(piece.openings)
    ]
    yield from _below(found, "From the edge to", EDGE, piece.thickness.nominal)


def _webs(piece: Piece) -> Iterator[CutRemark]:
    found = [
        (f"{hole_name(one)} and {hole_name(other)}", _between(a.contour, b.contour))
        for (one, a), (other, b) in combinations(enumerate(piece.openings), 2)
    ]
    yield from _below(found, "Web between", WEB, piece.thickness.nominal)


def _block(piece: Piece) -> Iterator[CutRemark]:
    """What is no sheet: too thick for a laser, or nowhere wider than it is thick."""
    thickness = piece.thickness.nominal
    if thickness > THICKEST_MM:
        text = f"{thickness:g} mm is no thickness for a laser: have it sawn, milled or cut by water jet"
        yield CutRemark(text=text, source=ACCURACY_SOURCE)
    elif _core(piece, thickness).is_empty:
        text = (
            f"It is nowhere wider than the {thickness:g} mm that it is thick: a block, no part for a laser; have it "
            "sawn or milled from bar"
        )
        yield CutRemark(text=text, source=PRACTICE)


def _necks(piece: Piece) -> Iterator[CutRemark]:
    """Places where the outline is narrower than the least web, between two wider ones or at the end of one."""
    least = WEB.least(piece.thickness.nominal)
    core = _core(piece, least)
    if isinstance(piece.outline, Round) or core.is_empty:
        return
    found = ["neck"] if core.geom_type != "Polygon" else []
    if _has_tongue(piece, core, least):
        found.append("tongue")
    if found:
        text = f"The outline has a {' and a '.join(found)} narrower than {least:g} mm: {WEB.text}"
        yield CutRemark(text=text, source=WEB.source)


def _core(piece: Piece, width: float) -> BaseGeometry:
    """What of the outline's inside is at least half the width away from it."""
    return _inside(piece).buffer(-(width / 2.0 - SLACK_MM), join_style="mitre")


def _inside(piece: Piece) -> BaseGeometry:
    """The area within the outline; a point without width has none."""
    found = polygon_of(piece.outline)
    return found if found.is_valid else found.buffer(0.0)


def _has_tongue(piece: Piece, core: BaseGeometry, least: float) -> bool:
    """Whether something sticks out of the wider parts that is narrower than `least`, and not only a corner."""
    grown = core.buffer(least / 2.0 - SLACK_MM, join_style="mitre", mitre_limit=10.0)
    lost = _inside(piece).difference(grown.buffer(1e-3))
    # What lies between two wider parts is a neck, and that is said already.
    wide = _parts(grown.buffer(2e-3))
    ends = [part for part in _parts(lost) if sum(part.intersects(one) for one in wide) < 2]
    return any(part.area > 0.5 * least * least for part in ends)


def _tips(piece: Piece) -> Iterator[CutRemark]:
    """Corners of the outline that run out to a point, and inner ones of openings that leave such a point standing."""
    found = [_place(corner) for corner in _points(piece.outline, is_opening=False)]
    for number, opening in enumerate(piece.openings):
        found += [f"{_place(corner)} in {hole_name(number)}" for corner in _points(opening.contour, is_opening=True)]
    if found:
        text = (
            f"Runs out to a point of less than {SHARP_DEGREES:g}° at {', '.join(found[:MOST_PLACES])}"
            f"{' and elsewhere' if len(found) > MOST_PLACES else ''}: it burns off or breaks and cuts hands; say how "
            "blunt it may be"
        )
        yield CutRemark(text=text, source=PRACTICE)


MOST_PLACES = 4


def _place(corner: Point2) -> str:
    return f"x {corner[0]:.4g}, y {corner[1]:.4g}"


def _points(contour: Contour, *, is_opening: bool) -> Iterator[Point2]:
    """Corners with material between two sides that are less than SHARP_DEGREES apart."""
    sign = -1.0 if is_opening else 1.0
    most = 180.0 - SHARP_DEGREES + SLACK_MM
    # A point of no width at all turns right round, which has no side.
    yield from (corner for corner, turn in _turns(contour) if sign * turn > most or abs(turn) > 180.0 - SLACK_MM)


def _turns(contour: Contour) -> Iterator[tuple[Point2, float]]:
    """Each corner with how far the contour turns there in degrees, to the left positive, run counter-clockwise."""
    if isinstance(contour, Round):
        return
    corners = ring_of(contour)
    for before, here, after in zip((corners[-1], *corners), corners, (*corners[1:], corners[0]), strict=False):
        (x, y), (u, v) = (here[0] - before[0], here[1] - before[1]), (after[0] - here[0], after[1] - here[1])
        yield here, math.degrees(math.atan2(x * v - y * u, x * u + y * v))


def _parts(shape: BaseGeometry) -> Sequence[BaseGeometry]:
    parts: Sequence[BaseGeometry] = getattr(shape, "geoms", (shape,))
    return parts


HOW_INSTEAD = {
    Kind.LAMINATE: "milled with a carbide cutter or cut by water jet",
    Kind.SOFT: "cut with a knife, a die or water jet",
    Kind.WOOD: "sawn or milled",
}
"""How an insulating material is cut without a charred edge; rigid plastics are milled or cut by water jet."""


def _edge_quality(piece: Piece) -> Iterator[CutRemark]:
    thickness = piece.thickness.nominal
    if piece.is_metal is False:
        how = HOW_INSTEAD.get(piece.worked_as, "milled or cut by water jet")
        text = f"It insulates: a laser chars the edge, and a charred edge can lead current. Have it {how}"
        yield CutRemark(text=text, source=CHARRED)
    elif piece.is_metal:
        try:
            row = clean_edge(piece.material)
        except OutsideTable:
            text = f"No row says how thick {piece.material} is cut cleanly: ask the shop whether it cuts it, and how"
            yield CutRemark(text=text, source=CLEAN)
            return
        if thickness > row.up_to_mm:
            text = (
                f"{thickness:g} mm {piece.material} is above the {row.up_to_mm:g} mm that one shop cuts without "
                "scored edges: ask whether the edge matters, or for water jet or milling"
            )
            yield CutRemark(text=text, source=row.source)


def _size(piece: Piece) -> Iterator[CutRemark]:
    least = min(piece.size)
    if least < SMALLEST_PART_MM:
        text = f"The piece is {least:g} mm across, below {SMALLEST_PART_MM:g}: it may tip into the grid; ask for tabs"
        yield CutRemark(text=text, source=SMALLEST_PART)


def _large(piece: Piece) -> Iterator[CutRemark]:
    """What is larger than a common sheet, whichever way it is turned on it."""
    long, short = max(piece.size), min(piece.size)
    if isinstance(piece.outline, Loop):
        corners = list(polygon_of(piece.outline).minimum_rotated_rectangle.exterior.coords)
        turned = [math.dist(one, other) for one, other in pairwise(corners[:3])]
        if max(turned) * min(turned) < long * short:
            long, short = max(turned), min(turned)
    if long > LARGEST_SHEET_MM[0] + SLACK_MM or short > LARGEST_SHEET_MM[1] + SLACK_MM:
        text = (
            f"{long:.0f} × {short:.0f} is larger than the common sheet and table of {LARGEST_SHEET_MM[0]:g} × "
            f"{LARGEST_SHEET_MM[1]:g}: ask whether the shop has a larger one, or where it may be joined"
        )
        yield CutRemark(text=text, source=PRACTICE)


def _inner_corners(piece: Piece) -> Iterator[CutRemark]:
    """What is not for the laser is milled as a rule, and a cutter is round."""
    if piece.is_metal is not False or piece.kind != "part":
        return
    found = ["the outline"] if _has_inner_corner(piece.outline, is_opening=False) else []
    found += [
        hole_name(number)
        for number, opening in enumerate(piece.openings)
        if _has_inner_corner(opening.contour, is_opening=True)
    ]
    if found:
        text = (
            f"Inner corners of {', '.join(found)} are drawn sharp, and a milling cutter leaves its radius there: agree "
            "how large it may be, or have them cut by water jet"
        )
        yield CutRemark(text=text, source=INNER_CORNER)


def _has_inner_corner(contour: Contour, *, is_opening: bool) -> bool:
    """Whether a cutter that runs along the contour, outside of the material, would get stuck in a corner."""
    sign = 1.0 if is_opening else -1.0
    return any(sign * turn > CORNER_DEGREES - SLACK_MM for _, turn in _turns(contour))


def _grade(piece: Piece) -> Iterator[CutRemark]:
    """A family such as "steel" is not what a shop can order."""
    text = without_grade(piece.material) if piece.is_metal else ""
    if text:
        yield CutRemark(text=text, source=PRACTICE)
