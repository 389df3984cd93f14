"""How far the springs give, and what is left under the vehicle.

A load more by some kilograms presses an axle down by their weight over the axle's spring rate. Where along the vehicle
the clearance was measured is not stated, so the largest drop of both axles and both ends of the case counts. Tyres are
left out: the spring rate is taken as that of the whole axle.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from fitcheck.findings import Band
from fitcheck.model.part import Change, State
from fitcheck.model.quantity import Quantity
from fitcheck.result import VehicleChange
from fitcheck.standards.restraint import STANDARD_GRAVITY
from fitcheck.study import Study
from fitcheck.vehicle.swap import Swap


def drops(swap: Swap, change: VehicleChange | None) -> dict[str, Band]:
    """Axle name -> how far it sinks in mm (negative: it rises), for each axle with a spring rate."""
    if change is None:
        return {}
    loads = {"front": change.front, "rear": change.rear}
    return {axle: _drop(loads[axle], rate) for axle, rate in swap.vehicle.springs}


def _drop(load: Band, rate: Quantity) -> Band:
    """kg times g over N/mm."""
    every = [kg * STANDARD_GRAVITY / per_mm for kg in (load.low, load.high) for per_mm in (rate.low, rate.high)]
    nominal = load.value * STANDARD_GRAVITY / rate.nominal
    by_rate = [load.value * STANDARD_GRAVITY / end - nominal for end in (rate.low, rate.high)]
    by_load = [(end - load.value) * STANDARD_GRAVITY / rate.nominal for end in (load.rss_low, load.rss_high)]
    low, high = min(every), max(every)
    return Band(
        value=nominal,
        low=low,
        high=high,
        rss_low=max(low, nominal - math.hypot(min(0.0, *by_rate), by_load[0])),
        rss_high=min(high, nominal + math.hypot(max(0.0, *by_rate), by_load[1])),
    )


def drop_at(dropped: Mapping[str, Band], share_of_wheelbase: float) -> Band:
    """How far a place sinks between the axles, or beyond one of them."""
    weights = {"front": 1.0 - share_of_wheelbase, "rear": share_of_wheelbase}

    def mixed(ends: Mapping[str, tuple[float, float]], end: int) -> float:
        # Beyond an axle the other one counts the wrong way round.
        return sum(weight * ends[axle][end if weight >= 0.0 else 1 - end] for axle, weight in weights.items())

    worst = {axle: (drop.low, drop.high) for axle, drop in dropped.items()}
    # Both axles answer to the same masses, so their errors are added, not squared.
    rss = {axle: (drop.rss_low, drop.rss_high) for axle, drop in dropped.items()}
    return Band(
        value=sum(weight * dropped[axle].value for axle, weight in weights.items()),
        low=mixed(worst, 0),
        high=mixed(worst, 1),
        rss_low=mixed(rss, 0),
        rss_high=mixed(rss, 1),
    )


def clearance_after(study: Study, swap: Swap, dropped: Mapping[str, Band]) -> Band | None:
    """The ground clearance with the proposed build; None without springs at both axles or a measured clearance."""
    measured = swap.vehicle.ground_clearance
    if measured is None or set(dropped) != {"front", "rear"}:
        return None
    found = [drop_at(dropped, share) for share in (0.0, 1.0, *_case_ends(study, swap))]
    lower = _hangs_lower(study)
    worst = max(found, key=lambda band: band.value)
    halves = (measured.below, measured.above)
    return Band(
        value=measured.nominal - worst.value - lower,
        low=measured.low - max(band.high for band in found) - lower,
        high=measured.high - max(band.low for band in found) - lower,
        rss_low=measured.nominal
        - worst.value
        - math.hypot(halves[0], max(b.rss_high for b in found) - worst.value)
        - lower,
        rss_high=measured.nominal
        - worst.value
        + math.hypot(halves[1], worst.value - max(b.rss_low for b in found))
        - lower,
    )


def _case_ends(study: Study, swap: Swap) -> Iterable[float]:
    """Both ends of the proposed build along the vehicle, as shares of the wheelbase."""
    box = case_box(study, swap)
    if box is not None:
        yield from (end / swap.vehicle.wheelbase.nominal for end in (box[0][0], box[1][0]))


def _hangs_lower(study: Study) -> float:
    """How far the lowest new part hangs below everything that was there before; 0 where it does not."""
    index, sign = study.layout.up
    bounds = study.bounds(State.BEGINNING)

    def lowest(changes: tuple[Change, ...]) -> float | None:
        found = [
            sign * bounds[part.name][index][0 if sign > 0 else 1]
            for part in study.layout.parts
            if part.change in changes
        ]
        return min(found, default=None)

    new, old = lowest((Change.NEW,)), lowest((Change.REMOVED, Change.RETAINED))
    return 0.0 if new is None or old is None else max(0.0, old - new)


def case_box(study: Study, swap: Swap) -> tuple[tuple[float, float, float], tuple[float, float, float]] | None:
    """(low, high) corner in vehicle axes of what the layout places, enclosures first; None without `case_low`."""
    if swap.case is None:
        return None
    bounds = study.bounds(State.BEGINNING)
    parts = [part.name for part in study.layout.parts if part.role == "enclosure"] or list(bounds)
    low = [min(bounds[name][axis][0] for name in parts) for axis in range(3)]
    high = [max(bounds[name][axis][1] for name in parts) for axis in range(3)]
    corners = [swap.case.direction((end[0], end[1], end[2])) for end in (low, high)]
    datum = swap.case.datum.three
    ends = [sorted((corners[0][axis] + datum[axis], corners[1][axis] + datum[axis])) for axis in range(3)]
    return (ends[0][0], ends[1][0], ends[2][0]), (ends[0][1], ends[1][1], ends[2][1])
