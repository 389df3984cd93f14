"""Many weighed bodies as one: mass, centre of gravity, inertia tensor, and how far each may be off.

Inertia is about the composite's own centre, in kg m2, off-diagonal -sum m x y; positions are in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

M2_PER_MM2 = 1e-6

Shifts = Mapping[str, tuple[Array, Array]]
"""Name of a value -> how far it carries a centre (3,) in mm, at the value's low end and at its high end."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Weight:
    """One body: mass in kg, centre (3,) in mm, inertia (3, 3) in kg m2 about its own centre. All in shared axes."""

    mass: float
    centre: Array
    inertia: Array


@dataclass(frozen=True, kw_only=True, eq=False)
class Slopes:
    """How the composite answers to its bodies, to first order; n bodies in their order.

    centre_by_mass (n, 3) mm/kg; centre_by_centre (n,) mm/mm, along each axis alike; inertia_by_mass (n, 3, 3) kg m2/kg,
    a body's own inertia growing with its mass; inertia_by_centre (n, 3, 3, 3) kg m2/mm, [body, axis of the shift].
    """

    centre_by_mass: Array
    centre_by_centre: Array
    inertia_by_mass: Array
    inertia_by_centre: Array


@dataclass(frozen=True, kw_only=True, eq=False)
class BandedWeight:
    """A body with its bands: mass_low and mass_high in kg, centre_low and centre_high (3,) in mm.

    `inertia_half` (3, 3) is how far its own inertia may be off for reasons other than its mass, `inertia_rss_half` the
    same as root-sum-square (None: no less). `shifts` names the values that carry its centre, so that what several
    bodies go back to counts once; empty: each coordinate deviates by itself. `name` tells the body from all others.
    """

    weight: Weight
    mass_low: float
    mass_high: float
    centre_low: Array
    centre_high: Array
    inertia_half: Array = field(default_factory=lambda: np.zeros((3, 3)))
    inertia_rss_half: Array | None = None
    shifts: Shifts = field(default_factory=dict)
    name: str = ""


@dataclass(frozen=True, kw_only=True, eq=False)
class CompositeBand:
    """Bands of the composite.

    `mass_low`, `mass_high`, `centre_low`, `centre_high` (3,) hold for every build within the bands of the bodies, and
    some build reaches them. The `rss` values are root-sum-square of first order, each value deviating by itself.
    """

    mass_low: float
    mass_high: float
    mass_rss_low: float
    mass_rss_high: float
    centre_low: Array
    centre_high: Array
    centre_rss_low: Array
    centre_rss_high: Array
    inertia_rss_half: Array


def combine(weights: Sequence[Weight]) -> Weight:
    """The composite of the bodies by the parallel-axis theorem. Raises ValueError where nothing weighs anything."""
    masses, centres = _stacked(weights)
    total = float(masses.sum())
    if total <= 0.0:
        raise ValueError("nothing here has a mass")
    # From the mean of the centres: about a far origin digits would be lost.
    zero = centres.mean(axis=0)
    centre = masses @ (centres - zero) / total + zero
    inertia = np.sum([weight.inertia for weight in weights], axis=0)
    inertia = inertia + (masses[:, None, None] * _carried(centres - centre)).sum(axis=0)
    return Weight(mass=total, centre=centre, inertia=inertia)


def slopes(weights: Sequence[Weight]) -> Slopes:
    """First-order answer of the composite's centre and inertia to each body's mass and centre.

    The shift of the common centre adds nothing to the inertia at first order: about it, the first moment is zero.
    """
    masses, _ = _stacked(weights)
    whole = combine(weights)
    arms = np.array([weight.centre for weight in weights]) - whole.centre
    own = np.array([w.inertia / w.mass if w.mass > 0.0 else np.zeros((3, 3)) for w in weights])
    unit = np.eye(3)
    turning = (
        2.0 * arms[:, :, None, None] * unit
        - unit[None, :, :, None] * arms[:, None, None, :]
        - arms[:, None, :, None] * unit[None, :, None, :]
    )
    return Slopes(
        centre_by_mass=arms / whole.mass,
        centre_by_centre=masses / whole.mass,
        inertia_by_mass=own + _carried(arms),
        inertia_by_centre=masses[:, None, None, None] * turning * M2_PER_MM2,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Answers:
    """How a composite answers, to first order, to each value alone: k values by name.

    centre (k, 2, 3) in mm and inertia (k, 2, 3, 3) in kg m2, at the low and at the high end of each value.
    """

    names: tuple[str, ...]
    centre: Array
    inertia: Array

    def less(self, other: Answers) -> Answers:
        """Of the difference of two composites: what both answer to alike cancels."""
        names = tuple(dict.fromkeys((*self.names, *other.names)))
        return Answers(
            names=names,
            centre=_by_name(names, self.names, self.centre) - _by_name(names, other.names, other.centre),
            inertia=_by_name(names, self.names, self.inertia) - _by_name(names, other.names, other.inertia),
        )

    def centre_rss(self) -> tuple[Array, Array]:
        """(fall, rise), each (3,) and not negative: root-sum-square of the values, deviating each by itself."""
        falls, rises = -self.centre.min(axis=1), self.centre.max(axis=1)
        return np.sqrt((falls.clip(0.0) ** 2).sum(axis=0)), np.sqrt((rises.clip(0.0) ** 2).sum(axis=0))

    def inertia_rss_half(self) -> Array:
        return np.asarray(np.sqrt((np.abs(self.inertia).max(axis=1) ** 2).sum(axis=0)))


def answers(items: Sequence[BandedWeight]) -> Answers:
    """How the composite of the bodies answers to every mass, every named value and every body's own inertia."""
    slope = slopes([item.weight for item in items])
    called = [item.name or str(number) for number, item in enumerate(items)]
    lighter = np.array([item.weight.mass - max(item.mass_low, 0.0) for item in items])
    heavier = np.array([item.mass_high - item.weight.mass for item in items])
    by_mass = np.stack([-lighter, heavier], axis=1)
    own = np.array([item.inertia_half if item.inertia_rss_half is None else item.inertia_rss_half for item in items])
    names, centre, inertia = _carried_along(items, called, slope)
    return Answers(
        names=(*names, *(f"{name}.mass" for name in called), *(f"{name}.inertia" for name in called)),
        centre=np.concatenate(
            [centre, by_mass[:, :, None] * slope.centre_by_mass[:, None, :], np.zeros((len(items), 2, 3))]
        ),
        inertia=np.concatenate(
            [
                inertia,
                by_mass[:, :, None, None] * slope.inertia_by_mass[:, None, :, :],
                np.stack([-own, own], axis=1),
            ]
        ),
    )


def _carried_along(
    items: Sequence[BandedWeight], called: Sequence[str], slope: Slopes
) -> tuple[Iterable[str], Array, Array]:
    """The values that carry bodies: their names, and what the centre and the inertia answer at both ends of each."""
    rows: dict[str, int] = {}
    at, of, steps = [], [], []
    for number, item in enumerate(items):
        for name, ends in _shifts(item, called[number]):
            at.append(rows.setdefault(name, len(rows)))
            of.append(number)
            steps.append(ends)
    centre, inertia = np.zeros((len(rows), 2, 3)), np.zeros((len(rows), 2, 3, 3))
    if steps:
        moved = np.array(steps)
        np.add.at(centre, at, slope.centre_by_centre[of][:, None, None] * moved)
        np.add.at(inertia, at, np.einsum("nea,naij->neij", moved, slope.inertia_by_centre[of]))
    return rows, centre, inertia


def _shifts(item: BandedWeight, called: str) -> Iterable[tuple[str, tuple[Array, Array]]]:
    if item.shifts:
        yield from item.shifts.items()
        return
    below, above = item.centre_low - item.weight.centre, item.centre_high - item.weight.centre
    for axis, unit in enumerate(np.eye(3)):
        yield f"{called}.centre.{'xyz'[axis]}", (below * unit, above * unit)


def _by_name(names: Sequence[str], own: Sequence[str], values: Array) -> Array:
    """The rows of `own` put where their names stand in `names`, zero elsewhere."""
    at = {name: number for number, name in enumerate(names)}
    found = np.zeros((len(names), *values.shape[1:]))
    found[[at[name] for name in own]] = values
    return found


@dataclass(frozen=True, kw_only=True, eq=False)
class CompositeEnds:
    """The worst case of mass and centre (3,): what `CompositeBand` holds of the same names."""

    mass_low: float
    mass_high: float
    centre_low: Array
    centre_high: Array


def composite_ends(items: Sequence[BandedWeight]) -> CompositeEnds:
    """The worst case alone, which takes a small part of the work of the whole band."""
    mass_low = np.maximum([item.mass_low for item in items], 0.0)
    mass_high = np.array([item.mass_high for item in items])
    low = np.array([item.centre_low for item in items])
    high = np.array([item.centre_high for item in items])
    return CompositeEnds(
        mass_low=float(mass_low.sum()),
        mass_high=float(mass_high.sum()),
        centre_low=-np.array([_furthest(mass_low, mass_high, -low[:, axis]) for axis in range(3)]),
        centre_high=np.array([_furthest(mass_low, mass_high, high[:, axis]) for axis in range(3)]),
    )


def composite_band(items: Sequence[BandedWeight]) -> CompositeBand:
    """How far the composite may be off when every body may be anywhere in its bands. A mass is never below zero."""
    whole, ends, answer = combine([item.weight for item in items]), composite_ends(items), answers(items)
    lighter = [item.weight.mass - max(item.mass_low, 0.0) for item in items]
    heavier = [item.mass_high - item.weight.mass for item in items]
    fall, rise = answer.centre_rss()
    return CompositeBand(
        mass_low=ends.mass_low,
        mass_high=ends.mass_high,
        mass_rss_low=whole.mass - math.hypot(*lighter),
        mass_rss_high=whole.mass + math.hypot(*heavier),
        centre_low=ends.centre_low,
        centre_high=ends.centre_high,
        centre_rss_low=np.maximum(ends.centre_low, whole.centre - fall),
        centre_rss_high=np.minimum(ends.centre_high, whole.centre + rise),
        inertia_rss_half=answer.inertia_rss_half(),
    )


def _furthest(low: Array, high: Array, at: Array) -> float:
    """The largest weighted mean of positions `at`, the weights being free in [low, high].

    The mean grows with a weight exactly when that weight lies beyond it, so at the best choice all those beyond some
    place are heavy and all others light: every such place is tried.
    """
    order = np.argsort(-at)
    low, high, arm = low[order], high[order], at[order] - at.mean()
    nothing = np.zeros(1)
    heavy, heavy_moment = np.append(nothing, np.cumsum(high)), np.append(nothing, np.cumsum(high * arm))
    light = np.append(np.cumsum(low[::-1])[::-1], nothing)
    light_moment = np.append(np.cumsum((low * arm)[::-1])[::-1], nothing)
    total = heavy + light
    some = total > 0.0
    return float(((heavy_moment + light_moment)[some] / total[some]).max() + at.mean())


def _stacked(weights: Sequence[Weight]) -> tuple[Array, Array]:
    masses = np.array([weight.mass for weight in weights], dtype=np.float64)
    return masses, np.array([weight.centre for weight in weights], dtype=np.float64).reshape(-1, 3)


def _carried(arms: Array) -> Array:
    """What one kilogram adds to the inertia at each arm (n, 3) in mm: (d.d) 1 - d dT, in kg m2."""
    squared = (arms**2).sum(axis=1)[:, None, None] * np.eye(3)
    return np.asarray((squared - arms[:, :, None] * arms[:, None, :]) * M2_PER_MM2, dtype=np.float64)
