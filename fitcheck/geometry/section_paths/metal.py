"""The metal of a section: its edges, its corners, and what is nearest on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.section_paths.rings import Array, Flags, edges_of, tidy
from fitcheck.geometry.section_paths.section import SAME_MM, Metal, Section

Indices = NDArray[np.int64]

A, B = 0, 1
"""Owners: conductor a, conductor b; floating pieces follow from 2."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Metals:
    """All metal. starts, ends: (S, 2) edges; normals: (S, 2) out of the solid, zero for a line; owners: (S,).

    corners: (C, 2) with corner_owners (C,); `shapes` holds the pieces of each owner as one shapely geometry.
    """

    starts: Array
    ends: Array
    normals: Array
    owners: Indices
    corners: Array
    corner_owners: Indices
    shapes: tuple[Any, ...]

    def touching(self, owner: int, points: Array) -> Flags:
        """(N,) which points lie on or in the metal of an owner."""
        import shapely

        gaps = shapely.distance(self.shapes[owner], shapely.points(points)) if len(points) else np.empty(0)
        return np.asarray(gaps <= SAME_MM, dtype=bool)

    def touched_by(self, owner: int) -> list[int]:
        """The other owners whose metal touches that of an owner."""
        import shapely

        gaps = shapely.distance(self.shapes[owner], list(self.shapes))
        return [other for other in np.flatnonzero(gaps <= SAME_MM).tolist() if other != owner]


def metals_of(section: Section) -> Metals:
    """The metal of a section; floating pieces are owners 2, 3, … in their order."""
    import shapely

    owned: list[Sequence[Metal]] = [section.a, section.b, *([piece] for piece in section.floating)]
    parts = [(owner, piece) for owner, pieces in enumerate(owned) for piece in pieces]
    starts, ends, normals, owners = [], [], [], []
    corners, corner_owners = [], []
    for owner, piece in parts:
        points = _oriented(piece)
        first, last = edges_of(points, closed=piece.solid)
        starts.append(first)
        ends.append(last)
        normals.append(right_of(first, last) if piece.solid else np.zeros_like(first))
        owners.append(np.full(len(first), owner))
        corners.append(points)
        corner_owners.append(np.full(len(points), owner))
    shapes = [shapely.union_all([_shape(piece) for piece in pieces]) for pieces in owned]
    return Metals(
        starts=np.concatenate(starts),
        ends=np.concatenate(ends),
        normals=np.concatenate(normals),
        owners=np.concatenate(owners),
        corners=np.concatenate(corners),
        corner_owners=np.concatenate(corner_owners),
        shapes=tuple(shapes),
    )


def right_of(starts: Array, ends: Array) -> Array:
    """(E, 2) unit normals on the right of edges; zero for an edge without length."""
    along = ends - starts
    lengths = np.linalg.norm(along, axis=1, keepdims=True)
    unit = along / np.where(lengths > 0.0, lengths, 1.0)
    return np.stack([unit[:, 1], -unit[:, 0]], axis=1)


def _oriented(piece: Metal) -> Array:
    points = tidy(piece.points, closed=piece.solid)
    if not piece.solid:
        return points
    following = np.roll(points, -1, axis=0)
    area = float(np.sum(points[:, 0] * following[:, 1] - points[:, 1] * following[:, 0]))
    return points if area > 0.0 else points[::-1]


def _shape(piece: Metal) -> Any:
    import shapely

    points = tidy(piece.points, closed=piece.solid)
    if piece.solid:
        return shapely.Polygon(points)
    return shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])


def nearest_on(starts: Array, ends: Array, points: Array) -> Array:
    """The point of each edge nearest to each point; arrays broadcast over their leading axes, last axis 2."""
    along = ends - starts
    squared = np.sum(along * along, axis=-1)
    share = np.sum((points - starts) * along, axis=-1) / np.where(squared > 0.0, squared, 1.0)
    return np.asarray(starts + np.clip(share, 0.0, 1.0)[..., None] * along)
