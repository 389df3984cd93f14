"""A closed mesh as it is within a box, with few triangles elsewhere: what it shares there with another is then cheap.

A triangle whose own box misses that box lies wholly beyond one of its six planes. Its corners, but for those of
triangles that are kept, are brought to a few places about the box, each by the planes beyond which it lies. On a
straight way there no triangle leaves the far side of its plane, so none passes over a point of the box: the surface
still goes round every such point as often as the whole one does. Triangles with two corners in one place bound nothing
and are left out, and these are nearly all. Outside the box, what is made is no picture of the mesh.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Faces = NDArray[np.int64]

PLACES = 27
"""Before, between and after two planes, along three axes."""


def place_of(points: Array, low: Array, high: Array) -> Faces:
    """Beyond which planes of a box, from `low` to `high` (3,), each point (N, 3) lies: a number below PLACES; (N,)."""
    sides = 1 + (points > high).astype(np.int64) - (points < low)
    found: Faces = sides @ np.array([9, 3, 1])
    return found


def mesh_around(vertices: Array, near: Faces, others: Faces, low: Array, high: Array) -> tuple[Array, Faces]:
    """(vertices, faces) of the closed mesh for a box; without faces where the box lies wholly outside the mesh.

    vertices: (V, 3). near: (N, 3), the triangles whose boxes meet the box. others: (M, 3), of the rest at least those
    that do not go to one place; a triangle that shares a corner with one of `near` is among them.
    """
    is_kept = np.zeros(len(vertices), dtype=bool)
    is_kept[near] = True
    kept = np.flatnonzero(is_kept)
    number = np.full(len(vertices), -1, dtype=np.int64)
    number[kept] = np.arange(PLACES, PLACES + len(kept))
    moved = others[number[others] < 0]
    number[moved] = place_of(vertices[moved], low, high)
    beside = number[others]
    beside = beside[(beside != np.roll(beside, 1, axis=1)).all(axis=1)]
    points, joined = _joined(np.concatenate([_places(low, high), vertices[kept]]), beside)
    return points, np.concatenate([number[near], joined])


def _places(low: Array, high: Array) -> Array:
    """A point for each number of `place_of`, well beyond the same planes; (PLACES, 3)."""
    away = float((high - low).max())
    ends = np.stack([low - away, (low + high) / 2.0, high + away])
    steps = np.stack(np.unravel_index(np.arange(PLACES), (3, 3, 3)), axis=1)
    return np.take_along_axis(ends, steps, axis=0)


def _joined(vertices: Array, faces: Faces) -> tuple[Array, Faces]:
    """The same surface, cut so that no two triangles run along the same two corners the same way.

    Many sides come to lie between the same two places. Each is joined to one that runs the other way, by a corner of
    its own in its middle; each triangle is cut from its own middle.
    """
    starts, ends = faces, np.roll(faces, -1, axis=1)
    loose = (starts < PLACES) | (ends < PLACES)
    forth, back = np.flatnonzero(loose & (starts < ends)), np.flatnonzero(loose & (starts > ends))
    start, end = starts.ravel(), ends.ravel()
    forth = forth[np.lexsort((end[forth], start[forth]))]
    back = back[np.lexsort((start[back], end[back]))]
    middles = np.full(starts.size, -1, dtype=np.int64)
    middles[forth] = middles[back] = len(vertices) + np.arange(len(forth))
    own = np.repeat(len(vertices) + len(forth) + np.arange(len(faces)), 3)
    cut = middles >= 0
    points = np.concatenate([vertices, (vertices[start[forth]] + vertices[end[forth]]) / 2.0, vertices[faces].mean(1)])
    return points, np.concatenate(
        [
            np.stack([own[~cut], start[~cut], end[~cut]], axis=1),
            np.stack([own[cut], start[cut], middles[cut]], axis=1),
            np.stack([own[cut], middles[cut], end[cut]], axis=1),
        ]
    )
