"""Creepage: is the way over the surface of insulation long enough between metal at different potential?

What it checks
    The same pairs as for clearance: every live part against every other of another potential, and against every part
    bonded to the chassis.

Why it matters
    Dust and damp make a faint current creep over plastic. It burns a track of carbon, over months, until the track
    carries a fire. Air alone may be ample where the surface is not.

How it is measured
    As a screening, by the same lower bound as for clearance: a way over surfaces is never shorter than the straight
    distance from metal to metal, save that floating metal is crossed for nothing, and that air narrower than X is
    bridged, which is straight too. `low` is that bound, tolerances included; `value` and `high` are the straight
    distance itself, not a way over a surface.

    Asked for is the creepage distance for the lasting voltage, linear between the rows of the table and rounded up to
    0.1 mm, doubled for reinforced insulation, and never below the clearance. The material group is the worst of the
    insulating parts within reach; where there is none, or a part states none, IIIb. At pollution degree 4 there is no
    such distance, and nothing is judged.

    met: the lower bound reaches what is asked for. not met: the two touch as drawn, which is a short circuit. Else
    cannot tell: the surface may well be longer, and ways over it are not worked out in this version. No concession
    touches it.

Example
    400 V, group IIIa, basic insulation: 4.0 mm at pollution degree 2, 6.3 mm at degree 3.

How to mend
    More distance, or insulation of a better group with ribs, whose surface is worked out by hand. Before anybody works
    there: isolate, lock off and prove the absence of voltage with a tester proved before and after; module terminals
    stay live all the same.

Source
    IEC 60664-1:2020 table F.5 (F.4 of 2007), as quoted on public pages; each finding names its rows and how they were
    read. The bought standard decides. At or above the cited figure is not an approval.
"""

from __future__ import annotations

from fitcheck.checks import clearance
from fitcheck.checks.live_pairs import findings_of
from fitcheck.findings import Finding
from fitcheck.model.part import Build
from fitcheck.standards.insulation import Need, creepage
from fitcheck.study import Study

NAME = "creepage"


def check(study: Study, build: Build) -> list[Finding]:
    """One finding for each pair within its requirement and what the layout lists, in file order, at each age."""
    electrical = study.layout.sections.electrical
    if electrical is None:
        return []

    def asks(volts: float, group: str) -> Need:
        return creepage(
            volts,
            electrical.pollution_degree,
            group,
            insulation=electrical.insulation,
            clearance_mm=clearance.needed(electrical, volts).mm,
        )

    return findings_of(study, build, NAME, asks)
