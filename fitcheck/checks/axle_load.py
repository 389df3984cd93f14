"""Axle load: does each axle stay within its limit once the new pack is in?

What it checks
    The load on the front and on the rear axle with the proposed build, each against its own limit under `vehicle`.

Why it matters
    Tyres, wheels, springs, brakes and bearings are rated by the axle. A pack that is lighter as a whole can still press
    one axle harder than before, and two axles within their limits do not prove the gross mass, nor the other way round.

How it is measured
    From the axle weights with the original build in: removed parts are taken off and new ones put on, each shared out
    between the axles by where its centre stands along the wheelbase. Behind the rear axle a part presses the rear by
    more than its own weight and lifts the front. A payload, where one is given, is added. Every mass, place and the
    wheelbase may be anywhere in its band; the worst case holds for all of them at once. Where the finished vehicle was
    weighed too, the worse of sum and scale counts.

    met: the whole judged band is within the limit and above zero. not met: none of it is. cannot tell: the limit lies
    inside the band, or a mass, a centre, `weighed` or `case_low` is missing.

Example
    Wheelbase 2200, rear axle 2740 kg of 2800 allowed, 96 kg more at 2450 behind the front axle: the rear axle comes to
    2846.91 kg. Not met, by 46.91 kg.

How to mend
    Move the new pack toward the other axle, or make it lighter. Never raise a limit by hand: it is the rating of the
    weakest component. Weigh on level ground, chocks at the wheels, nobody aboard or beneath.

Source
    Static equilibrium; R. N. Jazar, Vehicle Dynamics, section 2.1 (read on one public page). The limits are the rating
    plate's own, as the layout states them.
"""

from __future__ import annotations

from fitcheck.checks.settle_weight import settling_reading
from fitcheck.findings import Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build
from fitcheck.result import LimitTest
from fitcheck.sources import Source
from fitcheck.vehicle.balance import Weighed
from fitcheck.vehicle.extremes import band
from fitcheck.vehicle.limits import FIGURES, reading_after

NAME = "axle load"
PLATE = Source(document="the layout's `limits`", clause="as on the rating plate", verified="not seen by fitcheck")
KERB = "weighed at kerb mass: this proves nothing for the laden vehicle"
EMPTY_OR_LADEN = "whether the vehicle was weighed empty or laden is not stated"


def check(weighed: Weighed) -> list[Finding]:
    """One finding for each axle that has a limit, front before rear."""
    return [
        finding(weighed, test, NAME, key, (test.of,))
        for key in ("front", "rear")
        for test in weighed.summary.limits
        if test.of == f"{key} axle"
    ]


def finding(weighed: Weighed, test: LimitTest, check_name: str, key: str, parts: tuple[str, ...]) -> Finding:
    """One limit as a finding; `key` is "front", "rear" or "gross"."""
    swap = weighed.swap
    settle = ""
    if test.status is Status.CANNOT_TELL:
        settle = _settling(weighed, test, key)
    return Finding(
        check=check_name,
        parts=parts,
        build=Build.PROPOSED,
        status=test.status,
        rule=Rule(name=f"{test.of} limit", text="each limit of the rating plate by itself", source=PLATE),
        band=test.after,
        unit="kg",
        required=test.limit_kg,
        sense=Sense.AT_MOST,
        reason="; ".join((*_reasons(weighed, test, key), *_conceded(weighed, check_name))),
        settle_by=settle,
        rests_on_guess=swap.guesses,
    )


def _conceded(weighed: Weighed, check_name: str) -> list[str]:
    """A signature in the layout does not change a rating plate, and whoever wrote it is told so."""
    if check_name not in weighed.conceded:
        return []
    return [f"a concession on {check_name} is written in the layout: none applies to a limit of the rating plate"]


def _reasons(weighed: Weighed, test: LimitTest, key: str) -> list[str]:
    swap, said = weighed.swap, []
    if test.after is None:
        return list(weighed.summary.unknown)
    if test.after.low < 0.0:
        said.append("the axle may lift off the ground")
    reading = reading_after(swap, key)
    if reading is not None:
        shown = "shows" if not swap.vehicle.payload else "and the payload's share come to"
        said.append(f"the scale after the job {shown} {reading.value:.1f} kg")
    if swap.vehicle.payload:
        said.append("payload aboard")
    elif test.status is Status.MET and swap.vehicle.weighed_as == "kerb":
        said.append(KERB)
    elif test.status is Status.MET and swap.vehicle.weighed_as is None:
        said.append(EMPTY_OR_LADEN)
    if swap.guesses:
        said.append(f"rests on a guess: {', '.join(swap.guesses)}")
    return said


def _settling(weighed: Weighed, test: LimitTest, key: str) -> str:
    swap = weighed.swap
    loading = swap.total_known if key == "gross" else swap.final
    if test.after is None or loading is None:
        if not swap.vehicle.weighed:
            return "weigh both axles with the original build in"
        missing = [body.row.part for body in swap.bodies if body.weight is None and body.row.change != "retained"]
        where = "measure case_low" if swap.vehicle.case_low is None else "weigh vehicle and removed parts again"
        return ", ".join(f"weigh {name}" for name in missing) or where
    if swap.guesses:
        return f"measure {swap.guesses[0]}"
    figure = FIGURES[key]
    required, sense = test.limit_kg, Sense.AT_MOST
    if judge(test.after, required, sense, weighed.judge_by) is Status.MET:
        if test.scale_kg is not None and test.scale_kg > required:
            return "weigh the finished vehicle again, on a finer scale"
        if test.after.low < 0.0:
            required, sense = 0.0, Sense.AT_LEAST
    return settling_reading(swap, loading, lambda told: band(told, figure), required, sense, weighed.judge_by)
