"""A mesh as a tree of boxes, built once in the mesh's own axes and shared by all parts of that shape.

Triangles are sorted along a space-filling curve, so that every FANOUT neighbours in the list are neighbours in space:
the tree is a few flat arrays, and a search looks at many boxes at a time.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Scalar = TypeVar("Scalar", bound=np.generic)
Pose = tuple[Array, Array]
"""(R (3, 3), t (3,)): case = R @ own + t."""

FANOUT = 4
CURVE_BITS = 16
"""Cells per axis of the curve, as a power of two: finer than any mesh here, and three fit in 64 bits."""


@dataclass(frozen=True, slots=True)
class Level:
    """Boxes of one level, each round FANOUT boxes of the level below: middles and half sizes, (N, 3) each."""

    middle: Array
    half: Array


class FacetTree:
    """Triangles of one mesh under levels of boxes; level 0 has a box per triangle.

    triangles: (N, 3, 3) sorted, the last one repeated to fill the lowest level. corners: (N, 3) their vertices as rows
    of `vertices`. count: how many of them are the mesh's own. levels: from the triangles up to at most FANOUT boxes.
    """

    __slots__ = ("corners", "count", "levels", "triangles", "vertices")

    def __init__(self, vertices: ArrayLike, faces: ArrayLike) -> None:
        """vertices: (V, 3) in mm. faces: (F, 3), F >= 1. Raises ValueError for what is not a finite mesh."""
        self.vertices: Array = np.ascontiguousarray(vertices, dtype=np.float64)
        corners = np.ascontiguousarray(faces, dtype=np.intp)
        if self.vertices.ndim != 2 or self.vertices.shape[1] != 3 or corners.ndim != 2 or corners.shape[1] != 3:
            raise ValueError("a mesh needs vertices (V, 3) and faces (F, 3)")
        if not len(corners):
            raise ValueError("a mesh without a face has no surface")
        if not np.isfinite(self.vertices).all():
            raise ValueError("a vertex has a coordinate that is not a finite number")
        if corners.min() < 0 or corners.max() >= len(self.vertices):
            raise ValueError("a face names a vertex that does not exist")
        self.count = len(corners)
        corners = _filled(corners[curve_order(self.vertices[corners].sum(axis=1))])
        self.corners: NDArray[np.intp] = corners
        self.triangles: Array = self.vertices[corners]
        lows, highs = rising(self.triangles.min(axis=1), np.minimum), rising(self.triangles.max(axis=1), np.maximum)
        self.levels = [Level((low + high) / 2.0, (high - low) / 2.0) for low, high in zip(lows, highs, strict=True)]

    def own_boxes(self, level: int) -> int:
        """How many boxes of a level are not repeated ones."""
        width: int = FANOUT**level
        return (self.count + width - 1) // width

    def below(self, level: int, parents: NDArray[np.intp]) -> NDArray[np.intp]:
        """Boxes of a level under boxes of the next higher one, FANOUT each; the last one fills up what is missing."""
        children = (parents[:, None] * FANOUT + np.arange(FANOUT)).ravel()
        return np.asarray(np.minimum(children, len(self.levels[level].half) - 1))


def rising(values: Array, merge: np.ufunc) -> list[Array]:
    """Merge values (N, ...) of the lowest level upwards, FANOUT at a time: one array per level of the tree."""
    levels = [values]
    while len(values) > FANOUT:
        groups = values.reshape(-1, FANOUT, *values.shape[1:])
        values = merge.reduce(groups, axis=1)
        if len(values) > FANOUT:
            values = _filled(values)
        levels.append(values)
    return levels


def _filled(rows: NDArray[Scalar]) -> NDArray[Scalar]:
    """Repeat the last row until the number of rows is a multiple of FANOUT."""
    missing = -len(rows) % FANOUT
    return np.concatenate([rows, np.repeat(rows[-1:], missing, axis=0)]) if missing else rows


def curve_order(places: Array) -> NDArray[np.intp]:
    """Places (N, 3) sorted along a curve that keeps neighbours together."""
    low = places.min(axis=0)
    size = float((places - low).max())
    cells = ((places - low) * ((2**CURVE_BITS - 1) / (size or 1.0))).astype(np.uint64)
    return np.argsort(_spread(cells[:, 0]) | _spread(cells[:, 1]) << 1 | _spread(cells[:, 2]) << 2, kind="stable")


def _spread(cells: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Put two empty bits after every bit of 16-bit numbers."""
    for shift, mask in (
        (16, 0x0000FF0000FF),
        (8, 0x00F00F00F00F),
        (4, 0x0C30C30C30C3),
        (2, 0x249249249249),
    ):
        cells = (cells | cells << np.uint64(shift)) & np.uint64(mask)
    return cells
