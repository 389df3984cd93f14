"""The shortest way between two conductors over insulation, floating metal crossed for nothing.

The graph of the straight ways, each step of which becomes a way over surfaces where the straight one is too short.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from fitcheck.checks.air_legs import AirLegs
from fitcheck.checks.straight_way import Way, Ways
from fitcheck.checks.surface_legs import Leg, SurfaceLegs
from fitcheck.findings import TOUCH_MM, Point
from fitcheck.model.part import Build, Part, State
from fitcheck.model.sections import Electrical
from fitcheck.placing.measure import Measure
from fitcheck.study import Study

SHORT_MM = 3.0
"""Below this clearance X is a third of it, if that is less (IEC 60664-1, as quoted on public pages)."""
LEAST_MM = 1e-3
"""A lower X than this is not tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crept:
    """`value` is the way as drawn along `line`, `high` no build has more; mm. `lowered`: X, where it is less than the
    pollution degree asks for because the clearance is short. `gave_up`: the search ended before the bounds met.
    """

    value: float
    high: float
    line: tuple[Point, ...]
    lowered: float | None = None
    gave_up: bool = False


class SurfaceWays(Ways):
    """The conductors of one build at one age, joined by ways over its insulation."""

    def __init__(self, study: Study, build: Build, state: State, electrical: Electrical) -> None:
        super().__init__(study, build, state, electrical)
        self._surfaces = SurfaceLegs(study, state, self.insulation, electrical.cemented)
        self._air = AirLegs(study, state, self.insulation, electrical.cemented)
        self._lowered: dict[tuple[int, int], float] = {}
        self._legs: dict[tuple[int, int], Leg | None] = {}
        self._asked: dict[tuple[int, int], float] = {}
        self._enough = 0.0

    def way(self, one: Part, other: Part, enough: float) -> Way:
        self._enough = enough
        return super().way(one, other, enough)

    def _measured(self, start: int, end: int) -> Measure:
        measure = super()._measured(start, end)
        key = (min(start, end), max(start, end))
        if key in self._legs and self._asked[key] < self._enough:
            del self._legs[key]  # another rule set asks for more: it was searched no farther than was asked for then
        if key not in self._legs and self._least[key] < self._enough:
            self._asked[key] = self._enough
            self._legs[key] = leg = self._leg(self.parts[key[0]], self.parts[key[1]], measure)
            if leg is not None and leg.low > self._least[key]:
                self._least[key] = self._least[key[::-1]] = leg.low
        return measure

    def _leg(self, one: Part, other: Part, straight: Measure) -> Leg | None:
        leg = self._over_insulation(one, other, straight)
        floats = any(self._floats[self._number[part.name]] for part in (one, other))
        return self._over_gap(one, other, straight, leg) if floats and straight.band.low < self._bridged else leg

    def _over_insulation(self, one: Part, other: Part, straight: Measure) -> Leg | None:
        """The way over insulation, X lowered where the clearance is short.

        Lowering X only lengthens ways: where all are long enough without, the clearance need not be known. A conductor
        takes hold of a surface over the whole X all the same: it may stand over insulation nearer than that, and what
        lies between the two is no opening between walls.
        """
        plain = None
        if self._may_lower(one, other, straight) and not self._air.is_open(one, other, SHORT_MM):
            plain = self._surfaces.leg(one, other, self._enough, self._bridged, self._bridged)
            if plain is None or plain.low >= self._enough - TOUCH_MM:
                return plain
            # Nor where the way is too short, and as long with the least X that there can be.
            least = straight.band.low / 3.0
            leg = None
            if LEAST_MM < least < self._bridged:
                leg = self._surfaces.leg(one, other, self._enough, least, self._bridged)
            if leg is not None and leg.value < self._enough and leg.value <= plain.value + TOUCH_MM:
                return replace(plain, high=min(plain.high, leg.high))
        narrow = self._narrow(one, other, straight)
        if plain is not None and narrow == self._bridged:
            return plain
        leg = self._surfaces.leg(one, other, self._enough, narrow, self._bridged)
        return leg if leg is None or plain is None else replace(leg, low=max(leg.low, plain.low))

    def _over_gap(self, one: Part, other: Part, straight: Measure, leg: Leg | None) -> Leg | None:
        """The way to floating metal where the air between may be narrower than X, which needs no surface to cross."""
        gap = self._gap(one, other, straight)
        if gap is None:
            return None if leg is None else replace(leg, low=min(leg.low, straight.band.low))
        if gap.low >= self._bridged:
            return leg
        low, high = (math.inf, math.inf) if leg is None else (leg.low, leg.high)
        if gap.value < self._bridged:
            return replace(gap, low=min(low, gap.low), high=gap.high if gap.high < self._bridged else high)
        return None if leg is None else replace(leg, low=min(low, gap.low))

    def _gap(self, one: Part, other: Part, straight: Measure) -> Leg | None:
        """The way through air between two that are near each other; None where it is not known."""
        if not self._air.is_open(one, other, self._bridged):
            return self._air.through_air(one, other, self._bridged)
        band = straight.band
        return Leg(low=band.low, value=band.value, high=band.high + straight.error, line=tuple(straight.points))

    def _narrow(self, one: Part, other: Part, straight: Measure) -> float:
        """X for the way between two conductors: a third of their clearance where that is less than 3 mm.

        Taken for the longest clearance that any build has, so that X is never too small. A step beside floating metal
        is only part of a clearance: there X stays.
        """
        key = (self._number[one.name], self._number[other.name])
        if not self._may_lower(one, other, straight):
            return self._bridged
        clearance = straight.band.high + straight.error
        if not self._air.is_open(one, other, SHORT_MM):
            leg = self._air.through_air(one, other, SHORT_MM)
            clearance = math.inf if leg is None else leg.high
        if clearance >= min(SHORT_MM, 3.0 * self._bridged):
            return self._bridged
        self._lowered[key] = clearance / 3.0
        return self._lowered[key]

    def _may_lower(self, one: Part, other: Part, straight: Measure) -> bool:
        floats = any(self._floats[self._number[part.name]] for part in (one, other))
        return straight.band.low < SHORT_MM and not floats

    def crept(self, one: Part, other: Part, way: Way) -> Crept | None:
        """The way along its steps as it was found; None where a step is not known to run over a surface."""
        names = [one.name, *(part.name for part in way.over), other.name]
        numbers = [self._number[name] for name in names]
        value = high = 0.0
        gave_up = False
        line: list[Point] = []
        for start, end in pairwise(numbers):
            leg = self._legs.get((min(start, end), max(start, end)))
            if leg is None or leg.value == float("inf"):
                return None
            # Beside floating metal a step narrower than X counts nothing.
            counts = leg.value >= self._bridged or not (self._floats[start] or self._floats[end])
            value += leg.value if counts else 0.0
            high += leg.high if counts or leg.high >= self._bridged else 0.0
            line += leg.line if start < end else leg.line[::-1]
            gave_up = gave_up or leg.gave_up
        lowered = self._lowered.get((min(numbers), max(numbers))) if len(numbers) == 2 else None
        told = tuple(point for point, _ in groupby(line))
        return Crept(value=value, high=high, line=told, lowered=lowered, gave_up=gave_up)


def surface_ways(study: Study, build: Build, state: State, electrical: Electrical) -> SurfaceWays:
    """Worked out once for a study."""
    return study.remembered(("surface ways", build, state), lambda: SurfaceWays(study, build, state, electrical))
