"""A pair of pieces that is measured as several pairs of simpler ones: the nearest of them counts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from fitcheck.placing.forms import Widths
from fitcheck.placing.pair import STAY, Lowest, PiecePair, Shift, Spread, least_falls


@dataclass(frozen=True)
class ManyPair:
    """`pairs` make up the two pieces exactly, and there is at least one."""

    pairs: tuple[PiecePair, ...]

    @cached_property
    def names(self) -> frozenset[str]:
        return frozenset(name for pair in self.pairs for name in pair.names)

    def least(self, widths: Widths) -> float:
        return min(pair.least(widths) for pair in self.pairs)

    def lowest(self, widths: Widths, shift: Shift = STAY) -> Lowest:
        found = [pair.lowest(widths, shift) for pair in self.pairs]
        return replace(min(found, key=lambda lowest: lowest.value), direction=None)

    def spread(self, widths: Widths, shift: Shift = STAY) -> Spread:
        found = [pair.spread(widths, shift) for pair in self.pairs]
        nearest = min(found, key=lambda spread: spread.value)
        return replace(
            nearest,
            low=min(spread.low for spread in found),
            high=min(spread.high for spread in found),
            falls=least_falls([(spread.value, spread.falls) for spread in found]),
        )
