"""What one pair of pieces says about its distance: the shared shape of every method of measuring."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from fitcheck.findings import Point
from fitcheck.placing.forms import Widths, root_sum_square

Shift = tuple[float, float, float]
STAY: Shift = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Signed distance of two pieces (negative: minus the depth of overlap), mm.

    `low` and `high` bound it over all deviations. `falls` and `rises` say, for each value alone, how far the distance
    can go from its nominal, to first order. `points` lie on the first and the second piece. `error` is how much smaller
    `value` may be than the true nominal distance (facets, bounds). `note` says in words what the pair could not tell.
    """

    value: float
    low: float
    high: float
    falls: Mapping[str, float]
    rises: Mapping[str, float]
    points: tuple[Point, Point]
    error: float = 0.0
    note: str = ""


@dataclass(frozen=True, slots=True)
class Lowest:
    """A proven lower bound, and the unit direction along which it was proven (None: no single direction).

    `floor` is a bound that holds at every uncertain turn.
    """

    value: float
    direction: Point | None = None
    floor: float = -math.inf


def least_falls(found: Sequence[tuple[float, Mapping[str, float]]]) -> dict[str, float]:
    """One set of falls for several pairs of which the nearest counts: (value, falls) of each.

    The nearest at nominal need not be the one that the root-sum-square brings lowest. The falls of that one are given,
    scaled so that, taken off the nearest value, they reach as far down.
    """
    nearest = min(value for value, _ in found)
    value, falls = min(found, key=lambda item: item[0] - root_sum_square(item[1].values()))
    reach = root_sum_square(falls.values())
    if reach == 0.0:
        return dict(falls)
    share = (reach - (value - nearest)) / reach
    return {name: fall * share for name, fall in falls.items()}


class PiecePair(Protocol):
    """Two pieces whose distance can be asked for."""

    @property
    def names(self) -> frozenset[str]:
        """The uncertain values that move one piece against the other."""

    def spread(self, widths: Widths, shift: Shift = STAY) -> Spread:
        """The distance with the second piece moved by `shift`."""

    def lowest(self, widths: Widths, shift: Shift = STAY) -> Lowest:
        """`spread(widths, shift).low`, without the rest."""

    def least(self, widths: Widths) -> float:
        """A quick lower bound of `spread(widths).low`."""
