"""Gap: do two parts keep the distance that the layout asks for?

What it checks
    Every pair of parts that share a build and that a rule under `gaps` speaks of. The most specific rule counts: two
    part names beat a part and a role, those beat two roles, and those beat `anything`; of two equally specific rules
    the one that asks for more.

Why it matters
    Metal that rubs wears through insulation, a weld bead or a bent flange takes up a gap that a drawing promises, and
    modules swell as they age. A gap that holds on paper only is found out when the module hangs on the hoist.

How it is measured
    The smallest distance between the two shapes, outside the faces that the layout declares to be in contact. It is a
    function of every toleranced value that sizes, turns or places either part: the placing words are followed back to
    what both have in common, which cancels. `low` and `high` bound the smallest gap over all builds within tolerance;
    the second band is the root-sum-square of the same contributions. Boxes are exact; round bars are exact to 1e-7 mm;
    facets and uncertain turns are bounded on the safe side, and the finding says by how much. Parts that overlap have a
    gap of minus the depth.

    A part with `play` (how far it can move as it is held, along the case axes) will stand anywhere in it. Its distance
    is the smallest over all its positions: `value` at the worst one found, `low` over every position and tolerance,
    `high` no build keeps more than that everywhere. A play counts in full beside the root-sum-square. It never pushes a
    part through another: they touch, gap 0, and that is no overlap. Nothing else stops the part, and what is placed by
    it stays where it is. Points lie where the parts then stand; pictures show them as drawn.

    met: the whole judged band keeps the distance. not met: none of it does. cannot tell: the limit lies inside the
    band; the finding names the one value, and how well it must be known, that would settle it.

Example
    A module 446 ± 0.5 centred in a case 451 ± 2 wide, with 2 required on each side: the gap is 2.5, between 1.25 and
    3.75. Cannot tell; measuring the case to ± 0.5 settles it. A cable drawn 7 beside it that can move 3 either way in
    its clips: the gap is 4.

How to mend
    Move the part by the amount named, if one is named: it is the smallest change of a single placing number that mends
    this gap and makes no other finding worse. A cable is held tighter: one more clip. Otherwise the parts must become
    smaller, or the rule be conceded and signed. Use plastic gauges, never metal tape or feelers, near modules: they are
    live with the disconnect out.

Source
    The distances asked for are the layout's own. Adding up of tolerances: F. Scholz, Tolerance Stack Analysis Methods,
    1995 (worst case and root-sum-square; read on one public page, recomputed).
"""

from __future__ import annotations

from dataclasses import replace

from fitcheck.checks.concede import concede
from fitcheck.checks.pairs import Near, guesses, looseness, near_pairs
from fitcheck.checks.settle import settle_by
from fitcheck.findings import Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build
from fitcheck.sources import Source
from fitcheck.study import Study

NAME = "gap"
LAYOUT_SOURCE = Source(document="the layout's own rule")


def check(study: Study, build: Build) -> list[Finding]:
    """One finding for each near pair that has a rule, in file order, for each age that matters to it."""
    found = []
    for near in near_pairs(study, build):
        if near.pair.rule is not None:
            study.progress(f"gap {near.pair.one.name} - {near.pair.other.name}")
            found.append(concede(study, _finding(study, build, near)))
    return found


def _finding(study: Study, build: Build, near: Near) -> Finding:
    pair, layout = near.pair, study.layout
    assert pair.rule is not None  # noqa: S101 (the caller chose pairs with a rule)
    required = pair.required
    blank = Finding(
        check=NAME,
        parts=pair.names,
        build=build,
        state=near.state,
        status=Status.MET,
        rule=Rule(name=" - ".join(map(str, pair.rule.between)), text=pair.rule.because, source=LAYOUT_SOURCE),
        unit="mm",
        required=required,
        sense=Sense.AT_LEAST,
    )
    measure = None
    if not study.excused_altogether(pair):
        measure = study.measure(pair, near.state, with_contacts=True)
    if measure is None:
        return replace(blank, reason="contact")
    status = judge(measure.band, required, Sense.AT_LEAST, layout.judge_by)
    resting = guesses(study, near, measure)
    settle, reasons = "", [looseness(measure), _left_out(study, near)]
    if status is Status.CANNOT_TELL:
        part_pair = study.part_pair(pair, near.state, with_contacts=True)
        settle = settle_by(
            lambda widths: part_pair.measure(widths).band,
            study.widths,
            measure.values,
            layout.quantities,
            required,
            Sense.AT_LEAST,
            layout.judge_by,
        )
    elif status is Status.MET and resting:
        status, settle = Status.CANNOT_TELL, f"measure {resting[0]}"
        reasons.append(f"rests on a guess: {', '.join(resting)}")
    return replace(
        blank,
        status=status,
        band=measure.band,
        points=measure.points,
        in_play=measure.in_play,
        settle_by=settle,
        reason="; ".join(filter(None, reasons)),
        rests_on_guess=resting,
    )


def _left_out(study: Study, near: Near) -> str:
    """What a contact leaves out of a mesh or prism, in words."""
    if not study.leaves_regions_out(near.pair, near.state):
        return ""
    return f"left out: what lies within {near.pair.required:g} mm of the declared contact's plane and outline"
