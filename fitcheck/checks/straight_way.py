"""The shortest conceivable way between two conductors, whatever insulation stands between them.

Air and surfaces never make a way shorter than the straight distance; floating metal does, for nothing is spent in
crossing it. So no way is shorter than the shortest one in a graph: nodes are the two conductors and all floating metal,
edges the least distance that two of them can have within tolerance. Edges begin as distances of bounding boxes, which
are less; those on the shortest way are measured until the way is either long enough or exact.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import NDArray

from fitcheck.checks.potentials import Kind, kind_of
from fitcheck.findings import TOUCH_MM, Point
from fitcheck.model.part import Build, Part, State
from fitcheck.model.sections import Electrical
from fitcheck.placing.measure import Measure
from fitcheck.standards.insulation import GROOVE_MM
from fitcheck.study import Pair, Study

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The way from one conductor to another. `least` is the proven lower bound of its length in mm, with tolerances,
    `over` the floating metal that it crosses, `straight` the measure of the two conductors themselves.

    `value` and `high` are the way as drawn and in the build that has most of it, straight from metal to metal along
    `line`; without floating metal, and where a step was not measured, those of the two conductors.
    """

    least: float
    over: tuple[Part, ...]
    straight: Measure
    steps: tuple[Measure, ...]
    value: float
    high: float
    line: tuple[Point, ...]

    @property
    def touches(self) -> bool:
        """Whether every step of the way is contact as drawn; not so while facets leave it open."""
        return all(step.band.value + step.error <= TOUCH_MM for step in self.steps)


class Ways:
    """The conductors of one build at one age."""

    def __init__(self, study: Study, build: Build, state: State, electrical: Electrical) -> None:
        kinds = {part.name: kind_of(electrical, part) for part in study.layout.in_build(build)}
        self._study, self._state = study, state
        self.parts = [part for part in study.layout.in_build(build) if kinds[part.name] not in (None, Kind.INSULATION)]
        self.insulation = [part for part in study.layout.in_build(build) if kinds[part.name] is Kind.INSULATION]
        self._number = {part.name: number for number, part in enumerate(self.parts)}
        self._floats = np.array([kinds[part.name] is Kind.FLOATING for part in self.parts], dtype=bool)
        self._bridged = GROOVE_MM[electrical.pollution_degree]
        self._least = self._boxes_apart(self.parts, self.parts)
        self._measures: dict[tuple[int, int], Measure] = {}
        self._reaches: dict[tuple[str, float], dict[str, float]] = {}

    def reach(self, one: Part, limit: float) -> dict[str, float]:
        """What may lie within `limit` mm of a part, by name, and the least that the way there can be."""
        key = (one.name, limit)
        if key not in self._reaches:  # measuring only lengthens steps, so what was found earlier stays a lower bound
            found, _ = self._shortest(self._number[one.name], limit)
            self._reaches[key] = {self.parts[node].name: length for node, length in found.items()}
        return self._reaches[key]

    def way(self, one: Part, other: Part, enough: float) -> Way:
        """The shortest way, measured until it is exact or at least `enough` mm."""
        start, end = self._number[one.name], self._number[other.name]
        straight = self._measured(start, end)
        while True:
            found, before = self._shortest(start, float(self._least[start, end]), end)  # never longer than straight
            nodes = [end]
            while nodes[-1] != start:
                nodes.append(before[nodes[-1]])
            steps = list(pairwise(nodes))
            open_steps = [step for step in steps if tuple(sorted(step)) not in self._measures]
            if found[end] >= enough or not open_steps:
                break
            for step in open_steps:
                self._measured(*step)
        value, high, line = self._drawn(nodes[::-1], straight)
        return Way(
            least=found[end],
            over=tuple(self.parts[node] for node in reversed(nodes[1:-1])),
            straight=straight,
            steps=tuple(self._measures[key] for key in map(_key, steps) if key in self._measures),
            value=value,
            high=high,
            line=line,
        )

    def _drawn(self, nodes: list[int], straight: Measure) -> tuple[float, float, tuple[Point, ...]]:
        """The way over these nodes as drawn, in the build that has most of it, and its corners."""
        value = high = 0.0
        line: list[Point] = []
        for start, end in pairwise(nodes):
            measure = self._measures.get(_key((start, end)))
            if measure is None:
                return straight.band.value, straight.band.high, ()
            farthest = measure.band.high + measure.error
            bridges = bool(self._floats[start] or self._floats[end])
            value += 0.0 if bridges and measure.band.value < self._bridged else measure.band.value
            high += 0.0 if bridges and farthest < self._bridged else farthest
            line += measure.points if start < end else measure.points[::-1]
        if len(nodes) == 2 or value >= straight.band.value:
            return straight.band.value, straight.band.high, ()
        return value, min(high, straight.band.high), tuple(point for point, _ in groupby(line))

    def insulation_near(self, one: Part, other: Part, within: float) -> list[Part]:
        """Every insulating part that a way of that length between the two could touch."""
        names = {*self.reach(one, within), other.name}
        near = [part for part in self.parts if part.name in names and self._may_carry(part, one, other)]
        apart = self._boxes_apart(self.insulation, near)
        return [part for part, distances in zip(self.insulation, apart, strict=True) if np.min(distances) <= within]

    def _may_carry(self, part: Part, one: Part, other: Part) -> bool:
        return bool(self._floats[self._number[part.name]]) or part.name in (one.name, other.name)

    def _measured(self, start: int, end: int) -> Measure:
        key = _key((start, end))
        if key not in self._measures:
            one, other = (self.parts[number] for number in key)
            self._study.progress(f"straight way {one.name} - {other.name}")
            pair = Pair(one=one, other=other, rule=None)
            measure = self._study.measure(pair, self._state, with_contacts=False)
            assert measure is not None  # noqa: S101 (nothing is excused, so something is measured)
            self._measures[key] = measure
            least = max(measure.band.low, float(self._least[key]))
            self._least[start, end] = self._least[end, start] = least
        return self._measures[key]

    def _shortest(self, start: int, limit: float, end: int | None = None) -> tuple[dict[int, float], dict[int, int]]:
        """Lengths and the node before, for all nodes within `limit`, or until `end` is reached.

        Steps to and from floating metal that are narrower than X count nothing: they are taken as bridged.
        """
        found: dict[int, float] = {}
        before: dict[int, int] = {}
        waiting = [(0.0, start, start)]
        while waiting:
            length, node, came_from = heapq.heappop(waiting)
            if node in found:
                continue
            found[node], before[node] = length, came_from
            if node == end:
                break
            if node == start or self._floats[node]:
                for following, step in self._steps(node, end, limit - length):
                    if following not in found:
                        heapq.heappush(waiting, (length + step, following, node))
        return found, before

    def _steps(self, node: int, end: int | None, longest: float) -> Iterator[tuple[int, float]]:
        """Where one can go from a node: to floating metal, and to `end` (None: to every conductor)."""
        row = self._least[node]
        bridges = self._floats | self._floats[node]
        lengths = np.where(bridges & (row < self._bridged), 0.0, row)
        wanted = self._floats.copy()
        wanted[slice(None) if end is None else end] = True
        for following in np.flatnonzero(wanted & (lengths <= longest)).tolist():
            yield following, float(lengths[following])

    def _boxes_apart(self, some: list[Part], others: list[Part]) -> Array:
        """(len(some), len(others)): distances of outermost bounding boxes, 0 where they meet."""
        bounds = self._study.bounds(self._state)
        one = np.array([bounds[part.name] for part in some], dtype=float).reshape(-1, 1, 3, 2)
        other = np.array([bounds[part.name] for part in others], dtype=float).reshape(1, -1, 3, 2)
        gaps = np.maximum(one[..., 0] - other[..., 1], other[..., 0] - one[..., 1])
        return np.asarray(np.linalg.norm(np.maximum(gaps, 0.0), axis=2))


def _key(step: tuple[int, int]) -> tuple[int, int]:
    return (min(step), max(step))


def ways(study: Study, build: Build, state: State, electrical: Electrical) -> Ways:
    """Worked out once for a study, shared by the checks that need it."""
    return study.remembered(("ways", build, state), lambda: Ways(study, build, state, electrical))
