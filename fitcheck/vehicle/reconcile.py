"""What the parts come to beside what the scale says."""

from __future__ import annotations

import math
from collections.abc import Iterable

from fitcheck.findings import Band
from fitcheck.model.quantity import Quantity
from fitcheck.result import MassSummary, Reconciled, VehicleState
from fitcheck.standards.instruments import half_width
from fitcheck.vehicle.raised_axle import axle_loads
from fitcheck.vehicle.swap import Swap

SCALE = "weighing"


def reconciled(
    swap: Swap, original: MassSummary, proposed: MassSummary, after: VehicleState | None, judge_by: str
) -> Iterable[Reconciled]:
    """One entry for each scale reading that a sum of parts stands beside."""
    summaries = {"original": original, "proposed": proposed}
    for build, reading in swap.vehicle.pack_weighed:
        summed = _band(summaries[build])
        if summed is not None:
            yield _beside(f"{build} pack", summed, [reading], judge_by)
    axles = axle_loads(swap.vehicle.weighed_after)
    if axles is None or after is None:
        return
    yield _beside("front axle", after.front, axles["front"], judge_by)
    yield _beside("rear axle", after.rear, axles["rear"], judge_by)
    yield _beside("gross mass", after.total, axles["front"] + axles["rear"], judge_by)
    sides = side_loads(swap.vehicle.weighed_after)
    for name, summed in (("left", after.left), ("right", after.right)):
        if name in sides and summed is not None:
            yield _beside(f"{name} side", summed, sides[name], judge_by)


def side_loads(weights: tuple[tuple[str, Quantity], ...]) -> dict[str, list[Quantity]]:
    """The readings that make up each side's load: that of the side itself, or of its two wheels; empty without."""
    sides: dict[str, list[Quantity]] = {}
    for name, reading in weights:
        side = name.split()[-1]
        if side in ("left", "right"):
            sides.setdefault(side, []).append(reading)
    return sides


def scale_band(readings: list[Quantity]) -> tuple[Band, str]:
    """The sum of some readings and what its band rests on: a reading without a tolerance has that of a common scale."""
    halves, assumed = [], False
    for reading in readings:
        stated = max(reading.below, reading.above)
        # A scale is never exact; without a word on it, it is taken as a common platform or wheel scale.
        default = half_width(SCALE, "mass", reading.nominal) or 0.0
        assumed = assumed or stated == 0.0
        halves.append(stated or default)
    total = sum(reading.nominal for reading in readings)
    worst, rss = sum(halves), math.hypot(*halves)
    band = Band(value=total, low=total - worst, high=total + worst, rss_low=total - rss, rss_high=total + rss)
    return band, "a common scale, 0.1 kg + 1 %, since none is stated" if assumed else "as stated"


def _beside(what: str, summed: Band, readings: list[Quantity], judge_by: str) -> Reconciled:
    scale, basis = scale_band(readings)
    halves = [_half(band, judge_by) for band in (summed, scale)]
    return Reconciled(
        what=what,
        summed=summed,
        scale=scale,
        difference=summed.value - scale.value,
        allowed=math.hypot(*halves) if judge_by == "rss" else sum(halves),
        scale_basis=basis,
    )


def _half(band: Band, judge_by: str) -> float:
    low, high = band.judged(judge_by)
    return max(band.value - low, high - band.value)


def _band(summary: MassSummary) -> Band | None:
    if summary.mass_kg is None:
        return None
    mass, worst, rss = summary.mass_kg, summary.mass_worst, summary.mass_rss
    return Band(value=mass, low=mass - worst, high=mass + worst, rss_low=mass - rss, rss_high=mass + rss)
