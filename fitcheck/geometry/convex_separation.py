"""Nominal signed distance of two convex pieces, with its direction and witness points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.convex_overlap import best_direction, depth_at_least
from fitcheck.geometry.convex_pieces import (
    Array,
    Hull,
    Piece,
    corner,
    reach,
    size_of,
    start_of,
)
from fitcheck.geometry.gjk import Closest, Extreme, Support, Vector, closest_to_origin

HULL_TOLERANCE = 1e-13
"""Of the size of the coordinates: hulls have finitely many faces, so the search ends at rounding."""
ROUND_TOLERANCE = 2e-8
"""mm. A round surface is approached, never reached; the reported distance is below the truth by no more than this."""
TRUSTED = 1e-10
"""mm. A larger bracket between hulls means that rounding spoilt the direction: their faces and edges are tried too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Separation:
    """Signed distance of two pieces, never above the truth.

    direction: unit, from a to b, along which `distance` is measured. point_a, point_b: witnesses; for overlapping
    pieces the points that have to part by -distance along `direction`. error: how far the truth may lie above.
    """

    distance: float
    direction: Vector
    point_a: Vector
    point_b: Vector
    error: float


def separation(a: Piece, b: Piece) -> Separation:
    """Nominal signed distance of two convex pieces [mm].

    Hulls: exact to 1e-9. Rounds apart: below the truth by at most 1e-7. Overlapping rounds: the depth is never
    understated, and `error` bounds how much it may be overstated.
    Raises ValueError for coordinates that are not finite.
    """
    size = size_of(a, b)
    if not np.isfinite(size):
        raise ValueError("a piece has a coordinate that is not a finite number")
    hulls = isinstance(a, Hull) and isinstance(b, Hull)
    tolerance = HULL_TOLERANCE * size if hulls else ROUND_TOLERANCE
    found = closest_to_origin(_support(a, b), start_of(a, b), size=size, tolerance=tolerance)
    bracket = found.high - found.low
    if found.high > 0.0 and bracket <= max(TRUSTED, tolerance):
        point_a, point_b = _witnesses(found)
        error = max(bracket, 0.0)
        return Separation(distance=found.low, direction=found.direction, point_a=point_a, point_b=point_b, error=error)
    return _along_best(a, b, found)


def _support(a: Piece, b: Piece) -> Support:
    def extreme(direction: Vector) -> Extreme:
        n = np.array(direction)
        on_a = _outermost_point(a, n)
        on_b = _outermost_point(b, -n)
        x, y, z = (on_b - on_a).tolist()
        return (x, y, z), (on_a, on_b)

    return extreme


def _outermost_point(piece: Piece, n: Array) -> Array:
    return corner(piece, n, int(reach(piece, n).argmax()))[0]


def _witnesses(found: Closest) -> tuple[Vector, Vector]:
    on_a = on_b = np.zeros(3)
    for share, (_, pair) in zip(found.weights, found.extremes, strict=True):
        on_a, on_b = on_a + share * pair[0], on_b + share * pair[1]
    return _vector(on_a), _vector(on_b)


def _along_best(a: Piece, b: Piece, found: Closest) -> Separation:
    """Overlapping or all but touching: the best of all directions in which two such pieces can part."""
    direction, distance = best_direction(a, b, np.array([found.direction]))
    if found.low > distance:
        direction, distance = np.array(found.direction), found.low
    if found.high > 0.0:
        point_a, point_b = _witnesses(found)
        error = max(found.high - distance, 0.0)
    else:
        point_a = _vector(_outermost_point(a, direction))
        point_b = _vector(_outermost_point(b, -direction))
        error = max(-depth_at_least(a, b) - distance, 0.0)
    return Separation(distance=distance, direction=_vector(direction), point_a=point_a, point_b=point_b, error=error)


def _vector(array: Array) -> Vector:
    x, y, z = array.tolist()
    return (x, y, z)
