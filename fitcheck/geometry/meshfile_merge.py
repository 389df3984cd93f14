"""Corners of a mesh that are one: those that are equal, and, where that closes the mesh, those that are nearly so."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.meshfile_health import open_vertices
from fitcheck.geometry.meshfile_raw import Faces, Points

SAME_CORNER = 2e-6
"""Corners within this share of the largest coordinate may be one: two roundings to six digits, or to 32 bits."""

_ODD = (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9)
"""Odd 64-bit numbers that scatter the bits of a coordinate; what they are does not matter to the outcome."""


def merge_equal(vertices: NDArray[Any], faces: Faces) -> tuple[NDArray[Any], Faces]:
    """Corners with the same three numbers become one, sorted by x, y, z; numbers of 32 bits stay so."""
    rows = vertices + vertices.dtype.type(0.0)  # minus zero becomes zero
    key = _scattered(rows)
    order = np.argsort(key)
    ranked = key[order]
    new = np.concatenate([[True], ranked[1:] != ranked[:-1]])
    del key, ranked
    group = np.empty(len(rows), dtype=np.int64)
    group[order] = np.cumsum(new) - 1
    first = order[new]
    del order, new
    if any((rows[first, axis][group] != rows[:, axis]).any() for axis in range(3)):
        return _merge_by_sorting(rows, faces)  # two different corners had one key: once in a million large meshes
    whole = rows[first]
    sorted_rows = np.lexsort((whole[:, 2], whole[:, 1], whole[:, 0]))
    place = np.empty(len(whole), dtype=np.int64)
    place[sorted_rows] = np.arange(len(whole))
    return whole[sorted_rows], place[group][faces]


def _scattered(rows: NDArray[Any]) -> NDArray[np.uint64]:
    """One 64-bit number for each corner, the same for equal ones."""
    bits = np.uint32 if rows.dtype == np.float32 else np.uint64
    key = np.zeros(len(rows), dtype=np.uint64)
    for axis, odd in enumerate(_ODD):
        key ^= np.ascontiguousarray(rows[:, axis]).view(bits).astype(np.uint64)
        key *= np.uint64(odd)
        key ^= key >> np.uint64(29)
    return key


def _merge_by_sorting(rows: NDArray[Any], faces: Faces) -> tuple[NDArray[Any], Faces]:
    order = np.lexsort((rows[:, 2], rows[:, 1], rows[:, 0]))
    ranked = rows[order]
    new = np.concatenate([[True], (ranked[1:] != ranked[:-1]).any(axis=1)])
    group = np.empty(len(rows), dtype=np.int64)
    group[order] = np.cumsum(new) - 1
    return ranked[new], group[faces]


def merge_close(vertices: Points, faces: Faces) -> tuple[Points, Faces, list[str]]:
    """Close cracks no wider than the rounding of the file, if that closes the mesh altogether."""
    edge_points = open_vertices(faces, len(vertices))
    if not len(edge_points):
        return vertices, faces, []
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    within = SAME_CORNER * float(np.abs(vertices).max())
    pairs = edge_points[cKDTree(vertices[edge_points]).query_pairs(within, output_type="ndarray")]
    if not len(pairs):
        return vertices, faces, []
    links = coo_matrix((np.ones(len(pairs), dtype=np.int8), (pairs[:, 0], pairs[:, 1])), (len(vertices),) * 2)
    _, label = connected_components(links, directed=False)
    _, first = np.unique(label, return_index=True)
    merged = first[label][faces]
    if len(open_vertices(merged, len(vertices))):
        return vertices, faces, []
    said = f"Closed only when corners within {within:.2g} mm are taken as one; they were merged."
    return vertices, merged, [said]
