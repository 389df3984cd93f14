"""Which way of measuring suits two pieces: square boxes in closed form, convex pieces exactly, facets for the rest."""

from __future__ import annotations

import math

from fitcheck.findings import Point
from fitcheck.placing.contacts import Excuse
from fitcheck.placing.local import BarSolid, MeshSolid, PrismSolid
from fitcheck.placing.many import ManyPair
from fitcheck.placing.oblique import ObliquePair
from fitcheck.placing.pair import PiecePair
from fitcheck.placing.placed import Placed, square_boxes
from fitcheck.placing.square import SquarePair

MOST_CORNERS = 1000
"""Outlines with more are drawings with rounded corners or many holes."""


def match(a: Placed, b: Placed, excused: tuple[Excuse, Excuse], i: int, j: int) -> PiecePair | None:
    """The pair of two placed pieces; `i` and `j` number them in their parts."""
    if a.is_square and b.is_square:
        return SquarePair(a, b)
    regions_a = tuple(region for number, region in excused[0].regions if number == i)
    regions_b = tuple(region for number, region in excused[1].regions if number == j)
    whole = not regions_a and not regions_b
    boxes_a, boxes_b = square_boxes(a), square_boxes(b)
    if whole and boxes_a is not None and boxes_b is not None:
        return ManyPair(tuple(SquarePair(one, other) for one in boxes_a for other in boxes_b))
    whole = whole and not _has_many_corners(a) and not _has_many_corners(b)
    if whole and a.is_convex and b.is_convex:
        return ObliquePair(a, b)
    if whole and _clear_of_bores(a, b):
        return ObliquePair(a, b)
    from fitcheck.placing.faceted import faceted_pair  # mesh libraries only where a mesh or a bore is met

    return faceted_pair(a, b, regions_a, regions_b)


def _has_many_corners(piece: Placed) -> bool:
    """Whether a prism would fall into so many convex parts that one search over triangles is quicker."""
    return isinstance(piece.solid, PrismSolid) and sum(len(ring) for ring in piece.solid.rings) > MOST_CORNERS


def _clear_of_bores(a: Placed, b: Placed) -> bool:
    """Whether tubes can be taken as filled: the nearest point of neither lies over its own bore.

    A filled tube is never farther than the tube itself, so this only decides which answer is the closer one.
    """
    if isinstance(a.solid, MeshSolid) or isinstance(b.solid, MeshSolid):
        return False
    found = ObliquePair(a, b).nominal()
    return found.distance > 0.0 and all(
        _beside_bore(piece, point) for piece, point in ((a, found.point_a), (b, found.point_b))
    )


def _beside_bore(piece: Placed, point: Point) -> bool:
    solid = piece.solid
    if not isinstance(solid, BarSolid) or solid.bore is None:
        return True
    away = [x - middle.nominal for x, middle in zip(point, piece.centre, strict=True)]
    lengthwise = [piece.rotation[k][solid.along] for k in range(3)]
    along = sum(x * share for x, share in zip(away, lengthwise, strict=True))
    across = math.hypot(*(x - along * share for x, share in zip(away, lengthwise, strict=True)))
    return across >= solid.bore.nominal
