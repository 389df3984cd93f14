"""Bands of sums and of weighted means over weights at uncertain places.

Every figure of the vehicle is a sum over the loads, or one such sum divided by the total mass. In each single value
(a mass, a place, the wheelbase, the case datum) such a figure rises or falls all the way, so its extremes lie at ends
of the bands: the shared values are tried at both ends, and with those held each load chooses its ends by itself. No
build within the bands lies outside the worst case, and some build reaches it (to 1e-12 of its size).

The root-sum-square band is of first order: each value deviates alone, and the effects are added as squares. A placing
value that carries several parts counts once, with all of them; in the worst case each part's place is free by itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import product

from fitcheck.findings import Band
from fitcheck.vehicle.loading import Load, Loading

Weighing = Callable[[Load, float, float], tuple[float, float]]
"""(load, stretch, datum) -> (a, b): each kilogram of the load counts a + b times its own place."""

Deviations = Mapping[str, tuple[float, float]]
"""Value name -> how much the figure changes with that value at its low and at its high end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """What is asked: how a load counts along one axis, and whether the sum is divided by the total mass."""

    axis: int
    weighing: Weighing
    divided: bool = False


def along(load: Load, axis: int, stretch: float, datum: float) -> float:
    """Where a load stands but for its own place."""
    return load.multiple[axis] * stretch + (datum if load.in_case else 0.0)


def band(loading: Loading, figure: Figure) -> Band:
    """Nominal, worst case and root-sum-square. Raises ValueError where a mass to divide by may be zero."""
    stretch, datum = loading.shared(figure.axis)
    lows, highs = [], []
    for at_stretch, at_datum in product(set(stretch.ends), set(datum.ends)):
        highs.append(_furthest(loading, figure, at_stretch, at_datum, 1.0))
        lows.append(-_furthest(loading, figure, at_stretch, at_datum, -1.0))
    return with_rss(value(loading, figure), min(lows), max(highs), deviations(loading, figure))


def with_rss(nominal: float, low: float, high: float, deviating: Deviations) -> Band:
    """A band from its worst case and its deviations; the root-sum-square is never wider than the worst case."""
    fall = math.sqrt(sum(max(0.0, -min(ends)) ** 2 for ends in deviating.values()))
    rise = math.sqrt(sum(max(0.0, *ends) ** 2 for ends in deviating.values()))
    # The nominal lies within its own band, whatever the last digit of a sum says.
    low, high = min(low, nominal), max(high, nominal)
    return Band(value=nominal, low=low, high=high, rss_low=max(low, nominal - fall), rss_high=min(high, nominal + rise))


def value(loading: Loading, figure: Figure) -> float:
    """The figure with every value at its nominal."""
    stretch, datum = loading.shared(figure.axis)
    above, below = _sums(loading, figure, stretch.nominal, datum.nominal)
    return above / below if figure.divided else above


def _sums(loading: Loading, figure: Figure, stretch: float, datum: float) -> tuple[float, float]:
    above, below = 0.0, 0.0
    for load in loading.loads:
        a, b = figure.weighing(load, stretch, datum)
        mass = load.sign * load.mass.nominal
        above += mass * (a + b * load.own[figure.axis].nominal)
        below += mass
    return above, below


def deviations(loading: Loading, figure: Figure) -> Deviations:
    """How the figure answers to each value alone."""
    axis = figure.axis
    stretch, datum = loading.shared(axis)
    above, below = _sums(loading, figure, stretch.nominal, datum.nominal)
    nominal = above / below if figure.divided else above

    def answer(more_above: float, more_below: float) -> float:
        return (above + more_above) / (below + more_below if figure.divided else 1.0) - nominal

    found: dict[str, tuple[float, float]] = {}

    def add(name: str, low: float, high: float) -> None:
        known = found.get(name, (0.0, 0.0))
        found[name] = (known[0] + low, known[1] + high)

    for load in loading.loads:
        a, b = figure.weighing(load, stretch.nominal, datum.nominal)
        own, mass = load.own[axis], load.mass
        each = a + b * own.nominal
        by_mass = [load.sign * (end - mass.nominal) for end in mass.ends]
        add(mass.name, answer(by_mass[0] * each, by_mass[0]), answer(by_mass[1] * each, by_mass[1]))
        for name, steps in load.steps(axis).items():
            low, high = (answer(load.sign * mass.nominal * b * step, 0.0) for step in steps)
            add(name, low, high)

    def at(at_stretch: float, at_datum: float) -> float:
        return answer(_sums(loading, figure, at_stretch, at_datum)[0] - above, 0.0)

    add(stretch.name, at(stretch.low, datum.nominal), at(stretch.high, datum.nominal))
    add(datum.name, at(stretch.nominal, datum.low), at(stretch.nominal, datum.high))
    return found


def less(after: Deviations, before: Deviations) -> Deviations:
    """The deviations of a difference: what both answer to alike cancels."""
    nothing = (0.0, 0.0)
    return {
        name: tuple(a - b for a, b in zip(after.get(name, nothing), before.get(name, nothing), strict=True))  # type: ignore[misc]
        for name in {**after, **before}
    }


def _furthest(loading: Loading, figure: Figure, stretch: float, datum: float, way: float) -> float:
    """The largest of `way` times the figure, shared values held."""
    counts = [(load, *figure.weighing(load, stretch, datum)) for load in loading.loads]
    if not figure.divided:
        return _largest(counts, figure.axis, way, 0.0)[0]
    if sum(min(load.sign * end for end in load.mass.ends) for load in loading.loads) <= 0.0:
        raise ValueError("what was taken out may weigh as much as the whole vehicle")
    # The largest quotient is where the largest of (above - q below) is zero; q rises until the same ends are chosen.
    quotient = -math.inf
    above, below = _sums(loading, figure, stretch, datum)
    above *= way
    while above / below > quotient:
        quotient = above / below
        _, above, below = _largest(counts, figure.axis, way, quotient)
    return quotient


def _largest(
    counts: list[tuple[Load, float, float]], axis: int, way: float, quotient: float
) -> tuple[float, float, float]:
    """(largest of way * above - quotient * below, way * above there, below there), each load choosing its own ends."""
    best, above, below = 0.0, 0.0, 0.0
    for load, a, b in counts:
        choices = []
        for mass, place in product(load.mass.ends, load.own[axis].ends):
            signed = load.sign * mass
            one = way * signed * (a + b * place)
            choices.append((one - quotient * signed, one, signed))
        chosen = max(choices)
        best, above, below = best + chosen[0], above + chosen[1], below + chosen[2]
    return best, above, below
