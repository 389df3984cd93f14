"""Triangles with a region cut out: what a declared contact leaves of a prism or mesh."""

from __future__ import annotations

import math

import numpy as np

from fitcheck.placing.contacts import Region
from fitcheck.placing.facets import Faces, Facets
from fitcheck.placing.placed import Array

HalfSpace = tuple[Array, float]
"""normal, offset: a point x is inside where normal·x <= offset."""


def without_regions(facets: Facets, regions: tuple[Region, ...]) -> Facets:
    """The facets outside every region; triangles that cross a region's border are cut along it."""
    for region in regions:
        facets = _outside(facets, _half_spaces(region))
    return facets


def _half_spaces(region: Region) -> list[HalfSpace]:
    """The region as half spaces. Its corners are cut off, so that no point farther than `reach` is left out by much."""
    one, two = (axis for axis in range(3) if axis != region.axis)
    spaces = [(_unit({region.axis: sign}), sign * region.plane + region.reach) for sign in (1.0, -1.0)]
    for axis, (low, high) in zip((one, two), region.outline, strict=True):
        spaces.append((_unit({axis: 1.0}), high + region.reach))
        spaces.append((_unit({axis: -1.0}), -low + region.reach))
    slant = 1.0 / math.sqrt(2.0)
    for sign_one in (1.0, -1.0):
        for sign_two in (1.0, -1.0):
            corner_one = region.outline[0][sign_one > 0] * sign_one
            corner_two = region.outline[1][sign_two > 0] * sign_two
            normal = _unit({one: sign_one * slant, two: sign_two * slant})
            spaces.append((normal, (corner_one + corner_two) * slant + region.reach))
    return spaces


def _unit(entries: dict[int, float]) -> Array:
    vector = np.zeros(3)
    for axis, value in entries.items():
        vector[axis] = value
    return vector


def _outside(facets: Facets, spaces: list[HalfSpace]) -> Facets:
    """Peel off what lies beyond each half space in turn; what stays inside all of them is dropped.

    Triangles that lie beyond one of them altogether are none of the region's and stay as they are.
    """
    clear = np.zeros(len(facets.faces), dtype=bool)
    for normal, offset in spaces:
        clear |= (facets.vertices @ normal >= offset)[facets.faces].all(axis=1)
    kept = _Pieces(facets, facets.faces[clear])
    remaining = [(facets.vertices[face], facets.moves[face]) for face in facets.faces[~clear]]
    for normal, offset in spaces:
        inside = []
        for corners, moves in remaining:
            heights = corners @ normal - offset
            if (heights <= 0.0).all():
                inside.append((corners, moves))
            elif (heights >= 0.0).all():
                kept.add(corners, moves)
            else:
                kept.add(*_cut(corners, moves, heights))
                inside.append(_cut(corners, moves, -heights))
        remaining = inside
    return kept.facets()


def _cut(corners: Array, moves: Array, heights: Array) -> tuple[Array, Array]:
    """The part of a flat polygon where the heights are positive, with moves carried along the cut edges."""
    points, carried = [], []
    for k in range(len(corners)):
        after = (k + 1) % len(corners)
        if heights[k] >= 0.0:
            points.append(corners[k])
            carried.append(moves[k])
        if (heights[k] > 0.0) != (heights[after] > 0.0) and heights[k] != heights[after]:
            share = heights[k] / (heights[k] - heights[after])
            points.append(corners[k] + share * (corners[after] - corners[k]))
            carried.append(moves[k] + share * (moves[after] - moves[k]))
    return np.array(points), np.array(carried)


class _Pieces:
    """Polygons gathered back into facets."""

    def __init__(self, source: Facets, whole: Faces) -> None:
        """`whole` are the triangles that stay as they are."""
        used, corners = np.unique(whole, return_inverse=True)
        self._source = source
        self._points: list[Array] = [source.vertices[used]]
        self._moves: list[Array] = [source.moves[used]]
        self._whole = corners.reshape(-1, 3).astype(np.int64)
        self._faces: list[tuple[int, int, int]] = []
        self._count = len(used)

    def add(self, corners: Array, moves: Array) -> None:
        self._points.append(corners)
        self._moves.append(moves)
        start = self._count
        self._faces += [(start, start + k, start + k + 1) for k in range(1, len(corners) - 1)]
        self._count += len(corners)

    def facets(self) -> Facets:
        if not self._faces and not len(self._whole):
            return Facets(
                vertices=self._source.vertices[:0],
                moves=self._source.moves[:0],
                faces=self._source.faces[:0],
                error=self._source.error,
            )
        return Facets(
            vertices=np.vstack(self._points),
            moves=np.concatenate(self._moves),
            faces=np.concatenate([self._whole, np.array(self._faces, dtype=np.int64).reshape(-1, 3)]),
            error=self._source.error,
        )
