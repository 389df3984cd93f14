"""How a pair of conductors that was looked at is judged: the band of its way, the status, and the reason in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from fitcheck.checks.air_way import air_ways
from fitcheck.checks.held_by import held, names
from fitcheck.checks.pairs import looseness
from fitcheck.checks.potentials import Voltage, guessed, is_known_metal
from fitcheck.checks.rule_sets import RuleSet
from fitcheck.checks.settle import settle_by
from fitcheck.checks.straight_way import Way
from fitcheck.checks.surface_way import Crept
from fitcheck.findings import TOUCH_MM, Band, Finding, Rule, Sense, Status
from fitcheck.model.part import Build, Part, State
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import Electrical
from fitcheck.sources import Source
from fitcheck.standards.insulation import GROOVE_MM, Need
from fitcheck.study import Pair, Study

WEIGHS = ("mass", "inertia", "centre_of_mass", "centre of mass")
"""Values of a part that move no surface."""
NO_AIR_KNOWN = (
    "a straight way this short, and no way through air that is known to be longer: the insulation between is open, may "
    "turn or is too finely cut"
)
NOTHING_TO_CREEP_ON = (
    "a straight way this short, and no way over surfaces that is known to be longer: the insulation is open, may "
    "turn or is too finely cut, or its surfaces do not join as drawn"
)
SEALED = "insulation encloses one of the two: no way through air joins them, and no way over surfaces is known"
STRENGTH = "the electric strength of the insulation, from its data sheet and a test"
BARE = "no surface joins the two as drawn: no insulation is drawn at {who}"
LOOSE = "no surface joins the two as drawn, but what holds {who} is not drawn down to the case"
HOLDS = "clearance decides, if nothing else holds them; what holds each in place has to be drawn"
APART = "no way over surfaces in any build: of all that is drawn no chain of bodies leads from one to the other"
TOO_CLOSE = "the shortest way over surfaces may be too short within tolerance"
TOO_SHORT = "there is a way over surfaces that is too short in every build within tolerance"
LONG_ENOUGH = "every way over surfaces is long enough"
AIR_TOO_CLOSE = "the shortest way through air may be too short within tolerance"
AIR_TOO_SHORT = "there is a way through air that is too short in every build within tolerance"
GAVE_UP = "the search gave up before it was known whether any way is shorter"
MAY_CLOSE = "what it leads past stands so near that it may close, which would make the way longer"
AIR_LONG_ENOUGH = "every way through air around the insulation is long enough"
ENCLOSED = "no way through air: insulation encloses one of them"
STRAIGHT = "measured straight: no way through air or over a surface is shorter"
STANDARD = Source(
    document="IEC 60664-1:2020", verified="read on public pages that quote it; the bought standard decides"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """One pair at one age, its way, and what is asked for (None: no table says).

    `crept` is the way over surfaces, or through `air`, as it was found; `surfaces` whether one was looked for, over all
    `insulation`. `solid` mm of insulation stand on the straight line, None where not known.
    """

    one: Part
    other: Part
    state: State
    voltage: Voltage
    way: Way
    need: Need | None
    surfaces: bool = False
    crept: Crept | None = None
    insulation: tuple[Part, ...] = ()
    air: bool = False
    solid: float | None = None

    @property
    def enclosed(self) -> bool:
        """Whether no way at all joins the two, in any build."""
        return math.isinf(self.way.least)


def is_short(way: Way) -> bool:
    """Contact as drawn, straight or over nothing but metal."""
    straight = way.straight
    if straight.band.value + straight.error <= TOUCH_MM:
        return True
    over_metal = bool(way.over) and all(is_known_metal(part) for part in way.over)
    return over_metal and len(way.steps) == len(way.over) + 1 and way.touches


def finding_of(
    study: Study, build: Build, check: str, electrical: Electrical, rules: RuleSet, looked: Looked
) -> Finding:
    way, need = looked.way, looked.need
    straight = way.straight.band
    low = min(straight.value, straight.low if straight.low < 0.0 else way.least)
    crept = looked.crept
    value = max(way.value, low) if crept is None else crept.value
    high = max(way.high, value) if crept is None else crept.high
    if crept is not None:
        low = min(way.least, value)
        if math.isinf(high):
            high = max(value, 0.0 if need is None else need.mm)  # how long the way may become is not known
    elif looked.enclosed:
        low = straight.low
    elif looked.air and need is not None and way.least >= need.mm:
        value = low = high = way.least  # no way was found, and none is shorter than that
    band = Band(value=value, low=low, high=high, rss_low=low, rss_high=high)
    line = way.line if crept is None else crept.line
    resting = _guesses(study, electrical, looked)
    source = STANDARD if need is None else need.source
    told = "no distance can be read from the tables" if need is None else need.text
    finding = Finding(
        check=check,
        parts=(looked.one.name, looked.other.name),
        build=build,
        state=looked.state,
        status=Status.CANNOT_TELL,
        rule=Rule(
            name=f"{check} for {looked.voltage.volts:g} V, {rules.name}",
            text=f"{looked.voltage.why}; {told}; {rules.decides}",
            source=source,
            rule_set="" if rules.first else rules.name,
        ),
        band=band,
        unit="mm",
        required=None if need is None else need.mm,
        sense=Sense.AT_LEAST,
        points=(line[0], line[-1]) if line else way.straight.points,
        way=line,
        rests_on_guess=resting,
        in_play=way.straight.in_play,
    )
    return _doubted(_judged(study, finding, looked), need)


def _doubted(finding: Finding, need: Need | None) -> Finding:
    """A way that reaches what is asked for is not met where that is not known to be all that has to be asked for."""
    if need is None or not need.doubt or finding.status is Status.NOT_MET:
        return finding
    reason = _joined(need.doubt, finding.reason)
    if finding.status is Status.MET:
        return replace(finding, status=Status.NOT_CHECKED, reason=reason, mend=need.settle)
    settle = _joined(finding.settle_by, need.settle)
    return replace(finding, reason=reason, settle_by=settle)


def _judged(study: Study, finding: Finding, looked: Looked) -> Finding:
    way = looked.way
    said = [_shortened(study, way), _lowered(looked), looseness(way.straight)]
    if is_short(way):
        return replace(finding, status=Status.NOT_MET, reason=_joined("short circuit: they touch", *said))
    assert finding.required is not None and finding.band is not None  # noqa: S101, PT018 (only shorts lack them)
    if looked.enclosed:
        return _enclosed(finding, looked, said)
    if looked.surfaces and finding.band.low < finding.required - TOUCH_MM:
        return _crept_judged(study, finding, looked, said)
    if finding.rests_on_guess:
        return _guessed(finding, said)
    long_enough = AIR_LONG_ENOUGH if looked.air else LONG_ENOUGH if looked.surfaces else STRAIGHT
    return replace(finding, status=Status.MET, reason=_joined(long_enough, *said, _solid(looked)))


def _enclosed(finding: Finding, looked: Looked, said: list[str]) -> Finding:
    """Nothing that a clearance could judge: the insulation itself has to stand the voltage."""
    told = _solid(looked) or "how thick the solid in between is was not judged"
    return replace(finding, status=Status.NOT_CHECKED, reason=_joined(ENCLOSED, told, *said), settle_by=STRENGTH)


def _shortened(study: Study, way: Way) -> str:
    """Over which floating metal, and which gaps beside it count nothing."""
    if not way.over:
        return ""
    over = f"shortened by floating metal: {', '.join(part.name for part in way.over)}"
    electrical = study.layout.sections.electrical
    x = 0.0 if electrical is None else GROOVE_MM[electrical.pollution_degree]
    narrow = [step for step in way.steps if TOUCH_MM < step.band.value < x]
    if not narrow:
        return over
    gaps = ", ".join(f"{step.band.value:.2f} mm" for step in narrow)
    return f"{over}; gaps beside it narrower than {x:g} mm count nothing, and there are such: {gaps}"


def _lowered(looked: Looked) -> str:
    x = None if looked.crept is None else looked.crept.lowered
    return "" if x is None else f"openings narrower than {x:.2f} mm are bridged, a third of the clearance"


def _solid(looked: Looked) -> str:
    return f"{looked.solid:.2f} mm of solid insulation straight in between, not judged" if looked.solid else ""


def _crept_judged(study: Study, finding: Finding, looked: Looked, said: list[str]) -> Finding:
    """A way over surfaces, or through air, that is not long enough in every build."""
    crept, required = looked.crept, finding.required or 0.0
    if crept is None and looked.air:
        return replace(finding, reason=_joined(NO_AIR_KNOWN, *said), settle_by=_settle(study, looked, required))
    if crept is None:
        return _nothing_crept(study, finding, looked, said)
    known = all(is_known_metal(part) for part in looked.way.over)
    if crept.high < required - TOUCH_MM and known and not finding.rests_on_guess:
        too_short = AIR_TOO_SHORT if looked.air else TOO_SHORT
        return replace(finding, status=Status.NOT_MET, reason=_joined(too_short, *said))
    settle = "" if known else "say what the floating parts are made of"
    if looked.air and known and crept.value >= required:
        settle = _settle(study, looked, required)
    shut = MAY_CLOSE if math.isinf(crept.high) else ""
    too_close = AIR_TOO_CLOSE if looked.air else TOO_CLOSE
    gave_up = GAVE_UP if crept.gave_up else ""
    return replace(finding, reason=_joined(too_close, gave_up, shut, *said), settle_by=settle)


def _nothing_crept(study: Study, finding: Finding, looked: Looked, said: list[str]) -> Finding:
    """No way over surfaces is known: there is none, what it would run over is not drawn, or it cannot be worked out."""
    settle = "a drawing of the insulation in between, worked out by hand, or more distance"
    found = held(study, Build(finding.build), looked.state, (looked.one, looked.other))
    if found is None or not (found.bare or found.apart):
        if _is_sealed(study, finding, looked):
            return replace(finding, reason=_joined(SEALED, *said), settle_by=STRENGTH)
        return replace(finding, reason=_joined(NOTHING_TO_CREEP_ON, *said), settle_by=settle)
    if found.bare or found.loose:
        told = BARE.format(who=names(found.bare)) if found.bare else LOOSE.format(who=names(found.loose))
        settle = f"draw what holds {names(found.bare or found.loose)} in place, or more distance"
        return replace(finding, reason=_joined(told, HOLDS, *said), settle_by=settle)
    if finding.rests_on_guess:
        return _guessed(finding, said)
    none_shorter = finding.required or 0.0
    band = Band(value=none_shorter, low=none_shorter, high=none_shorter, rss_low=none_shorter, rss_high=none_shorter)
    return replace(finding, status=Status.MET, band=band, reason=_joined(APART, *said))


def _is_sealed(study: Study, finding: Finding, looked: Looked) -> bool:
    """Whether no way through air joins the two in any build."""
    electrical = study.layout.sections.electrical
    if electrical is None:
        return False
    air = air_ways(study, Build(finding.build), looked.state, electrical)
    return math.isinf(air.way(looked.one, looked.other, finding.required or 0.0).least)


def _guessed(finding: Finding, said: list[str]) -> Finding:
    guess = f"rests on a guess: {', '.join(finding.rests_on_guess)}"
    return replace(finding, reason=_joined(guess, *said), settle_by=f"measure {finding.rests_on_guess[0]}")


def _settle(study: Study, looked: Looked, required: float) -> str:
    """Where the drawn straight way is long enough, the value that would settle it; else what to do."""
    straight = looked.way.straight
    if not looked.way.over and straight.band.value >= required:
        pair = Pair(one=looked.one, other=looked.other, rule=None)
        part_pair = study.part_pair(pair, looked.state, with_contacts=False)
        return settle_by(
            lambda widths: part_pair.measure(widths).band,
            study.widths,
            straight.values,
            study.layout.quantities,
            required,
            Sense.AT_LEAST,
            "worst case",
        )
    if looked.way.over:
        return "a drawing of what lies between, worked out by hand; or say what the floating parts are made of"
    return "a drawing of the insulation in between, worked out by hand, or more distance"


def _guesses(study: Study, electrical: Electrical, looked: Looked) -> tuple[str, ...]:
    quantities = study.layout.quantities
    names = [name for measure in (looked.way.straight, *looked.way.steps) for name in measure.values]
    if looked.state is State.END:
        parts = (looked.one, looked.other, *looked.way.over)
        names += [share.name for part in parts for _, share in part.grows if share.is_guess]
    if looked.surfaces:
        names += _sizes_of((looked.one, looked.other, *looked.way.over, *looked.insulation), quantities)
    resting = [name for name in names if name in quantities and quantities[name].is_guess]
    return tuple(dict.fromkeys([*resting, *guessed(electrical)]))


def _sizes_of(parts: Iterable[Part], quantities: Mapping[str, Quantity]) -> list[str]:
    """All values that size or place parts: a way over them may rest on any."""
    owned = [(f"{part.name}.", tuple(f"{part.name}.{word}" for word in WEIGHS)) for part in parts]
    return [
        name for name in quantities if any(name.startswith(one) and not name.startswith(other) for one, other in owned)
    ]


def _joined(*said: str) -> str:
    return "; ".join(filter(None, said))
