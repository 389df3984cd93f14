"""What two closed sides share, worked out only where their boxes meet, and for a shift of the second against the first.

A large mesh is made right about the other side only: what it holds elsewhere cannot be shared. That is kept, so that
the next shift, a little farther along, needs nothing new.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.geometry.intersect import NO_OVERLAP, Overlap, box_body, overlap_of
from fitcheck.placing.pair import STAY, Shift
from fitcheck.placing.placed import Array
from fitcheck.placing.side import LargeSide, Side

if TYPE_CHECKING:
    from manifold3d import Manifold

CLEAR_MM = 1.0
"""A large side is right at least this far about the other's box, so that no rounding brings anything else near it."""

SPARE_MM = 5.0
"""Kept beyond that, for the next shift."""

MOST_KEPT = 250_000
"""Triangles of a body that is kept, some 50 MB; of a larger one only what it shares is kept."""


@dataclass(frozen=True, slots=True)
class _Body:
    """A side as a body, and the box within which it is that side: low and high corner."""

    solid: Manifold
    low: Array
    high: Array

    def reaches(self, low: Array, high: Array) -> bool:
        return bool((self.low <= low).all() and (self.high >= high).all())


@dataclass(frozen=True)
class SharedSolid:
    """Both sides are closed. Bodies are made when first needed."""

    one: Side
    other: Side
    _bodies: dict[int, _Body] = field(default_factory=dict, init=False, compare=False, repr=False)
    _known: dict[Shift, Overlap | None] = field(default_factory=dict, init=False, compare=False, repr=False)

    def overlap(self, shift: Shift = STAY) -> Overlap | None:
        """Volume and depth of what they share with the second moved by `shift`; None where one does not make a body."""
        if shift not in self._known:
            self._known[shift] = self._overlap(np.array(shift))
        return self._known[shift]

    def _overlap(self, shift: Array) -> Overlap | None:
        (low_a, high_a), (low_b, high_b) = self.one.whole_box, self.other.whole_box
        low, high = np.maximum(low_a, low_b + shift), np.minimum(high_a, high_b + shift)
        if not (low < high).all():
            return NO_OVERLAP
        first, second = self._body(0, low_b + shift, high_b + shift), self._body(1, low_a - shift, high_a - shift)
        if first is None or second is None:
            return None
        x, y, z = shift.tolist()
        second = second.translate((x, y, z))
        if isinstance(self.one, LargeSide) and isinstance(self.other, LargeSide):
            # Where neither is right, they may meet as well.
            return overlap_of(first ^ second, box_body(low - CLEAR_MM / 2.0, high + CLEAR_MM / 2.0, self._middle))
        return overlap_of(first, second)

    @cached_property
    def _middle(self) -> Array:
        """Of what both boxes have in common as drawn."""
        (low_a, high_a), (low_b, high_b) = self.one.whole_box, self.other.whole_box
        middle: Array = (np.maximum(low_a, low_b) + np.minimum(high_a, high_b)) / 2.0
        return middle

    def _body(self, number: int, low: Array, high: Array) -> Manifold | None:
        """That side as a body that is right within a box."""
        side: Side = self.other if number else self.one
        kept = self._bodies.get(number)
        if kept is not None and kept.reaches(low - CLEAR_MM, high + CLEAR_MM):
            return kept.solid
        reach = np.full(3, CLEAR_MM + SPARE_MM if isinstance(side, LargeSide) else np.inf)
        solid = side.body(self._middle, low - reach, high + reach)
        if solid is not None and solid.num_tri() <= MOST_KEPT:
            self._bodies[number] = _Body(solid, low - reach, high + reach)
        return solid
