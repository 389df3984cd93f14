"""The surfaces of solids as flat convex cells that meet edge to edge.

Coplanar triangles become one face. Where faces of two solids lie against each other the outlines are cut into both, so
that a joint is one cell, walked on as a surface. Points nearer than SAME_MM are one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.polygon import check_outline, convex_parts

if TYPE_CHECKING:
    from shapely import Polygon

Array = NDArray[np.float64]
Faces = NDArray[np.intp]

SAME_MM = 1e-6
FLAT = 1e-9
"""Triangles whose normals differ by less than this (1 - cosine) and share an edge are one face."""
MOST_MERGED = 6000
"""Meshes of more triangles keep them as cells; their joints are leaps of no length."""


@dataclass(slots=True, eq=False)
class Cell:
    """A flat convex piece of surface. corners (N, 3) in order, `normal` outward from solid number `body`.

    `face` is the whole face that it is a piece of, where coplanar triangles were joined. `joint`: another solid lies
    against it as drawn.
    """

    corners: Array
    normal: Array
    body: int
    face: Face | None = None
    joint: bool = False

    @property
    def offset(self) -> float:
        return float(self.normal @ self.corners[0])


@dataclass(slots=True, eq=False)
class Face:
    """A flat face of a solid: its plane's frame (2, 3) of unit vectors, origin, and its outline in that frame.

    It is cut along the outlines of `cuts`; `covers` are those of them that lie against it.
    """

    origin: Array
    frame: Array
    normal: Array
    outline: Polygon
    body: int
    cuts: list[Polygon] = field(default_factory=list)
    covers: list[Polygon] = field(default_factory=list)

    def flat(self, points: Array) -> Array:
        return np.asarray((points - self.origin) @ self.frame.T)

    def raised(self, points: Array) -> Array:
        return np.asarray(self.origin + points @ self.frame)


def cells_of(solids: Sequence[tuple[Array, Faces]], narrow: float) -> tuple[list[Cell], list[Face]]:
    """All cells of solids given as closed triangle meshes (vertices, faces), and the merged faces among them.

    Faces of two solids that look at each other less than `narrow` mm apart are cut along each other's outlines.
    """
    faces, cells = faces_of(solids)
    return cut_to_cells(faces, cells, narrow), faces


def faces_of(solids: Sequence[tuple[Array, Faces]]) -> tuple[list[Face], list[Cell]]:
    """The merged faces of solids, and of those that are too finely cut the triangles as cells."""
    faces: list[Face] = []
    cells: list[Cell] = []
    for body, (vertices, triangles) in enumerate(solids):
        if len(triangles) > MOST_MERGED:
            cells += _triangles(vertices, triangles, body)
        else:
            faces += _faces(vertices, triangles, body)
    return faces, cells


def cut_to_cells(faces: list[Face], cells: Sequence[Cell], narrow: float) -> list[Cell]:
    """Faces, cut along each other's outlines where they look at each other, as cells; after `cells` as they are."""
    _cut_facing(faces, narrow)
    found = list(cells)
    for face in faces:
        for part in _parts(face):
            corners = np.asarray(part)
            found.append(Cell(face.raised(corners), face.normal, face.body, face, _is_covered(face, corners)))
    return found


def _triangles(vertices: Array, triangles: Faces, body: int) -> Iterator[Cell]:
    corners = vertices[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1)
    for corner, normal, length in zip(corners, normals, lengths, strict=True):
        if length > FLAT:
            yield Cell(corner, normal / length, body)


def _faces(vertices: Array, triangles: Faces, body: int) -> Iterator[Face]:
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components
    from shapely import Polygon, union_all

    corners = vertices[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1)
    sound = lengths > FLAT
    triangles, corners, normals = triangles[sound], corners[sound], normals[sound] / lengths[sound, None]
    one, other = _neighbours(vertices, triangles)
    flat = np.einsum("ki,ki->k", normals[one], normals[other]) > 1.0 - FLAT
    count = len(triangles)
    joined = coo_matrix((np.ones(flat.sum()), (one[flat], other[flat])), shape=(count, count))
    groups, label = connected_components(joined, directed=False)
    order = np.argsort(label, kind="stable")
    flat_groups = [
        part
        for members in np.split(order, np.searchsorted(label[order], np.arange(1, groups)))
        for part in _truly_flat(members, corners, normals, lengths[sound])
    ]
    for members in flat_groups:
        largest = members[lengths[sound][members].argmax()]
        normal, origin = normals[largest], corners[largest, 0]
        first = corners[largest, 1] - origin
        first = first / np.linalg.norm(first)
        frame = np.stack([first, np.cross(normal, first)])
        flat_corners = (corners[members] - origin) @ frame.T
        outline = union_all([Polygon(points) for points in flat_corners])
        for part in getattr(outline, "geoms", [outline]):
            yield Face(origin, frame, normal, part.simplify(0.0), body)


def _truly_flat(members: Faces, corners: Array, normals: Array, areas: Array) -> list[Faces]:
    """The group itself where all its corners lie in one plane; else, as on a slightly curved surface, one by one."""
    largest = members[areas[members].argmax()]
    heights = (corners[members] - corners[largest, 0]) @ normals[largest]
    if np.abs(heights).max() <= SAME_MM / 10.0:
        return [members]
    return [members[k : k + 1] for k in range(len(members))]


def _neighbours(vertices: Array, triangles: Faces) -> tuple[Faces, Faces]:
    """Pairs of triangles that share an edge, points at one place taken as one."""
    _, same = np.unique(np.round(vertices / SAME_MM).astype(np.int64), axis=0, return_inverse=True)
    corners = same.reshape(-1)[triangles]
    edges = np.sort(np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]]), axis=1)
    owner = np.tile(np.arange(len(triangles)), 3)
    order = np.lexsort((edges[:, 1], edges[:, 0]))
    edges, owner = edges[order], owner[order]
    equal = (edges[1:] == edges[:-1]).all(axis=1)
    return owner[:-1][equal], owner[1:][equal]


def _cut_facing(faces: list[Face], narrow: float) -> None:
    """Note on each face the outlines of the faces that look at it squarely from less than `narrow` away."""
    from shapely import Polygon

    if not faces:
        return
    normals = np.array([face.normal for face in faces])
    heights = np.array([face.normal @ face.origin for face in faces])
    bodies = np.array([face.body for face in faces])
    opposite = normals @ normals.T < -1.0 + FLAT
    # The gap between two planes that look at each other, seen along the first normal.
    gaps = -heights[None, :] - heights[:, None]
    near = opposite & (gaps < narrow) & (gaps > -SAME_MM) & (bodies[:, None] != bodies[None, :])
    for one, other in np.argwhere(near):
        face, facing = faces[one], faces[other]
        shadow = Polygon(
            face.flat(facing.raised(np.asarray(facing.outline.exterior.coords))),
            [face.flat(facing.raised(np.asarray(hole.coords))) for hole in facing.outline.interiors],
        )
        if shadow.intersects(face.outline) and face.outline.intersection(shadow).area > SAME_MM:
            face.cuts.append(shadow)
            if gaps[one, other] < SAME_MM:
                face.covers.append(shadow)


def _parts(face: Face) -> Iterator[tuple[tuple[float, float], ...]]:
    """Convex outlines that cover a face, cut along what lies against it."""
    from shapely import set_precision

    pieces = [face.outline]
    for cut in face.cuts:
        following = []
        for piece in pieces:
            for result in (piece.intersection(cut), piece.difference(cut)):
                following += _areas(result)
        pieces = following
    for piece in pieces:
        for part in _areas(set_precision(piece, 1e-9)):
            yield from _convex(part)


def _is_covered(face: Face, corners: Array) -> bool:
    """Whether a convex part (N, 2) of a face that was cut along all its covers lies under one of them."""
    from shapely import Point

    middle = Point(corners.mean(axis=0))
    return any(cover.contains(middle) for cover in face.covers)


def _convex(part: Polygon) -> Iterator[tuple[tuple[float, float], ...]]:
    """Convex outlines of one piece; an outline that touches itself at points goes by its triangles."""
    from shapely import constrained_delaunay_triangles
    from shapely.geometry.polygon import orient

    rings = [list(ring.coords) for ring in (part.exterior, *part.interiors)]
    if not check_outline(rings[0], rings[1:]):
        yield from convex_parts(rings[0], rings[1:])
        return
    for triangle in constrained_delaunay_triangles(part).geoms:
        yield tuple(orient(triangle).exterior.coords)[:3]


def _areas(shape: Polygon) -> list[Polygon]:
    return [
        part
        for part in getattr(shape, "geoms", [shape])
        if part.geom_type == "Polygon" and part.area > SAME_MM * max(part.length, 1e-3)
    ]


def cut(cell: Cell, normal: Array, height: float, least: float) -> list[Cell]:
    """The parts of a cell on both sides of the plane normal . x = height; the cell itself where a part would be no more
    than `least` mm deep.
    """
    sides = cell.corners @ normal - height
    if sides.min() > -least or sides.max() < least:
        return [cell]
    parts: tuple[list[Array], list[Array]] = ([], [])
    for k in range(len(sides)):
        here, there = sides[k], sides[(k + 1) % len(sides)]
        if here <= 0.0:
            parts[0].append(cell.corners[k])
        if here >= 0.0:
            parts[1].append(cell.corners[k])
        if here * there < 0.0:
            point = cell.corners[k] + here / (here - there) * (cell.corners[(k + 1) % len(sides)] - cell.corners[k])
            parts[0].append(point)
            parts[1].append(point)
    return [replace(cell, corners=np.array(part)) for part in parts]
