"""The shortest way through air between two conductors, floating metal crossed for nothing.

The graph of the straight ways, each step of which becomes a way around insulation where the straight one is too short.
"""

from __future__ import annotations

from fitcheck.checks.straight_way import Way
from fitcheck.checks.surface_legs import Leg
from fitcheck.checks.surface_way import SurfaceWays
from fitcheck.model.part import Build, Part, State
from fitcheck.model.sections import Electrical
from fitcheck.placing.measure import Measure
from fitcheck.study import Study


class AirWays(SurfaceWays):
    """The conductors of one build at one age, joined by ways through the air around its insulation."""

    def __init__(self, study: Study, build: Build, state: State, electrical: Electrical) -> None:
        super().__init__(study, build, state, electrical)
        self._asked: dict[tuple[int, int], float] = {}

    def _measured(self, start: int, end: int) -> Measure:
        key = (min(start, end), max(start, end))
        if self._asked.get(key, self._enough) < self._enough:
            del self._legs[key]  # it was searched no farther than was asked for then
        measure = super()._measured(start, end)
        if self._legs.get(key) is None and self._air.is_open(self.parts[key[0]], self.parts[key[1]], self._enough):
            band = measure.band
            self._legs[key] = Leg(
                low=band.low, value=band.value, high=band.high + measure.error, line=tuple(measure.points)
            )
        if key in self._legs:
            self._asked[key] = self._enough
        return measure

    def _leg(self, one: Part, other: Part, straight: Measure) -> Leg | None:
        return self._air.through_air(one, other, self._enough)

    def solid_between(self, way: Way) -> float | None:
        """How many mm of the straight line between the two, as drawn, run through insulation."""
        start, end = way.straight.points
        return self._air.solid_between(start, end)


def air_ways(study: Study, build: Build, state: State, electrical: Electrical) -> AirWays:
    """Worked out once for a study."""
    return study.remembered(("air ways", build, state), lambda: AirWays(study, build, state, electrical))
