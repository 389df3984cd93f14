"""The edges of solids that stick out into the air: all that a shortest way may bend round."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.air_paths.walls import Array, Index, Solid

STRAIGHT = 1e-9
"""An edge between faces that turn by less than this sine is none."""
SAME_MM = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """ends (S, 2, 3); the outward `normals` (S, 2, 3) of the two faces, zero where not known; `body` and `line` (S,)
    number the solid and the whole edge of which it is a piece.
    """

    ends: Array
    normals: Array
    body: Index
    line: Index

    def __len__(self) -> int:
        return len(self.ends)

    def some(self, rows: Index) -> Edges:
        return Edges(self.ends[rows], self.normals[rows], self.body[rows], self.line[rows])

    def halves(self) -> Array:
        """Half of each length."""
        return np.asarray(np.linalg.norm(self.ends[:, 1] - self.ends[:, 0], axis=1) / 2.0)


def edges_of(solids: Sequence[Solid]) -> Edges:
    """Every edge of closed meshes that is not known to be flat or to point inward."""
    found = [_edges(vertices, faces, body) for body, (vertices, faces) in enumerate(solids)]
    ends = np.concatenate([np.empty((0, 2, 3)), *(one[0] for one in found)])
    normals = np.concatenate([np.empty((0, 2, 3)), *(one[1] for one in found)])
    body = np.concatenate([np.empty(0, dtype=np.intp), *(one[2] for one in found)])
    return Edges(ends, normals, body, np.arange(len(ends)))


def _edges(vertices: Array, faces: Index, body: int) -> tuple[Array, Array, Index]:
    _, first, same = np.unique(
        np.round(vertices / SAME_MM).astype(np.int64), axis=0, return_index=True, return_inverse=True
    )
    places = vertices[first]
    corners = same.reshape(-1)[faces]
    sound = (corners != np.roll(corners, 1, axis=1)).all(axis=1)
    corners = corners[sound]
    points = places[corners]
    normals = np.cross(points[:, 1] - points[:, 0], points[:, 2] - points[:, 0])
    normals /= np.maximum(np.linalg.norm(normals, axis=1), 1e-300)[:, None]
    pairs = np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
    owner = np.tile(np.arange(len(corners)), 3)
    apex = np.concatenate([corners[:, 2], corners[:, 0], corners[:, 1]])
    pairs = np.sort(pairs, axis=1)
    order = np.lexsort((pairs[:, 1], pairs[:, 0]))
    pairs, owner, apex = pairs[order], owner[order], apex[order]
    starts = np.flatnonzero(np.concatenate([[True], (pairs[1:] != pairs[:-1]).any(axis=1)]))
    counts = np.diff(np.concatenate([starts, [len(pairs)]]))
    two = starts[counts == 2]
    odd = starts[counts != 2]
    one, other = owner[two], owner[two + 1]
    # How far the second face falls away behind the plane of the first, as a sine of the turn between them.
    along = places[pairs[two, 1]] - places[pairs[two, 0]]
    to = places[apex[two + 1]] - places[pairs[two, 0]]
    along /= np.maximum(np.linalg.norm(along, axis=1), 1e-300)[:, None]
    aside = to - np.einsum("ki,ki->k", to, along)[:, None] * along
    fall = np.einsum("ki,ki->k", aside, normals[one]) / np.maximum(np.linalg.norm(aside, axis=1), 1e-300)
    out = fall < -STRAIGHT
    two, one, other = two[out], one[out], other[out]
    ends = places[pairs[np.concatenate([two, odd])]]
    both = np.concatenate([np.stack([normals[one], normals[other]], axis=1), np.zeros((len(odd), 2, 3))])
    return ends, both, np.full(len(ends), body, dtype=np.intp)


def gaps(ones: Array, others: Array) -> Array:
    """Least distances (K,) of segments (K, 2, 3) to segments."""
    one, other, between = ones[:, 1] - ones[:, 0], others[:, 1] - others[:, 0], ones[:, 0] - others[:, 0]
    a, b, c = _dot(one, one), _dot(one, other), _dot(other, other)
    d, e = _dot(one, between), _dot(other, between)
    spread = a * c - b * b
    with np.errstate(divide="ignore", invalid="ignore"):
        s = np.where(spread > 1e-12 * a * c, np.clip((b * e - c * d) / spread, 0.0, 1.0), 0.0)
        t = np.clip((b * s + e) / np.maximum(c, 1e-300), 0.0, 1.0)
        s = np.clip((b * t - d) / np.maximum(a, 1e-300), 0.0, 1.0)
    apart = between + s[:, None] * one - t[:, None] * other
    least = _dot(apart, apart)
    # Rounding of nearly parallel ones is no harm to what is asked here: any end may be nearest.
    for points, starts, along, square in ((ones, others[:, 0], other, c), (others, ones[:, 0], one, a)):
        for k in (0, 1):
            to = points[:, k] - starts
            share = np.clip(_dot(to, along) / np.maximum(square, 1e-300), 0.0, 1.0)
            off = to - share[:, None] * along
            least = np.minimum(least, _dot(off, off))
    return np.asarray(np.sqrt(least))


def _dot(one: Array, other: Array) -> Array:
    return np.asarray(np.einsum("ki,ki->k", one, other))
