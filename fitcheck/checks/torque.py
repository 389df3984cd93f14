"""Torque: does the tightening torque of a screw make sense?

What it checks
    Every `torque` under `screws`: the preload that it gives, at both ends of what friction can be, against the proof
    load of the screw's property class; and whether the number looks like a property class typed by mistake.

Why it matters
    A torque is a poor measure of a pull. The same hand on the same wrench stretches an oiled screw beyond its proof
    load and leaves a dry one loose. A torque for steel strips a thread in aluminium, and a plastic spacer under the
    head creeps until nothing is held.

How it is measured
    By the closed formula of VDI 2230 with the same friction in thread and head, 0.10 to 0.16: screws as delivered, dry
    to lightly oiled. Proof load: proof stress times stress area. Below the proof load it still cannot be told where a
    torque that only a steel thread is sure to hold goes into a softer one, or any torque into plastic, unless it is
    known by the part maker's data sheet; and where plastic, a seal, foam or a slender spacer is clamped. What is
    clamped and of no stated material is named as not judged.

Example
    M8 8.8 into steel at 22 N·m: 13.0 to 19.4 kN, proof load 21.2 kN: met. Into aluminium: cannot tell, the thread may
    strip first. At 8.8 N·m on the same screw: cannot tell, 8.8 is its property class, typed as a torque.

How to mend
    The part maker's torque comes first, always. Tighten by hand tool with a torque wrench, never with an impact driver,
    in a star pattern, and mark each tight screw with a paint line over head and part. Do not grease a screw unless the
    torque was given for greased screws.

Source
    VDI 2230-1 closed formula (from memory; recomputes its table within 3 %); ISO 898-1 proof stresses and stress areas
    (read on one or two public pages); friction range from memory.
"""

from __future__ import annotations

from dataclasses import replace

from fitcheck.errors import OutsideTable
from fitcheck.findings import Band, Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build
from fitcheck.model.sections import Screw
from fitcheck.stack.torque_sense import FRICTION, sense_of
from fitcheck.standards.torque import FORMULA
from fitcheck.study import Study

NAME = "torque"


def check(study: Study) -> list[Finding]:
    """One finding for each kind of screw that states a torque, in file order."""
    return [_finding(study, screw) for screw in study.layout.sections.screws if screw.torque_nm is not None]


def _finding(study: Study, screw: Screw) -> Finding:
    blank = Finding(
        check=NAME,
        parts=(screw.name,),
        build=Build.PROPOSED,
        status=Status.NOT_CHECKED,
        rule=Rule(name=NAME, text="preload below the proof load", source=FORMULA),
        unit="kN",
    )
    try:
        sense = sense_of(study, screw)
    except OutsideTable as outside:
        return replace(blank, reason=str(outside))
    assert sense is not None and screw.torque_nm is not None  # noqa: S101, PT018 (only screws with a torque come here)
    low, high = sense.preload_low / 1000, sense.preload_high / 1000
    # Friction is unknown, not scattered: both ends count in either way of judging.
    band = Band(value=sense.preload / 1000, low=low, high=high, rss_low=low, rss_high=high)
    required = sense.proof / 1000
    status = judge(band, required, Sense.AT_MOST, study.layout.judge_by)
    finding = replace(
        blank, status=status, band=band, required=required, sense=Sense.AT_MOST, reason="; ".join(sense.notes)
    )
    if sense.looks_like_class:
        said = (
            f"{screw.torque_nm.nominal:g} N·m looks like the property class {sense.looks_like_class}, typed as a torque"
        )
        return replace(
            finding,
            status=Status.CANNOT_TELL,
            reason="; ".join([said, *sense.notes]),
            settle_by="look the torque up again in the part maker's sheet",
        )
    if status is Status.MET and sense.settle_by:
        # The screw bears it; whether what it is screwed into and what it clamps do, the preload does not say.
        return replace(finding, status=Status.CANNOT_TELL, settle_by="; ".join(sense.settle_by))
    if status is Status.CANNOT_TELL:
        return replace(
            finding, settle_by=f"find out how the screws are plated and oiled: friction {FRICTION[0]} to {FRICTION[1]}"
        )
    return finding
