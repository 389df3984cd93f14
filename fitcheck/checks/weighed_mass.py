"""Weighed mass: do the parts add up to what the scale says?

What it checks
    Where the whole pack was weighed (`pack_weighed`), or the vehicle after the job (`weighed_after`): that the sum of
    the parts and the scale agree within both uncertainties; of the vehicle axle by axle and as a whole, and left and
    right where sides or all four wheels were weighed before and after.

Why it matters
    A part that nobody listed, a module of another make, a slip of a digit: the sum shows none of them, the scale does.

How it is measured
    The value is how far sum and scale lie apart; allowed is what the bands of both explain together. A reading without
    a tolerance is taken as one of a common scale, 0.1 kg and 1 %, never as exact.

Example
    Parts of 609.5 ± 1.2 kg and a scale that says 625.0 ± 2.0 kg: 15.5 kg apart where 3.2 can be explained. Not met:
    something of about 15 kg is not in the layout.

How to mend
    Find the difference before anything else is believed: weigh the larger parts one by one. Lift with rated gear at
    stated points; set a pack on the scale with nobody's hands beneath.

Source
    Adding up of uncertainties: JCGM 100:2008 (read on three public pages). The common scale: cautious workshop
    practice, no source.
"""

from __future__ import annotations

from fitcheck.findings import Band, Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build
from fitcheck.result import Reconciled
from fitcheck.sources import PRACTICE
from fitcheck.vehicle.balance import Weighed
from fitcheck.vehicle.reconcile import side_loads

NAME = "weighed mass"
RULE = Rule(
    name="sum and scale agree", text="the parts come to what the scale says, within both uncertainties", source=PRACTICE
)


def check(weighed: Weighed) -> list[Finding]:
    """One finding for each scale reading; *cannot tell* where the parts have no sum to hold against it."""
    found = [_finding(one) for one in weighed.summary.reconciled]
    told = {one.what for one in weighed.summary.reconciled}
    vehicle = weighed.swap.vehicle
    wanted = [f"{build} pack" for build, _ in vehicle.pack_weighed]
    if vehicle.weighed_after:
        wanted += ["front axle", "rear axle", "gross mass"]
        wanted += [f"{name} side" for name in side_loads(vehicle.weighed_after)]
    for what in wanted:
        if what not in told:
            reason = "; ".join(weighed.summary.unknown) or (
                "before the job no sides were weighed, or no track is given"
                if what.endswith("side")
                else "a part has no mass, so there is no sum"
            )
            found.append(
                Finding(
                    check=NAME,
                    parts=(what,),
                    build=_build(what),
                    status=Status.CANNOT_TELL,
                    rule=RULE,
                    unit="kg",
                    reason=reason,
                )
            )
    return found


def _finding(one: Reconciled) -> Finding:
    apart = abs(one.difference)
    band = Band(value=apart, low=apart, high=apart, rss_low=apart, rss_high=apart)
    lighter = "lighter" if one.difference < 0.0 else "heavier"
    return Finding(
        check=NAME,
        parts=(one.what,),
        build=_build(one.what),
        status=judge(band, one.allowed, Sense.AT_MOST, "worst case"),
        rule=RULE,
        band=band,
        unit="kg",
        required=one.allowed,
        sense=Sense.AT_MOST,
        reason=f"the parts come to {_told(one.summed)}, the scale says {_told(one.scale)}, worst case and in "
        f"brackets root-sum-square: the sum is {apart:.2f} kg {lighter}, allowed is what both may be off; scale "
        f"taken {one.scale_basis}",
    )


def _told(band: Band) -> str:
    worst = max(band.high - band.value, band.value - band.low)
    rss = max(band.rss_high - band.value, band.value - band.rss_low)
    return f"{band.value:.2f} ± {worst:.2f} ({rss:.2f}) kg"


def _build(what: str) -> Build:
    return Build.ORIGINAL if what == "original pack" else Build.PROPOSED
