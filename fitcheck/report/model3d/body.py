"""A part's triangles made ready to be drawn: welded on a 16-bit grid, with the edges that a draughtsman would draw."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fitcheck.report.model3d.model import Body

STEPS = 65534
"""Steps of the grid along each side of the bounding box; even, so that the middle of a symmetric form is on it."""

_CREASE_COSINE = np.cos(np.radians(25.0))
_SHARP_COSINE = np.cos(np.radians(60.0))
_MOST_CREASED = 0.3
"""Above this share of creased edges a surface is rough (a scan), and only its sharp edges are drawn."""
_ROUGH_FROM = 3000

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]


def welded(points: Floats, faces: Indices) -> tuple[NDArray[np.uint16], Indices, Floats]:
    """(corners on the grid, faces, size): equal corners made one, triangles without area left out.

    `points` (V, 3) in mm with their low corner at 0.
    """
    size = np.maximum(points.max(axis=0), 1e-9)
    steps = np.rint(np.clip(points / size, 0.0, 1.0) * STEPS).astype(np.uint64)
    keys, where = np.unique((steps[:, 0] << 32) | (steps[:, 1] << 16) | steps[:, 2], return_inverse=True)
    corners = np.stack([keys >> 32, (keys >> 16) & 0xFFFF, keys & 0xFFFF], axis=1).astype(np.uint16)
    joined = where.reshape(-1)[faces]
    a, b, c = joined.T
    return corners, joined[(a != b) & (b != c) & (c != a)], size


def body(corners: NDArray[np.uint16], faces: Indices, size: Floats, triangles: int) -> Body:
    """The body of welded corners and faces, with its edges."""
    edges, closed = _edges(corners * (size / STEPS), faces)
    return Body(
        corners=corners,
        faces=faces.astype(np.uint32),
        edges=edges.astype(np.uint32),
        size=(float(size[0]), float(size[1]), float(size[2])),
        triangles=triangles,
        closed=closed,
    )


def _edges(points: Floats, faces: Indices) -> tuple[Indices, bool]:
    """(edges to be drawn, whether there is an inside: each edge is run through as often one way as the other)."""
    if not len(faces):
        return np.zeros((0, 2), np.int64), False
    start, end = faces.reshape(-1), np.roll(faces, -1, axis=1).reshape(-1)
    low, high = np.minimum(start, end), np.maximum(start, end)
    order = np.argsort(low * len(points) + high, kind="stable")
    key = (low * len(points) + high)[order]
    first = np.flatnonzero(np.r_[True, key[1:] != key[:-1]])
    group = np.cumsum(np.r_[False, key[1:] != key[:-1]])
    closed = not np.add.reduceat(np.where(start < end, 1, -1)[order], first).any()
    normals = np.repeat(_normals(points, faces), 3, axis=0)[order]
    turn = np.minimum.reduceat(np.einsum("ij,ij->i", normals, normals[first][group]), first)
    lone = np.diff(np.r_[first, len(key)]) == 1
    creased = lone | (turn < _CREASE_COSINE)
    if len(first) > _ROUGH_FROM and creased.mean() > _MOST_CREASED:
        creased = lone | (turn < _SHARP_COSINE)
    chosen = order[first[creased]]
    return np.stack([low[chosen], high[chosen]], axis=1), closed


def _normals(points: Floats, faces: Indices) -> Floats:
    a, b, c = (points[faces[:, corner]] for corner in range(3))
    normal = np.cross(b - a, c - a)
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    result: Floats = normal / np.where(length > 0.0, length, 1.0)
    return result
