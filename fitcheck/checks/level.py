"""Level: do two faces lie in one plane, near enough?

What it checks
    Every `level` under `so_that` of the `heights` section: how far the planes of two faces are apart, at most `within`.
    And every entry of `level_feet`: how far the tops of the feet under one part are out of level.

Why it matters
    A service disconnect that stands proud of its opening, or sunk in it, does not seal. A busbar between two studs that
    are not level is bent when it is bolted down, and pulls at the terminals from then on.

How it is measured
    As the distance between the two planes along the axis that both faces look along, without its sign. What both
    planes share cancels; the rest adds up in the worst case, or by root-sum-square.

Example
    A disconnect on a riser of 35 ± 0.1, itself 62 ± 0.3 high, beside a lid whose top stands at 96.5 ± 0.4: 0.5 too
    high in the drawing, between 0 and 1.3 in the worst case. Within 1 cannot be told; the lid to ± 0.1 settles it.

How to mend
    Let `fitcheck heights` find the riser, or put a shim pack under it after measuring.

Source
    The demand is the layout's own. Adding up of tolerances: F. Scholz, Tolerance Stack Analysis Methods, 1995 (worst
    case and root-sum-square; read on one public page, recomputed).
"""

from __future__ import annotations

from fitcheck.checks.upright import DEMAND_SOURCE, demand_findings
from fitcheck.findings import Band, Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build, State
from fitcheck.model.sections import LevelFeet
from fitcheck.stack.feet import out_of_level
from fitcheck.study import Study

NAME = "level"


def check(study: Study) -> list[Finding]:
    """One finding for each demand, in file order, in each age that matters to it."""
    return [*demand_findings(study, NAME, unsigned), *_feet_findings(study)]


def _feet_findings(study: Study) -> list[Finding]:
    """One finding for the feet under each part that `level_feet` names."""
    heights = study.layout.sections.heights
    return [] if heights is None else [_feet_finding(study, feet, heights.judge_by) for feet in heights.level_feet]


def _feet_finding(study: Study, feet: LevelFeet, judge_by: str) -> Finding:
    seen = out_of_level(study, feet)
    quantities = study.layout.quantities
    resting = tuple(name for name in seen.values if name in quantities and quantities[name].is_guess)
    status = judge(seen.band, feet.within.nominal, Sense.AT_MOST, judge_by)
    settle = ""
    if status is Status.MET and resting:
        status, settle = Status.CANNOT_TELL, f"measure {resting[0]}"
    elif status is Status.CANNOT_TELL:
        settle = f"measure the air over each foot under {feet.under}, and shim it"
    return Finding(
        check=NAME,
        parts=tuple(f"{foot} top" for foot in feet.feet),
        build=Build.PROPOSED,
        state=State.BEGINNING,
        status=status,
        rule=Rule(name=NAME, text=f"feet under {feet.under}, asked for under `heights`", source=DEMAND_SOURCE),
        band=seen.band,
        unit="mm",
        required=feet.within.nominal,
        sense=Sense.AT_MOST,
        settle_by=settle,
        rests_on_guess=resting,
    )


def unsigned(band: Band) -> Band:
    """The band of a distance without its sign."""
    low, high = _unsigned(band.low, band.high)
    rss_low, rss_high = _unsigned(band.rss_low, band.rss_high)
    return Band(value=abs(band.value), low=low, high=high, rss_low=rss_low, rss_high=rss_high)


def _unsigned(low: float, high: float) -> tuple[float, float]:
    return (max(0.0, low, -high), max(-low, high))
