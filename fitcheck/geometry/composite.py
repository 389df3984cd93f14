"""Many weighed bodies as one: mass, centre of gravity, inertia tensor, and how far each may be off.

Inertia is about the composite's own centre, in kg m2, off-diagonal -sum m x y; positions are in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

M2_PER_MM2 = 1e-6


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

    `inertia_half` (3, 3) is how far its own inertia may be off for reasons other than its mass.
    """

    weight: Weight
    mass_low: float
    mass_high: float
    centre_low: Array
    centre_high: Array
    inertia_half: Array = field(default_factory=lambda: np.zeros((3, 3)))


@dataclass(frozen=True, kw_only=True, eq=False)
class CompositeBand:
    """Bands of the composite.

    `mass_low`, `mass_high`, `centre_low`, `centre_high` (3,) hold for every build within the bands of the bodies, and
    some build reaches them. The `rss` values are root-sum-square, each body's mass and each coordinate of its centre
    deviating by itself; the inertia's half-widths are of first order.
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


def composite_band(items: Sequence[BandedWeight]) -> CompositeBand:
    """How far the composite may be off when every body may be anywhere in its bands. A mass is never below zero."""
    weights = [item.weight for item in items]
    whole, slope = combine(weights), slopes(weights)
    masses, centres = _stacked(weights)
    mass_low = np.maximum([item.mass_low for item in items], 0.0)
    mass_high = np.array([item.mass_high for item in items])
    low = np.array([item.centre_low for item in items])
    high = np.array([item.centre_high for item in items])
    lighter, heavier, before, beyond = masses - mass_low, mass_high - masses, centres - low, high - centres
    down_by_mass = slope.centre_by_mass * np.where(slope.centre_by_mass > 0.0, lighter[:, None], heavier[:, None])
    up_by_mass = slope.centre_by_mass * np.where(slope.centre_by_mass > 0.0, heavier[:, None], lighter[:, None])
    share = slope.centre_by_centre[:, None]
    inertia_variance = (slope.inertia_by_mass * np.maximum(lighter, heavier)[:, None, None]) ** 2
    inertia_variance += ((slope.inertia_by_centre * np.maximum(before, beyond)[:, :, None, None]) ** 2).sum(axis=1)
    inertia_variance += np.array([item.inertia_half for item in items]) ** 2
    return CompositeBand(
        mass_low=float(mass_low.sum()),
        mass_high=float(mass_high.sum()),
        mass_rss_low=whole.mass - float(np.linalg.norm(lighter)),
        mass_rss_high=whole.mass + float(np.linalg.norm(heavier)),
        centre_low=-np.array([_furthest(mass_low, mass_high, -low[:, axis]) for axis in range(3)]),
        centre_high=np.array([_furthest(mass_low, mass_high, high[:, axis]) for axis in range(3)]),
        centre_rss_low=whole.centre - np.sqrt((down_by_mass**2 + (share * before) ** 2).sum(axis=0)),
        centre_rss_high=whole.centre + np.sqrt((up_by_mass**2 + (share * beyond) ** 2).sum(axis=0)),
        inertia_rss_half=np.sqrt(inertia_variance.sum(axis=0)),
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
