"""Flat outlines with holes: what is wrong with one, and the triangles or convex pieces that cover it exactly."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from shapely import Polygon

Ring = Sequence[Sequence[float]]
Point = tuple[float, float]


def check_outline(outline: Ring, holes: Sequence[Ring]) -> list[str]:
    """What is wrong with an outline and its holes, in plain words; empty when nothing is.

    Rings may run either way round, and may name their first point again at the end.
    """
    rings = [("the outline", outline), *((f"hole {number}", hole) for number, hole in enumerate(holes, 1))]
    problems = [problem for name, ring in rings if (problem := _ring_problem(name, ring))]
    return problems or _hole_problems(outline, holes)


def _ring_problem(name: str, ring: Ring) -> str:
    from shapely import Polygon
    from shapely.validation import explain_validity

    points = _tidy(ring)
    if len(set(points)) < 3:
        return f"{name} has fewer than three different points"
    polygon = Polygon(points)
    if polygon.is_valid:
        return ""
    if np.linalg.matrix_rank(np.array(points) - points[0]) < 2:
        return f"{name} encloses no area: all its points are on one line"
    where = explain_validity(polygon).partition("[")[2].rstrip("]").replace(" ", ", ")
    return f"{name} crosses or touches itself near [{where}]"


def _hole_problems(outline: Ring, holes: Sequence[Ring]) -> list[str]:
    """Problems of sound rings with one another. Holes may touch the outline or each other at single points only."""
    from shapely import Polygon

    solid = Polygon(_tidy(outline))
    cut = [Polygon(_tidy(hole)) for hole in holes]
    problems = []
    for number, hole in enumerate(cut, 1):
        if not solid.contains(hole):
            problems.append(f"hole {number} is not wholly inside the outline")
        elif hole.boundary.intersection(solid.boundary).length > 0.0:
            problems.append(f"hole {number} runs along the outline: draw it as a notch of the outline")
        for other, before in enumerate(cut[: number - 1], 1):
            if hole.intersects(before) and not hole.touches(before):
                problems.append(f"holes {other} and {number} overlap")
            elif hole.boundary.intersection(before.boundary).length > 0.0:
                problems.append(f"holes {other} and {number} share a side: draw them as one")
    if not problems and not _polygon(outline, holes).is_valid:
        problems.append("the holes cut the outline into pieces that hang together only at points")
    return problems


def is_convex(outline: Ring) -> bool:
    """Whether the outline, either way round, turns one way only and once; points along a straight side are allowed."""
    points = np.array(_tidy(outline), dtype=np.float64)
    if len(points) < 3:
        return False
    sides = np.roll(points, -1, axis=0) - points
    after = np.roll(sides, -1, axis=0)
    cross = sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0]
    if not ((cross >= 0.0).all() or (cross <= 0.0).all()) or not cross.any():
        return False
    turned = np.arctan2(cross, (sides * after).sum(axis=1)).sum()
    return bool(abs(abs(turned) - 2.0 * np.pi) < 1.0)


def triangles_of(outline: Ring, holes: Sequence[Ring]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Triangles that cover the outline less its holes exactly, without new points.

    Returns points (N, 2) and triangles (M, 3), counter-clockwise. The outline has passed `check_outline`; otherwise
    ValueError is raised.
    """
    from shapely import constrained_delaunay_triangles

    problems = check_outline(outline, holes)
    if problems:
        raise ValueError("; ".join(problems))
    points = list(dict.fromkeys(point for ring in (outline, *holes) for point in _tidy(ring)))
    index = {point: number for number, point in enumerate(points)}
    triangles = []
    for piece in constrained_delaunay_triangles(_polygon(outline, holes)).geoms:
        corners = [index[float(x), float(y)] for x, y in piece.exterior.coords[:3]]
        doubled = _turn(*(points[corner] for corner in corners))
        triangles.append(corners if doubled > 0.0 else corners[::-1])
    return np.array(points, dtype=np.float64), np.array(triangles, dtype=np.int64)


def convex_parts(outline: Ring, holes: Sequence[Ring]) -> list[tuple[Point, ...]]:
    """Convex rings, counter-clockwise, that cover the outline less its holes exactly and do not overlap.

    A convex outline without holes is one ring. Few rings rather than the fewest: triangles are joined while the result
    stays convex, across the longest shared side first. Raises ValueError as `triangles_of` does.
    """
    points, triangles = triangles_of(outline, holes)
    corners = [(float(x), float(y)) for x, y in points]
    rings: dict[int, list[int]] = {number: list(triangle) for number, triangle in enumerate(triangles.tolist())}
    owner = {(ring[k - 1], ring[k]): number for number, ring in rings.items() for k in range(3)}
    shared = sorted((-_length(corners[a], corners[b]), a, b) for a, b in owner if a < b and (b, a) in owner)
    for _, a, b in shared:
        one, other = owner[a, b], owner[b, a]
        joined = _joined(rings[one], rings[other], a, b)
        if not _bulges(corners, joined, a) or not _bulges(corners, joined, b):
            continue
        rings[one] = joined
        del rings[other]
        owner.update({(joined[k - 1], joined[k]): one for k in range(len(joined))})
    return [tuple(corners[corner] for corner in ring) for ring in rings.values()]


def rectangles_of(outline: Ring, holes: Sequence[Ring]) -> list[tuple[Point, Point]] | None:
    """Low and high corners of rectangles that cover the outline less its holes exactly and do not overlap.

    None where a side is not parallel to an axis. The outline has passed `check_outline`.
    """
    sides = [side for ring in (outline, *holes) for side in _sides(_tidy(ring))]
    if any(a[0] != b[0] and a[1] != b[1] for a, b in sides):
        return None
    level = [(min(a[0], b[0]), max(a[0], b[0]), a[1]) for a, b in sides if a[1] == b[1] and a[0] != b[0]]
    cuts = sorted({x for a, b in sides for x in (a[0], b[0])})
    found = []
    for left, right in itertools.pairwise(cuts):
        # Between two neighbouring cuts the outline is level; inside and outside alternate from below.
        heights = sorted(y for low, high, y in level if low <= left and right <= high)
        found += [((left, bottom), (right, top)) for bottom, top in zip(heights[::2], heights[1::2], strict=True)]
    return found


def _sides(points: list[Point]) -> list[tuple[Point, Point]]:
    return [(points[k - 1], points[k]) for k in range(len(points))]


def _joined(one: list[int], other: list[int], a: int, b: int) -> list[int]:
    """Two rings across a side that runs a to b in the first and b to a in the second."""
    start, again = one.index(b), other.index(a)
    return one[start:] + one[:start] + (other[again:] + other[:again])[1:-1]


def _bulges(corners: list[Point], ring: list[int], at: int) -> bool:
    """Whether a counter-clockwise ring turns left, or not at all, at one corner."""
    k = ring.index(at)
    return _turn(corners[ring[k - 1]], corners[at], corners[ring[(k + 1) % len(ring)]]) >= 0.0


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _length(a: Point, b: Point) -> float:
    return float(np.hypot(a[0] - b[0], a[1] - b[1]))


def _tidy(ring: Ring) -> list[Point]:
    """The ring without a point that repeats the one before it, the last before the first included."""
    points = [(float(x), float(y)) for x, y in ring]
    return [point for number, point in enumerate(points) if point != points[number - 1] or len(points) == 1]


def _polygon(outline: Ring, holes: Sequence[Ring]) -> Polygon:
    from shapely import Polygon

    return Polygon(_tidy(outline), [_tidy(hole) for hole in holes])
