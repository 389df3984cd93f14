"""Overlap: do two parts take up the same space?

What it checks
    Every pair of parts that share a build, whether a rule speaks of it or not. A part wholly inside another solid
    overlaps it. No contact and no concession excuses an overlap.

Why it matters
    Two parts cannot be where each other is: the module will not go in, or the lid will not come down, or it does with a
    pry bar and something gives way that should not.

How it is measured
    The depth is the least distance by which one would have to be moved to be clear; for meshes and other hollow shapes,
    the least width of the shared solid. Touching within 1e-6 mm is no overlap. The band follows the toleranced values
    as for a gap. An overlap at nominal is not met. Where there is none at nominal but one inside the band, it cannot be
    told; where a gap rule speaks of the pair, the gap's finding says so and none is made here.

Example
    A column of 18 diameter whose middle stands 8 from a module's face: overlap, depth 1.0.

How to mend
    Move one of the two, or make it smaller. Both parts as they are will not fit.

Source
    Geometry; no outside figure is used.
"""

from __future__ import annotations

from fitcheck.checks.pairs import Near, guesses, looseness, near_pairs
from fitcheck.checks.settle import settle_by
from fitcheck.findings import TOUCH_MM, Band, Finding, Rule, Sense, Status
from fitcheck.model.part import Build
from fitcheck.placing.measure import Measure
from fitcheck.placing.shared_volume import shared_volume
from fitcheck.sources import Source
from fitcheck.study import Study

NAME = "overlap"
RULE = Rule(
    name="no overlap",
    text="two parts cannot take up the same space",
    source=Source(document="geometry"),
)


def check(study: Study, build: Build) -> list[Finding]:
    """A finding for each near pair that overlaps at nominal, and for each without a gap rule."""
    found = []
    for near in near_pairs(study, build):
        study.progress(f"overlap {near.pair.one.name} - {near.pair.other.name}")
        measure = study.measure(near.pair, near.state, with_contacts=False)
        if measure is not None and (
            _overlaps(measure) or near.pair.rule is None or _gap_is_silent(study, near, measure)
        ):
            found.append(_finding(study, build, near, measure))
    return found


def _overlaps(measure: Measure) -> bool:
    return measure.band.value < -TOUCH_MM


def _gap_is_silent(study: Study, near: Near, measure: Measure) -> bool:
    """Whether the pair's gap finding does not speak of an overlap inside the band, because of a contact."""
    if study.excused_altogether(near.pair):
        return True
    if not study.touch(near.pair):
        return False
    gap = study.measure(near.pair, near.state, with_contacts=True)
    return measure.band.low < -TOUCH_MM and (gap is None or gap.band.low >= -TOUCH_MM)


def _finding(study: Study, build: Build, near: Near, measure: Measure) -> Finding:
    band = _depth(measure.band)
    resting = guesses(study, near, measure)
    status, settle, reasons = Status.MET, "", [looseness(measure)]
    volume = None
    _, high = band.judged(study.layout.judge_by)
    if _overlaps(measure):
        status = Status.NOT_MET
        volume, why = shared_volume(study.chain(near.state), near.pair.one, near.pair.other)
        reasons.append(why)
    elif high > TOUCH_MM:
        status = Status.CANNOT_TELL
        part_pair = study.part_pair(near.pair, near.state, with_contacts=False)
        settle = settle_by(
            lambda widths: _depth(part_pair.measure(widths).band),
            study.widths,
            measure.values,
            study.layout.quantities,
            0.0,
            Sense.AT_MOST,
            study.layout.judge_by,
        )
    elif resting:
        status, settle = Status.CANNOT_TELL, f"measure {resting[0]}"
        reasons.append(f"rests on a guess: {', '.join(resting)}")
    return Finding(
        check=NAME,
        parts=near.pair.names,
        build=build,
        state=near.state,
        status=status,
        rule=RULE,
        band=band,
        unit="mm",
        required=0.0,
        sense=Sense.AT_MOST,
        points=measure.points_lowest if status is Status.CANNOT_TELL else measure.points,
        reason="; ".join(filter(None, reasons)),
        settle_by=settle,
        volume_mm3=volume,
        rests_on_guess=resting,
        in_play=measure.in_play,
    )


def _depth(gap: Band) -> Band:
    """The band of the depth: the gap's, with the sign turned."""
    return Band(value=-gap.value, low=-gap.high, high=-gap.low, rss_low=-gap.rss_high, rss_high=-gap.rss_low)
