"""What a cutting shop would ask about a flat piece, by the sourced rules of thumb."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import TYPE_CHECKING

from fitcheck.errors import OutsideTable
from fitcheck.makeable.contour import Contour, Loop, Round, polygon_of, ring_of
from fitcheck.makeable.material import without_grade
from fitcheck.makeable.piece import CutRemark, Piece
from fitcheck.sources import PRACTICE
from fitcheck.standards.laser_cut import (
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
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

SLACK_MM = 1e-6

CORNER_DEGREES = 45.0
"""A contour that turns by less in one corner is a curve drawn with chords."""


def remarks_of(piece: Piece) -> tuple[CutRemark, ...]:
    """In a fixed order; none for what is not cut flat."""
    if not piece.is_flat:
        return ()
    shape = (*_holes(piece), *_edges(piece), *_webs(piece), *_neck(piece), *_size(piece))
    return (*shape, *_edge_quality(piece), *_inner_corners(piece), *_grade(piece))


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
    (a, r), (b, s) = _core(one), _core(other)
    return float(a.distance(b)) - r - s


def _core(contour: Contour) -> tuple[BaseGeometry, float]:
    """A contour as a shape and how far it reaches about it."""
    from shapely import Point

    if isinstance(contour, Round):
        return Point(contour.centre), contour.diameter / 2.0
    return polygon_of(contour), 0.0


def _to_rim(outline: Contour, opening: Contour) -> float:
    """What is left between an opening and the edge of the part, in mm."""
    core, reach = _core(opening)
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


def _neck(piece: Piece) -> Iterator[CutRemark]:
    """A place where the outline itself is narrower than the least web."""
    least = WEB.least(piece.thickness.nominal)
    outline = polygon_of(piece.outline)
    if isinstance(piece.outline, Loop) and _falls_apart(outline, least):
        text = f"The outline has a neck or a tongue narrower than {least:g} mm: {WEB.text}"
        yield CutRemark(text=text, source=WEB.source)


def _falls_apart(outline: Polygon, least: float) -> bool:
    half = least / 2.0 - SLACK_MM
    core = outline.buffer(-half, join_style="mitre")
    if core.is_empty or core.geom_type != "Polygon":
        return True
    grown = core.buffer(half, join_style="mitre", mitre_limit=10.0)
    lost = outline.difference(grown.buffer(1e-3))
    return any(piece.area > 0.5 * least * least for piece in _parts(lost))


def _parts(shape: object) -> Sequence[Polygon]:
    parts: Sequence[Polygon] = getattr(shape, "geoms", (shape,))
    return parts


def _edge_quality(piece: Piece) -> Iterator[CutRemark]:
    thickness = piece.thickness.nominal
    if piece.is_metal is False:
        text = (
            "It insulates: a laser chars the edge, and a charred edge can lead current. Have it milled or cut by water "
            "jet"
        )
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
    if isinstance(contour, Round):
        return False
    corners = ring_of(contour)
    sign = 1.0 if is_opening else -1.0
    for before, here, after in zip((corners[-1], *corners), corners, (*corners[1:], corners[0]), strict=False):
        (x, y), (u, v) = (here[0] - before[0], here[1] - before[1]), (after[0] - here[0], after[1] - here[1])
        turn = math.degrees(math.atan2(x * v - y * u, x * u + y * v))
        if sign * turn > CORNER_DEGREES - SLACK_MM:
            return True
    return False


def _grade(piece: Piece) -> Iterator[CutRemark]:
    """A family such as "steel" is not what a shop can order."""
    text = without_grade(piece.material) if piece.is_metal else ""
    if text:
        yield CutRemark(text=text, source=PRACTICE)
