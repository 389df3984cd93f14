"""Facet trees in their poses, as a search sees them: boxes, triangles and their reach along a direction."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.facets import Array, FacetTree, Pose, rising

Index = NDArray[np.intp]


class Placed:
    """A tree in its pose; everything it answers is in case axes."""

    def __init__(self, tree: FacetTree, pose: Pose) -> None:
        self.tree = tree
        self.turn, self.shift = np.asarray(pose[0], dtype=float), np.asarray(pose[1], dtype=float)
        self.spread = np.abs(self.turn)
        if self.turn.shape != (3, 3) or self.shift.shape != (3,):
            raise ValueError("a pose is a rotation (3, 3) and a shift (3,)")
        if not (np.isfinite(self.turn).all() and np.isfinite(self.shift).all()):
            raise ValueError("a pose has a number that is not finite")

    @property
    def is_square(self) -> bool:
        """Whether its own axes lie along the case axes."""
        return bool((np.sort(self.spread, axis=1)[:, :2] <= 1e-12).all())

    def boxes(self, level: int, index: Index) -> tuple[Array, Array]:
        """Middles and half sizes (N, 3) of the boxes of that level."""
        at = self.tree.levels[level]
        return at.middle[index] @ self.turn.T + self.shift, at.half[index] @ self.spread.T

    def triangles(self, index: Index) -> Array:
        return np.asarray(self.tree.triangles[index] @ self.turn.T + self.shift)

    def extents(self, frame: Array) -> list[tuple[Array, Array]]:
        """Boxes of all levels along other axes, the rows of `frame`: lowest and highest (N, 3) of each level."""
        along = self.vertices_along(frame)[self.tree.corners]
        return self._risen(along.min(axis=1), along.max(axis=1))

    def vertices_along(self, frame: Array) -> Array:
        return np.asarray(self.tree.vertices @ (frame @ self.turn).T + frame @ self.shift)

    @staticmethod
    def _risen(low: Array, high: Array) -> list[tuple[Array, Array]]:
        return list(zip(rising(low, np.minimum), rising(high, np.maximum), strict=True))


class Loose(Placed):
    """A placed tree whose vertices may each be displaced within a box, in case axes.

    slack: (V, 2, 3), or (2, 3) for all vertices: lowest and highest displacement.
    """

    def __init__(self, tree: FacetTree, pose: Pose, slack: Array) -> None:
        super().__init__(tree, pose)
        given = np.asarray(slack, dtype=float)
        if given.shape not in ((2, 3), (len(tree.vertices), 2, 3)):
            raise ValueError("slack is (2, 3) for all vertices or (V, 2, 3), lowest and highest displacement")
        if not np.isfinite(given).all():
            raise ValueError("a displacement is not a finite number")
        self.slack = np.broadcast_to(given, (len(tree.vertices), 2, 3))
        corners = self.slack[tree.corners]
        levels = self._risen(corners[:, :, 0].min(axis=1), corners[:, :, 1].max(axis=1))
        self._drift = [((low + high) / 2.0, (high - low) / 2.0) for low, high in levels]

    def boxes(self, level: int, index: Index) -> tuple[Array, Array]:
        middle, half = super().boxes(level, index)
        drift, play = self._drift[level]
        return middle + drift[index], half + play[index]

    def corner_slack(self, index: Index) -> Array:
        """Displacements of the corners of triangles, (N, 3 corners, 2, 3)."""
        return np.asarray(self.slack[self.tree.corners[index]])

    def extents(self, frame: Array) -> list[tuple[Array, Array]]:
        low, high = self.slack[:, 0], self.slack[:, 1]
        drift, play = (low + high) / 2.0 @ frame.T, (high - low) / 2.0 @ np.abs(frame).T
        along = self.vertices_along(frame) + drift
        corners = self.tree.corners
        return self._risen((along - play)[corners].min(axis=1), (along + play)[corners].max(axis=1))
