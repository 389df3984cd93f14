"""Placed pieces as triangles, for what is measured against a mesh or through a bore.

Flat-faced pieces are exact. Round ones get facets that contain the true bar and, in a bore, chords that cut into it, so
that a distance to the facets is never larger than the true one; `error` says by how much it may be smaller.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.convex import Hull
from fitcheck.geometry.polygon import triangles_of
from fitcheck.placing.forms import Form
from fitcheck.placing.local import BarSolid, BoxSolid, MeshSolid, PrismSolid, outline_axes
from fitcheck.placing.placed import Array, Columns, Placed, convex_of, prism_hull

Faces = NDArray[np.int64]

FACET_ERROR_MM = 0.01
"""Round pieces get as many facets as keep the error below this."""
MOST_SIDES = 512


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Facets:
    """vertices (V, 3) in case axes, mm; moves (V, P, 3) per unit of each uncertain value; faces (F, 3) wound outward.
    """

    vertices: Array
    moves: Array
    faces: Faces
    error: float = 0.0


def facets_of(piece: Placed, columns: Columns) -> Facets:
    """The triangles of one placed piece."""
    match piece.solid:
        case BoxSolid():
            (hull,) = convex_of(piece, columns)
            assert isinstance(hull, Hull)  # noqa: S101 (a box is a hull)
            return Facets(vertices=hull.points, moves=hull.moves, faces=_BOX_FACES)
        case PrismSolid() as solid:
            return _prism(piece, solid, columns)
        case BarSolid() as solid:
            return _bar(piece, solid, columns)
        case MeshSolid(model=model, vertices=own):
            rotation = np.array(piece.rotation)
            centre = np.array([form.nominal for form in piece.centre])
            moves = np.broadcast_to(columns.gradient(piece.centre)[None, :, :], (len(own), len(columns.names), 3))
            solid_faces = model.solid_faces
            return Facets(
                vertices=own @ rotation.T + centre,
                moves=moves,
                faces=np.asarray(model.faces if solid_faces is None else solid_faces, dtype=np.int64),
            )


_BOX_FACES = np.array(
    [
        [0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
        [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3],
    ],
    dtype=np.int64,
)  # fmt: skip
"""Corners count with z fastest, then y, then x."""


def _prism(piece: Placed, solid: PrismSolid, columns: Columns) -> Facets:
    points, triangles = triangles_of(solid.rings[0], solid.rings[1:])
    hull = prism_hull(piece, solid, [tuple(point) for point in points.tolist()], columns)
    bottom, top = triangles[:, ::-1], triangles + len(points)
    # Every edge that only one triangle has is part of the outline or of a hole: there stands a side face.
    edges = triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)
    known = {(int(a), int(b)) for a, b in edges}
    rim = np.array([edge for edge in sorted(known) if (edge[1], edge[0]) not in known])
    sides = _walls(rim, len(points))
    faces = np.vstack([bottom, top, sides])
    # With the outline in x, z the third axis points the other way round.
    return Facets(vertices=hull.points, moves=hull.moves, faces=faces[:, ::-1] if solid.along == 1 else faces)


def _walls(rim: Faces, count: int) -> Faces:
    """Two triangles for each outline edge (a, b), between the lower points and those `count` further on."""
    a, b = rim[:, 0], rim[:, 1]
    return np.vstack([np.column_stack([a, b, b + count]), np.column_stack([a, b + count, a + count])])


def _sides(radius: float) -> int:
    """How many facets keep the error of a circle below FACET_ERROR_MM."""
    needed = math.pi / math.acos(radius / (radius + FACET_ERROR_MM))
    return int(min(MOST_SIDES, max(12, math.ceil(needed))))


def _bar(piece: Placed, solid: BarSolid, columns: Columns) -> Facets:
    count = _sides(solid.radius.nominal)
    swell = 1.0 / math.cos(math.pi / count)
    angles = 2.0 * math.pi * np.arange(count) / count
    first, second = outline_axes(solid.along)
    around = np.zeros((count, 3))
    around[:, first], around[:, second] = np.cos(angles), np.sin(angles)
    rings = [(around * swell, solid.radius)]
    if solid.bore is not None:
        rings.append((around, solid.bore))
    vertices, moves = _ring_points(piece, solid, rings, columns)
    faces = _tube_faces(count) if solid.bore is not None else _bar_faces(count)
    bore_error = 0.0 if solid.bore is None else solid.bore.nominal * (1.0 - math.cos(math.pi / count))
    return Facets(
        vertices=vertices,
        moves=moves,
        faces=faces[:, ::-1] if solid.along == 1 else faces,
        error=max(solid.radius.nominal * (swell - 1.0), bore_error),
    )


def _ring_points(
    piece: Placed, solid: BarSolid, rings: list[tuple[Array, Form]], columns: Columns
) -> tuple[Array, Array]:
    """The corners of each ring, low end then high end, ring after ring."""
    rotation = np.array(piece.rotation)
    centre = np.array([form.nominal for form in piece.centre])
    centre_moves = columns.gradient(piece.centre)
    lengthwise = np.zeros(3)
    lengthwise[solid.along] = 1.0
    length_moves = columns.gradient([solid.half_length])[:, 0]
    points, moves = [], []
    for around, radius in rings:
        radius_moves = columns.gradient([radius])[:, 0]
        for end in (-1.0, 1.0):
            local = around * radius.nominal + end * lengthwise * solid.half_length.nominal
            local_moves = (
                around[:, None, :] * radius_moves[None, :, None]
                + end * lengthwise[None, None, :] * length_moves[None, :, None]
            )
            points.append(local @ rotation.T + centre)
            moves.append(local_moves @ rotation.T + centre_moves[None, :, :])
    return np.vstack(points), np.concatenate(moves)


def _bar_faces(count: int) -> Faces:
    index = np.arange(count)
    rim = np.column_stack([index, (index + 1) % count])
    fan = np.column_stack([np.zeros(count - 2, dtype=np.int64), index[1:-1], index[2:]])
    return np.vstack([_walls(rim, count), fan[:, ::-1], fan + count])


def _tube_faces(count: int) -> Faces:
    index = np.arange(count)
    following = (index + 1) % count
    rim = np.column_stack([index, following])
    outer, inner = _walls(rim, count), _walls(rim, count)[:, ::-1] + 2 * count
    low_end = np.vstack(
        [
            np.column_stack([index, index + 2 * count, following]),
            np.column_stack([following, index + 2 * count, following + 2 * count]),
        ]
    )
    high_end = low_end[:, ::-1] + count
    return np.vstack([outer, inner, low_end, high_end])
