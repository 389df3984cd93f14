"""Distance between triangles in space, many pairs at a time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_NEXT = np.array([1, 2, 0])
_FIRST = np.repeat(np.arange(3), 3)
_SECOND = np.tile(np.arange(3), 3)
_TINY = 1e-300
SKINNY = 1e-12
"""A triangle whose doubled area is below this share of its longest edge squared has no face, only edges."""


def closest_points(a: Array, b: Array) -> tuple[Array, Array, Array]:
    """Distance (N,) of each pair of triangles (N, 3, 3), and the points on both (N, 3); 0.0 where they touch or cross.

    Triangles without area are taken as the lines or points they are.
    """
    # Seen from a corner of the pair, coordinates are small and so is their rounding.
    origin = a[:, :1]
    near, far = a - origin, b - origin
    pairs = np.arange(len(a))
    edge_squares, along_a, along_b = _edges(near, far)
    at = edge_squares.argmin(axis=1)
    best = edge_squares[pairs, at]
    on_a = _between(near, _FIRST[at], along_a[pairs, at])
    on_b = _between(far, _SECOND[at], along_b[pairs, at])
    for one, other, on_one, on_other in ((near, far, on_a, on_b), (far, near, on_b, on_a)):
        squares, feet = _corners_to_face(one, other)
        at = squares.argmin(axis=1)
        nearer = np.flatnonzero(squares[pairs, at] < best)
        best[nearer] = squares[nearer, at[nearer]]
        on_one[nearer], on_other[nearer] = one[nearer, at[nearer]], feet[nearer, at[nearer]]
    for one, other in ((near, far), (far, near)):
        hits, points = _piercings(one, other)
        pierced = np.flatnonzero(hits.any(axis=1))
        best[pierced] = 0.0
        on_a[pierced] = on_b[pierced] = points[pierced, hits[pierced].argmax(axis=1)]
    return np.sqrt(best), on_a + origin[:, 0], on_b + origin[:, 0]


def _between(triangles: Array, edge: NDArray[np.intp], along: Array) -> Array:
    pairs = np.arange(len(triangles))
    start = triangles[pairs, edge]
    return np.asarray(start + along[:, None] * (triangles[pairs, _NEXT[edge]] - start))


def _dot(a: Array, b: Array) -> Array:
    return np.asarray(np.einsum("...i,...i->...", a, b))


def _cross(a: Array, b: Array) -> Array:
    """Cross product along the last axis; np.cross spends most of its time on its arguments."""
    result = np.empty(np.broadcast_shapes(a.shape, b.shape))
    result[..., 0] = a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1]
    result[..., 1] = a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2]
    result[..., 2] = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return result


def _edges(a: Array, b: Array) -> tuple[Array, Array, Array]:
    """Squared distance of all nine pairs of edges, and where along each, (N, 9) each."""
    run_a, run_b = (a[:, _NEXT] - a)[:, _FIRST], (b[:, _NEXT] - b)[:, _SECOND]
    between = a[:, _FIRST] - b[:, _SECOND]
    square_a, square_b = _dot(run_a, run_a), _dot(run_b, run_b)
    both = _dot(run_a, run_b)
    to_a, to_b = _dot(run_a, between), _dot(run_b, between)
    # From the cross product, not from square_a * square_b - both**2, which loses all digits for nearly parallel edges.
    normal = _cross(run_a, run_b)
    spread = _dot(normal, normal)
    along_a = np.where(spread > _TINY, -_dot(_cross(between, run_b), normal) / np.maximum(spread, _TINY), 0.0)
    along_a = np.clip(along_a, 0.0, 1.0)
    along_b = np.clip((both * along_a + to_b) / np.maximum(square_b, _TINY), 0.0, 1.0)
    along_a = np.clip((both * along_b - to_a) / np.maximum(square_a, _TINY), 0.0, 1.0)
    apart = between + along_a[..., None] * run_a - along_b[..., None] * run_b
    return _dot(apart, apart), along_a, along_b


def _corners_to_face(a: Array, b: Array) -> tuple[Array, Array]:
    """Squared height of the corners of a over the face of b, (N, 3), inf where the foot lies beside it; the feet."""
    normal, area = unit_normals(b)
    heights = _dot(a - b[:, :1], normal[:, None])
    feet = a - heights[..., None] * normal[:, None]
    inside = _within(feet, b, normal) & (area > 0.0)[:, None]
    return np.where(inside, heights * heights, np.inf), feet


def unit_normals(b: Array) -> tuple[Array, Array]:
    """Unit normals (N, 3) and doubled areas (N,); both zero for triangles without a face."""
    side_1, side_2 = b[:, 1] - b[:, 0], b[:, 2] - b[:, 0]
    normal = _cross(side_1, side_2)
    area = np.sqrt(_dot(normal, normal))
    flat = area <= SKINNY * np.maximum(_dot(side_1, side_1), _dot(side_2, side_2))
    normal = np.where(flat[:, None], 0.0, normal / np.where(flat, 1.0, area)[:, None])
    return normal, np.where(flat, 0.0, area)


def _within(feet: Array, b: Array, normal: Array) -> NDArray[np.bool_]:
    """Whether points of the planes of triangles lie on the triangles: (N, M, 3), (N, 3, 3) -> (N, M)."""
    inside = np.ones(feet.shape[:2], dtype=bool)
    for corner in range(3):
        inward = _cross(normal, b[:, (corner + 1) % 3] - b[:, corner])
        inside &= _dot(feet - b[:, corner, None], inward[:, None]) >= 0.0
    return inside


def _piercings(a: Array, b: Array) -> tuple[NDArray[np.bool_], Array]:
    """Which edges of a go through the face of b (N, 3), and where they meet its plane (N, 3, 3)."""
    normal, area = unit_normals(b)
    heights = _dot(a - b[:, :1], normal[:, None])
    ends = heights[:, _NEXT]
    across = (heights > 0.0) != (ends > 0.0)
    share = heights / np.where(across, heights - ends, 1.0)
    points = a + share[..., None] * (a[:, _NEXT] - a)
    return across & (area > 0.0)[:, None] & _within(points, b, normal), points
