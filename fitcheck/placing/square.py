"""Two boxes whose faces are square to the case axes: exact, without any search.

Along each axis the signed gap is the larger of the two facing differences, an affine form each. The distance is the
root of the sum of squares of the positive ones; with none positive, the largest (least deep) of them is minus the
depth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from fitcheck.findings import Point
from fitcheck.placing.forms import Form, Widths, fall, rise
from fitcheck.placing.pair import STAY, Lowest, Shift, Spread
from fitcheck.placing.placed import Placed

Three = tuple[float, float, float]


def norm_of_gaps(gaps: Three) -> float:
    """Signed distance of two square boxes from their three signed gaps."""
    positive = [gap for gap in gaps if gap > 0.0]
    return math.hypot(*positive) if positive else max(gaps)


@dataclass(frozen=True)
class SquarePair:
    """`a` and `b` are square boxes; `facing` holds for each axis b.low - a.high and a.low - b.high."""

    a: Placed
    b: Placed

    @cached_property
    def facing(self) -> tuple[tuple[Form, Form], ...]:
        (a_low, a_high), (b_low, b_high) = self.a.square_corners, self.b.square_corners
        return tuple((b_low[k] - a_high[k], a_low[k] - b_high[k]) for k in range(3))

    @cached_property
    def names(self) -> frozenset[str]:
        return frozenset(name for pair in self.facing for form in pair for name in form.terms)

    def lowest(self, widths: Widths, shift: Shift = STAY) -> Lowest:
        gaps = self.lowest_gaps(widths, shift)
        value = norm_of_gaps(gaps)
        if value > 0.0:
            one, two, three = (max(gap, 0.0) / value for gap in gaps)
        else:
            one, two, three = (float(k == gaps.index(max(gaps))) for k in range(3))
        return Lowest(value, (one, two, three))

    def least(self, widths: Widths) -> float:
        return norm_of_gaps(self.lowest_gaps(widths))

    def lowest_gaps(self, widths: Widths, shift: Shift = STAY) -> Three:
        one, two, three = (
            max(up.low(widths) + by, down.low(widths) - by) for (up, down), by in zip(self.facing, shift, strict=True)
        )
        return (one, two, three)

    def spread(self, widths: Widths, shift: Shift = STAY) -> Spread:
        chosen = []
        for (up, down), by in zip(self.facing, shift, strict=True):
            chosen.append(up + by if up.nominal + by >= down.nominal - by else down - by)
        gaps = (chosen[0].nominal, chosen[1].nominal, chosen[2].nominal)
        value = norm_of_gaps(gaps)
        high = norm_of_gaps(self._highest_gaps(widths, shift))
        pull = self._gradient(chosen, gaps, value)
        return Spread(
            value=value,
            low=norm_of_gaps(self.lowest_gaps(widths, shift)),
            high=high,
            falls={name: fall(share, widths[name]) for name, share in pull.items()},
            rises={name: rise(share, widths[name]) for name, share in pull.items()},
            points=self._points(gaps, shift),
        )

    def _highest_gaps(self, widths: Widths, shift: Shift) -> Three:
        one, two, three = (
            max(up.high(widths) + by, down.high(widths) - by) for (up, down), by in zip(self.facing, shift, strict=True)
        )
        return (one, two, three)

    @staticmethod
    def _gradient(chosen: list[Form], gaps: Three, value: float) -> dict[str, float]:
        """How the distance moves per unit of each value, at nominal."""
        if value > 0.0:
            shares = [gap / value if gap > 0.0 else 0.0 for gap in gaps]
        else:
            shares = [0.0, 0.0, 0.0]
            shares[gaps.index(max(gaps))] = 1.0
        total: dict[str, float] = {}
        for form, share in zip(chosen, shares, strict=True):
            if share:
                for name, factor in form.terms.items():
                    total[name] = total.get(name, 0.0) + share * factor
        return total

    def _points(self, gaps: Three, shift: Shift) -> tuple[Point, Point]:
        """One point on each box: across a gap the facing faces, elsewhere the middle of what they share.

        Where the boxes overlap on all three axes the points mark the depth along the shallowest.
        """
        (lows_a, highs_a), (lows_b, highs_b) = self.a.square_corners, self.b.square_corners
        shallow = gaps.index(max(gaps))
        on_a, on_b = [0.0] * 3, [0.0] * 3
        for k in range(3):
            a_low, a_high = lows_a[k].nominal, highs_a[k].nominal
            b_low, b_high = lows_b[k].nominal + shift[k], highs_b[k].nominal + shift[k]
            if gaps[k] > 0.0 or (k == shallow and max(gaps) <= 0.0):
                on_a[k], on_b[k] = (a_high, b_low) if b_low - a_high >= a_low - b_high else (a_low, b_high)
            else:
                on_a[k] = on_b[k] = (max(a_low, b_low) + min(a_high, b_high)) / 2
        return (on_a[0], on_a[1], on_a[2]), (on_b[0], on_b[1], on_b[2])
