"""Creepage: is the way over the surface of insulation long enough between metal at different potential?

What it checks
    The same pairs as for clearance: every live part against every other of another potential, and against every part
    bonded to the chassis.

Why it matters
    Dust and damp make a faint current creep over plastic. It burns a track of carbon, over months, until the track
    carries a fire. Air alone may be ample where the surface is not.

How it is measured
    First straight, as for clearance: a way over surfaces is never shorter than that. Where the straight way is too
    short, over the insulation as it stands: the surfaces of all insulating bodies joined, the faces of a joint that is
    not cemented among them; openings narrower than X (1 mm at pollution degree 2) are bridged, a width of exactly X is
    not; floating metal is crossed for nothing. `value` is an actual way, corner by corner. `low` is proven: no way is
    shorter in any build within tolerance. Below 3 mm of clearance X is a third of it, if that is less, taken for the
    longest clearance that any build has; beside floating metal X stays, which only makes a way shorter.

    Parts with `play` are taken in the worst position of it. Further rule sets named under electrical `rules`, and the
    layout's own distances under `also`, are judged beside IEC 60664-1: each has findings of its own, for the pairs it
    speaks of, with its clause and row.

    Asked for is the creepage distance for the lasting voltage, linear between the rows of the table and rounded up to
    0.1 mm, doubled for reinforced insulation, and never below the clearance. The material group is the worst of the
    insulating parts within reach; where there is none, or a part states none, IIIb. At pollution degree 4 there is no
    such distance, and nothing is judged.

    met: the lower bound reaches what is asked for. not met: the two touch as drawn, or the way found is too short in
    every build within tolerance. Else cannot tell: also where no insulation joins the two as drawn, where it may turn,
    is an open mesh, or the way leads over metal that nothing says to be metal. No concession touches it.

Example
    400 V, group IIIa, basic insulation: 4.0 mm at pollution degree 2, 6.3 mm at degree 3.

How to mend
    More distance, insulation of a better group, or a rib or a groove wider than X across the way. For a pair not met a
    move, a rib, a groove or a cover is proposed, each tried on the layout before. Before anybody works there: isolate,
    lock off and prove the absence of voltage with a tester proved before and after; module terminals stay live all the
    same.

Source
    IEC 60664-1:2020 table F.5 (F.4 of 2007), as quoted on public pages; each finding names its rows and how they were
    read. The bought standard decides. At or above the cited figure is not an approval.
"""

from __future__ import annotations

from fitcheck.checks import clearance
from fitcheck.checks.live_pairs import findings_of
from fitcheck.checks.rule_sets import further, iec_60664
from fitcheck.findings import Finding
from fitcheck.model.part import Build
from fitcheck.standards.insulation import Need, creepage
from fitcheck.study import Study

NAME = "creepage"


def check(study: Study, build: Build) -> list[Finding]:
    """One finding for each pair within its requirement and what the layout lists, in file order, at each age, by each
    rule set in turn."""
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

    return [
        found
        for rules in (iec_60664(electrical, asks), *further(electrical, NAME))
        for found in findings_of(study, build, NAME, rules, over_surfaces=True)
    ]
