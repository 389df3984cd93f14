"""Which pairs are worth measuring, and the finding of one measured pair: shared by the gap and the overlap check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.model.part import Build, State
from fitcheck.placing.measure import Measure
from fitcheck.result import Counted
from fitcheck.study import Pair, Study

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """A pair whose bounding boxes come close enough to be measured."""

    pair: Pair
    state: State


def states_of(study: Study, pair: Pair) -> tuple[State, ...]:
    """The ages in which a pair can differ."""
    if len(study.states) > 1 and study.changes_with_age(pair):
        return study.states
    return (State.BEGINNING,)


def near_pairs(study: Study, build: Build) -> tuple[Near, ...]:
    """The pairs of a build within their rule, their band and `list_within`, by bounding boxes at their outermost.

    In file order. Pairs that no rule could reach are sorted out all at once, before any rule is looked up.
    """
    return study.remembered(("near pairs", build), lambda: tuple(_near_pairs(study, build)))


def _near_pairs(study: Study, build: Build) -> Iterator[Near]:
    parts = list(study.layout.in_build(build))
    farthest = study.layout.list_within + max((rule.at_least.high for rule in study.layout.gap_rules), default=0.0)
    boxes = {state: _corners(study, state, [part.name for part in parts]) for state in study.states}
    for i, one in enumerate(parts):
        apart = {state: _apart(low, high, i) for state, (low, high) in boxes.items()}
        nearest = np.min(list(apart.values()), axis=0)
        for offset in np.flatnonzero(nearest <= farthest).tolist():
            other = parts[i + 1 + offset]
            pair = Pair(one=one, other=other, rule=study.rule_for(one, other))
            reach = pair.required + study.layout.list_within
            for state in states_of(study, pair):
                if apart[state][offset] <= reach:
                    yield Near(pair=pair, state=state)


def _apart(low: Array, high: Array, i: int) -> Array:
    """Distance of box i from every later one; 0 where they meet."""
    gaps = np.maximum(low[i] - high[i + 1 :], low[i + 1 :] - high[i])
    return np.asarray(np.linalg.norm(np.maximum(gaps, 0.0), axis=1))


def _corners(study: Study, state: State, names: list[str]) -> tuple[Array, Array]:
    bounds = study.bounds(state)
    sides = np.array([bounds[name] for name in names]).reshape(-1, 3, 2)
    return sides[:, :, 0], sides[:, :, 1]


def counted(study: Study, build: Build) -> Counted:
    """How many pairs there are, and how many came close enough to be measured."""
    parts = len(list(study.layout.in_build(build)))
    pairs = parts * (parts - 1) // 2
    measured = len({near.pair.names for near in near_pairs(study, build)})
    return Counted(parts=parts, pairs=pairs, measured=measured, far_apart=pairs - measured)


def guesses(study: Study, near: Near, measure: Measure) -> tuple[str, ...]:
    """The guessed values that a finding rests on: those that its measure depends on, and those of its rule."""
    pair, quantities = near.pair, study.layout.quantities
    found = [name for name in measure.values if name in quantities and quantities[name].is_guess]
    if near.state is State.END:
        # The growth of a mesh widens its surface and has no name of its own in the measure.
        found += [share.name for part in (pair.one, pair.other) for _, share in part.grows if share.is_guess]
    if pair.rule is not None and pair.rule.at_least.is_guess:
        found.append(f"the rule {pair.rule.at_least.name}".strip())
    return tuple(dict.fromkeys(found))


def looseness(measure: Measure) -> str:
    """What an approximation may have taken off, in words; empty if the figures are exact."""
    said = [measure.note] if measure.note else []
    if measure.error > 5e-4:
        said.append(
            f"curved faces are taken as flat facets: the true distance may be up to {measure.error:.3f} mm larger"
        )
    if measure.looseness > 5e-4:
        said.append(f"uncertain turns widen the band by up to {measure.looseness:.3f} mm beyond what is possible")
    return "; ".join(said)
