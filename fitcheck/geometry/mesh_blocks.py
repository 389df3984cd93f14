"""A large mesh in blocks of neighbouring triangles, so that only what lies near another part is kept at full detail.

A distance up to a given reach is decided by triangles that come within that reach of the other part; the boxes of the
blocks tell which cannot. What is left out is therefore farther away than the answer: the answer is that of the whole
mesh. The same boxes tell which triangles can lie on a ray, so that whether a point is inside is counted on these alone.
What a closed mesh shares with another part is that of a mesh which is the same about that part and hardly anything
elsewhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitcheck.geometry.facet_placed import Placed
from fitcheck.geometry.facets import Array, FacetTree, Pose, curve_order
from fitcheck.geometry.inside_mesh import RAY_TURN, points_inside, winding_numbers
from fitcheck.geometry.mesh_around import mesh_around, place_of
from fitcheck.geometry.meshfile_health import bodies_of

Faces = NDArray[np.int64]
Boxes = tuple[Array, Array]
"""(low (N, 3), high (N, 3)) in case axes."""

LARGE = 100_000
"""Meshes of so many triangles are looked at by local detail."""

BLOCK = 128
"""Triangles of one block: their boxes take a fiftieth of the room that a tree down to the triangles would."""

FEW = 256
"""Boxes that stand for a whole part where it is only asked what lies near it."""

AT_ONCE = 2048
"""Blocks, or points, worked on together: bounds the memory at some 50 MB."""

FAR = (4.0, 12.0)
"""A block farther off than so many times its own reach is seen as one triangle; the second where the first is too
rough.
"""

SEEDS = 4
"""Blocks tried for a first, true distance."""


class Blocks:
    """Triangles of one mesh in its own axes. `faces` (F, 3) stay as they are; `order` lists them block by block."""

    def __init__(self, vertices: ArrayLike, faces: ArrayLike) -> None:
        """vertices: (V, 3) in mm, finite. faces: (F, 3), F >= 1."""
        self.vertices: Array = np.ascontiguousarray(vertices, dtype=np.float64)
        self.faces: Faces = np.asarray(faces, dtype=np.int64)
        places = self.vertices[self.faces[:, 0]]
        self.order: NDArray[np.int32] = curve_order(places).astype(np.int32)
        del places
        starts = np.arange(0, len(self.faces), BLOCK)
        self.low, self.high = np.empty((len(starts), 3)), np.empty((len(starts), 3))
        for first in range(0, len(starts), AT_ONCE):
            some = starts[first : first + AT_ONCE]
            corners = self.vertices[self.faces[self.order[some[0] : some[-1] + BLOCK]]]
            lows, highs = corners.min(axis=1), corners.max(axis=1)
            self.low[first : first + AT_ONCE] = np.minimum.reduceat(lows, some - some[0])
            self.high[first : first + AT_ONCE] = np.maximum.reduceat(highs, some - some[0])

    @cached_property
    def body_corners(self) -> Faces:
        """One corner of each body, as rows of `vertices`."""
        count, body = bodies_of(self.faces, len(self.vertices))
        first = np.full(count, -1, dtype=np.int64)
        known = np.flatnonzero(body >= 0)
        first[body[known[::-1]]] = known[::-1]
        corners: Faces = self.faces[first, 0]
        return corners

    def placed(self, pose: Pose) -> Boxes:
        """The boxes of the blocks as they stand in the case."""
        turn, shift = pose
        middle, half = (self.low + self.high) / 2.0 @ turn.T + shift, (self.high - self.low) / 2.0 @ np.abs(turn).T
        return middle - half, middle + half

    def few(self, pose: Pose) -> Boxes:
        """At most FEW boxes that hold the whole mesh."""
        return merged(self.placed(pose))

    def near(self, pose: Pose, others: Boxes, reach: float) -> Faces:
        """Rows of `faces` whose triangles may come within `reach` of one of the other boxes; ascending."""
        chosen = np.flatnonzero(_distances(self.placed(pose), others) <= reach)
        rows: Faces = np.sort(self._rows(chosen))
        if not len(rows):
            return rows
        corners = self.vertices[self.faces[rows]] @ pose[0].T + pose[1]
        near: Faces = rows[_distances((corners.min(axis=1), corners.max(axis=1)), others) <= reach]
        return near

    def nearest(self, pose: Pose, others: Boxes, blocks: int) -> Faces:
        """Rows of `faces` of that many blocks, those whose boxes are nearest to the other boxes."""
        order = np.argsort(_distances(self.placed(pose), others), kind="stable")
        return np.sort(self._rows(order[:blocks]))

    def inside(self, pose: Pose, points: Array) -> NDArray[np.bool_]:
        """Whether each of `points` (P, 3), in case axes, lies inside the mesh, which is closed; (P,) bool."""
        turn, shift = np.asarray(pose[0]), np.asarray(pose[1])
        own = (points - shift) @ turn
        low, high = self.low.min(axis=0), self.high.max(axis=0)
        found = np.zeros(len(points), dtype=bool)
        within = np.flatnonzero(((own >= low) & (own <= high)).all(axis=1))
        if len(within):
            rows = self._over(own[within])
            used, corners = np.unique(self.faces[rows], return_inverse=True)
            found[within] = points_inside(self.vertices[used], corners.reshape(-1, 3), own[within])
        return found

    def turns(self, pose: Pose, points: Array, against: Sequence[float]) -> Array:
        """How often the surface goes round each of `points` (P, 3), in case axes; see `winding_numbers`.

        Far blocks are taken as one triangle each, as long as what that leaves out cannot bring a value to the other
        side of one of the figures in `against`.
        """
        turn, shift = np.asarray(pose[0]), np.asarray(pose[1])
        own = (points - shift) @ turn
        return np.array([self._turns_of(point, against) for point in own])

    def _turns_of(self, point: Array, against: Sequence[float]) -> float:
        facing, middle, area, radius = self._views
        away = middle - point
        distance = np.linalg.norm(away, axis=1)
        for reaches in FAR:
            far = distance > reaches * radius
            shares = np.einsum("ij,ij->i", facing[far], away[far]) / distance[far] ** 3
            # The view's second derivative along any way is at most 6 / distance^4; its first cancels about the middle.
            left_out = 3.0 * area[far] * radius[far] ** 2 / (distance[far] - radius[far]) ** 4
            near = self._exact(self._rows(np.flatnonzero(~far)), point)
            value, error = near + float(shares.sum()) / (4.0 * np.pi), float(left_out.sum()) / (4.0 * np.pi)
            if all(abs(value - figure) > error for figure in against):
                return value
        return near + self._exact(self._rows(np.flatnonzero(far)), point)

    def _exact(self, rows: Faces, point: Array) -> float:
        found = 0.0
        for first in range(0, len(rows), AT_ONCE * BLOCK):
            faces = self.faces[rows[first : first + AT_ONCE * BLOCK]]
            found += float(winding_numbers(self.vertices, faces, point[None, :])[0])
        return found

    @cached_property
    def _views(self) -> tuple[Array, Array, Array, Array]:
        """Of each block: its area as a vector, its middle weighed by area, its area, how far it reaches from there."""
        count = len(self.low)
        facing, middle, area, radius = np.zeros((count, 3)), np.zeros((count, 3)), np.zeros(count), np.zeros(count)
        for first in range(0, count, AT_ONCE):
            part = slice(first, min(first + AT_ONCE, count))
            corners = self.vertices[self.faces[self.order[first * BLOCK : part.stop * BLOCK]]]
            block = np.arange(len(corners)) // BLOCK
            starts = np.arange(0, len(corners), BLOCK)
            vectors = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2.0
            sizes = np.linalg.norm(vectors, axis=1)
            facing[part], area[part] = np.add.reduceat(vectors, starts), np.add.reduceat(sizes, starts)
            weighed = np.add.reduceat(sizes[:, None] * corners.mean(axis=1), starts)
            plain = np.add.reduceat(corners.mean(axis=1), starts) / np.bincount(block)[:, None]
            some = area[part][:, None] > 0.0
            middle[part] = np.where(some, weighed / np.where(some, area[part][:, None], 1.0), plain)
            reach = np.linalg.norm(corners - middle[part][block][:, None, :], axis=2).max(axis=1)
            radius[part] = np.maximum.reduceat(reach, starts)
        return facing, middle, area, radius

    def around(self, low: Array, high: Array) -> tuple[Array, Faces]:
        """The mesh, which is closed, as it is within a box: (vertices, faces) of a closed mesh; see `mesh_around`.

        The box goes from `low` to `high` (3,), in the mesh's own axes.
        """
        meets = _meet(self.low, self.high, low, high)
        rows = self._rows(np.flatnonzero(meets))
        corners = self.vertices[self.faces[rows]]
        is_near = _meet(corners.min(axis=1), corners.max(axis=1), low, high)
        near: Faces = self.faces[rows[is_near]]
        apart: NDArray[np.bool_] = ~meets & (place_of(self.low, low, high) != place_of(self.high, low, high))
        if len(near):
            kept = self.vertices[near].reshape(-1, 3)
            apart |= ~meets & _meet(self.low, self.high, kept.min(axis=0), kept.max(axis=0))
        others = np.concatenate([rows[~is_near], self._rows(np.flatnonzero(apart))])
        return mesh_around(self.vertices, near, self.faces[others], low, high)

    def _over(self, points: Array) -> Faces:
        """Rows of the faces that a line through any of the points, along the ray of `points_inside`, can meet."""
        low, high = self.placed((RAY_TURN, np.zeros(3)))
        flat = (points @ RAY_TURN.T)[:, :2]
        margin = 1e-9 * max(1.0, float(np.abs(flat).max()))
        met = np.zeros(len(low), dtype=bool)
        for first in range(0, len(flat), AT_ONCE // 8):
            some = flat[first : first + AT_ONCE // 8, None, :]
            met |= ((some >= low[:, :2] - margin) & (some <= high[:, :2] + margin)).all(axis=2).any(axis=0)
        return np.sort(self._rows(np.flatnonzero(met)))

    def _rows(self, blocks: NDArray[np.intp]) -> Faces:
        rows = (blocks[:, None] * BLOCK + np.arange(BLOCK)).ravel()
        return np.asarray(self.order[rows[rows < len(self.faces)]], dtype=np.int64)


def boxes_of(tree: FacetTree, pose: Pose) -> Boxes:
    """At most FEW boxes that hold all triangles of a tree."""
    level = next(number for number, each in enumerate(tree.levels) if len(each.half) <= FEW)
    middle, half = Placed(tree, pose).boxes(level, np.arange(len(tree.levels[level].half)))
    return middle - half, middle + half


def merged(boxes: Boxes) -> Boxes:
    """Boxes merged, neighbours in the list with one another, until at most FEW are left."""
    low, high = boxes
    starts = np.arange(0, len(low), -(-len(low) // FEW))
    return np.minimum.reduceat(low, starts), np.maximum.reduceat(high, starts)


def _meet(lows: Array, highs: Array, low: Array, high: Array) -> NDArray[np.bool_]:
    """Whether each box (N, 3), (N, 3) and one other have a point in common; (N,)."""
    found: NDArray[np.bool_] = np.all((lows <= high) & (highs >= low), axis=1)
    return found


def _distances(boxes: Boxes, others: Boxes) -> Array:
    """Of each box from the nearest of the others; (N,)."""
    low, high = boxes
    found = np.empty(len(low))
    for first in range(0, len(low), AT_ONCE):
        part = slice(first, first + AT_ONCE)
        squares = np.zeros((len(low[part]), len(others[0])))
        for axis in range(3):
            ahead = others[0][None, :, axis] - high[part, None, axis]
            behind = low[part, None, axis] - others[1][None, :, axis]
            squares += np.maximum(np.maximum(ahead, behind), 0.0) ** 2
        found[part] = np.sqrt(squares.min(axis=1))
    return found
