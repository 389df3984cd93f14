"""The integer program behind a choice, solved exactly: root-sum-squares by tangents, alternatives by branching.

A root-sum-square deviation is convex in the piece counts, so a tangent never cuts off a choice that keeps to the need.
Tangents are added until the true deviation holds. Of alternatives each is tried in turn, the most promising first, so
that the first answer that takes one of each is the best. Solver: HiGHS, through scipy.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import count

import numpy as np

from fitcheck.errors import UsageError
from fitcheck.findings import TOUCH_MM
from fitcheck.stack.conditions import Condition, Either, Way
from fitcheck.stack.found import MOST_PIECES, Pick
from fitcheck.stack.needs import NOMINAL, RSS, WORST, Need
from fitcheck.stack.shop import Floats, Limit, Shop, whole_piece
from fitcheck.stack.solver import optimum

SLACK_MM = TOUCH_MM / 2
"""The solver may miss a row by 1e-7; half of what counts as reaching a limit leaves room for that on both sides."""

MOST_BRANCHES = 4000
"""More are never needed for what is built by hand; beyond, the program says that it gave up."""

Row = tuple[Floats, float, float]
Taken = tuple[Way, float]
"""A way, and its share of what the giving condition gives."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Further:
    """A column beside those of the shop: its bounds, and whether it is a whole number."""

    low: float
    high: float
    is_whole: bool


class Program:
    """Conditions on the columns of a shop. `giving` is the one condition that may give way, by the last of `further`.

    With `whole` false every height may be cut to any measure from one piece.
    """

    def __init__(
        self,
        shop: Shop,
        conditions: Iterable[Condition],
        basis: str,
        *,
        giving: Condition | None = None,
        further: Sequence[Further] = (),
        whole: bool = True,
    ) -> None:
        self._shop, self._basis, self._whole = shop, basis, whole
        self._slack = SLACK_MM if whole else 0.0
        self._further = [*further] if giving is None else [*further, Further(low=0.0, high=math.inf, is_whole=False)]
        self._needs: list[tuple[Need, float]] = []
        self._eithers: list[tuple[Either, float]] = []
        self._rows: list[Row] = []
        for condition in conditions:
            gives = 1.0 if condition is giving else 0.0
            self._needs += [(need, gives) for need in condition.needs]
            for either in condition.eithers:
                if len(either.ways) == 1:
                    self._rows.append(self._way_row(either.ways[0], gives))
                else:
                    self._eithers.append((either, gives))
            self._rows += [self._need_row(need, gives) for need in condition.needs]
            if condition.limit is not None:
                self._rows.append(self._limit_row(condition.limit, gives))
        self._rows += [(self._padded(self._present(name)), 1.0, math.inf) for name in shop.found if whole]

    def require(self, row: Floats, low: float, high: float) -> None:
        """One more row, over the shop's columns or all."""
        self._rows.append((self._padded(row), low, high))

    def best(self, goal: Floats) -> Floats | None:
        """All columns' values at the goal's least, None if nothing keeps to the conditions."""
        aim, order = self._padded(goal), count()
        queue: list[tuple[float, int, Floats, tuple[Taken, ...]]] = []

        def look(taken: tuple[Taken, ...]) -> None:
            values = self._relaxed(aim, taken)
            if values is not None:
                heapq.heappush(queue, (round(float(aim @ values), 6), next(order), values, taken))

        look(())
        while queue:
            _, number, values, taken = heapq.heappop(queue)
            if number > MOST_BRANCHES:
                raise UsageError(
                    f"more than {MOST_BRANCHES} ways past the gaps were tried\n    mend: ask for fewer heights at once"
                )
            picks = self.picks(values)
            broken = next(
                (each for each in self._eithers if each[0].spare(picks) + each[1] * float(values[-1]) < -TOUCH_MM), None
            )
            if broken is None:
                return values
            for way in broken[0].ways:
                look((*taken, (way, broken[1])))
        return None

    def is_possible(self) -> bool:
        """Whether some stack of pieces keeps to the conditions."""
        return self.best(np.zeros(len(self._shop.columns))) is not None

    def picks(self, values: Floats) -> dict[str, Pick]:
        """The heights that the columns' values stand for."""
        if self._whole:
            return self._shop.picks(values)
        columns = zip(self._shop.columns, values.tolist(), strict=False)
        return {column.of: whole_piece(value * column.size) for column, value in columns}

    def _relaxed(self, aim: Floats, taken: tuple[Taken, ...]) -> Floats | None:
        """The best by the needs as they truly are and the ways taken."""
        ways = [self._way_row(way, gives) for way, gives in taken]
        while (values := self._solve(aim, [*self._rows, *ways])) is not None:
            if not self._tighten(values):
                return values
        return None

    def _tighten(self, values: Floats) -> bool:
        """Add the tangents that a choice calls for; whether there were any."""
        if self._basis != RSS or not self._whole:
            return False
        picks = self._shop.picks(values)
        heights = {name: pick.height for name, pick in picks.items()}
        pieces = {name: len(pick.pieces) for name, pick in picks.items()}
        missed = []
        for need, gives in self._needs:
            given = gives * float(values[-1])
            if need.margin(RSS, self._shop.found, heights, pieces) + given < -TOUCH_MM and self._varies(need):
                missed.append((need, gives))
        self._rows += [self._tangent(need, gives, pieces) for need, gives in missed]
        return bool(missed)

    def _tangent(self, need: Need, gives: float, pieces: Mapping[str, int]) -> Row:
        at = need.deviation(RSS, self._shop.found, pieces)
        root = at - need.straight
        slopes: dict[str, float] = {}
        for one in need.own:
            found = self._shop.found[one.of]
            each = one.deviation(found, pieces[one.of])
            slopes[one.of] = slopes.get(one.of, 0.0) + (each / root * one.per_piece(found) if root else 0.0)
        constant = at - sum(slope * pieces[name] for name, slope in slopes.items() if self._shop.found[name].stock)
        row = self._shop.height_row(need.rates) - self._shop.pieces_row(slopes)
        return self._padded(row, gives), constant - need.base - self._slack, math.inf

    def _varies(self, need: Need) -> bool:
        """Whether the deviation of a need depends on the number of pieces."""
        return any(one.per_piece(self._shop.found[one.of]) for one in need.own)

    def _need_row(self, need: Need, gives: float) -> Row:
        found, row = self._shop.found, self._shop.height_row(need.rates)
        ones = dict.fromkeys(found, 1)
        if not self._whole or (self._basis == RSS and self._varies(need)):
            # No fewer than one piece each: exact for a single piece, else a first bound that the tangents tighten.
            return (
                self._padded(row, gives),
                need.deviation(self._basis, found, ones) - need.base - self._slack,
                math.inf,
            )
        rising: dict[str, float] = {}
        if self._basis == WORST:
            for one in need.own:
                rising[one.of] = rising.get(one.of, 0.0) + one.per_piece(found[one.of])
        none = {name: 0 if each.stock else 1 for name, each in found.items()}
        fixed = 0.0 if self._basis == NOMINAL else need.deviation(self._basis, found, none)
        return self._padded(row - self._shop.pieces_row(rising), gives), fixed - need.base - self._slack, math.inf

    def _limit_row(self, limit: Limit, gives: float) -> Row:
        return self._padded(self._shop.limit_row(limit), -gives), -math.inf, float(limit.most)

    def _way_row(self, way: Way, gives: float) -> Row:
        row = self._shop.height_row(way.heights) + self._shop.pieces_row(way.pieces)
        # What is cut to measure is one piece whatever its columns say.
        whole = sum(weight for name, weight in way.pieces.items() if not self._shop.found[name].stock)
        return self._padded(row, gives), way.least - whole - self._slack, math.inf

    def _present(self, name: str) -> Floats:
        row = np.zeros(len(self._shop.columns))
        row[self._shop.of(name)] = 1.0
        return row

    def _padded(self, row: Floats, gives: float = 0.0) -> Floats:
        """A row over all columns; `gives` is the share of what the giving condition gives."""
        width = len(self._shop.columns) + len(self._further)
        full = np.concatenate([row, np.zeros(width - len(row))])
        if gives:
            full[-1] = gives
        return full

    def _solve(self, aim: Floats, rows: Sequence[Row]) -> Floats | None:
        from scipy.optimize import Bounds, LinearConstraint

        whole = self._whole
        most = [MOST_PIECES if whole and self._shop.found[c.of].stock else math.inf for c in self._shop.columns]
        lows = [*(0.0 for _ in most), *(each.low for each in self._further)]
        highs = [*most, *(each.high for each in self._further)]
        kinds = [*(float(whole) for _ in most), *(float(each.is_whole) for each in self._further)]
        constraints = []
        if rows:
            left, least, greatest = zip(*rows, strict=True)
            constraints.append(LinearConstraint(np.array(left), least, greatest))
        return optimum(aim, constraints, Bounds(lows, highs), integrality=np.array(kinds))
