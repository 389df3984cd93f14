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
from fitcheck.vehicle.loading import Load, Loading, Span
from fitcheck.vehicle.swap import Swap

Ends = np.ndarray
"""(2,): low and high."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inertia:
    """A tensor and its half-widths: worst case (never too small) and root-sum-square."""

    tensor: Matrix3
    worst: Matrix3
    rss: Matrix3


@dataclass(frozen=True, slots=True, kw_only=True)
class InertiaSwap:
    """The vehicle's inertia as the layout states it, with the proposed build, and after less before: in the change the
    doubt about the stated tensor cancels."""

    before: Inertia
    after: Inertia
    change: Inertia


def stated(swap: Swap) -> Inertia | None:
    """The tensor of the layout, with the tolerances it states; None without one."""
    if swap.vehicle.inertia is None:
        return None
    half = np.zeros((3, 3)) if swap.vehicle.inertia_half is None else np.array(swap.vehicle.inertia_half)
    return _told(np.array(swap.vehicle.inertia), half, half)


def swapped(swap: Swap) -> InertiaSwap | None:
    """The vehicle's inertia before and after; None where something it needs is not told."""
    given = stated(swap)
    if given is None or swap.before is None or swap.after is None or not swap.after.knows(2):
        return None
    tensor, half = np.array(given.tensor), np.array(given.worst)
    own, whole = _own_inertias(swap), _bodies(swap.before, swap.after)
    nominal = _tensor(whole, tensor, own)
    worst = _worst_half(swap.before, swap.after, own, nominal - tensor)
    rss = np.minimum(worst, _rss(whole, tensor, own, nominal))
    return InertiaSwap(
        before=given,
        after=_told(nominal, worst + half, np.hypot(rss, half)),
        change=_told(nominal - tensor, worst, rss),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Own:
    """A swapped part's inertia about its own centre in vehicle axes: per kilogram, and how far it may be off."""

    each: np.ndarray
    worst: np.ndarray
    rss: np.ndarray


def _own_inertias(swap: Swap) -> list[_Own]:
    rotation = np.eye(3) if swap.case is None else np.array(swap.case.rotation)
    # The axes turn by quarters, so that every half-width goes along whole.
    around, found = np.abs(rotation), []
    for body in swap.bodies:
        item = body.weight
        if body.row.change != Change.RETAINED and item is not None:
            weight = item.weight
            each = weight.inertia / weight.mass if weight.mass > 0.0 else np.zeros((3, 3))
            rss = item.inertia_half if item.inertia_rss_half is None else item.inertia_rss_half
            found.append(
                _Own(
                    each=rotation @ each @ rotation.T,
                    worst=around @ item.inertia_half @ around.T,
                    rss=around @ rss @ around.T,
                )
            )
    return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Bodies:
    """The weighed vehicle first, then each swapped part: signed masses (n,) in kg, places (n, 3) in mm, and how far
    each mass may be off by itself; `carried` (k, n, 3) is how far each value carries all places at once."""

    masses: np.ndarray
    places: np.ndarray
    mass_halves: np.ndarray
    carried: np.ndarray


def _bodies(before: Loading, after: Loading) -> _Bodies:
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
        carried=_carried(old, datum, parts),
    )


def _carried(old: list[Band], datum: list[Span], parts: tuple[Load, ...]) -> np.ndarray:
    """Each value that carries the vehicle's own centre, the case datum, or parts with their places."""
    found: dict[str, np.ndarray] = {}

    def at(name: str) -> np.ndarray:
        return found.setdefault(name, np.zeros((len(parts) + 1, 3)))

    for axis in range(3):
        at(f"own {axis}")[0, axis] = max(old[axis].rss_high - old[axis].value, old[axis].value - old[axis].rss_low)
        for number, load in enumerate(parts, 1):
            if load.in_case:
                at(f"datum {axis}")[number, axis] = datum[axis].half
            for name, steps in load.steps(axis).items():
                at(name)[number, axis] = max(steps, key=abs)
    return np.array(list(found.values()))


def _tensor(whole: _Bodies, given: np.ndarray, own: list[_Own]) -> np.ndarray:
    tensors = [given, *(one.each * kg for one, kg in zip(own, whole.masses[1:], strict=True))]
    bodies = [
        Weight(mass=float(mass), centre=place, inertia=tensor)
        for mass, place, tensor in zip(whole.masses, whole.places, tensors, strict=True)
    ]
    return combine(bodies).inertia


def _rss(whole: _Bodies, given: np.ndarray, own: list[_Own], nominal: np.ndarray) -> np.ndarray:
    """Each mass, each value that carries places, and each part's own inertia deviating alone."""
    variance = np.sum([np.zeros((3, 3)), *(one.rss**2 for one in own)], axis=0)
    for number, half in enumerate(whole.mass_halves):
        if half:
            masses = whole.masses.copy()
            masses[number] += half
            variance += (_tensor(replace(whole, masses=masses), given, own) - nominal) ** 2
    for step in whole.carried:
        if step.any():
            variance += (_tensor(replace(whole, places=whole.places + step), given, own) - nominal) ** 2
    return np.asarray(np.sqrt(variance))


def _worst_half(before: Loading, after: Loading, own: list[_Own], nominal: np.ndarray) -> np.ndarray:
    """(3, 3) half-widths of the change by interval arithmetic: every distance and mass anywhere in its band, so never
    too narrow. About any one place the change is summed up alike; the place that bounds best is taken, entry by entry.
    """
    places = [np.array([band(loading, CENTRE[axis]).value for axis in range(3)]) for loading in (before, after)]
    halves = []
    for share in (0.0, 0.5, 1.0):
        ends = _change_about(before, after, own, places[0] + share * (places[1] - places[0]))
        halves.append(np.maximum(ends[:, :, 1] - nominal, nominal - ends[:, :, 0]))
    return np.asarray(np.min(halves, axis=0))


def _change_about(before: Loading, after: Loading, own: list[_Own], zero: np.ndarray) -> np.ndarray:
    """(3, 3, 2): summed up about a fixed place, and carried from there to the centres before and after."""

    def to_centre(loading: Loading) -> np.ndarray:
        return carried_ends(
            _ends(band(loading, TOTAL)), [_ends(band(loading, CENTRE[axis])) - zero[axis] for axis in range(3)]
        )

    total = to_centre(before) - to_centre(after)[:, :, ::-1]
    for one, load in zip(own, after.swapped_only.loads, strict=True):
        mass = np.sort(np.array(load.mass.ends) * load.sign)
        place = []
        for axis in range(3):
            datum = np.array(after.shared(axis)[1].ends) if load.in_case else np.zeros(2)
            place.append(np.array(load.own[axis].ends) + datum - zero[axis])
        total += carried_ends(mass, place) + np.sort(one.each[:, :, None] * mass, axis=2)
        total += one.worst[:, :, None] * np.array([-1.0, 1.0])
    return np.asarray(total)


def _told(tensor: np.ndarray, worst: np.ndarray, rss: np.ndarray) -> Inertia:
    return Inertia(tensor=_matrix(tensor), worst=_matrix(worst), rss=_matrix(rss))


def _ends(found: Band) -> Ends:
    return np.array([found.low, found.high])


def _matrix(values: np.ndarray) -> Matrix3:
    one, two, three = ((float(row[0]), float(row[1]), float(row[2])) for row in values)
    return (one, two, three)
