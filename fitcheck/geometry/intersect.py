"""The solid that two meshes share, and how deep one stands in the other.

The depth of an overlap is the least width of the shared solid: the shortest push that would part two convex bodies is
never longer. Where something is approximated, the depth of two closed meshes comes out too large, never too small; that
of an open mesh, known only at sampled points, can come out too small, and is said to be so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from manifold3d import Manifold

Points = NDArray[np.float64]
Faces = NDArray[np.int64]
Solid = tuple[Points, Faces]

MOST_HULL_FACES = 200
"""Hulls with more faces are measured across their faces only, which can overstate their width."""

FLAT = 1e-12
"""Points whose hull holds less than this share of the cube of their largest size are taken as flat."""

MOST_DIRECTIONS = 2000
"""Of finer hulls only every so many faces are tried, evenly; a width across any one of them is an upper bound."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """What two solids share. Volume in mm3; `depth_mm` is the largest, over its pieces, of the least width of each."""

    volume_mm3: float
    depth_mm: float


NO_OVERLAP = Overlap(volume_mm3=0.0, depth_mm=0.0)


def overlap_of(first: Manifold, second: Manifold) -> Overlap:
    """Volume and depth of what two bodies share, both about the same middle; see `body_of`.

    Solids that only touch give a depth below 1e-6 mm. The depth is the width of the hull of each shared piece: for a
    hollow piece, and for hulls of more than MOST_HULL_FACES faces, it is overstated.
    """
    shared = first ^ second
    if shared.is_empty():
        return NO_OVERLAP
    return Overlap(volume_mm3=max(float(shared.volume()), 0.0), depth_mm=_deepest(shared.decompose()))


def body_of(solid: Solid, middle: Points) -> Manifold | None:
    """A mesh (vertices (V, 3) in mm, faces (F, 3), equal corners merged) as a body that can be intersected.

    None when it is not closed and well wound; one that is wholly inside out is turned. Coordinates are counted from
    `middle` (3,), a point near what is asked for: numbers about zero keep thin overlaps far from the origin.
    """
    vertices, faces = solid
    for wound in (faces, faces[:, ::-1]):
        body = body_as_wound((vertices, wound), middle)
        if body is None or body.volume() >= 0.0:
            return body
    return None


def body_as_wound(solid: Solid, middle: Points) -> Manifold | None:
    """The same for a mesh that is taken as it is wound: it may lie about no solid, and without faces it is nothing."""
    from manifold3d import Error, Manifold, Mesh64

    vertices, faces = solid
    whole = faces[(faces != np.roll(faces, 1, axis=1)).all(axis=1)]
    if not len(whole):
        return Manifold()
    # Mesh64 refuses read-only arrays, so both are copied.
    mesh = Mesh64(np.array(vertices - middle, dtype=np.float64, order="C"), np.array(whole, dtype=np.uint64, order="C"))
    body = Manifold(mesh)
    return body if body.status() == Error.NoError else None


def box_body(low: Points, high: Points, middle: Points) -> Manifold:
    """The box from `low` to `high` (3,) as a body about `middle`."""
    from manifold3d import Manifold

    x, y, z = ((low + high) / 2.0 - middle).tolist()
    return Manifold.cube((high - low).tolist(), center=True).translate((x, y, z))


def union_volume(solids: Sequence[Points], hollows: Sequence[Points]) -> float | None:
    """Volume of the union of triangle lists (F, 3, 3), less the union of hollows; None when one is not closed."""
    from manifold3d import Manifold, OpType

    middle = np.zeros(3)
    bodies = [body_of(_indexed(triangles), middle) for triangles in solids]
    holes = [body_of(_indexed(triangles), middle) for triangles in hollows]
    known = [body for body in bodies if body is not None]
    known_holes = [hole for hole in holes if hole is not None]
    if len(known) < len(bodies) or len(known_holes) < len(holes):
        return None
    whole = Manifold.batch_boolean(known, OpType.Add)
    if known_holes:
        whole = whole - Manifold.batch_boolean(known_holes, OpType.Add)
    return float(whole.volume())


def hull(points: Points) -> Solid | None:
    """The convex hull of points (N, 3) as (vertices, faces) wound outward; None when the points are flat."""
    from manifold3d import Manifold

    middle = points.mean(axis=0)
    body = Manifold.hull_points(np.array(points - middle, dtype=np.float64, order="C"))
    if body.volume() <= FLAT * float(np.ptp(points, axis=0).max()) ** 3:
        return None
    vertices, faces = _mesh_of(body)
    return vertices + middle, faces


def _indexed(triangles: Points) -> Solid:
    vertices, faces = np.unique(triangles.reshape(-1, 3), axis=0, return_inverse=True)
    return vertices, faces.reshape(-1, 3)


def _mesh_of(body: Manifold) -> Solid:
    mesh = body.to_mesh64()
    return np.array(mesh.vert_properties[:, :3], dtype=np.float64), np.array(mesh.tri_verts, dtype=np.int64)


def _deepest(pieces: Sequence[Manifold]) -> float:
    """The largest of their least widths, mm. A piece that is thinner along an axis than one measured is not tried."""
    boxes = [np.array(piece.bounding_box()).reshape(2, 3) for piece in pieces]
    thinnest = np.array([float((high - low).min()) for low, high in boxes])
    deepest = 0.0
    for number in np.argsort(-thinnest, kind="stable"):
        if thinnest[number] <= deepest:
            break
        deepest = max(deepest, _least_width(_mesh_of(pieces[number])[0], pieces[number]))
    return deepest


def _least_width(points: Points, piece: Manifold) -> float:
    """Least width of the hull: between two parallel planes that touch a face and a corner, or two edges."""
    spread = points - points.mean(axis=0)
    # The thinnest axis of the cloud is tried as well: on slivers the normals of the faces are noise.
    candidates = [np.linalg.svd(spread, full_matrices=False)[2], np.eye(3)]
    vertices, faces = _mesh_of(piece.hull())
    if len(faces):
        corners = vertices[faces]
        normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        candidates.append(normals[:: 1 + len(normals) // MOST_DIRECTIONS])
        if len(faces) <= MOST_HULL_FACES:
            candidates.append(_edge_pairs(vertices, faces))
        spread = vertices
    directions = np.vstack(candidates)
    lengths = np.linalg.norm(directions, axis=1)
    directions = directions[lengths > 0.0] / lengths[lengths > 0.0, None]
    return min(float(np.ptp(block @ spread.T, axis=1).min()) for block in _blocks(directions))


def _edge_pairs(vertices: Points, faces: Faces) -> Points:
    """The directions square to every pair of hull edges."""
    sides = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    sides = np.unique(sides, axis=0)
    along = vertices[sides[:, 1]] - vertices[sides[:, 0]]
    lengths = np.linalg.norm(along, axis=1)
    along = along[lengths > 0.0] / lengths[lengths > 0.0, None]
    first, second = np.triu_indices(len(along), 1)
    crossed = np.cross(along[first], along[second])
    # Nearly parallel edges give a direction that is mostly rounding; a width in any direction is still an upper bound.
    kept: Points = crossed[np.linalg.norm(crossed, axis=1) > 1e-9]
    return kept


def _blocks(rows: Points) -> list[Points]:
    return [rows[start : start + 4096] for start in range(0, len(rows), 4096)]


def union_mesh(solids: Sequence[Solid]) -> Solid | None:
    """The union of closed meshes (vertices, faces) as one; None when one of them is not closed.

    Faces that lie against each other inside it are gone.
    """
    from manifold3d import Manifold, OpType

    middle = np.concatenate([vertices for vertices, _ in solids]).mean(axis=0)
    bodies = [body_of(solid, middle) for solid in solids]
    known = [body for body in bodies if body is not None]
    if len(known) < len(bodies):
        return None
    vertices, faces = _mesh_of(Manifold.batch_boolean(known, OpType.Add))
    return vertices + middle, faces
