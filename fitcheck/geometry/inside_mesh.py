"""Which points lie inside a mesh, and how deep: for when one of two parts is a mesh that is not closed.

An open mesh has no volume to share, so only points of it are tried. What its surface does between them is not seen: the
depth may be understated, and a finding that rests on it has to say so.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Faces = NDArray[np.int64]

MOST_PAIRS = 4_000_000
"""Point-triangle pairs handled at a time, to bound the memory."""

MOST_MEASURED = 100_000
"""Point-triangle pairs whose distance is worked out at a time."""


def _oblique() -> Points:
    """A rotation after which no edge of a workshop part is likely to be upright."""
    axis = np.array([0.5364, 0.7411, 0.4039])
    axis = axis / np.linalg.norm(axis)
    x, y, z = axis
    skew = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    angle = 1.2345
    result: Points = np.eye(3) + np.sin(angle) * skew + (1.0 - np.cos(angle)) * (skew @ skew)
    return result


RAY_TURN = _oblique()
"""Rays go along the third axis after this turn."""


def sample_points(vertices: Points, faces: Faces) -> Points:
    """The corners in use and the middle of every triangle."""
    return np.vstack([vertices[np.unique(faces)], vertices[faces].mean(axis=1)])


def depth_of_points(vertices: Points, faces: Faces, points: Points) -> float:
    """How deep the deepest of `points` (P, 3) lies in a closed mesh: its distance to the surface; 0.0 if none is in.

    vertices (V, 3) in mm and faces (F, 3) of the closed mesh.
    """
    from scipy.spatial import cKDTree

    open_points = points[points_inside(vertices, faces, points)]
    corners = vertices[faces]
    at_once = 1 + MOST_MEASURED // len(corners)
    # No point is deeper than its distance to the nearest corner, nor than one beside it and the way there.
    at_most, _ = cKDTree(vertices[np.unique(faces)]).query(open_points) if len(open_points) else (np.zeros(0), None)
    deepest = 0.0
    while len(open_points):
        chosen = np.argsort(-at_most)[:: -(-len(at_most) // at_once)]
        measured = open_points[chosen]
        depths = _distances(measured, corners).min(axis=1)
        deepest = max(deepest, float(depths.max()))
        at_most[chosen] = depths
        way, beside = cKDTree(measured).query(open_points)
        at_most = np.minimum(at_most, depths[beside] + way)
        left = at_most > deepest
        open_points, at_most = open_points[left], at_most[left]
    return deepest


def points_inside(vertices: Points, faces: Faces, points: Points) -> NDArray[np.bool_]:
    """Whether each of `points` (P, 3) lies inside a closed mesh, on either winding; (P,) bool.

    A ray is sent from each point in one oblique direction and its crossings are counted with their sign. Points within
    rounding of the surface may be told either way.
    """
    used = vertices[faces.ravel()]
    low, high = used.min(axis=0), used.max(axis=0)
    inside = np.zeros(len(points), dtype=bool)
    near = np.flatnonzero(((points >= low) & (points <= high)).all(axis=1))
    if not len(near):
        return inside
    middle = (low + high) / 2.0
    inside[near] = _crossings((vertices - middle) @ RAY_TURN.T, faces, (points[near] - middle) @ RAY_TURN.T) != 0
    return inside


def winding_numbers(vertices: Points, faces: Faces, points: Points) -> Points:
    """How often the surface goes round each of `points` (P, 3), also where it is not closed; (P,).

    About 1 inside a solid wound outward, 0 far outside it; a gap in the surface takes off the share of the view that it
    opens. The solid angle of a triangle is closed form: A. van Oosterom and J. Strackee, The Solid Angle of a Plane
    Triangle, 1983 (from memory; checked against a cube, whole and with one side missing).
    """
    corners = vertices[faces]
    turns = np.zeros(len(points))
    for number, point in enumerate(points):
        a, b, c = corners[:, 0] - point, corners[:, 1] - point, corners[:, 2] - point
        along, beside, across = (np.linalg.norm(side, axis=1) for side in (a, b, c))
        triple = np.einsum("ij,ij->i", a, np.cross(b, c))
        flat = along * beside * across
        flat += np.einsum("ij,ij->i", a, b) * across + np.einsum("ij,ij->i", b, c) * along
        flat += np.einsum("ij,ij->i", c, a) * beside
        turns[number] = float(2.0 * np.arctan2(triple, flat).sum() / (4.0 * np.pi))
    return turns


def _crossings(vertices: Points, faces: Faces, points: Points) -> NDArray[np.int64]:
    """Signed number of triangles above each point, upward through the third axis."""
    corners = vertices[faces]
    plan_low, plan_high = corners[:, :, :2].min(axis=1), corners[:, :, :2].max(axis=1)
    low = plan_low.min(axis=0)
    cells = int(np.clip(np.sqrt(len(faces)), 1, 512))
    size = (plan_high.max(axis=0) - low) / cells
    cell_of_point = np.clip(((points[:, :2] - low) // size).astype(np.int64), 0, cells - 1)
    first = np.clip(((plan_low - low) // size).astype(np.int64), 0, cells - 1)
    last = np.clip(((plan_high - low) // size).astype(np.int64), 0, cells - 1)
    face, cell = _cells_of_faces(first, last, cells)
    start = np.searchsorted(cell, np.arange(cells * cells + 1))
    key = cell_of_point[:, 0] * cells + cell_of_point[:, 1]
    total = np.zeros(len(points), dtype=np.int64)
    counts = start[key + 1] - start[key]
    for block in _blocks(counts):
        many = counts[block]
        point = np.repeat(block, many)
        rank = np.arange(int(many.sum())) - np.repeat(np.cumsum(many) - many, many)
        signs = _above(vertices, faces[face[np.repeat(start[key[block]], many) + rank]], points[point])
        total += np.bincount(point, weights=signs, minlength=len(points)).astype(np.int64)
    return total


def _cells_of_faces(first: Faces, last: Faces, cells: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """(face, cell) for every cell that a face's plan box covers, ordered by cell."""
    wide = last - first + 1
    many = wide.prod(axis=1)
    face = np.repeat(np.arange(len(first)), many)
    rank = np.arange(int(many.sum())) - np.repeat(np.cumsum(many) - many, many)
    column, row = first[face, 0] + rank // wide[face, 1], first[face, 1] + rank % wide[face, 1]
    cell = column * cells + row
    order = np.argsort(cell, kind="stable")
    return face[order], cell[order]


def _blocks(counts: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """Points in runs of about MOST_PAIRS pairs."""
    ends = np.cumsum(counts) // MOST_PAIRS
    return np.split(np.arange(len(counts)), np.flatnonzero(np.diff(ends)) + 1)


def _above(vertices: Points, faces: Faces, points: Points) -> NDArray[np.int64]:
    """For each (triangle, point) pair, whether the upward ray crosses it: +1, -1 by its winding in plan, or 0."""
    ends = [(faces[:, k], faces[:, (k + 1) % 3]) for k in range(3)]
    areas = [_plan_area(vertices, np.minimum(a, b), np.maximum(a, b), points) for a, b in ends]
    # A point on an edge is given to one side of it, the same for both triangles that share it: no ray slips between.
    is_left = [(area > 0.0) == (a < b) for area, (a, b) in zip(areas, ends, strict=True)]
    left, right = np.all(is_left, axis=0), ~np.any(is_left, axis=0)
    sides = [np.where(a < b, area, -area) for area, (a, b) in zip(areas, ends, strict=True)]
    area = sides[0] + sides[1] + sides[2]
    crossed = (left | right) & (area != 0.0)
    # Each corner is weighed by the side opposite to it.
    weighed = (
        sides[1] * vertices[faces[:, 0], 2] + sides[2] * vertices[faces[:, 1], 2] + sides[0] * vertices[faces[:, 2], 2]
    )
    height = np.divide(weighed, area, out=np.full(len(area), -np.inf), where=crossed)
    hit = crossed & (height > points[:, 2])
    return np.where(hit, np.where(left, 1, -1), 0)


def _plan_area(vertices: Points, a: NDArray[np.int64], b: NDArray[np.int64], points: Points) -> Points:
    """Twice the area, in plan, of the triangles (a, b, point); positive when the point is left of a to b."""
    p, q = vertices[a, :2], vertices[b, :2]
    area: Points = (q[:, 0] - p[:, 0]) * (points[:, 1] - p[:, 1]) - (q[:, 1] - p[:, 1]) * (points[:, 0] - p[:, 0])
    return area


def _distances(points: Points, corners: Points) -> Points:
    """Distance from each point (P, 3) to each triangle (F, 3, 3); (P, F)."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    places = points[:, None, :]
    to_edges = np.min([_to_segment(places, a, b), _to_segment(places, b, c), _to_segment(places, c, a)], axis=0)
    normal = np.cross(b - a, c - a)
    length = np.linalg.norm(normal, axis=1)
    over = np.broadcast_to(length > 0.0, to_edges.shape)
    for start, end in ((a, b), (b, c), (c, a)):
        # The side of an edge on which a point lies, seen along the normal.
        over = over & (np.einsum("pfk,fk->pf", places - start, np.cross(normal, end - start)) >= 0.0)
    to_plane = np.abs(np.einsum("pfk,fk->pf", places - a, normal))
    return np.asarray(np.where(over, to_plane / np.where(length > 0.0, length, 1.0), to_edges), dtype=np.float64)


def _to_segment(places: Points, start: Points, end: Points) -> Points:
    along = end - start
    squared = np.einsum("fk,fk->f", along, along)
    share = np.einsum("pfk,fk->pf", places - start, along) / np.where(squared > 0.0, squared, 1.0)
    nearest = start + np.clip(share, 0.0, 1.0)[:, :, None] * along
    result: Points = np.linalg.norm(places - nearest, axis=2)
    return result
