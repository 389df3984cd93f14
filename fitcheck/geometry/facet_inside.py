"""Which points lie inside a closed mesh.

A ray from each point along the mesh's own x axis is followed through the tree. Seen along the ray every triangle is
flat, and a point on the shadow of a shared edge or corner is counted for exactly one of the triangles that share it, so
that no ray has to be tried twice.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.facet_placed import Index
from fitcheck.geometry.facets import FANOUT, Array, FacetTree

PAIRS_AT_ONCE = 200_000
"""Pairs of a point and a box looked at together; bounds the memory."""
POINTS_AT_ONCE = 2048
ROUNDING = 1e-14
"""Of the size of the coordinates: boxes are a hair larger here, so that none misses a point on its rim."""


def contains(tree: FacetTree, points: Array) -> NDArray[np.bool_]:
    """Whether points (N, 3), in the mesh's own axes, lie inside it: (N,).

    The mesh has to be closed; which way its triangles turn does not matter as long as they all agree. Of a point on the
    surface either answer may be given. Overlapping shells count as one solid. Raises ValueError for points that are not
    finite.
    """
    places = np.asarray(points, dtype=np.float64).reshape(-1, 3)
    if not np.isfinite(places).all():
        raise ValueError("a point has a coordinate that is not a finite number")
    parts = [_windings(tree, places[at : at + POINTS_AT_ONCE]) for at in range(0, len(places), POINTS_AT_ONCE)]
    return np.concatenate(parts) != 0 if parts else np.zeros(0, dtype=bool)


def _windings(tree: FacetTree, points: Array) -> NDArray[np.intp]:
    """How many more times the ray of each point leaves the mesh than it enters it."""
    top = len(tree.levels) - 1
    count = tree.own_boxes(top)
    total = np.zeros(len(points), dtype=np.intp)
    waiting = [(top, np.repeat(np.arange(len(points)), count), np.tile(np.arange(count), len(points)))]
    while waiting:
        level, point, box = waiting.pop()
        met = _meets(tree, level, points[point], box)
        point, box = point[met], box[met]
        if level == 0:
            np.add.at(total, point, _crossings(points[point], tree.triangles[box]))
            continue
        for at in range(0, len(point), PAIRS_AT_ONCE // FANOUT):
            some = slice(at, at + PAIRS_AT_ONCE // FANOUT)
            below = (box[some, None] * FANOUT + np.arange(FANOUT)).ravel()
            # Not the repeated ones that fill up a level: each triangle may count once only.
            own = below < tree.own_boxes(level - 1)
            waiting.append((level - 1, np.repeat(point[some], FANOUT)[own], below[own]))
    return total


def _meets(tree: FacetTree, level: int, points: Array, box: Index) -> NDArray[np.bool_]:
    middle, half = tree.levels[level].middle[box], tree.levels[level].half[box] + ROUNDING * _size(tree)
    apart = points - middle
    return (np.abs(apart[:, 1:]) <= half[:, 1:]).all(axis=1) & (apart[:, 0] <= half[:, 0])


def _size(tree: FacetTree) -> float:
    top = tree.levels[-1]
    return float((np.abs(top.middle) + top.half).max())


def _crossings(points: Array, triangles: Array) -> NDArray[np.intp]:
    """+1 or -1 where the ray of each point goes through its triangle, out or in (or all the other way), else 0."""
    signs = np.zeros(len(points), dtype=np.intp)
    y, z = points[:, 1], points[:, 2]
    for corner in range(3):
        start, end = triangles[:, corner, 1:], triangles[:, (corner + 1) % 3, 1:]
        rises, falls = (start[:, 1] <= z) & (z < end[:, 1]), (end[:, 1] <= z) & (z < start[:, 1])
        # From the lower end in either triangle, so that both sides of a shared edge get the same figure.
        lower, upper = np.where(rises[:, None], start, end), np.where(rises[:, None], end, start)
        height = np.where(rises | falls, upper[:, 1] - lower[:, 1], 1.0)
        at = lower[:, 0] + (z - lower[:, 1]) / height * (upper[:, 0] - lower[:, 0])
        signs += np.where(y < at, rises.astype(np.intp) - falls.astype(np.intp), 0)
    return np.where(_depths(points, triangles) > points[:, 0], signs, 0)


def _depths(points: Array, triangles: Array) -> Array:
    """x where the line through each point along x meets the plane of its triangle, within the triangle's own x."""
    first = triangles[:, 0]
    normals = np.cross(triangles[:, 1] - first, triangles[:, 2] - first)
    slope = np.where(normals[:, 0] != 0.0, normals[:, 0], 1.0)
    rise = ((points[:, 1:] - first[:, 1:]) * normals[:, 1:]).sum(axis=1)
    low, high = triangles[:, :, 0].min(axis=1), triangles[:, :, 0].max(axis=1)
    return np.asarray(np.clip(first[:, 0] - rise / slope, low, high))
