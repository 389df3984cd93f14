"""Flat shapes for drawing: the silhouette of a part in a direction, its edges, and its cut by a plane.

Everything here is for the eye. Nothing is measured on it, so coordinates may be coarsened to what a picture can show.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_MOST_TRIANGLES = 4_000
"""Silhouettes of finer meshes are filled cell by cell, in time that hardly grows with their number."""

_FINE_STEPS, _CELLS = 10_000, 1_000
"""Grid steps along the part's longest side: a tenth of a line's width, and a line's width, on a full-page drawing."""

_CREASE_DEG = 25.0
"""Edges flatter than this belong to a round and are not drawn."""

_MOST_CREASED = 20_000
"""Meshes with more triangles are drawn by their silhouette alone: their edges would blacken the picture."""


def silhouette(points: Floats, faces: Ints) -> BaseGeometry:
    """The shadow of a mesh. `points` (V, 2) are its vertices already projected; `faces` (F, 3)."""
    if not len(faces):
        return shapely.Polygon()
    low = points.min(axis=0)
    size = float((points.max(axis=0) - low).max()) or 1.0
    steps, flat = (_FINE_STEPS, _joined) if len(faces) <= _MOST_TRIANGLES else (_CELLS, _filled)
    cell = size / steps
    return shapely.transform(flat((points - low) / cell, faces), lambda coordinates: coordinates * cell + low)


def _joined(points: Floats, faces: Ints) -> BaseGeometry:
    """The union of the triangles, corners on whole numbers."""
    corners = np.rint(points)[faces]
    one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    corners = corners[one[:, 0] * other[:, 1] != one[:, 1] * other[:, 0]]
    closed = np.concatenate([corners, corners[:, :1]], axis=1)
    # No grid_size: the union on a fixed grid gives up on crowded meshes, the free one snaps by itself where it must.
    return shapely.union_all(shapely.polygons(shapely.linearrings(closed))) if len(closed) else shapely.Polygon()


def _filled(points: Floats, faces: Ints) -> BaseGeometry:
    """The union of the cells that the triangles touch, its steps smoothed; points within 0 and `_CELLS`."""
    row, start, end = _runs(points, faces)
    width = _CELLS + 1
    ends = np.bincount(row * width + start, minlength=_CELLS * width).astype(np.int64)
    ends -= np.bincount(row * width + end + 1, minlength=_CELLS * width)
    filled = np.cumsum(ends.reshape(_CELLS, width), axis=1) > 0
    change = np.diff(np.pad(filled, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    rows, starts = np.nonzero(change == 1)
    _, stops = np.nonzero(change == -1)
    return shapely.simplify(shapely.union_all(shapely.box(starts, rows, stops, rows + 1)), 1.0)


def _runs(points: Floats, faces: Ints) -> tuple[Ints, Ints, Ints]:
    """For every row of cells that a triangle reaches: the row, its first and its last cell."""
    corners = points[faces]
    corners = np.take_along_axis(corners, np.argsort(corners[:, :, 1], axis=1)[:, :, None], axis=1)
    first, last = (np.clip(np.floor(corners[:, at, 1]), 0, _CELLS - 1).astype(np.int64) for at in (0, 2))
    which = np.repeat(np.arange(len(faces)), last - first + 1)
    row = np.arange(len(which)) - np.repeat(np.cumsum(last - first + 1) - (last - first + 1) - first, last - first + 1)
    (x0, y0), (x1, y1), (x2, y2) = (corners[which, at].T for at in range(3))
    # Looked at along the middle of the row, or at the corner where the triangle does not reach that far.
    y = np.clip(row + 0.5, y0, y2)
    long_side = x0 + (x2 - x0) * _share(y - y0, y2 - y0)
    bent_side = np.where(y < y1, x0 + (x1 - x0) * _share(y - y0, y1 - y0), x1 + (x2 - x1) * _share(y - y1, y2 - y1))
    sides = np.stack([long_side, bent_side, np.where(y0 == y2, x0, bent_side), np.where(y0 == y2, x2, bent_side)])
    cells = np.clip(np.floor(sides), 0, _CELLS - 1).astype(np.int64)
    return row, cells.min(axis=0), cells.max(axis=0)


def _share(part: Floats, whole: Floats) -> Floats:
    return np.divide(part, whole, out=np.zeros_like(whole), where=whole != 0.0)


def creases(vertices: Floats, faces: Ints) -> Floats:
    """The edges at which a surface bends or ends, (E, 2, 3); none for a mesh too fine for its edges to be drawn."""
    if not len(faces) or len(faces) > _MOST_CREASED:
        return np.empty((0, 2, 3))
    _, same = np.unique(np.round(vertices, 6), axis=0, return_inverse=True)
    first = np.unique(same.reshape(-1), return_index=True)[1]
    welded = same.reshape(-1)[faces]
    normals = np.cross(vertices[faces[:, 1]] - vertices[faces[:, 0]], vertices[faces[:, 2]] - vertices[faces[:, 0]])
    lengths = np.linalg.norm(normals, axis=1)
    welded, normals = welded[lengths > 0.0], (normals / np.maximum(lengths, 1e-300)[:, None])[lengths > 0.0]
    edges = np.sort(welded[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    owner = np.repeat(np.arange(len(welded)), 3)
    order = np.lexsort((owner, edges[:, 1], edges[:, 0]))
    edges, owner = edges[order], owner[order]
    starts = np.flatnonzero(np.r_[True, (edges[1:] != edges[:-1]).any(axis=1)])
    counts = np.diff(np.r_[starts, len(edges)])
    bent = np.ones(len(starts), dtype=bool)
    pairs = counts == 2
    cosine = np.einsum("ij,ij->i", normals[owner[starts[pairs]]], normals[owner[starts[pairs] + 1]])
    bent[pairs] = cosine < np.cos(np.radians(_CREASE_DEG))
    return np.asarray(vertices[first[edges[starts[bent]]]], dtype=np.float64)


def cut(vertices: Floats, faces: Ints, normal: Floats, across: Floats, up: Floats, through: Floats) -> BaseGeometry:
    """What a plane cuts out of a mesh, in plane coordinates (`across`, `up`) from `through`.

    Areas where the cut closes into rings, lines where it does not (an open surface).
    """
    height = (vertices - through) @ normal
    # A vertex in the plane counts as above it: no triangle is then cut twice, none falls between two cuts.
    above = height >= 0.0
    crossing = faces[above[faces].any(axis=1) & ~above[faces].all(axis=1)]
    if not len(crossing):
        return shapely.GeometryCollection()
    segments = _segments(vertices, height, above, crossing)
    flat = np.round(np.stack([(segments - through) @ across, (segments - through) @ up], axis=-1), 5)
    flat = flat[(flat[:, 0] != flat[:, 1]).any(axis=1)]
    lines = shapely.union_all(shapely.linestrings(flat))
    areas = shapely.polygonize(shapely.get_parts(lines)).geoms
    solid = [area for area in areas if _winding(flat, area.representative_point())]
    return shapely.union_all(solid) if solid else lines


def _winding(segments: Floats, point: shapely.Point) -> int:
    """How often the oriented segments (N, 2, 2) run round the point; 0 outside the body they bound."""
    start, end = segments[:, 0] - (point.x, point.y), segments[:, 1] - (point.x, point.y)
    rising = (start[:, 1] <= 0.0) & (end[:, 1] > 0.0)
    falling = (start[:, 1] > 0.0) & (end[:, 1] <= 0.0)
    to_the_right = start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]
    return int(np.sum(rising & (to_the_right > 0.0)) - np.sum(falling & (to_the_right < 0.0)))


def _segments(vertices: Floats, height: Floats, above: NDArray[np.bool_], crossing: Ints) -> Floats:
    """Where each crossing triangle meets the plane, (N, 2, 3), the body always on the same hand."""
    side = above[crossing]
    alone = np.where(side.sum(axis=1) == 1, side.argmax(axis=1), (~side).argmax(axis=1))
    rows = np.arange(len(crossing))
    apex = crossing[rows, alone]
    ends = []
    for step in (1, 2):
        base = crossing[rows, (alone + step) % 3]
        share = height[apex] / (height[apex] - height[base])
        ends.append(vertices[apex] + share[:, None] * (vertices[base] - vertices[apex]))
    segments = np.stack(ends, axis=1)
    upright = side.sum(axis=1) == 1
    return np.where(upright[:, None, None], segments, segments[:, ::-1])
