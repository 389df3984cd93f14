"""Face normals and edge directions of the convex hull of points."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FLAT = 1e-10
"""Of the size of the hull: points nearer than this to a plane or line lie on it."""
SAME_DIRECTION = 1e-12
"""Two unit vectors whose dot product misses 1 by less are one."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HullFaces:
    """normals: (N, 3) outward unit normals of the faces, each once; both sides of a flat hull, none of a line.
    edges: (M, 3) unit directions of the edges, parallel ones once. edge_ends: (E, 2) the two points of every edge.
    triangles: (T, 3) outward corners, empty for a flat hull. Both index the points given.
    """

    normals: Array
    edges: Array
    edge_ends: NDArray[np.intp]
    triangles: NDArray[np.intp]


def hull_of(points: Array) -> HullFaces:
    """Faces and edges of the convex hull of points (K, 3), K >= 1; duplicates and flat sets are allowed."""
    places = np.asarray(points, dtype=float)
    places = places - places.mean(axis=0)
    size = float(np.abs(places).max())
    frame = _first_tetrahedron(places, FLAT * size)
    if len(frame) == 4:
        return _solid(places, frame, FLAT * size)
    nothing = np.zeros((0, 3), dtype=np.intp)
    if len(frame) == 3:
        normal = _unit(np.cross(places[frame[1]] - places[frame[0]], places[frame[2]] - places[frame[0]]))
        ends = _outline_edges(places, normal, FLAT * size)
        normals = np.array([normal, -normal])
    else:
        ends = np.array([frame] if len(frame) == 2 else [], dtype=np.intp).reshape(-1, 2)
        normals = np.zeros((0, 3))
    return HullFaces(normals=normals, edges=_directions(places, ends), edge_ends=ends, triangles=nothing)


def _unit(vector: Array) -> Array:
    return np.asarray(vector / np.linalg.norm(vector))


def _first_tetrahedron(places: Array, flat: float) -> list[int]:
    """Up to four corners far apart; fewer when all points lie on a plane, on a line or in a point."""
    first = int(np.argmax(places[:, 0]))
    away = np.linalg.norm(places - places[first], axis=1)
    second = int(away.argmax())
    if away[second] <= flat:
        return [first]
    line = _unit(places[second] - places[first])
    off_line = np.linalg.norm(np.cross(places - places[first], line), axis=1)
    third = int(off_line.argmax())
    if off_line[third] <= flat:
        return [first, second]
    normal = _unit(np.cross(line, places[third] - places[first]))
    off_plane = np.abs((places - places[first]) @ normal)
    fourth = int(off_plane.argmax())
    return [first, second, third] if off_plane[fourth] <= flat else [first, second, third, fourth]


def _solid(places: Array, frame: list[int], flat: float) -> HullFaces:
    """Add the points one by one, farthest first: take out the triangles each one sees and close the hole."""
    inside = places[frame].mean(axis=0)
    faces = _outward(places, np.array([[0, 1, 2], [0, 1, 3], [0, 2, 3], [1, 2, 3]]), np.array(frame), inside)
    normals, heights = _planes(places, faces)
    for index in np.argsort(-np.linalg.norm(places - inside, axis=1), kind="stable").tolist():
        seen = normals @ places[index] > heights + flat
        if not seen.any():
            continue
        rim = _rim(faces[seen])
        added = np.column_stack([rim, np.full(len(rim), index, dtype=np.intp)])
        new_normals, new_heights = _planes(places, added)
        faces = np.concatenate([faces[~seen], added])
        normals = np.concatenate([normals[~seen], new_normals])
        heights = np.concatenate([heights[~seen], new_heights])
    ends = _sharp_edges(faces, normals)
    return HullFaces(normals=_distinct(normals), edges=_directions(places, ends), edge_ends=ends, triangles=faces)


def _outward(places: Array, faces: NDArray[np.intp], names: NDArray[np.intp], inside: Array) -> NDArray[np.intp]:
    corners = names[faces]
    normals = np.cross(places[corners[:, 1]] - places[corners[:, 0]], places[corners[:, 2]] - places[corners[:, 0]])
    inward = np.einsum("ij,ij->i", normals, places[corners[:, 0]] - inside) < 0.0
    corners[inward] = corners[inward][:, ::-1]
    return corners


def _planes(places: Array, faces: NDArray[np.intp]) -> tuple[Array, Array]:
    a, b, c = places[faces[:, 0]], places[faces[:, 1]], places[faces[:, 2]]
    normals = np.cross(b - a, c - a)
    lengths = np.linalg.norm(normals, axis=1)
    # A triangle without area (three corners on a line) gets no normal and sees nothing.
    normals = normals / np.where(lengths > 0.0, lengths, 1.0)[:, None]
    return normals, np.asarray(np.einsum("ij,ij->i", normals, a))


def _rim(seen: NDArray[np.intp]) -> NDArray[np.intp]:
    """Directed edges of the seen triangles whose other side is not seen."""
    edges = np.concatenate([seen[:, [0, 1]], seen[:, [1, 2]], seen[:, [2, 0]]])
    known = {(i, j) for i, j in edges.tolist()}
    return np.array([(i, j) for i, j in edges.tolist() if (j, i) not in known], dtype=np.intp).reshape(-1, 2)


def _sharp_edges(faces: NDArray[np.intp], normals: Array) -> NDArray[np.intp]:
    """Edges between triangles that do not lie in one plane."""
    beside: dict[tuple[int, int], int] = {}
    for number, (i, j, k) in enumerate(faces.tolist()):
        beside[i, j] = beside[j, k] = beside[k, i] = number
    sharp = [
        (i, j)
        for (i, j), number in beside.items()
        if i < j and float(normals[number] @ normals[beside.get((j, i), number)]) < 1.0 - SAME_DIRECTION
    ]
    return np.array(sharp, dtype=np.intp).reshape(-1, 2)


def _outline_edges(places: Array, normal: Array, flat: float) -> NDArray[np.intp]:
    """Edges of a flat hull: walk round it, always to the point that leaves all others on one side."""
    across = _unit(np.cross(normal, np.eye(3)[int(np.abs(normal).argmin())]))
    plane = np.column_stack([places @ across, places @ np.cross(normal, across)])
    order = np.lexsort((plane[:, 1], plane[:, 0])).tolist()
    lower, upper = _chain(plane, order, flat), _chain(plane, order[::-1], flat)
    outline = lower + upper[1:]
    return np.array(list(pairwise(outline)), dtype=np.intp)


def _chain(plane: Array, order: list[int], flat: float) -> list[int]:
    chain: list[int] = []
    for index in order:
        while len(chain) > 1:
            p, q = plane[chain[-1]] - plane[chain[-2]], plane[index] - plane[chain[-2]]
            if float(p[0] * q[1] - p[1] * q[0]) > flat * float(np.hypot(*q)):
                break
            chain.pop()
        chain.append(index)
    return chain


def _directions(places: Array, ends: NDArray[np.intp]) -> Array:
    along = places[ends[:, 1]] - places[ends[:, 0]]
    lengths = np.linalg.norm(along, axis=1)
    along = along[lengths > 0.0] / lengths[lengths > 0.0][:, None]
    first = along[np.arange(len(along)), np.abs(along).argmax(axis=1)]
    return _distinct(along * np.sign(first)[:, None])


def _distinct(directions: Array) -> Array:
    """Each direction once, in the order of the first."""
    kept: list[int] = []
    rest = np.einsum("ij,ij->i", directions, directions) > 0.5
    while rest.any():
        first = int(rest.argmax())
        kept.append(first)
        rest &= directions @ directions[first] < 1.0 - SAME_DIRECTION
    return directions[kept]
