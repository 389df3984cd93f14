"""Restraint: would the fasteners named bear the pack in a crash?

What it checks
    The fasteners under `held_by` against the force of the pack at the accelerations of public tables: the shock pulses
    of UN R100 for the vehicle's `category`, and an Australian conversion code's static figures.

Why it matters
    Half a tonne at 20 g pulls with ten tonnes. A pack that comes loose in a crash crushes people and starts a fire.

How it is measured
    Mass of the proposed build times g times the acceleration, shared equally by all fasteners named. Across the screw
    it is shear, held against half the tensile strength times the stress area; along the screw it is pull, held against
    the proof load. Lever, prying, friction, brackets and the body behind them are left out, so a share within the
    strength proves nothing yet.

    Of all directions the hardest shear and the hardest pull are given as findings, all of them in the report of
    `fitcheck balance`.

    not met: a share alone is above the strength, over the whole band that the pack's mass gives it. Else cannot tell:
    it is an estimate for an engineer to sign.

Example
    500 kg at 20 g: 98 kN; eight M10 screws of class 8.8 carry 12.3 kN each in shear, where 23.2 kN is the strength.

How to mend
    Larger or more fasteners of a stated class, and an engineer's signature on the whole path into the body.

Source
    UN R100, 03 series, annex 9C (read on one public page); VSB 14 / NCOP14: 20 g forward read on one public page, the
    others from memory. Property classes: ISO 898-1 as quoted on public pages.
"""

from __future__ import annotations

from fitcheck.findings import Band, Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build
from fitcheck.result import FastenerShare, RestraintRow
from fitcheck.sources import PRACTICE, Source
from fitcheck.vehicle.balance import Weighed
from fitcheck.vehicle.restraint import ASSUMPTION

NAME = "restraint"


def check(weighed: Weighed) -> list[Finding]:
    """For each kind of fastener the hardest shear and the hardest pull; none where no fasteners are named."""
    hardest: dict[tuple[str, str], tuple[RestraintRow, FastenerShare]] = {}
    for row in weighed.summary.restraint:
        for share in row.shares:
            key = (share.screw, share.way)
            if key not in hardest or share.share.high > hardest[key][1].share.high:
                hardest[key] = (row, share)
    held_by = tuple(name for name, _ in weighed.swap.vehicle.held_by)
    if held_by and not hardest:
        return [_untold(held_by)]
    return [_finding(row, share, weighed.judge_by) for row, share in hardest.values()]


def _untold(held_by: tuple[str, ...]) -> Finding:
    return Finding(
        check=NAME,
        parts=held_by,
        build=Build.PROPOSED,
        status=Status.CANNOT_TELL,
        rule=Rule(name="forces on the mountings", text=ASSUMPTION, source=PRACTICE),
        unit="kN",
        reason="the mass of the proposed build is not known",
        settle_by="weigh what has no mass",
    )


def _finding(row: RestraintRow, share: FastenerShare, judge_by: str) -> Finding:
    force = share.share
    band = Band(
        value=force.value / 1000.0,
        low=force.low / 1000.0,
        high=force.high / 1000.0,
        rss_low=force.rss_low / 1000.0,
        rss_high=force.rss_high / 1000.0,
    )
    required = None if share.strength_n is None else share.strength_n / 1000.0
    too_much = required is not None and judge(band, required, Sense.AT_MOST, judge_by) is Status.NOT_MET
    return Finding(
        check=NAME,
        parts=(share.screw,),
        build=Build.PROPOSED,
        status=Status.NOT_MET if too_much else Status.CANNOT_TELL,
        rule=Rule(
            name=f"{row.direction}, {row.g:g} g",
            text=f"{share.way}, one of {share.count} {share.screw}",
            source=Source(document=row.source),
        ),
        band=band,
        unit="kN",
        required=required,
        sense=Sense.AT_MOST,
        reason=f"{ASSUMPTION}; strength: {share.basis}",
        settle_by="" if too_much else "an engineer's calculation of the whole path of the force",
    )
