"""The limits of the rating plate against the vehicle."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from fitcheck.findings import Band, Sense, Status, judge
from fitcheck.result import LimitTest
from fitcheck.vehicle.extremes import Figure, band
from fitcheck.vehicle.figures import FRONT, REAR, TOTAL
from fitcheck.vehicle.raised_axle import axle_loads
from fitcheck.vehicle.reconcile import scale_band
from fitcheck.vehicle.swap import Swap

NAMES = {"front": "front axle", "rear": "rear axle", "gross": "gross mass"}
FIGURES: dict[str, Figure] = {"front": FRONT, "rear": REAR, "gross": TOTAL}


def tests(swap: Swap, judge_by: str) -> Iterable[LimitTest]:
    """One test for each limit that the layout states, in the order front, rear, gross."""
    stated = dict(swap.vehicle.limits)
    for key, name in NAMES.items():
        if key in stated:
            after, reading = load_after(swap, key), reading_after(swap, key)
            yield LimitTest(
                of=name,
                limit_kg=stated[key].nominal,
                before=None if swap.before is None else band(swap.before, FIGURES[key]),
                after=after,
                status=_status(swap, key, after, stated[key].low, judge_by),
                scale_kg=None if reading is None else reading.value,
            )


def load_after(swap: Swap, key: str) -> Band | None:
    """The load that a limit is held against: with the payload where there is one; None where it cannot be told."""
    loading = swap.total_known if key == "gross" else swap.final
    return None if loading is None else band(loading, FIGURES[key])


def reading_after(swap: Swap, key: str) -> Band | None:
    """What the scale said of the finished vehicle, plus the payload's share; None without such a reading."""
    axles = axle_loads(swap.vehicle.weighed_after)
    if axles is None:
        return None
    reading = scale_band(axles["front"] + axles["rear"] if key == "gross" else axles[key])[0]
    if not swap.vehicle.payload:
        return reading
    if swap.after is None or swap.laden is None:
        return None
    aboard = replace(swap.laden, loads=swap.laden.loads[len(swap.after.loads) :])
    return _together(reading, band(aboard, FIGURES[key]))


def _together(one: Band, other: Band) -> Band:
    """The sum of two figures that are off independently of each other."""
    total = one.value + other.value
    return Band(
        value=total,
        low=one.low + other.low,
        high=one.high + other.high,
        rss_low=total - math.hypot(one.value - one.rss_low, other.value - other.rss_low),
        rss_high=total + math.hypot(one.rss_high - one.value, other.rss_high - other.value),
    )


def _status(swap: Swap, key: str, after: Band | None, limit: float, judge_by: str) -> Status:
    """By the parts, and by the scale where the finished vehicle was weighed: the worse of the two."""
    if after is None:
        return Status.CANNOT_TELL
    status = judge(after, limit, Sense.AT_MOST, judge_by)
    if after.low < 0.0 and status is Status.MET:
        # An axle without a load is in the air, which no limit from above can see.
        status = Status.NOT_MET if after.high < 0.0 else Status.CANNOT_TELL
    reading = reading_after(swap, key)
    if reading is not None:
        # A scale that shows too much is not argued away; one that is merely coarse takes nothing from the sum.
        if judge(reading, limit, Sense.AT_MOST, judge_by) is Status.NOT_MET:
            status = Status.NOT_MET
        elif reading.value > limit and status is Status.MET:
            status = Status.CANNOT_TELL
    return Status.CANNOT_TELL if status is Status.MET and swap.guesses else status
