"""What contradicts: the smallest set of demands, gap rules and limits that cannot hold together.

The smallest set meets every way of making the rest possible: it holds at least one of what each way leaves out. So the
fewest conditions that meet all ways found so far are tried; if they can hold together, another way is found and they
are chosen again; once they cannot, no smaller set contradicts. (Implicit hitting sets, as in A. Ignatiev and others,
Smallest MUS Extraction with Minimal Hitting Set Dualization, 2015; method from memory, held by brute force in tests.)
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.findings import TOUCH_MM
from fitcheck.result_heights import ConflictRow
from fitcheck.stack.choose import shortfall
from fitcheck.stack.conditions import Condition
from fitcheck.stack.found import Pick
from fitcheck.stack.program import Program
from fitcheck.stack.settle import Known, Picks, settled_among
from fitcheck.stack.shop import Shop
from fitcheck.stack.solver import optimum

MOST_WAYS = 400
"""So many ways of making the rest possible are looked at before the set is only known to hold nothing to spare."""


@dataclass(frozen=True, kw_only=True)
class Contradiction:
    """`is_smallest` is whether no set of fewer contradicts; else only none of this one can be spared."""

    rows: tuple[ConflictRow, ...]
    is_smallest: bool


class Contradicting:
    """Conditions that do not hold together, and the questions about them."""

    def __init__(self, shop: Shop, conditions: Sequence[Condition], known: Known) -> None:
        self._shop, self._conditions, self._known = shop, tuple(conditions), known

    def found(self, most_ways: int = MOST_WAYS) -> Contradiction:
        """The smallest set, each row with how far that one alone would have to give way. Raises GaveUp."""
        smallest = self._smallest(most_ways)
        kept = self._irreducible() if smallest is None else smallest
        return Contradiction(rows=tuple(self._row(kept, each) for each in kept), is_smallest=smallest is not None)

    def _smallest(self, most_ways: int) -> list[Condition] | None:
        ways: list[frozenset[int]] = []
        for _ in range(most_ways):
            tried = self._meeting(ways)
            picks = self._picks([self._conditions[k] for k in tried])
            if picks is None:
                return [self._conditions[k] for k in tried]
            way = self._left_out(set(tried), picks)
            if not way:
                return None
            ways.append(way)
        return None

    def _meeting(self, ways: Sequence[frozenset[int]]) -> list[int]:
        """The fewest conditions of which each way leaves one out; of several such, those named first in the file."""
        from scipy.optimize import Bounds, LinearConstraint

        count = len(self._conditions)
        if not ways:
            return []
        rows = np.array([[float(k in way) for k in range(count)] for way in ways])
        weights = np.array([float(count * count + k) for k in range(count)])
        values = optimum(weights, [LinearConstraint(rows, 1.0, np.inf)], Bounds(0.0, 1.0), integrality=np.ones(count))
        assert values is not None  # noqa: S101 (all conditions meet every way)
        return [k for k in range(count) if values[k] > 0.5]

    def _left_out(self, kept: set[int], picks: Picks) -> frozenset[int]:
        """What must be left out when as much as can be is kept besides `kept`."""
        while True:
            grown = kept | self._holding(picks)
            self._grow(grown, [k for k in range(len(self._conditions)) if k not in grown])
            # What is known of the gaps so far may be too little; measured once, either it stands or more is known.
            if self._picks([self._conditions[n] for n in sorted(grown)]) is not None:
                return frozenset(range(len(self._conditions))) - grown

    def _grow(self, kept: set[int], rest: Sequence[int]) -> None:
        """Add of the rest what can be kept besides, those named first before others; halves of it at once."""
        rest = [k for k in rest if k not in kept]
        if not rest:
            return
        picks = self._unmeasured([self._conditions[k] for k in sorted({*kept, *rest})])
        if picks is not None:
            kept |= {*rest, *self._holding(picks)}
        elif len(rest) > 1:
            half = len(rest) // 2
            self._grow(kept, rest[:half])
            self._grow(kept, rest[half:])

    def _holding(self, picks: Picks) -> set[int]:
        """The conditions that a choice keeps, as far as gaps are known."""
        basis = self._known.basis
        return {
            k for k, each in enumerate(self._conditions) if holds(self._shop, self._known.as_known(each), picks, basis)
        }

    def _irreducible(self) -> list[Condition]:
        kept = list(self._conditions)
        for each in self._conditions:
            rest = [other for other in kept if other is not each]
            if self._picks(rest) is None:
                kept = rest
        return kept

    def _picks(self, conditions: Sequence[Condition]) -> Picks | None:
        return settled_among(conditions, self._known, self._unmeasured)

    def _unmeasured(self, conditions: Sequence[Condition]) -> Picks | None:
        """A choice that keeps the conditions as far as gaps are known."""
        held = [self._known.as_known(each) for each in conditions]
        program = Program(self._shop, held, self._known.basis)
        values = program.best(np.zeros(len(self._shop.columns)))
        return None if values is None else program.picks(values)

    def _row(self, kept: Sequence[Condition], each: Condition) -> ConflictRow:
        return ConflictRow(
            what=each.title,
            parts=each.parts,
            check=each.check,
            by=self._gives(kept, each),
            unit="mm" if each.limit is None else "pieces",
        )

    def _gives(self, kept: Sequence[Condition], giving: Condition) -> float | None:
        """How far a condition alone must give way, the gaps among the others measured. Of a gap rule it is what the
        choice that comes nearest is measured to lack."""
        by: list[float] = []

        def pick(held: Sequence[Condition]) -> Picks | None:
            given = next(each for each in held if each.title == giving.title)
            found = shortfall(self._shop, held, self._known.basis, given)
            by.append(math.inf if found is None else found[0])
            return None if found is None else found[1]

        picks = settled_among(kept, self._known, pick, giving.title)
        if picks is None:
            return None
        lacks = self._lacks(giving, picks) if giving.is_gap else 0.0
        return min(by[-1], lacks) if lacks > TOUCH_MM else by[-1]

    def _lacks(self, rule: Condition, picks: Picks) -> float:
        gaps = self._known.gaps
        unmet = gaps.unmet(gaps.placed(picks), picks, self._known.basis, only={rule.title})
        return max((each.lacks for each in unmet), default=0.0)


def holds(shop: Shop, condition: Condition, picks: Mapping[str, Pick], basis: str) -> bool:
    """Whether a choice keeps a demand or a limit, and the spans of a gap rule that are known."""
    heights = {name: pick.height for name, pick in picks.items()}
    pieces = {name: len(pick.pieces) for name, pick in picks.items()}
    if any(need.margin(basis, shop.found, heights, pieces) < -TOUCH_MM for need in condition.needs):
        return False
    if any(either.spare(picks) < -TOUCH_MM for either in condition.eithers):
        return False
    if condition.limit is None:
        return True
    used = sum(
        weight * picks[shop.columns[k].of].pieces.count(shop.columns[k].size)
        for k, weight in condition.limit.columns.items()
    )
    return used <= condition.limit.most
