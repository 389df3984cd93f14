"""Boxes, bars, tubes and prisms as facets, with the moves of their vertices where sizes are uncertain.

Round surfaces are drawn on the safe side: the facets hold all of the true solid, and at most `error` more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Faces = NDArray[np.intp]

FACET_ERROR = 0.01
"""mm. Facets of a round surface lie at most so far from it, as long as MOST_SIDES are enough."""
MOST_SIDES = 512
FEWEST_SIDES = 16


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Facets:
    """A closed mesh, outward; mm.

    vertices: (V, 3). faces: (F, 3). moves: (V, P, 3) displacement of each vertex per unit of each of the sizes it is
    made from, in the order the maker names them. error: how far outside the true solid a facet may lie.
    """

    vertices: Array
    faces: Faces
    moves: Array
    error: float


def box_facets(size: ArrayLike) -> Facets:
    """A box with its low corner at the origin; sizes: x, y, z."""
    extent = np.asarray(size, dtype=float)
    if extent.shape != (3,) or not (extent > 0.0).all():
        raise ValueError("a box needs three sizes above zero")
    shares = np.array([[x, y, z] for x in (0.0, 1.0) for y in (0.0, 1.0) for z in (0.0, 1.0)])
    return Facets(vertices=shares * extent, faces=_BOX_FACES.copy(), moves=shares[:, :, None] * np.eye(3), error=0.0)


_BOX_FACES = np.array(
    [
        *((0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5)),
        *((0, 4, 5), (0, 5, 1), (2, 3, 7), (2, 7, 6)),
        *((0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3)),
    ],
    dtype=np.intp,
)


def sides_for(radius: float) -> int:
    """Sides, a multiple of four, that keep the corners of a many-sided bar round a circle within FACET_ERROR of it."""
    if radius <= FACET_ERROR:
        return FEWEST_SIDES
    needed = math.pi / math.acos(radius / (radius + FACET_ERROR))
    return min(max(4 * math.ceil(needed / 4.0), FEWEST_SIDES), MOST_SIDES)


def bar_facets(diameter: float, length: float, along: int) -> Facets:
    """A solid round bar about the axis `along` (0, 1, 2), from 0 to length; sizes: diameter, length."""
    _positive(diameter, length)
    sides = sides_for(diameter / 2.0)
    ring = _ring(sides) / math.cos(math.pi / sides) / 2.0
    low = np.arange(sides)
    after = np.roll(low, -1)
    ends = [
        np.column_stack([np.full(sides, 2 * sides), after, low]),
        np.column_stack([np.full(sides, 2 * sides + 1), low + sides, after + sides]),
    ]
    rim = np.concatenate([ring, ring, np.zeros((2, 2))])[:, None, :]
    top = np.concatenate([np.repeat([0.0, 1.0], sides), [0.0, 1.0]])
    faces = np.concatenate([_band(sides, 0, 1), *ends])
    return _extruded(rim, np.array([diameter]), top, length, faces, along, _outside(diameter, sides))


def tube_facets(outside: float, inside: float, length: float, along: int) -> Facets:
    """A tube about the axis `along`, from 0 to length; sizes: outside diameter, inside diameter, length.

    The outer facets lie round the true surface; the inner ones have their corners on the bore, so they cut into it.
    """
    _positive(outside, inside, length)
    if inside >= outside:
        raise ValueError("the inside diameter of a tube is smaller than the outside one")
    sides = sides_for(outside / 2.0)
    outer, inner = _ring(sides) / math.cos(math.pi / sides) / 2.0, _ring(sides) / 2.0
    nothing = np.zeros((sides, 2))
    outer_rim, inner_rim = np.stack([outer, nothing], axis=1), np.stack([nothing, inner], axis=1)
    rim = np.concatenate([outer_rim, inner_rim, outer_rim, inner_rim])
    top = np.repeat([0.0, 1.0], 2 * sides)
    faces = np.concatenate([_band(sides, one, next_one) for one, next_one in ((0, 2), (2, 3), (3, 1), (1, 0))])
    error = max(_outside(outside, sides), inside / 2.0 * (1.0 - math.cos(math.pi / sides)))
    return _extruded(rim, np.array([outside, inside]), top, length, faces, along, error)


def prism_facets(outline: ArrayLike, triangles: ArrayLike, height: float, along: int) -> Facets:
    """A prism from 0 to height along an axis; size: height.

    outline: (K, 2) points of the outline and of all holes, on the other two axes in the order x, y, z.
    triangles: (T, 3) that fill the section between them; their free edges become the walls. Points on the same place
    are one.
    """
    _positive(height)
    section = np.asarray(outline, dtype=float)
    corners = np.asarray(triangles, dtype=np.intp)
    section, merged = np.unique(section, axis=0, return_inverse=True)
    corners = merged.reshape(-1)[corners]
    count = len(section)
    first, second, third = (section[corners[:, k]] for k in range(3))
    area = (second[:, 0] - first[:, 0]) * (third[:, 1] - first[:, 1])
    area -= (second[:, 1] - first[:, 1]) * (third[:, 0] - first[:, 0])
    corners = np.where((area < 0.0)[:, None], corners[:, ::-1], corners)[area != 0.0]
    edges = np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
    known = {(i, j) for i, j in edges.tolist()}
    low, after = np.array([(i, j) for i, j in edges.tolist() if (j, i) not in known], dtype=np.intp).reshape(-1, 2).T
    walls = [np.column_stack([low, after, low + count]), np.column_stack([after, after + count, low + count])]
    faces = np.concatenate([corners[:, ::-1], corners + count, *walls])
    rim = np.concatenate([section, section])[:, None, :]
    top = np.repeat([0.0, 1.0], count)
    solid = _extruded(rim, np.ones(1), top, height, faces, along, 0.0)
    return replace(solid, moves=solid.moves[:, 1:])


def _extruded(rim: Array, sizes: Array, top: Array, length: float, faces: Faces, along: int, error: float) -> Facets:
    """rim: (V, S, 2) place in the section per unit of each of S sizes. top: (V,) 0 at the low end, 1 at the high one.

    faces: outward for a section whose two axes and the length form a right-handed set.
    """
    across = [axis for axis in range(3) if axis != along]
    moves = np.zeros((len(rim), len(sizes) + 1, 3))
    moves[:, :-1, across] = rim
    moves[:, -1, along] = top
    vertices = np.einsum("s,vsd->vd", np.append(sizes, length), moves)
    # x and z, the section along y, are a left-handed set with it.
    outward = faces[:, ::-1] if along == 1 else faces
    return Facets(vertices=vertices, faces=np.ascontiguousarray(outward), moves=moves, error=error)


def _band(sides: int, one: int, next_one: int) -> Faces:
    """Facets between two rings of the same number of corners, by their numbers."""
    low = np.arange(sides)
    after = np.roll(low, -1)
    at, to = one * sides, next_one * sides
    return np.concatenate(
        [np.column_stack([low + at, after + at, low + to]), np.column_stack([after + at, after + to, low + to])]
    )


def _positive(*sizes: float) -> None:
    if not all(math.isfinite(size) and size > 0.0 for size in sizes):
        raise ValueError("sizes are finite and above zero")


def _ring(sides: int) -> Array:
    turns = np.arange(sides) * (2.0 * math.pi / sides)
    return np.column_stack([np.cos(turns), np.sin(turns)])


def _outside(diameter: float, sides: int) -> float:
    return diameter / 2.0 * (1.0 / math.cos(math.pi / sides) - 1.0)
