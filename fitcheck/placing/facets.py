"""Placed pieces as triangles, for what is measured against a mesh or through a bore.

Flat-faced pieces are exact. Round ones get facets that contain the true bar and, in a bore, chords that cut into it, so
that a distance to the facets is never larger than the true one; `error` says by how much it may be smaller.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry import solid_facets
from fitcheck.geometry.polygon import triangles_of
from fitcheck.placing.forms import Form
from fitcheck.placing.local import BarSolid, BoxSolid, MeshSolid, PrismSolid, outline_axes
from fitcheck.placing.placed import Array, Columns, Placed

Faces = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Facets:
    """vertices (V, 3) in case axes, mm; moves (V, P, 3) per unit of each uncertain value; faces (F, 3) wound
    outward.
    """

    vertices: Array
    moves: Array
    faces: Faces
    error: float = 0.0


def facets_of(piece: Placed, columns: Columns) -> Facets:
    """The triangles of one placed piece."""
    match piece.solid:
        case BoxSolid(half=half):
            drawn = solid_facets.box_facets([1.0, 1.0, 1.0])
            return _sized(piece, columns, drawn.moves - np.eye(3) / 2.0, [side * 2.0 for side in half], drawn)
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


def _sized(piece: Placed, columns: Columns, shares: Array, sizes: Sequence[Form], drawn: solid_facets.Facets) -> Facets:
    """Put facets in place whose corners are `shares` (V, S, 3) of the sizes, counted from the middle of the piece."""
    rotation = np.array(piece.rotation)
    centre = np.array([form.nominal for form in piece.centre])
    nominal = np.einsum("vsd,s->vd", shares, [form.nominal for form in sizes])
    moves = np.einsum("vsd,ps->vpd", shares, columns.gradient(sizes))
    return Facets(
        vertices=nominal @ rotation.T + centre,
        moves=moves @ rotation.T + columns.gradient(piece.centre)[None, :, :],
        faces=np.asarray(drawn.faces, dtype=np.int64),
        error=drawn.error,
    )


def _bar(piece: Placed, solid: BarSolid, columns: Columns) -> Facets:
    diameter, length = solid.radius * 2.0, solid.half_length * 2.0
    if solid.bore is None:
        sizes = [diameter, length]
        drawn = solid_facets.bar_facets(diameter.nominal, length.nominal, solid.along)
    else:
        sizes = [diameter, solid.bore * 2.0, length]
        drawn = solid_facets.tube_facets(diameter.nominal, sizes[1].nominal, length.nominal, solid.along)
    shares = drawn.moves.copy()
    shares[:, -1, solid.along] -= 0.5
    return _sized(piece, columns, shares, sizes, drawn)


def _prism(piece: Placed, solid: PrismSolid, columns: Columns) -> Facets:
    points, triangles = triangles_of(solid.rings[0], solid.rings[1:])
    drawn = solid_facets.prism_facets(points, triangles, 1.0, solid.along)
    first, second = outline_axes(solid.along)
    shares = np.zeros((len(drawn.vertices), 3, 3))
    shares[:, 0, first] = drawn.vertices[:, first] / solid.nominal[0]
    shares[:, 1, second] = drawn.vertices[:, second] / solid.nominal[1]
    shares[:, 2, solid.along] = drawn.vertices[:, solid.along] - 0.5
    return _sized(piece, columns, shares, [*solid.across, solid.half_height * 2.0], drawn)
