"""The shortest way between two conductors over insulation, floating metal crossed for nothing.

The graph of the straight ways, each step of which becomes a way over surfaces where the straight one is too short.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby, pairwise

from fitcheck.checks.straight_way import Way, Ways
from fitcheck.checks.surface_legs import Leg, SurfaceLegs
from fitcheck.findings import Point
from fitcheck.model.part import Build, Part, State
from fitcheck.model.sections import Electrical
from fitcheck.placing.measure import Measure
from fitcheck.standards.insulation import GROOVE_MM
from fitcheck.study import Study


@dataclass(frozen=True, slots=True, kw_only=True)
class Crept:
    """`value` is the way as drawn along `line`, `high` no build has more; mm."""

    value: float
    high: float
    line: tuple[Point, ...]


class SurfaceWays(Ways):
    """The conductors of one build at one age, joined by ways over its insulation."""

    def __init__(self, study: Study, build: Build, state: State, electrical: Electrical) -> None:
        super().__init__(study, build, state, electrical)
        narrow = GROOVE_MM[electrical.pollution_degree]
        self._surfaces = SurfaceLegs(study, state, self.insulation, electrical.cemented, narrow)
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
            self._legs[key] = leg = self._surfaces.leg(self.parts[key[0]], self.parts[key[1]], self._enough)
            if leg is not None and leg.low > self._least[key]:
                self._least[key] = self._least[key[::-1]] = leg.low
        return measure

    def crept(self, one: Part, other: Part, way: Way) -> Crept | None:
        """The way along its steps as it was found; None where a step is not known to run over a surface."""
        names = [one.name, *(part.name for part in way.over), other.name]
        numbers = [self._number[name] for name in names]
        value = high = 0.0
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
        return Crept(value=value, high=high, line=tuple(point for point, _ in groupby(line)))


def surface_ways(study: Study, build: Build, state: State, electrical: Electrical) -> SurfaceWays:
    """Worked out once for a study."""
    return study.remembered(("surface ways", build, state), lambda: SurfaceWays(study, build, state, electrical))
