"""The vehicle's own inertia before and after, where the layout gives it before.

About the vehicle's centre of gravity in vehicle axes, kg m2, off-diagonal -sum(m x y). What was removed counts as a
negative body; the parallel-axis theorem does the rest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.findings import Band
from fitcheck.geometry.composite import M2_PER_MM2, Weight, combine
from fitcheck.model.part import Change
from fitcheck.result import Matrix3
from fitcheck.vehicle.extremes import band
from fitcheck.vehicle.figures import CENTRE, TOTAL
from fitcheck.vehicle.loading import Loading
from fitcheck.vehicle.swap import Swap

Ends = np.ndarray
"""(2,): low and high."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inertia:
    """A tensor and its half-widths: worst case (never too small) and root-sum-square."""

    tensor: Matrix3
    worst: Matrix3
    rss: Matrix3


def after(swap: Swap) -> Inertia | None:
    """The vehicle's inertia with the proposed build; None where something it needs is not told."""
    given = swap.vehicle.inertia
    if given is None or swap.before is None or swap.after is None or not swap.after.knows(2):
        return None
    loading, own = swap.after, _own_inertias(swap)
    nominal = _tensor(swap, [load.mass.nominal for load in loading.swapped_only.loads], None, own)
    worst = _worst(swap, loading, own)
    low, high = worst
    return Inertia(
        tensor=_matrix(nominal),
        worst=_matrix(np.maximum(high - nominal, nominal - low)),
        rss=_matrix(_rss(swap, loading, own, nominal)),
    )


def _own_inertias(swap: Swap) -> list[np.ndarray]:
    """Of each swapped part, about its own centre in vehicle axes, per kilogram."""
    rotation = np.eye(3) if swap.case is None else np.array(swap.case.rotation)
    found = []
    for body in swap.bodies:
        if body.row.change != Change.RETAINED and body.weight is not None:
            weight = body.weight.weight
            each = weight.inertia / weight.mass if weight.mass > 0.0 else np.zeros((3, 3))
            found.append(rotation @ each @ rotation.T)
    return found


def _tensor(swap: Swap, masses: list[float], places: list[np.ndarray] | None, own: list[np.ndarray]) -> np.ndarray:
    """The tensor with these masses and places of the swapped parts; nominal places for None."""
    assert swap.before is not None  # noqa: S101 (the caller looked)
    assert swap.after is not None  # noqa: S101
    given = np.array(swap.vehicle.inertia)
    centre = np.array([_value(swap.before, axis) for axis in range(3)])
    bodies = [Weight(mass=band(swap.before, TOTAL).value, centre=centre, inertia=given)]
    parts = swap.after.swapped_only.loads
    for number, load in enumerate(parts):
        at = _nominal_place(swap.after, number) if places is None else places[number]
        mass = load.sign * masses[number]
        bodies.append(Weight(mass=mass, centre=at, inertia=own[number] * mass))
    return combine(bodies).inertia


def _value(loading: Loading, axis: int) -> float:
    return band(loading, CENTRE[axis]).value


def _nominal_place(loading: Loading, number: int) -> np.ndarray:
    load = loading.swapped_only.loads[number]
    return np.array([load.own[axis].nominal + loading.shared(axis)[1].nominal * load.in_case for axis in range(3)])


def _rss(swap: Swap, loading: Loading, own: list[np.ndarray], nominal: np.ndarray) -> np.ndarray:
    """Each mass and each coordinate of a part deviating alone. The vehicle's own tensor has no band in the layout."""
    parts = loading.swapped_only.loads
    masses = [load.mass.nominal for load in parts]
    places = [_nominal_place(loading, number) for number in range(len(parts))]
    variance = np.zeros((3, 3))
    for number, load in enumerate(parts):
        if load.mass.half:
            changed = [*masses[:number], masses[number] + load.mass.half, *masses[number + 1 :]]
            variance += (_tensor(swap, changed, places, own) - nominal) ** 2
        for axis in range(3):
            half = load.own[axis].half + (loading.shared(axis)[1].half if load.in_case else 0.0)
            if half:
                moved = places[number] + half * np.eye(3)[axis]
                variance += (
                    _tensor(swap, masses, [*places[:number], moved, *places[number + 1 :]], own) - nominal
                ) ** 2
    return np.asarray(np.sqrt(variance))


def _worst(
    swap: Swap, loading: Loading, own: list[np.ndarray]
) -> tuple[np.ndarray, np.ndarray]:
    """(low, high) by interval arithmetic: every distance and mass anywhere in its band, so never too narrow.

    Summed up about a fixed place, the nominal new centre, and carried from there to the true one: so the band of the
    centre, in which all masses share, counts once and squared.
    """
    assert swap.before is not None  # noqa: S101 (the caller looked)
    zero = [band(loading, CENTRE[axis]).value for axis in range(3)]
    centre = [_ends(band(loading, CENTRE[axis])) - zero[axis] for axis in range(3)]
    old = [_ends(band(swap.before, CENTRE[axis])) - zero[axis] for axis in range(3)]
    total = _carried(_ends(band(swap.before, TOTAL)), old) + np.array(swap.vehicle.inertia)[:, :, None]
    total += _carried(-_ends(band(loading, TOTAL))[::-1], centre)
    for number, load in enumerate(loading.swapped_only.loads):
        mass = np.sort(np.array(load.mass.ends) * load.sign)
        place = []
        for axis in range(3):
            datum = np.array(loading.shared(axis)[1].ends) if load.in_case else np.zeros(2)
            place.append(np.array(load.own[axis].ends) + datum - zero[axis])
        total += _carried(mass, place) + np.sort(own[number][:, :, None] * mass, axis=2)
    return total[:, :, 0], total[:, :, 1]


def _ends(found: Band) -> Ends:
    return np.array([found.low, found.high])


def _times(one: Ends, other: Ends) -> Ends:
    products = np.outer(one, other)
    return np.array([products.min(), products.max()])


def _square(one: Ends) -> Ends:
    low = 0.0 if one[0] <= 0.0 <= one[1] else float(min(one**2))
    return np.array([low, float(max(one**2))])


def _carried(mass: Ends, arm: list[Ends]) -> np.ndarray:
    """(3, 3, 2): what a mass at an arm in mm adds."""
    found = np.zeros((3, 3, 2))
    for row in range(3):
        for column in range(3):
            if row == column:
                others = [_square(arm[axis]) for axis in range(3) if axis != row]
                found[row, column] = _times(mass, others[0] + others[1])
            else:
                found[row, column] = np.sort(-_times(mass, _times(arm[row], arm[column])))
    return found * M2_PER_MM2


def _matrix(values: np.ndarray) -> Matrix3:
    one, two, three = ((float(row[0]), float(row[1]), float(row[2])) for row in values)
    return (one, two, three)
