"""What a mass in a band at an arm in a band adds to an inertia tensor: interval arithmetic, never too narrow.

Bands are arrays (2,): low and high. Tensors are (3, 3, 2) in kg m2, off-diagonal -sum m x y.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitcheck.geometry.composite import M2_PER_MM2, Array, BandedWeight, combine, composite_ends


def carried_ends(mass: Array, arm: Sequence[Array]) -> Array:
    """What a mass in kg (may be negative) at three arms in mm adds, each end of the bands counted."""
    found = np.zeros((3, 3, 2))
    for row in range(3):
        for column in range(3):
            if row == column:
                others = [_square(arm[axis]) for axis in range(3) if axis != row]
                found[row, column] = _times(mass, others[0] + others[1])
            else:
                found[row, column] = np.sort(-_times(mass, _times(arm[row], arm[column])))
    return found * M2_PER_MM2


def inertia_worst_half(items: Sequence[BandedWeight]) -> Array:
    """(3, 3) half-widths that no build exceeds: the composite's inertia about its own centre.

    Loose: every distance and mass takes the end of its band that hurts, be they at odds with each other. Summed up
    about the nominal centre and carried from there to the true one. Of a body's own inertia only mass and
    `inertia_half` are uncertain.
    """
    whole, band = combine([item.weight for item in items]), composite_ends(items)
    total = -carried_ends(
        np.array([band.mass_high, band.mass_low]),
        [np.array([band.centre_low[axis], band.centre_high[axis]]) - whole.centre[axis] for axis in range(3)],
    )[:, :, ::-1]
    for item in items:
        total += own_ends(item, whole.centre)
    return np.asarray(np.maximum(total[:, :, 1] - whole.inertia, whole.inertia - total[:, :, 0]))


def own_ends(item: BandedWeight, zero: Array) -> Array:
    """(3, 3, 2): what one body adds about a fixed place `zero` (3,) in mm, its own inertia included."""
    mass = np.array([max(item.mass_low, 0.0), item.mass_high])
    arm = [np.array([item.centre_low[axis], item.centre_high[axis]]) - zero[axis] for axis in range(3)]
    each = item.weight.inertia / item.weight.mass if item.weight.mass > 0.0 else np.zeros((3, 3))
    own = np.sort(each[:, :, None] * mass, axis=2) + item.inertia_half[:, :, None] * np.array([-1.0, 1.0])
    return np.asarray(carried_ends(mass, arm) + own)


def _times(one: Array, other: Array) -> Array:
    products = np.outer(one, other)
    return np.array([products.min(), products.max()])


def _square(one: Array) -> Array:
    low = 0.0 if one.min() <= 0.0 <= one.max() else float(min(one**2))
    return np.array([low, float(max(one**2))])
