"""Clear height: is there enough air, straight up, between two parts?

What it checks
    Every `clear_height` under `so_that` of the `heights` section: from the top of the first part to the underside of
    the second, at least or at most so much.

Why it matters
    A taller module, a pad or a bolt head takes its height from the air under the lid. Cables, terminals and a lid that
    bows in need that air for as long as the pack lives.

How it is measured
    Along the upright axis between the two planes, wherever the parts stand sideways. The placing words are followed
    back to what both planes share, which cancels; every other size, offset and tolerance is a link of the stack. The
    worst case adds the links' tolerances up; root-sum-square takes the root of the sum of their squares. Uncertain
    turns and mesh surfaces come off on top.

Example
    Case 262 ± 1.5 deep, mat 3 ± 0.3, module 271 ± 0.8, bolt heads 9 ± 0.5, sheet 1 ± 0.1 under the lid and a frame of
    34 ± 0.2 under it: 12 in the drawing, 8.6 at worst, 10.19 by root-sum-square; 8 is kept either way.

How to mend
    Let `fitcheck heights` find the frame or pad that does. Or make the largest share of the stack's uncertainty
    smaller: the stack table shows which link that is.

Source
    The demand is the layout's own. Adding up of tolerances: F. Scholz, Tolerance Stack Analysis Methods, 1995 (worst
    case and root-sum-square; read on one public page, recomputed).
"""

from __future__ import annotations

from fitcheck.checks.upright import demand_findings
from fitcheck.findings import Finding
from fitcheck.stack.demands import CLEAR_HEIGHT
from fitcheck.study import Study

NAME = CLEAR_HEIGHT


def check(study: Study) -> list[Finding]:
    """One finding for each limit, in file order, in each age that matters to it."""
    return demand_findings(study, NAME, lambda band: band)
