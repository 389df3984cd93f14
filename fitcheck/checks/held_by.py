"""What holds two conductors, and whether any surface can lead from one to the other.

A way over surfaces leaves a conductor for a body within X of it and goes on to bodies within X of each other. Where no
such chain of insulation and floating metal leads from the one to the other in any build, there is no way over surfaces,
whatever their shapes. That says something only where all that holds them is drawn: where it stands, over what touches,
on metal of the case, to which each live part is judged by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.checks.potentials import Kind, kind_of
from fitcheck.findings import TOUCH_MM
from fitcheck.model.part import Build, Part, State
from fitcheck.model.sections import Electrical
from fitcheck.placing.measure import Measure
from fitcheck.standards.insulation import GROOVE_MM
from fitcheck.study import Pair, Study


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """How the live ones of two conductors are held. `bare`: those with no insulation within X in any build. `loose`:
    those that do not stand, by way of insulation that touches as drawn, on bonded metal. `apart`: no chain of bodies
    leads from one conductor to the other, in any build.
    """

    bare: tuple[Part, ...]
    loose: tuple[Part, ...]
    apart: bool


def held(study: Study, build: Build, state: State, pair: tuple[Part, Part]) -> Held | None:
    """None for a layout without electrical values."""
    electrical = study.layout.sections.electrical
    if electrical is None:
        return None
    kinds: dict[Kind | None, list[Part]] = {}
    for part in study.layout.in_build(build):
        kinds.setdefault(kind_of(electrical, part), []).append(part)
    insulation, bonded = kinds.get(Kind.INSULATION, []), kinds.get(Kind.BONDED, [])
    near = study.remembered(("nearness", state), lambda: _Nearness(study, state, electrical))
    live = [part for part in pair if part.potential is not None]
    reached = _chain(pair[0], [*insulation, *kinds.get(Kind.FLOATING, []), pair[1]], near.may_lead)
    return Held(
        bare=tuple(part for part in live if not any(near.may_lead(part, body) for body in insulation)),
        loose=tuple(
            part
            for part in live
            if not any(near.touches(body, metal) for body in _chain(part, insulation, near.touches) for metal in bonded)
        ),
        apart=all(part.name != pair[1].name for part in reached),
    )


def _chain(first: Part, bodies: Sequence[Part], leads: Callable[[Part, Part], bool]) -> list[Part]:
    """The bodies to which a chain leads from the first part, itself left out."""
    left, found, waiting = list(bodies), [], [first]
    while waiting:
        here = waiting.pop()
        there = [part for part in left if leads(here, part)]
        names_there = {part.name for part in there}
        left = [part for part in left if part.name not in names_there]
        found += there
        waiting += there
    return found


class _Nearness:
    """Which parts may be less than X apart in some build, or are said to be joined."""

    def __init__(self, study: Study, state: State, electrical: Electrical) -> None:
        self._study, self._state, self._x = study, state, GROOVE_MM[electrical.pollution_degree]
        self._cemented = {frozenset(pair) for pair in electrical.cemented}
        self._bounds = {name: np.array(box, dtype=float) for name, box in study.bounds(state).items()}
        self._measures: dict[frozenset[str], Measure | None] = {}

    def may_lead(self, one: Part, other: Part) -> bool:
        if frozenset((one.name, other.name)) in self._cemented:
            return True
        measure = self._measured(one, other)
        return measure is not None and measure.band.low < self._x

    def touches(self, one: Part, other: Part) -> bool:
        measure = self._measured(one, other)
        return measure is not None and measure.band.value <= TOUCH_MM

    def _measured(self, one: Part, other: Part) -> Measure | None:
        """None where their outermost boxes are X apart or more."""
        key = frozenset((one.name, other.name))
        if key not in self._measures:
            pair = Pair(one=one, other=other, rule=None)
            far = self._boxes_apart(one, other) >= self._x
            self._measures[key] = None if far else self._study.measure(pair, self._state, with_contacts=False)
        return self._measures[key]

    def _boxes_apart(self, one: Part, other: Part) -> float:
        first, second = self._bounds[one.name], self._bounds[other.name]
        gaps = np.maximum(first[:, 0] - second[:, 1], second[:, 0] - first[:, 1])
        return float(np.linalg.norm(np.maximum(gaps, 0.0)))


def names(parts: Sequence[Part]) -> str:
    return " and ".join(part.name for part in parts)
