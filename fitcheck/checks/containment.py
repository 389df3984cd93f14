"""Containment: does every module stand inside the case, seen from above?

What it checks
    Each module of a build against each enclosure: the module's plan must lie inside the enclosure's.

Why it matters
    A module beside the case touches nothing and keeps every gap. A slip in one coordinate would pass unseen.

How it is measured
    The least of the four margins between the module's bounding plan and the enclosure's: the hollow of a tray, and of
    any other enclosure the outer bounding plan (walls are then the gap's and the overlap's business). The band follows
    the toleranced values; a module with play counts where it reaches farthest, and the finding says where that is. With
    several enclosures, the one the module is best inside of counts.

Example
    A module 410 long placed at x = 950 in a hollow 1310 long ends 50 outside: not met, margin -50.

How to mend
    Move the module inside, or give the enclosure its real size.

Source
    Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from fitcheck.checks.concede import concede
from fitcheck.checks.pairs import states_of
from fitcheck.checks.settle import settle_by
from fitcheck.findings import TOUCH_MM, Band, Finding, Point, Rule, Sense, Status, judge
from fitcheck.model.part import Build, Feature, Part, State
from fitcheck.model.shape import Tray
from fitcheck.placing.chain import Chain
from fitcheck.placing.forms import Form, Widths, fall, rise, root_sum_square
from fitcheck.placing.outermost import surface_off
from fitcheck.placing.pair import Shift
from fitcheck.placing.play import ENDS, moves_of, reach_of, words_for
from fitcheck.placing.turns import travels
from fitcheck.sources import PRACTICE
from fitcheck.study import Pair, Study

NAME = "containment"
RULE = Rule(name="inside the case", text="a module's plan lies inside the enclosure", source=PRACTICE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """How far a module's face stands inside the enclosure's along one axis."""

    form: Form
    axis: int
    module_face: Feature
    case_face: Feature

    def shift(self, module: Part, case: Part) -> Shift:
        """How far the module can go toward this face against the case, both in their play, as it is stated."""
        reach = reach_of(case, module, ENDS["usual"])
        far = reach.low if self.module_face is Feature.LOW else reach.high
        x, y, z = (by if axis == self.axis else 0.0 for axis, by in enumerate(far))
        return x, y, z

    def usual(self, module: Part, case: Part) -> float:
        """The margin as drawn, less that."""
        return self.form.nominal - abs(self.shift(module, case)[self.axis])


def check(study: Study, build: Build) -> list[Finding]:
    """One finding per module and age, if the build has an enclosure."""
    enclosures = [part for part in study.layout.in_build(build) if part.role == "enclosure"]
    modules = [part for part in study.layout.in_build(build) if part.role == "module"]
    found = []
    for module in modules if enclosures else []:
        ages = {state for case in enclosures for state in states_of(study, Pair(one=module, other=case, rule=None))}
        for state in (age for age in State if age in ages):
            best = max(enclosures, key=lambda case: _band(study, state, module, case, study.widths).value)
            found.append(concede(study, _finding(study, build, state, module, best)))
    return found


def _margins(chain: Chain, module: Part, case: Part) -> list[Margin]:
    ends = (Feature.LOW, Feature.HIGH)
    if isinstance(case.shape, Tray):
        ends = (Feature.INSIDE_LOW, Feature.INSIDE_HIGH)
    up, _ = chain.layout.up
    found = []
    for axis in (axis for axis in range(3) if axis != up):
        low = chain.low(module, axis) - chain.plane(case, axis, ends[0])
        high = chain.plane(case, axis, ends[1]) - chain.high(module, axis)
        found.append(Margin(form=low, axis=axis, module_face=Feature.LOW, case_face=ends[0]))
        found.append(Margin(form=high, axis=axis, module_face=Feature.HIGH, case_face=ends[1]))
    return found


def _band(study: Study, state: State, module: Part, case: Part, widths: Widths) -> Band:
    chain = study.chain(state).swept(widths)
    margins = _margins(chain, module, case)
    forms = [margin.form for margin in margins]
    held = {**widths, **chain.extra.helpers}  # the forms have made their helper values by now

    # A mesh's surface may lie off by its tolerance.
    skin = surface_off(chain, module) + surface_off(chain, case)

    plays = {play.free.name: play for play in (*module.play, *case.play)}
    still = {**held, **dict.fromkeys(plays, (0.0, 0.0))}

    def moved(form: Form, ends: str) -> float:
        """The margin where the play, as far as it goes, leaves least of it."""
        lost = (fall(share, getattr(plays[name], ends)) for name, share in form.terms.items() if name in plays)
        return form.nominal + sum(lost)

    def fallen(form: Form) -> float:
        return moved(form, "most") - root_sum_square(fall(share, still[name]) for name, share in form.terms.items())

    def risen(form: Form) -> float:
        return moved(form, "sure") + root_sum_square(rise(share, still[name]) for name, share in form.terms.items())

    return Band(
        value=min(margin.usual(module, case) for margin in margins),
        low=min(form.low(held) for form in forms) - skin,
        high=min(form.high(still) - form.nominal + moved(form, "sure") for form in forms) + skin,
        rss_low=min(fallen(form) for form in forms) - skin,
        rss_high=min(risen(form) for form in forms) + skin,
    )


def _finding(study: Study, build: Build, state: State, module: Part, case: Part) -> Finding:
    layout = study.layout
    band = _band(study, state, module, case, study.widths)
    margins = _margins(study.chain(state), module, case)
    turning = {angle.name for part in (module, case) for angle, _ in travels(study.chain(state), part)}
    names = sorted({*turning, *(name for margin in margins for name in margin.form.terms if name in layout.quantities)})
    resting = tuple(name for name in names if layout.quantities[name].is_guess)
    status = judge(band, 0.0, Sense.AT_LEAST, layout.judge_by)
    settle = ""
    reasons = [] if isinstance(case.shape, Tray) else ["against the enclosure's outer bounding plan: it is not a tray"]
    if status is Status.CANNOT_TELL:
        settle = settle_by(
            lambda widths: _band(study, state, module, case, widths),
            study.widths,
            names,
            layout.quantities,
            0.0,
            Sense.AT_LEAST,
            layout.judge_by,
        )
    elif status is Status.MET and resting:
        status, settle = Status.CANNOT_TELL, f"measure {resting[0]}"
        reasons.append(f"rests on a guess: {', '.join(resting)}")
    tightest = min(margins, key=lambda margin: margin.usual(module, case))
    where = words_for(case, module, tightest.shift(module, case), abs(band.value) <= TOUCH_MM)
    reasons.append(where)
    return replace(
        Finding(check=NAME, parts=(module.name, case.name), build=build, state=state, status=status, rule=RULE),
        band=band,
        unit="mm",
        required=0.0,
        points=_points(study, state, module, case, tightest),
        in_play=bool(where),
        reason="; ".join(filter(None, reasons)),
        settle_by=settle,
        rests_on_guess=resting,
    )


def _points(study: Study, state: State, module: Part, case: Part, margin: Margin) -> tuple[Point, Point]:
    """Where the two faces stand, moved in their play."""
    chain = study.chain(state)
    moves = moves_of(case, module, margin.shift(module, case), ENDS["usual"])
    on_module = [chain.plane(module, k, Feature.MIDDLE).nominal for k in range(3)]
    on_case = list(on_module)
    on_case[margin.axis] = chain.plane(case, margin.axis, margin.case_face).nominal + moves[0][margin.axis]
    on_module[margin.axis] = chain.plane(module, margin.axis, margin.module_face).nominal + moves[1][margin.axis]
    return (on_module[0], on_module[1], on_module[2]), (on_case[0], on_case[1], on_case[2])
