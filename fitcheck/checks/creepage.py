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
    insulating parts within reach, by `material_group`, `cti` or the material; of a part that states none, IIIb. At
    pollution degree 4 there is no such distance, and nothing is judged.

    met: the lower bound reaches what is asked for; or all that holds the live ones is drawn, touching, down to bonded
    metal, and no chain of bodies less than X apart in any build leads from one to the other. not met: the two touch as
    drawn, or the way found is too short in every build within tolerance. Else cannot tell: also where no surface joins
    the two and what holds one is not drawn, where one is sealed in, where insulation may turn or is an open mesh, or
    the way leads over metal that nothing says to be metal. not checked, though long enough: no impulse is stated, so
    that the clearance, below which creepage may not be, is not known; or the insulation is of group IIIb at pollution
    degree 3 above 630 V, where it is not recommended. Also: all potentials of a circuit are the same. No concession
    touches it.

Example
    400 V, group IIIa, basic insulation: 4.0 mm at pollution degree 2, 6.3 mm at degree 3.

How to mend
    More distance, insulation of a better group, or a rib or a groove wider than X across the way. For a pair not met a
    move, a rib, a groove or a cover is proposed, each tried on the layout before. Before anybody works there: isolate,
    lock off and prove the absence of voltage with a tester proved before and after; module terminals stay live all the
    same.

Source
    IEC 60664-1:2020 table F.5 (F.4 of 2007), as quoted on public pages; each finding names its rows and how they were
    read. Group IIIb above 630 V: IEC 61439-1 table 2, read on one public page. The bought standard decides. At or above
    the cited figure is not an approval.
"""

from __future__ import annotations

from fitcheck.checks.asked import NO_FLOOR, STATE_IMPULSE, creepage_asked, is_impulse_stated
from fitcheck.checks.live_pairs import findings_of, not_checked
from fitcheck.checks.potentials import live_parts
from fitcheck.checks.rule_sets import further, iec_60664
from fitcheck.findings import Finding, Status
from fitcheck.model.part import Build
from fitcheck.model.sections import Electrical
from fitcheck.standards.insulation import Need
from fitcheck.study import Study

NAME = "creepage"


def check(study: Study, build: Build) -> list[Finding]:
    """One finding for each pair within its requirement and what the layout lists, in file order, at each age, by each
    rule set in turn."""
    electrical = study.layout.sections.electrical
    if electrical is None:
        return []

    def asks(volts: float, group: str) -> Need:
        return creepage_asked(electrical, volts, group)

    found = [
        finding
        for rules in (iec_60664(electrical, asks), *further(electrical, NAME))
        for finding in findings_of(study, build, NAME, rules, over_surfaces=True)
    ]
    return [*found, *_without_impulse(study, build, electrical, found)]


def _without_impulse(study: Study, build: Build, electrical: Electrical, found: list[Finding]) -> list[Finding]:
    """Pairs farther apart than what is listed may still be nearer than a clearance that is not known."""
    live = tuple(part.name for part in live_parts(study.layout, build))
    if is_impulse_stated(electrical) or not live or any(finding.status is Status.NOT_CHECKED for finding in found):
        return []
    return [not_checked(build, NAME, live, NO_FLOOR, STATE_IMPULSE)]
