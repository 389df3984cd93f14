"""Containment: does every module stand inside the case, seen from above?

What it checks
    Each module of a build against each enclosure: the module's plan must lie inside the enclosure's.

Why it matters
    A module beside the case touches nothing and keeps every gap. A slip in one coordinate would pass unseen.

How it is measured
    The least of the four margins between the module's bounding plan and the enclosure's: the hollow of a tray, and of
    any other enclosure the outer bounding plan (walls are then the gap's and the overlap's business). The band follows
    the toleranced values. With several enclosures, the one the module is best inside of counts.

Example
    A module 410 long placed at x = 950 in a hollow 1310 long ends 50 outside: not met, margin -50.

How to mend
    Move the module inside, or give the enclosure its real size.

Source
    Common practice, no source.
"""

from __future__ import annotations

from fitcheck.findings import Band, Finding, Point, Rule, Sense, judge
from fitcheck.model.part import Build, Feature, Part, State
from fitcheck.model.shape import Tray
from fitcheck.placing.forms import Form, fall, rise, root_sum_square
from fitcheck.sources import PRACTICE
from fitcheck.study import Study

NAME = "containment"
RULE = Rule(name="inside the case", text="a module's plan lies inside the enclosure", source=PRACTICE)


def check(study: Study, build: Build) -> list[Finding]:
    """One finding per module and age, if the build has an enclosure."""
    enclosures = [part for part in study.layout.in_build(build) if part.role == "enclosure"]
    modules = [part for part in study.layout.in_build(build) if part.role == "module"]
    if not enclosures:
        return []
    return [
        max(
            (_finding(study, build, state, module, case) for case in enclosures),
            key=lambda finding: finding.band.value if finding.band else 0.0,
        )
        for module in modules
        for state in (study.states if module.grows else (State.BEGINNING,))
    ]


def _finding(study: Study, build: Build, state: State, module: Part, case: Part) -> Finding:
    chain = study.chain(state)
    is_tray = isinstance(case.shape, Tray)
    ends = (Feature.INSIDE_LOW, Feature.INSIDE_HIGH) if is_tray else (Feature.LOW, Feature.HIGH)
    up, _ = study.layout.up
    sides: list[tuple[Form, int, bool]] = []
    for axis in (axis for axis in range(3) if axis != up):
        sides.append((chain.low(module, axis) - chain.plane(case, axis, ends[0]), axis, False))
        sides.append((chain.plane(case, axis, ends[1]) - chain.high(module, axis), axis, True))
    widths = study.widths
    form, axis, at_high = min(sides, key=lambda side: side[0].nominal)
    # An uncertain turn reaches no farther than the outermost box, which every bound below takes off.
    swing = study.swing(state, module) + study.swing(state, case)
    band = Band(
        value=form.nominal,
        low=min(side.low(widths) for side, _, _ in sides) - swing,
        high=min(side.high(widths) for side, _, _ in sides) + swing,
        rss_low=min(
            side.nominal - root_sum_square(fall(share, widths[name]) for name, share in side.terms.items())
            for side, _, _ in sides
        )
        - swing,
        rss_high=min(
            side.nominal + root_sum_square(rise(share, widths[name]) for name, share in side.terms.items())
            for side, _, _ in sides
        )
        + swing,
    )
    on_module, on_case = (
        [(chain.low(module, k).nominal + chain.high(module, k).nominal) / 2 for k in range(3)],
        [0.0] * 3,
    )
    on_module[axis] = (chain.high(module, axis) if at_high else chain.low(module, axis)).nominal
    on_case[:] = on_module
    on_case[axis] = chain.plane(case, axis, ends[at_high]).nominal
    status = judge(band, 0.0, Sense.AT_LEAST, study.layout.judge_by)
    return Finding(
        check=NAME,
        parts=(module.name, case.name),
        build=build,
        state=state,
        status=status,
        rule=RULE,
        band=band,
        unit="mm",
        required=0.0,
        points=(_point(on_module), _point(on_case)),
        reason="" if is_tray else "against the enclosure's outer bounding plan: it is not a tray",
    )


def _point(values: list[float]) -> Point:
    return (values[0], values[1], values[2])
