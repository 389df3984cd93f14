"""The point of a convex set that is nearest to the origin, by simplices of its own extreme points.

The set is known only through its support mapping. Each direction tried also proves a lower bound of the distance, and
the best of these is what is reported: rounding or an early end can only make the distance smaller.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

Vector = tuple[float, float, float]
Extreme = tuple[Vector, Any]
"""A point of the set, and whatever the caller wants to know it by."""
Support = Callable[[Vector], Extreme]
"""Unit direction n -> the point of the set with the least n·x."""

MOST_STEPS = 300
SKINNY = 1e-11
"""A triangle whose doubled area is below this share of its longest edge squared is treated as its edges."""
ROUNDING = 1e-15
"""Of the size of the coordinates: below this two numbers are the same."""


@dataclass(frozen=True, slots=True)
class Closest:
    """What the search found.

    low: proven lower bound of the distance along `direction`; below zero when no separating direction was found.
    high: distance of the point found, an upper bound; 0.0 when the origin lies in the set.
    weights, extremes: the point found as a mix of extreme points.
    """

    low: float
    high: float
    direction: Vector
    weights: tuple[float, ...]
    extremes: tuple[Extreme, ...]


Simplex = list[Extreme]
Mix = tuple[list[int], list[float], Vector]
"""Which corners, their weights, and the point."""


def closest_to_origin(support: Support, start: Vector, *, size: float, tolerance: float) -> Closest:
    """Nearest point of the set, starting along `start` (any length above 0).

    size: largest coordinate that may occur, the measure of rounding. Ends when high - low <= tolerance, or when
    rounding allows no more progress.
    """
    direction = unit(start)
    extreme = support(direction)
    simplex: Simplex = [extreme]
    weights: list[float] = [1.0]
    point = extreme[0]
    low, best = dot(direction, point), direction
    tiny = max(size * ROUNDING * 4.0, 1e-300)
    for _ in range(MOST_STEPS):
        length = norm(point)
        if length <= tiny:
            return Closest(low, 0.0, best, tuple(weights), tuple(simplex))
        if length - low <= tolerance:
            break
        direction = (point[0] / length, point[1] / length, point[2] / length)
        extreme = support(direction)
        reach = dot(direction, extreme[0])
        if reach > low:
            low, best = reach, direction
        if length - low <= tolerance or length - reach <= tiny or any(near(extreme[0], w, tiny) for w, _ in simplex):
            break
        found = _nearest_of([*simplex, extreme])
        if found is None:
            return Closest(low, 0.0, best, (*weights, 0.0), (*simplex, extreme))
        kept, new_weights, new_point = found
        if norm(new_point) >= length:
            break
        corners = [*simplex, extreme]
        simplex, weights, point = [corners[index] for index in kept], new_weights, new_point
    low, best = _polished(support, simplex, point, low, best)
    return Closest(low, norm(point), best, tuple(weights), tuple(simplex))


def _polished(support: Support, simplex: Simplex, point: Vector, low: float, best: Vector) -> tuple[float, Vector]:
    """Try the direction square to the last simplex too.

    Close to touching, the nearest point is a small difference of large numbers and its direction is poor; the edges of
    the simplex are long and give a good one.
    """
    if norm(point) == 0.0:
        return low, best
    if len(simplex) == 3:
        normal = cross(minus(simplex[1][0], simplex[0][0]), minus(simplex[2][0], simplex[0][0]))
        square = normal if dot(normal, point) >= 0.0 else (-normal[0], -normal[1], -normal[2])
    elif len(simplex) == 2:
        edge = minus(simplex[1][0], simplex[0][0])
        square = _square_to(_square_to(point, edge), edge)
    else:
        square = point
    if norm(square) > 0.0:
        direction = unit(square)
        reach = dot(direction, support(direction)[0])
        if reach > low:
            return reach, direction
    return low, best


def _square_to(vector: Vector, edge: Vector) -> Vector:
    share = dot(vector, edge) / max(dot(edge, edge), 1e-300)
    return (vector[0] - share * edge[0], vector[1] - share * edge[1], vector[2] - share * edge[2])


def _nearest_of(corners: Simplex) -> Mix | None:
    """Nearest point to the origin of a simplex of one to four corners; None: the origin is strictly inside."""
    points = [point for point, _ in corners]
    if len(points) == 2:
        return _on_segment(points, 0, 1)
    if len(points) == 3:
        return _on_triangle(points, 0, 1, 2)
    return _on_tetrahedron(points)


def _on_segment(points: list[Vector], i: int, j: int) -> Mix:
    p, q = points[i], points[j]
    edge = minus(q, p)
    square = dot(edge, edge)
    share = -dot(p, edge) / square if square > 0.0 else 0.0
    if share <= 0.0:
        return [i], [1.0], p
    if share >= 1.0:
        return [j], [1.0], q
    # From the nearer end, so that the smaller of the two products carries the rounding.
    if share <= 0.5:
        point = (p[0] + share * edge[0], p[1] + share * edge[1], p[2] + share * edge[2])
    else:
        rest = 1.0 - share
        point = (q[0] - rest * edge[0], q[1] - rest * edge[1], q[2] - rest * edge[2])
    return [i, j], [1.0 - share, share], point


def _on_triangle(points: list[Vector], i: int, j: int, k: int) -> Mix:
    p, q, r = points[i], points[j], points[k]
    side_1, side_2, side_3 = minus(q, p), minus(r, p), minus(r, q)
    normal = cross(side_1, side_2)
    area = norm(normal)
    longest = max(dot(side_1, side_1), dot(side_2, side_2), dot(side_3, side_3))
    if area > SKINNY * longest:
        normal = (normal[0] / area, normal[1] / area, normal[2] / area)
        share_p = dot(normal, cross(q, r)) / area
        share_q = dot(normal, cross(r, p)) / area
        share_r = dot(normal, cross(p, q)) / area
        if share_p > 0.0 and share_q > 0.0 and share_r > 0.0:
            # The corner nearest to the origin gives the height with the least rounding.
            height = dot(normal, min((p, q, r), key=norm))
            total = share_p + share_q + share_r
            weights = [share_p / total, share_q / total, share_r / total]
            return [i, j, k], weights, (normal[0] * height, normal[1] * height, normal[2] * height)
    sides = (_on_segment(points, i, j), _on_segment(points, i, k), _on_segment(points, j, k))
    return min(sides, key=_length)


def _on_tetrahedron(points: list[Vector]) -> Mix | None:
    faces = ((0, 1, 2, 3), (0, 1, 3, 2), (0, 2, 3, 1), (1, 2, 3, 0))
    found: list[Mix] = []
    for i, j, k, other in faces:
        normal = cross(minus(points[j], points[i]), minus(points[k], points[i]))
        to_other = dot(normal, minus(points[other], points[i]))
        to_origin = -dot(normal, points[i])
        # Only faces with the origin on their outer side can be nearest; a flat tetrahedron has no inner side.
        if to_other * to_origin <= 0.0 or abs(to_other) <= SKINNY * norm(normal) * norm(
            minus(points[other], points[i])
        ):
            found.append(_on_triangle(points, i, j, k))
    return min(found, key=_length) if found else None


def _length(mix: Mix) -> float:
    return norm(mix[2])


def dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def norm(a: Vector) -> float:
    return math.sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])


def unit(a: Vector) -> Vector:
    length = norm(a)
    return (a[0] / length, a[1] / length, a[2] / length)


def near(a: Vector, b: Vector, within: float) -> bool:
    return abs(a[0] - b[0]) <= within and abs(a[1] - b[1]) <= within and abs(a[2] - b[2]) <= within
