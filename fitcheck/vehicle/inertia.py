"""The vehicle's own inertia before and after, where the layout gives it before.

About the vehicle's centre of gravity in vehicle axes, kg m2, off-diagonal -sum(m x y). What was removed counts as a
negative body; the parallel-axis theorem does the rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fitcheck.findings import Band
from fitcheck.geometry.composite import Weight, combine
from fitcheck.geometry.inertia_ends import carried_ends
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
    own, whole = _own_inertias(swap), _bodies(swap, swap.before, swap.after)
    nominal = _tensor(whole, swap, own)
    low, high = _worst(swap, swap.before, swap.after, own)
    return Inertia(
        tensor=_matrix(nominal),
        worst=_matrix(np.maximum(high - nominal, nominal - low)),
        rss=_matrix(_rss(whole, swap, own, nominal)),
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bodies:
    """The weighed vehicle first, then each swapped part: signed masses (n,) in kg, places (n, 3) in mm, and how far
    each may be off by itself; `together` (3,) is how far the case datum may carry all parts at once."""

    masses: np.ndarray
    places: np.ndarray
    mass_halves: np.ndarray
    place_halves: np.ndarray
    together: np.ndarray


def _bodies(swap: Swap, before: Loading, after: Loading) -> _Bodies:
    total, old = band(before, TOTAL), [band(before, CENTRE[axis]) for axis in range(3)]
    parts = after.swapped_only.loads
    datum = [after.shared(axis)[1] for axis in range(3)]
    return _Bodies(
        masses=np.array([total.value, *(load.sign * load.mass.nominal for load in parts)]),
        places=np.array(
            [
                [band.value for band in old],
                *([load.own[axis].nominal + datum[axis].nominal for axis in range(3)] for load in parts),
            ]
        ),
        mass_halves=np.array([total.rss_high - total.value, *(load.mass.half for load in parts)]),
        place_halves=np.array(
            [[band.rss_high - band.value for band in old], *([span.half for span in load.own] for load in parts)]
        ),
        together=np.array([span.half for span in datum]),
    )


def _tensor(whole: _Bodies, swap: Swap, own: list[np.ndarray]) -> np.ndarray:
    tensors = [np.array(swap.vehicle.inertia), *(each * kg for each, kg in zip(own, whole.masses[1:], strict=True))]
    bodies = [
        Weight(mass=float(mass), centre=place, inertia=tensor)
        for mass, place, tensor in zip(whole.masses, whole.places, tensors, strict=True)
    ]
    return combine(bodies).inertia


def _rss(whole: _Bodies, swap: Swap, own: list[np.ndarray], nominal: np.ndarray) -> np.ndarray:
    """Each mass and each coordinate deviating alone. The vehicle's own tensor has no band in the layout."""
    variance = np.zeros((3, 3))
    for number, half in enumerate(whole.mass_halves):
        if half:
            masses = whole.masses.copy()
            masses[number] += half
            variance += (_tensor(replace(whole, masses=masses), swap, own) - nominal) ** 2
    for number, axis in np.argwhere(whole.place_halves):
        places = whole.places.copy()
        places[number, axis] += whole.place_halves[number, axis]
        variance += (_tensor(replace(whole, places=places), swap, own) - nominal) ** 2
    for axis in np.flatnonzero(whole.together):
        places = whole.places.copy()
        places[1:, axis] += whole.together[axis]
        variance += (_tensor(replace(whole, places=places), swap, own) - nominal) ** 2
    return np.asarray(np.sqrt(variance))


def _worst(swap: Swap, before: Loading, loading: Loading, own: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """(low, high) by interval arithmetic: every distance and mass anywhere in its band, so never too narrow.

    Summed up about a fixed place, the nominal new centre, and carried from there to the true one: so the band of the
    centre, in which all masses share, counts once and squared.
    """
    zero = [band(loading, CENTRE[axis]).value for axis in range(3)]
    centre = [_ends(band(loading, CENTRE[axis])) - zero[axis] for axis in range(3)]
    old = [_ends(band(before, CENTRE[axis])) - zero[axis] for axis in range(3)]
    total = carried_ends(_ends(band(before, TOTAL)), old) + np.array(swap.vehicle.inertia)[:, :, None]
    total += carried_ends(-_ends(band(loading, TOTAL))[::-1], centre)
    for number, load in enumerate(loading.swapped_only.loads):
        mass = np.sort(np.array(load.mass.ends) * load.sign)
        place = []
        for axis in range(3):
            datum = np.array(loading.shared(axis)[1].ends) if load.in_case else np.zeros(2)
            place.append(np.array(load.own[axis].ends) + datum - zero[axis])
        total += carried_ends(mass, place) + np.sort(own[number][:, :, None] * mass, axis=2)
    return total[:, :, 0], total[:, :, 1]


def _ends(found: Band) -> Ends:
    return np.array([found.low, found.high])


def _matrix(values: np.ndarray) -> Matrix3:
    one, two, three = ((float(row[0]), float(row[1]), float(row[2])) for row in values)
    return (one, two, three)
