"""Whether two parts turn faces to each other that a flat tongue can be tried between."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from fitcheck.findings import Point

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

    from fitcheck.report.scene import DrawnPart

    Array = NDArray[np.float64]

LEAST_ACROSS_MM = 1.0
LEAST_ALONG_MM = 6.0
"""The least overlap of two faces: twice as long as the tongue is thick, and deep enough for it to catch."""

FACING = 0.9
"""Least cosine between a face's normal and the way to the other part: a round bar's line of contact counts too."""

DEEP_MM = 1.0
"""How far behind the nearest place a face may still be to count as that place."""

AROUND_MM = 60.0
"""Only what lies so near to the nearest place is looked at: the tongue is that long."""


def face_each_other(
    one: DrawnPart, other: DrawnPart, points: tuple[Point, Point], *, slack: float = 0.0, in_each_other: bool = False
) -> bool:
    """Whether faces at the two nearest points (one on each part, mm) overlap enough for a tongue when both are looked
    at along the gap. `slack` is how far the parts may stand from where they are drawn, in mm; where they are drawn
    `in_each_other`, the points mark the depth, each beyond the other's face.

    False where the points coincide: then there is no way to tell across what a tongue would go.
    """
    near, far = (np.array(point) for point in points)
    way = far - near
    long = float(np.linalg.norm(way))
    if long < 1e-6:
        return False
    way = way / (-long if in_each_other else long)
    axes = np.column_stack((way, *_across(way)))
    shared = _face(one, near, axes, 1.0, slack).intersection(_face(other, far, axes, -1.0, slack))
    core = shared.buffer(-LEAST_ACROSS_MM / 2.0 + 1e-6, join_style="mitre")
    wanted = LEAST_ALONG_MM - LEAST_ACROSS_MM - 1e-3
    return any(_longest(piece) >= wanted for piece in getattr(core, "geoms", (core,)) if not piece.is_empty)


def _longest(piece: BaseGeometry) -> float:
    """The long side of the smallest rectangle about it, in mm."""
    ring = piece.minimum_rotated_rectangle
    if ring.geom_type != "Polygon":
        return float(ring.length)
    corners = np.array(ring.exterior.coords)
    return float(np.linalg.norm(np.diff(corners[:3], axis=0), axis=1).max())


def _face(part: DrawnPart, at: Array, axes: Array, sign: float, slack: float) -> BaseGeometry:
    """What of the part's surface near the point looks along the first of the axes (columns), or against it where the
    sign is negative: in mm along the other two.
    """
    from shapely import polygons, union_all

    corners = (part.vertices - at) @ axes
    triangles = corners[part.faces]
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    sizes = np.linalg.norm(normals, axis=1)
    deep = DEEP_MM + slack
    low, high = triangles.min(axis=1), triangles.max(axis=1)
    chosen = (
        (sizes > 1e-9)
        & (sign * normals[:, 0] > FACING * sizes)
        & (low[:, 0] < deep)
        & (high[:, 0] > -deep)
        & (low[:, 1:] < AROUND_MM).all(axis=1)
        & (high[:, 1:] > -AROUND_MM).all(axis=1)
    )
    rings = [_between(triangle, -deep, deep)[:, 1:] for triangle in triangles[chosen]]
    return union_all([polygons(ring) for ring in rings if len(ring) > 2], grid_size=1e-4)


def _across(way: Array) -> tuple[Array, Array]:
    """Two unit vectors square to `way` and to each other."""
    start = np.eye(3)[int(np.argmin(np.abs(way)))]
    right = np.cross(start, way)
    right = right / np.linalg.norm(right)
    return right, np.cross(way, right)


def _between(ring: Array, low: float, high: float) -> Array:
    """The convex ring (N, 3) with what lies below `low` or above `high` along its first axis cut off."""
    for bound, sign in ((low, 1.0), (high, -1.0)):
        kept: list[Array] = []
        for here, after in zip(ring, np.roll(ring, -1, axis=0), strict=True):
            a, b = sign * (here[0] - bound), sign * (after[0] - bound)
            if a >= 0.0:
                kept.append(here)
            if a * b < 0.0:
                kept.append(here + (after - here) * (a / (a - b)))
        ring = np.array(kept).reshape(-1, 3)
    return ring
