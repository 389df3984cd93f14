"""Clearance: is there enough air between metal at different potential?

What it checks
    Every live part against every other of another potential, and against every part bonded to the chassis, as the
    `electrical` section says. Floating metal in between, which has no potential of its own, makes the way shorter. An
    enclosure or a lid that is not known to be insulation and not under `chassis` is spoken of where a live part is
    near; other metal near a live part is remarked on.

Why it matters
    Air that is too thin breaks down in a voltage surge, and the arc burns on from the battery, which no switch can turn
    off. Live metal near the case is the mistake that kills.

How it is measured
    First straight. A way through air is never shorter than the straight distance, save that it crosses floating metal
    for nothing; so the shortest way from metal to metal, over any floating metal and with all tolerances against it, is
    a proven lower bound (`low`) for every way there is, whatever insulation stands between. Steps to floating metal
    narrower than X (1.0 mm at pollution degree 2) count nothing, and the finding names them. What nothing marks as
    insulation or as metal counts as floating metal.

    Where the straight way is too short, around the insulation as it stands: a shortest way is a taut string that bends
    only round edges that stick out. `value` is an actual way, corner by corner. `low` is proven: no way is shorter in
    any build within tolerance. An opening is air however narrow; so is a joint that is not cemented, save where its
    faces touch and nothing about them may move. Insulation blocks a line only where that runs deeper in it than
    anything may move. Where insulation encloses one of the two, there is no way through air: the thickness of solid is
    reported, not judged.

    Parts with `play` are taken in the worst position of it. Further rule sets named under electrical `rules`, and the
    layout's own distances under `also`, are judged beside IEC 60664-1: each has findings of its own, for the pairs it
    speaks of, with its clause and row.

    Asked for is the clearance for the rated impulse, any field (case A), not below that for the peak that lasts or
    comes back, times the altitude factor above 2000 m. That peak is the voltage, or `recurring_peak` where that is
    more: of no pair is it known to be less. In an isolated pack every live part counts against chassis with the whole
    voltage of its circuit; across circuits the larger circuit's whole voltage counts.

    met: the lower bound reaches what is asked for. not met: the two touch as drawn, which is a short circuit, or a way
    through air is too short in every build within tolerance. Else cannot tell: also where insulation in between may
    turn, is an open mesh or too finely cut, or the way leads over metal that nothing says to be metal. not checked: no
    way through air; no impulse is stated; all potentials of a circuit are the same, so its voltage is not known; a
    case or lid that may be metal is not under `chassis`. No concession touches it.

Example
    400 V, impulse 2.5 kV, pollution degree 2, to 2000 m: 1.5 mm; at 3000 m 1.71 mm.

How to mend
    More distance, or a barrier that makes the ways around it long enough. For a pair not met a move, a rib or a cover
    is proposed, each tried on the layout before. Before anybody works there: isolate, lock off and prove the absence of
    voltage with a tester proved before and after; module terminals stay live all the same.

Source
    IEC 60664-1:2020 tables F.1, F.2, F.8 and A.2, as quoted on public pages; each finding names its rows and how they
    were read. The bought standard decides. At or above the cited figure is not an approval.
"""

from __future__ import annotations

from fitcheck.checks.asked import clearance_asked
from fitcheck.checks.live_pairs import findings_of, not_checked
from fitcheck.checks.loose_metal import cases_beside
from fitcheck.checks.potentials import against_chassis, is_bonded, live_parts, potential_of
from fitcheck.checks.rule_sets import further, iec_60664
from fitcheck.findings import Finding, Rule, Status
from fitcheck.model.part import Build, Part
from fitcheck.model.sections import Electrical
from fitcheck.sources import Source
from fitcheck.standards.insulation import Need
from fitcheck.study import Study

NAME = "clearance"
SHORT = Rule(
    name="no short circuit",
    text="a part at a potential of its own cannot be bonded to the chassis as well",
    source=Source(document="Ohm's law"),
)


def check(study: Study, build: Build) -> list[Finding]:
    """One finding for each pair within its requirement and what the layout lists, in file order, at each age, by each
    rule set in turn."""
    electrical = study.layout.sections.electrical
    if electrical is None:
        return []

    def asks(volts: float, _: str) -> Need:
        return clearance_asked(electrical, volts)

    return [
        *_live_and_bonded(study, build, electrical),
        *_no_chassis(study, build, electrical),
        *_not_bonded(study, build, electrical),
        *(
            found
            for rules in (iec_60664(electrical, asks), *further(electrical, NAME))
            for found in findings_of(study, build, NAME, rules, through_air=True)
        ),
    ]


def _live_and_bonded(study: Study, build: Build, electrical: Electrical) -> list[Finding]:
    return [
        Finding(
            check=NAME,
            parts=(part.name,),
            build=build,
            status=Status.NOT_MET,
            rule=SHORT,
            reason=f"short circuit: it is at {part.potential} and named under chassis",
            mend="take the potential away, or take the part out of chassis",
        )
        for part in live_parts(study.layout, build)
        if is_bonded(electrical, part) and _has_voltage(electrical, part)
    ]


def _has_voltage(electrical: Electrical, part: Part) -> bool:
    live = potential_of(electrical, part)
    return live is not None and against_chassis(electrical, live) is not None


def _no_chassis(study: Study, build: Build, electrical: Electrical) -> list[Finding]:
    """A case that nobody says to be bonded would pass for floating metal, and nothing be held against it."""
    present = list(study.layout.in_build(build))
    case = tuple(part.name for part in present if part.role in ("enclosure", "lid"))
    if not case or any(is_bonded(electrical, part) for part in present):
        return []
    reason = "no part is said to be bonded to the chassis, so no live part was held against it"
    return [not_checked(build, NAME, case, reason, "state under electrical chassis: [every enclosure, every lid]")]


def _not_bonded(study: Study, build: Build, electrical: Electrical) -> list[Finding]:
    """A case or a lid that may be metal and that nobody says to be bonded: it would pass for floating metal."""
    bonded = any(is_bonded(electrical, part) for part in study.layout.in_build(build))
    return [
        not_checked(build, NAME, (beside.metal.name,), beside.told, beside.mend)
        for beside in (cases_beside(study, build, electrical) if bonded else [])
    ]
