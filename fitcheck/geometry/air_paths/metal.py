"""The surface of a conductor as triangles that may be halved, and what is nearest on them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitcheck.geometry.air_paths.walls import Array, Index, Mask
from fitcheck.geometry.inside_mesh import points_inside
from fitcheck.geometry.triangles import closest_points

SAME_MM = 1e-6
"""Corners no farther apart are one."""


def feet(points: Array, triangles: Array) -> Array:
    """The nearest point (K, 3) of each triangle (K, 3, 3) to its point (K, 3)."""
    first = triangles[:, 0]
    one, two, to = triangles[:, 1] - first, triangles[:, 2] - first, points - first
    a, b, c = _dot(one, one), _dot(one, two), _dot(two, two)
    d, e = _dot(one, to), _dot(two, to)
    area = a * c - b * b
    with np.errstate(divide="ignore", invalid="ignore"):
        v, w = (c * d - b * e) / area, (a * e - b * d) / area
    over = (area > 1e-12 * a * c) & (v >= 0.0) & (w >= 0.0) & (v + w <= 1.0)
    inner = first + np.where(over, v, 0.0)[:, None] * one + np.where(over, w, 0.0)[:, None] * two
    best, least = inner, np.where(over, -1.0, np.inf)
    for k in range(3):
        start, along = triangles[:, k], triangles[:, (k + 1) % 3] - triangles[:, k]
        share = np.clip(_dot(points - start, along) / np.maximum(_dot(along, along), 1e-300), 0.0, 1.0)
        foot = start + share[:, None] * along
        square = _dot(points - foot, points - foot)
        nearer = square < least
        best = np.where(nearer[:, None], foot, best)
        least = np.where(nearer, square, least)
    return np.asarray(best)


def floors(ends: Array, triangles: Array) -> Array:
    """For segments (K, 2, 3) and triangles (K, 3, 3): three times values (K, 3, 2) at the ends; what is linear between
    each two is nowhere more than the distance to the triangle.

    The plane that supports the triangle at its point nearest to the segment, or to either end, bounds the distance;
    the first are nowhere less than the least distance.
    """
    bounds = []
    nearest = closest_points(ends[:, [0, 1, 1]], triangles)[1]
    for point in (nearest, ends[:, 0], ends[:, 1]):
        foot = feet(point, triangles)
        out = point - foot
        out /= np.maximum(np.linalg.norm(out, axis=1), 1e-300)[:, None]
        bounds.append(np.einsum("ki,kei->ke", out, ends) - _dot(out, foot)[:, None])
    bounds[0] = np.maximum(bounds[0], 0.0)
    return np.stack(bounds, axis=1)


def halved(triangles: Array, which: Mask) -> tuple[Array, Index]:
    """Triangles with some of them cut across their longest edge, and the number of the whole that each comes from."""
    lengths = np.linalg.norm(np.roll(triangles, -1, axis=1) - triangles, axis=2)
    long = lengths.argmax(axis=1)
    rows = np.arange(len(triangles))
    start, end = triangles[rows, long], triangles[rows, (long + 1) % 3]
    tip, middle = triangles[rows, (long + 2) % 3], (start + end) / 2.0
    first, second = np.stack([start, middle, tip], axis=1), np.stack([middle, end, tip], axis=1)
    found = np.concatenate([np.where(which[:, None, None], first, triangles), second[which]])
    return found, np.concatenate([rows, np.flatnonzero(which)])


def sizes(triangles: Array) -> Array:
    """The longest edge of each."""
    return np.asarray(np.linalg.norm(np.roll(triangles, -1, axis=1) - triangles, axis=2).max(axis=1))


def surface(pieces: Sequence[Array]) -> Array:
    """The triangles (M, 3, 3) of all pieces."""
    return np.concatenate([np.empty((0, 3, 3)), *pieces])


def facing(metal: tuple[Array, Array]) -> tuple[Mask, Mask]:
    """Which triangles of two conductors bound a solid, outward; none where one conductor lies in the other."""
    found = _bounding(metal[0]), _bounding(metal[1])
    for hub in (0, 1):
        shell, points = metal[hub][found[hub]].reshape(-1, 3), metal[1 - hub].reshape(-1, 3)
        if len(shell) and points_inside(shell, np.arange(len(shell)).reshape(-1, 3), points).any():
            return np.zeros(len(metal[0]), dtype=bool), np.zeros(len(metal[1]), dtype=bool)
    return found


def _bounding(triangles: Array) -> Mask:
    """Which triangles are part of a closed surface, connected by its corners, with its volume inside."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    if not len(triangles):
        return np.zeros(0, dtype=bool)
    key = np.round(triangles.reshape(-1, 3) / SAME_MM).astype(np.int64)
    places, corner = np.unique(key, axis=0, return_inverse=True)
    corners = corner.reshape(-1, 3)
    start, end = corners.ravel(), np.roll(corners, -1, axis=1).ravel()
    owner = np.repeat(np.arange(len(corners)), 3)
    count, shell = connected_components(coo_matrix((np.ones(len(start)), (start, end)), shape=(len(places),) * 2))
    shell = shell[corners[:, 0]]
    ways = np.concatenate([start * len(places) + end, -(end * len(places) + start) - 1])
    both, number = np.unique(np.abs(ways + (ways < 0)), return_inverse=True)
    balance = np.bincount(number.reshape(-1), weights=np.where(ways < 0, -1.0, 1.0), minlength=len(both))
    closed = np.ones(count, dtype=bool)
    closed[shell[owner[balance[number.reshape(-1)[: len(start)]] != 0.0]]] = False
    middle = triangles.reshape(-1, 3).mean(axis=0)
    first, second, third = np.moveaxis(triangles - middle, 1, 0)
    volume = np.bincount(shell, weights=_dot(first, np.cross(second, third)), minlength=count)
    return np.asarray((closed & (volume > 0.0))[shell])


def _dot(one: Array, other: Array) -> Array:
    return np.asarray(np.einsum("ki,ki->k", one, other))
