"""Every part's moment about the front axle, with its uncertainty."""

from __future__ import annotations

import math
from itertools import product

import numpy as np

from fitcheck.geometry.composite import BandedWeight
from fitcheck.result import LedgerRow, MomentRow
from fitcheck.vehicle.swap import Swap

KG_M_PER_KG_MM = 1e-3


def moments(swap: Swap) -> tuple[MomentRow, ...]:
    """One row a part, in file order. Moments are of the part itself, also where it is removed."""
    return tuple(_row(swap, body.row, body.weight) for body in swap.bodies)


def _row(swap: Swap, row: LedgerRow, weight: BandedWeight | None) -> MomentRow:
    mass, arm, halves = row.mass, None, (0.0, 0.0, 0.0)
    if row.centre is not None and swap.case is not None and swap.vehicle.case_low is not None:
        turned = swap.case.direction(row.centre)
        datum = swap.vehicle.case_low
        spread = np.abs(np.array(swap.case.rotation)) @ np.array(row.centre_band)
        arm = (
            turned[0] + datum[0].nominal,
            turned[1] + datum[1].nominal,
            turned[2] + datum[2].nominal,
        )
        halves = (
            float(spread[0]) + max(datum[0].below, datum[0].above),
            float(spread[1]) + max(datum[1].below, datum[1].above),
            float(spread[2]) + max(datum[2].below, datum[2].above),
        )
    moment, half, rss = None, 0.0, 0.0
    if mass is not None and arm is not None:
        moment = mass.nominal * arm[0]
        half = max(
            abs(kg * at - moment) for kg, at in product((mass.low, mass.high), (arm[0] - halves[0], arm[0] + halves[0]))
        )
        rss = math.hypot(arm[0] * max(mass.below, mass.above), mass.nominal * _arm_rss(swap, weight, halves[0]))
    return MomentRow(
        part=row.part,
        change=row.change,
        mass_kg=None if mass is None else mass.nominal,
        mass_half_kg=0.0 if mass is None else max(mass.below, mass.above),
        arm_mm=arm,
        arm_half_mm=halves,
        moment_kg_m=None if moment is None else moment * KG_M_PER_KG_MM,
        moment_half_kg_m=half * KG_M_PER_KG_MM,
        moment_rss_kg_m=rss * KG_M_PER_KG_MM,
        source=row.source,
        reason=row.reason,
    )


def _arm_rss(swap: Swap, weight: BandedWeight | None, worst: float) -> float:
    """Half-width of the arm, each value that carries the part and the case datum deviating by itself."""
    if weight is None or swap.case is None or swap.vehicle.case_low is None:
        return worst
    datum = swap.vehicle.case_low[0]
    along = np.array(swap.case.rotation)[0]
    steps = [max(abs(float(along @ end)) for end in ends) for ends in weight.shifts.values()]
    return min(worst, math.hypot(max(datum.below, datum.above), *steps))
