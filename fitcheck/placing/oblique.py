"""Two convex pieces of any turn: boxes, bars and the convex parts of prisms."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.geometry import convex
from fitcheck.geometry.convex import Hull, Piece, Round
from fitcheck.placing.forms import Widths
from fitcheck.placing.pair import STAY, Lowest, Shift, Spread, least_falls
from fitcheck.placing.placed import Array, Columns, Placed, columns_of, convex_of


@dataclass(frozen=True)
class ObliquePair:
    """`a` and `b` are pieces without facets; a prism may be several convex parts."""

    a: Placed
    b: Placed

    @cached_property
    def columns(self) -> Columns:
        return columns_of(self.a, self.b)

    @cached_property
    def names(self) -> frozenset[str]:
        return frozenset(self.columns.names)

    @cached_property
    def _parts(self) -> list[tuple[Piece, Piece]]:
        first, second = convex_of(self.a, self.columns), convex_of(self.b, self.columns)
        return [(one, other) for one in first for other in second]

    @property
    def is_single(self) -> bool:
        """Whether both pieces are convex as a whole."""
        return len(self._parts) == 1

    def least(self, widths: Widths) -> float:
        below, above = self.columns.widths(widths)
        return min(_box_bound(one, other, below, above) for one, other in self._parts)

    def lowest(self, widths: Widths, shift: Shift = STAY) -> Lowest:
        below, above = self.columns.widths(widths)
        found = [convex.lowest_along(one, moved(other, shift), below, above) for one, other in self._parts]
        value, direction = min(found, key=lambda item: item[0])
        return Lowest(value, direction if len(found) == 1 else None)

    def nominal(self) -> convex.Separation:
        """The nearest points at nominal."""
        return min((convex.separation(one, other) for one, other in self._parts), key=lambda found: found.distance)

    def spread(self, widths: Widths, shift: Shift = STAY) -> Spread:
        below, above = self.columns.widths(widths)
        parts = [(one, moved(other, shift)) for one, other in self._parts]
        found = [(convex.separation(one, other), one, other) for one, other in parts]
        nearest, one, other = min(found, key=lambda item: item[0].distance)
        names = self.columns.names
        falls = [
            (each.distance, dict(zip(names, convex.effects(first, second, below, above)[0].tolist(), strict=True)))
            for each, first, second in found
        ]
        _, up = convex.effects(one, other, below, above)
        return Spread(
            value=nearest.distance,
            low=min(nearest.distance, *(convex.lowest(one, other, below, above) for one, other in parts)),
            # The nearest parts bound the distance from above; the others could only bring the bound down a little.
            high=max(nearest.distance, convex.highest(one, other, below, above)),
            falls=least_falls(falls),
            rises=dict(zip(names, up.tolist(), strict=True)),
            points=(nearest.point_a, nearest.point_b),
            error=nearest.error,
        )


def moved(piece: Piece, shift: Shift) -> Piece:
    """The piece moved bodily."""
    if shift == STAY:
        return piece
    by = np.array(shift)
    if isinstance(piece, Round):
        return Round(
            centre=piece.centre + by,
            axis=piece.axis,
            radius=piece.radius,
            half_length=piece.half_length,
            centre_moves=piece.centre_moves,
            radius_moves=piece.radius_moves,
            half_length_moves=piece.half_length_moves,
        )
    box = piece.box
    if box is not None:
        box = convex.BoxForm(box[0] + by, *box[1:])
    return Hull(points=piece.points + by, moves=piece.moves, box=box)


def _box_bound(one: Piece, other: Piece, below: Array, above: Array) -> float:
    """The distance of the two bounding boxes, each at its largest: never more than the true least distance."""
    (low_a, high_a), (low_b, high_b) = _bounds(one, below, above), _bounds(other, below, above)
    gaps = np.maximum(low_b - high_a, low_a - high_b)
    return float(np.linalg.norm(np.maximum(gaps, 0.0))) if (gaps > 0).any() else float("-inf")


def _bounds(piece: Piece, below: Array, above: Array) -> tuple[Array, Array]:
    if isinstance(piece, Round):
        radius = piece.radius + float(np.maximum(piece.radius_moves * above, -piece.radius_moves * below).sum())
        half = piece.half_length + float(
            np.maximum(piece.half_length_moves * above, -piece.half_length_moves * below).sum()
        )
        reach = radius * np.sqrt(np.maximum(0.0, 1.0 - piece.axis**2)) + half * np.abs(piece.axis)
        up = np.maximum(piece.centre_moves * above[:, None], -piece.centre_moves * below[:, None]).sum(axis=0)
        down = np.minimum(piece.centre_moves * above[:, None], -piece.centre_moves * below[:, None]).sum(axis=0)
        return piece.centre - reach + down, piece.centre + reach + up
    up = np.maximum(piece.moves * above[:, None], -piece.moves * below[:, None]).sum(axis=1)
    down = np.minimum(piece.moves * above[:, None], -piece.moves * below[:, None]).sum(axis=1)
    return (piece.points + down).min(axis=0), (piece.points + up).max(axis=0)
