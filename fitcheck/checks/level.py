"""Level: do two faces lie in one plane, near enough?

What it checks
    Every `level` under `so_that` of the `heights` section: how far the planes of two faces are apart, at most `within`.

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

from fitcheck.checks.upright import demand_findings
from fitcheck.findings import Band, Finding
from fitcheck.study import Study

NAME = "level"


def check(study: Study) -> list[Finding]:
    """One finding for each demand, in file order, in each age that matters to it."""
    return demand_findings(study, NAME, unsigned)


def unsigned(band: Band) -> Band:
    """The band of a distance without its sign."""
    low, high = _unsigned(band.low, band.high)
    rss_low, rss_high = _unsigned(band.rss_low, band.rss_high)
    return Band(value=abs(band.value), low=low, high=high, rss_low=rss_low, rss_high=rss_high)


def _unsigned(low: float, high: float) -> tuple[float, float]:
    return (max(0.0, low, -high), max(-low, high))
