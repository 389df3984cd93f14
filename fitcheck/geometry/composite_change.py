"""How far the change from one composite to another may be off, where both share bodies and values.

What is in both cancels: a body that stays counts in the change only by how the common centre moves about it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from fitcheck.geometry.composite import Array, BandedWeight, answers, combine, composite_ends
from fitcheck.geometry.inertia_ends import carried_ends, inertia_worst_half, own_ends


@dataclass(frozen=True, kw_only=True, eq=False)
class ChangeBand:
    """Bands of after less before. The worst case is never too narrow; no build need reach it. The root-sum-square is of
    first order, each value deviating by itself, and never wider than the worst case.
    """

    centre_low: Array
    centre_high: Array
    centre_rss_low: Array
    centre_rss_high: Array
    inertia_half: Array
    inertia_rss_half: Array


@dataclass(frozen=True, kw_only=True, eq=False)
class _Build:
    """A composite with the ends (2,) of its mass and of each coordinate of its centre."""

    mass: Array
    centre: tuple[Array, Array, Array]
    nominal: Array
    inertia: Array


def change_band(
    removed: Sequence[BandedWeight], new: Sequence[BandedWeight], retained: Sequence[BandedWeight]
) -> ChangeBand:
    """The band of the change from (removed and retained) to (new and retained). Raises ValueError where either of the
    two weighs nothing.
    """
    start, end = [*removed, *retained], [*new, *retained]
    old, after = _build(start), _build(end)
    inertia_half = np.minimum(
        inertia_worst_half(start) + inertia_worst_half(end), _inertia_half(removed, new, old, after)
    )
    nominal = after.nominal - old.nominal
    low, high = _centre_ends(removed, new, old, after)
    low, high = np.minimum(low, nominal), np.maximum(high, nominal)
    answer = answers(end).less(answers(start))
    fall, rise = answer.centre_rss()
    return ChangeBand(
        centre_low=low,
        centre_high=high,
        centre_rss_low=np.maximum(low, nominal - fall),
        centre_rss_high=np.minimum(high, nominal + rise),
        inertia_half=inertia_half,
        inertia_rss_half=np.minimum(inertia_half, answer.inertia_rss_half()),
    )


def _build(items: Sequence[BandedWeight]) -> _Build:
    band, whole = composite_ends(items), combine([item.weight for item in items])
    x, y, z = (np.array(ends) for ends in zip(band.centre_low, band.centre_high, strict=True))
    return _Build(
        mass=np.array([band.mass_low, band.mass_high]),
        centre=(x, y, z),
        nominal=whole.centre,
        inertia=whole.inertia,
    )


def _centre_ends(
    removed: Sequence[BandedWeight], new: Sequence[BandedWeight], old: _Build, after: _Build
) -> tuple[Array, Array]:
    """(low, high) of the shift, the narrower of two bounds on each side.

    One is the difference of both centres. The other sums up what the swapped bodies weigh times how far they stand from
    the old centre, over the new mass: there what stays cancels.
    """
    lows, highs = [], []
    for axis in range(3):
        apart = after.centre[axis] - old.centre[axis][::-1]
        shifts = list(apart)
        # A new mass that may be nothing bounds nothing.
        if after.mass[0] > 0.0:
            # For given masses the sum is a straight line in the old centre, so its ends bound it.
            moments = np.concatenate([_moment(removed, new, axis, at) for at in old.centre[axis]])
            shifts = [moment / mass for moment, mass in product((moments.min(), moments.max()), after.mass)]
        lows.append(max(min(shifts), apart[0]))
        highs.append(min(max(shifts), apart[1]))
    return np.array(lows), np.array(highs)


def _moment(removed: Sequence[BandedWeight], new: Sequence[BandedWeight], axis: int, about: float) -> Array:
    """(2,): ends of what the new bodies less the removed ones weigh, times how far they stand from a place."""
    moment = np.zeros(2)
    for items, sign in ((removed, -1.0), (new, 1.0)):
        for item in items:
            arm = np.array([item.centre_low[axis], item.centre_high[axis]]) - about
            each = sign * np.outer([max(item.mass_low, 0.0), item.mass_high], arm)
            moment += (each.min(), each.max())
    return moment


def _inertia_half(removed: Sequence[BandedWeight], new: Sequence[BandedWeight], old: _Build, after: _Build) -> Array:
    """(3, 3) half-widths. About any one place what stays adds the same before and after, so only what is swapped and
    the way to each build's own centre count; of some places the one that bounds best is taken, entry by entry.
    """
    nominal, halves = after.inertia - old.inertia, []
    for share in (0.0, 0.5, 1.0):
        zero = old.nominal + share * (after.nominal - old.nominal)
        ends = _change_about(removed, new, old, after, zero)
        halves.append(np.maximum(ends[:, :, 1] - nominal, nominal - ends[:, :, 0]))
    return np.asarray(np.min(halves, axis=0))


def _change_about(
    removed: Sequence[BandedWeight], new: Sequence[BandedWeight], old: _Build, after: _Build, zero: Array
) -> Array:
    """(3, 3, 2): ends of the change, summed up about one place and carried to each build's own centre."""

    def to_centre(build: _Build) -> Array:
        return carried_ends(build.mass, [build.centre[axis] - zero[axis] for axis in range(3)])

    total = to_centre(old) - to_centre(after)[:, :, ::-1]
    for item in new:
        total += own_ends(item, zero)
    for item in removed:
        total -= own_ends(item, zero)[:, :, ::-1]
    return np.asarray(total)
