"""Two convex pieces of any turn: boxes, bars and the convex parts of prisms."""

from __future__ import annotations

import math
from collections.abc import Iterator
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

    @cached_property
    def _speeds(self) -> Array:
        """How fast any point of the two goes with each value (N, P), for each pair of convex parts."""
        first, second = convex_of(self.a, self.columns), convex_of(self.b, self.columns)
        one, other = np.array([_speeds(piece) for piece in first]), np.array([_speeds(piece) for piece in second])
        return np.asarray((one[:, None] + other[None]).reshape(len(self._parts), -1))

    def _apart(self, below: Array, above: Array, shift: Shift) -> Array:
        """How far the bounding boxes of the convex parts stand apart at their largest (N,); -inf where they meet."""
        key = (below.tobytes(), above.tobytes())
        if key not in self._known_bounds:
            pieces = (convex_of(self.a, self.columns), convex_of(self.b, self.columns))
            self._known_bounds[key] = [np.array([_bounds(each, below, above) for each in some]) for some in pieces]
        one, other = self._known_bounds[key]
        (low_a, high_a), (low_b, high_b) = one[:, None].transpose(2, 0, 1, 3), other[None].transpose(2, 0, 1, 3) + shift
        gaps = np.maximum(low_b - high_a, low_a - high_b)
        apart = np.where((gaps > 0.0).any(axis=2), np.linalg.norm(np.maximum(gaps, 0.0), axis=2), -np.inf)
        return np.asarray(apart.ravel())

    @cached_property
    def _known_bounds(self) -> dict[tuple[bytes, bytes], list[Array]]:
        return {}

    def _nearest_first(self, bounds: Array, shift: Shift) -> Iterator[tuple[float, Piece, Piece]]:
        """The pairs of convex parts, the second moved, in the order of their bounds."""
        for number in np.argsort(bounds, kind="stable").tolist():
            one, other = self._parts[number]
            yield float(bounds[number]), one, moved(other, shift)

    def least(self, widths: Widths) -> float:
        below, above = self.columns.widths(widths)
        return float(self._apart(below, above, STAY).min())

    def lowest(self, widths: Widths, shift: Shift = STAY) -> Lowest:
        below, above = self.columns.widths(widths)
        value, direction = math.inf, None
        for bound, one, other in self._nearest_first(self._apart(below, above, shift), shift):
            if bound >= value:
                break
            found = convex.lowest_along(one, other, below, above)
            if found[0] < value:
                value, direction = found
        return Lowest(value, direction if self.is_single else None)

    def nominal(self, shift: Shift = STAY) -> convex.Separation:
        """The nearest points at nominal, the second piece moved."""
        found = (convex.separation(one, moved(other, shift)) for one, other in self._parts)
        return min(found, key=lambda each: each.distance)

    def spread(self, widths: Widths, shift: Shift = STAY) -> Spread:
        below, above = self.columns.widths(widths)
        found: list[tuple[convex.Separation, Piece, Piece]] = []
        nothing, at = np.zeros(len(below)), math.inf
        # No value can bring two parts nearer than this, nor make more of what each does by itself.
        bounds = np.maximum(self._apart(nothing, nothing, shift), 0.0) - self._speeds @ np.maximum(below, above)
        for bound, first, second in self._nearest_first(bounds, shift):
            if bound > at:
                break  # nor can any part that follows be nearer, whatever the values
            found.append((convex.separation(first, second), first, second))
            at = min(at, found[-1][0].distance)
        nearest, one, other = min(found, key=lambda item: item[0].distance)
        names = self.columns.names
        falls = [
            (each.distance, dict(zip(names, convex.effects(first, second, below, above)[0].tolist(), strict=True)))
            for each, first, second in found
        ]
        _, up = convex.effects(one, other, below, above)
        return Spread(
            value=nearest.distance,
            low=min(nearest.distance, *(convex.lowest(first, second, below, above) for _, first, second in found)),
            # The nearest parts bound the distance from above; the others could only bring the bound down a little.
            high=max(nearest.distance, convex.highest(one, other, below, above)),
            falls=least_falls(falls),
            rises=dict(zip(names, up.tolist(), strict=True)),
            points=(nearest.point_a, nearest.point_b),
            error=nearest.error,
        )


def _speeds(piece: Piece) -> Array:
    """How far any point of a piece goes per unit of each value, (P,)."""
    if isinstance(piece, Round):
        return np.asarray(
            np.linalg.norm(piece.centre_moves, axis=1) + np.abs(piece.radius_moves) + np.abs(piece.half_length_moves)
        )
    return np.asarray(np.linalg.norm(piece.moves, axis=2).max(axis=0))


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
