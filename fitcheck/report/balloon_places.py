"""Where the number of a part stands in a picture: on the part, clear of what is written and of the other numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fitcheck.report.path_labels import Box, Spot

_CELLS = 32
"""Places looked at along each side of the box about a part."""
_ENOUGH = 2.0
"""Farther off than so many times its own size a number is no easier to read."""


def place(shape: BaseGeometry, size: Spot, frame: Box, taken: Sequence[BaseGeometry]) -> Spot | None:
    """The middle of a number of this `size` (width, height) on a part's `shape`; None where there is no room.

    It keeps within `frame` (left, low, right, high), clear of what is `taken`, and as far as can be from the part's
    edge.
    """
    seen = shapely.intersection(shape, shapely.box(*frame))
    pieces = [piece for piece in getattr(seen, "geoms", (seen,)) if piece.area > 0.0]
    if not pieces:
        return None
    low_x, low_y, high_x, high_y = seen.bounds
    grid = np.meshgrid(np.linspace(low_x, high_x, _CELLS), np.linspace(low_y, high_y, _CELLS))
    spots = np.stack([axis.ravel() for axis in grid], axis=1)
    spots = spots[shapely.contains_xy(seen, spots)]
    spots = np.concatenate([spots, [piece.representative_point().coords[0] for piece in pieces]])
    half = np.array(size) / 2
    boxes = shapely.box(*(spots - half).T, *(spots + half).T)
    held = shapely.union_all(list(taken))
    fits = np.all((spots - half >= frame[:2]) & (spots + half <= frame[2:]), axis=1)
    fits &= ~shapely.intersects(boxes, held)
    if not fits.any():
        return None
    spots = spots[fits]
    points = shapely.points(spots)
    clear = np.minimum(shapely.distance(points, seen.boundary), _ENOUGH * max(size))
    if not held.is_empty:
        clear = np.minimum(clear, shapely.distance(points, held))
    middle = max(pieces, key=lambda piece: piece.area).centroid
    off = shapely.distance(points, middle)
    # Rounded, so that of equal places the same is taken on every machine.
    order = np.lexsort((np.round(off, 6), -np.round(clear, 6)))
    return float(spots[order[0], 0]), float(spots[order[0], 1])
