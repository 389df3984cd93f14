"""File scale: is a mesh file as large as the part that was measured?

What it checks
    Every mesh with a `file_scale`: one size of the file, in the unit used, against the size measured on the real part.

Why it matters
    Mesh files travel without a unit, and a part read at 25.4 times its size, or exported before the last change, spoils
    every gap it is in.

How it is measured
    The file's overall size along the named axis of the file, before any turn, less the measured length. The difference
    must not exceed the tolerance of the measured length and of the mesh together.

Example
    A duct measured with a tape as 640 ± 2 and drawn 641.2 long: difference 1.2, at most 2.

How to mend
    State the right unit, or ask the supplier for the file of the part as built.

Source
    Common practice, no source.
"""

from __future__ import annotations

import numpy as np

from fitcheck.findings import Band, Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build, Part
from fitcheck.model.shape import FileScale, Mesh, meshes_of
from fitcheck.sources import PRACTICE
from fitcheck.study import Study

NAME = "file scale"
RULE = Rule(name="file scale", text="a mesh file is as large as the part that was measured", source=PRACTICE)

USUAL_SLIPS = ((25.4, "inches"), (10.0, "centimetres"), (1000.0, "metres"), (1 / 25.4, "millimetres, not inches"))
"""Ratio of measured to file size when the unit is wrong, and what the file is then drawn in."""


def check(study: Study, build: Build) -> list[Finding]:
    """One finding for each mesh of the build that states a file scale."""
    return [
        _finding(study, build, part, mesh, mesh.file_scale)
        for part in study.layout.in_build(build)
        for mesh in meshes_of(part.shape)
        if mesh.file_scale is not None
    ]


def _finding(study: Study, build: Build, part: Part, mesh: Mesh, scale: FileScale) -> Finding:
    size = float(np.ptp(study.meshes(mesh).vertices[:, scale.along]))
    off = abs(size - scale.length.nominal)
    beyond = scale.length.above if size > scale.length.nominal else scale.length.below
    allowed = beyond + 2.0 * mesh.tolerance
    band = Band(value=off, low=off, high=off, rss_low=off, rss_high=off)
    status = judge(band, allowed, Sense.AT_MOST, study.layout.judge_by)
    reason = f"the file is {size:.2f} mm along {'xyz'[scale.along]}, measured {scale.length.nominal:g}"
    resting = (scale.length.name,) if scale.length.is_guess else ()
    if status is not Status.MET:
        reason += _slip(scale.length.nominal / size)
    elif resting:
        status = Status.CANNOT_TELL
        reason += "; the measured length is a guess"
    return Finding(
        check=NAME,
        parts=(part.name,),
        build=build,
        status=status,
        rule=RULE,
        band=band,
        unit="mm",
        required=allowed,
        sense=Sense.AT_MOST,
        reason=reason,
        settle_by=f"measure {resting[0]}" if resting else "",
        rests_on_guess=resting,
    )


def _slip(ratio: float) -> str:
    for factor, unit in USUAL_SLIPS:
        if abs(ratio / factor - 1.0) < 0.02:
            return f"; it looks as if the file were drawn in {unit}"
    return ""
