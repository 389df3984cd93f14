"""How the pairs of conductors at different potential are chosen and judged: shared by clearance and creepage."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from fitcheck.checks.pairs import looseness
from fitcheck.checks.potentials import (
    Kind,
    Voltage,
    guessed,
    is_known_metal,
    kind_of,
    live_parts,
    voltage_between,
    worst_group,
)
from fitcheck.checks.settle import settle_by
from fitcheck.checks.straight_way import Way, Ways, ways
from fitcheck.checks.surface_way import Crept, surface_ways
from fitcheck.errors import OutsideTable
from fitcheck.findings import TOUCH_MM, Band, Finding, Rule, Sense, Status
from fitcheck.model.part import Build, Part, State
from fitcheck.model.sections import Electrical
from fitcheck.sources import Source
from fitcheck.standards.insulation import BOUGHT_STANDARD, MATERIAL_GROUPS, Need, rated_impulse
from fitcheck.study import Pair, Study

Asks = Callable[[float, str], Need]
"""What a voltage (V) and a material group ask for; OutsideTable where no table says."""

NO_IMPULSE = "no impulse voltage is stated, and no overvoltage category with a supply"
STATE_IMPULSE = "state under electrical impulse: 2.5 kV, or overvoltage_category and supply"
NEEDS_INSULATION = (
    "a straight way this short needs insulation or a barrier in between; the way around it is not worked out in this "
    "version"
)
NOTHING_TO_CREEP_ON = (
    "a straight way this short, and no way over surfaces that is known to be longer: the insulation between is not "
    "drawn, is open, may turn or is too finely cut"
)
TOO_CLOSE = "the shortest way over surfaces may be too short within tolerance"
TOO_SHORT = "there is a way over surfaces that is too short in every build within tolerance"
LONG_ENOUGH = "every way over surfaces is long enough"
STRAIGHT = "measured straight: no way through air or over a surface is shorter"
STANDARD = Source(
    document="IEC 60664-1:2020", verified="read on public pages that quote it; the bought standard decides"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """One pair at one age, its way, and what is asked for (None: no table says).

    `crept` is the way over surfaces as it was found; `surfaces` whether one was looked for.
    """

    one: Part
    other: Part
    state: State
    voltage: Voltage
    way: Way
    need: Need | None
    surfaces: bool = False
    crept: Crept | None = None


def impulse_kv(electrical: Electrical) -> float:
    """The largest impulse as stated, or by overvoltage category and supply; OutsideTable when neither is stated."""
    if electrical.impulse_kv is not None:
        return electrical.impulse_kv.high
    if electrical.overvoltage_category is None or electrical.supply_v is None:
        raise OutsideTable(NO_IMPULSE)
    return rated_impulse(electrical.supply_v.high, electrical.overvoltage_category).kv


def findings_of(study: Study, build: Build, check: str, asks: Asks, *, over_surfaces: bool = False) -> list[Finding]:
    """One finding for each pair near enough to its requirement, and one for each thing that keeps pairs unchecked."""
    electrical = study.layout.sections.electrical
    if electrical is None:
        return []
    live = live_parts(study.layout, build)
    if not live:
        return [
            not_checked(build, check, (), "no part of this build carries a potential", "give live parts a potential")
        ]
    refused: dict[str, None] = {}
    looked_at = _looked_at(study, build, electrical, live, asks, refused)
    if over_surfaces:
        looked_at = (_over_surfaces(study, build, electrical, looked) for looked in looked_at)
    found = [_finding(study, build, check, electrical, looked) for looked in looked_at]
    mend = {NO_IMPULSE: STATE_IMPULSE}
    names = tuple(part.name for part in live)
    return [*found, *(not_checked(build, check, names, reason, mend.get(reason, "")) for reason in refused)]


def not_checked(build: Build, check: str, parts: tuple[str, ...], reason: str, mend: str) -> Finding:
    return Finding(
        check=check,
        parts=parts,
        build=build,
        status=Status.NOT_CHECKED,
        rule=Rule(name=check, text="asked for by the potentials under electrical", source=STANDARD),
        reason=reason,
        mend=mend,
    )


def _looked_at(
    study: Study,
    build: Build,
    electrical: Electrical,
    live: list[Part],
    asks: Asks,
    refused: dict[str, None],
) -> Iterator[Looked]:
    """Near pairs in file order; `refused` gathers why no table speaks of a voltage."""
    targets = [part for part in study.layout.in_build(build) if kind_of(electrical, part) in (Kind.LIVE, Kind.BONDED)]
    ranks = {part.name: rank for rank, part in enumerate(targets)}
    for one in live:
        for other in targets:
            if other.potential is not None and ranks[other.name] <= ranks[one.name]:
                continue
            voltage = voltage_between(electrical, one, other)
            if voltage is None:
                continue
            need = _need(asks, voltage.volts, MATERIAL_GROUPS[-1], refused)
            first, second = sorted((one, other), key=lambda part: ranks[part.name])
            yield from _ages(study, build, electrical, (first, second), voltage, need, asks)


def _need(asks: Asks, volts: float, group: str, refused: dict[str, None]) -> Need | None:
    try:
        return asks(volts, group)
    except OutsideTable as error:
        refused[str(error)] = None
        return None


def _ages(
    study: Study,
    build: Build,
    electrical: Electrical,
    pair: tuple[Part, Part],
    voltage: Voltage,
    need: Need | None,
    asks: Asks,
) -> Iterator[Looked]:
    """The pair at each age, the later one only where it differs."""
    one, other = pair
    seen: list[tuple[float, Band]] = []
    for state in study.states:
        all_ways = ways(study, build, state, electrical)
        way = _way(all_ways, one, other, need, study.layout.list_within)
        if way is None or (way.least, way.straight.band) in seen:
            continue
        seen.append((way.least, way.straight.band))
        group = MATERIAL_GROUPS[-1]
        if need is not None:
            group = worst_group(all_ways.insulation_near(one, other, need.mm))
        final = None if need is None else asks(voltage.volts, group)
        yield Looked(one=one, other=other, state=state, voltage=voltage, way=way, need=final)


def _over_surfaces(study: Study, build: Build, electrical: Electrical, looked: Looked) -> Looked:
    """The same with the way over surfaces, where the straight one is too short to do without."""
    need, state = looked.need, looked.state
    if need is None or looked.way.least >= need.mm - TOUCH_MM or _is_short(looked.way):
        return looked
    over = surface_ways(study, build, state, electrical)
    way = over.way(looked.one, looked.other, need.mm)
    return replace(looked, way=way, surfaces=True, crept=over.crept(looked.one, looked.other, way))


def _way(all_ways: Ways, one: Part, other: Part, need: Need | None, list_within: float) -> Way | None:
    """None for a pair beyond its requirement and what the layout lists; without a requirement, for any not touching."""
    limit = 0.0 if need is None else need.mm + list_within
    if all_ways.reach(one, limit).get(other.name) is None:
        return None
    way = all_ways.way(one, other, limit)
    if way.least > limit or (need is None and not _is_short(way)):
        return None
    return way


def _is_short(way: Way) -> bool:
    """Contact as drawn, straight or over nothing but metal."""
    straight = way.straight
    if straight.band.value + straight.error <= TOUCH_MM:
        return True
    over_metal = bool(way.over) and all(is_known_metal(part) for part in way.over)
    return over_metal and len(way.steps) == len(way.over) + 1 and way.touches


def _finding(study: Study, build: Build, check: str, electrical: Electrical, looked: Looked) -> Finding:
    way, need = looked.way, looked.need
    straight = way.straight.band
    low = min(straight.value, straight.low if straight.low < 0.0 else way.least)
    crept = looked.crept
    value, high = (straight.value, straight.high) if crept is None else (crept.value, crept.high)
    if crept is not None:
        low = min(way.least, value)
    band = Band(value=value, low=low, high=high, rss_low=low, rss_high=high)
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
            name=f"{check} for {looked.voltage.volts:g} V, {electrical.insulation} insulation",
            text=f"{looked.voltage.why}; {told}; {BOUGHT_STANDARD}",
            source=source,
        ),
        band=band,
        unit="mm",
        required=None if need is None else need.mm,
        sense=Sense.AT_LEAST,
        points=way.straight.points if crept is None else (crept.line[0], crept.line[-1]),
        way=() if crept is None else crept.line,
        rests_on_guess=resting,
    )
    return _judged(study, finding, looked)


def _judged(study: Study, finding: Finding, looked: Looked) -> Finding:
    way = looked.way
    over = f"shortened by floating metal: {', '.join(part.name for part in way.over)}" if way.over else ""
    said = [over, looseness(way.straight)]
    if _is_short(way):
        return replace(finding, status=Status.NOT_MET, reason=_joined("short circuit: they touch", *said))
    assert finding.required is not None and finding.band is not None  # noqa: S101, PT018 (only shorts lack them)
    if looked.surfaces and finding.band.low < finding.required - TOUCH_MM:
        return _crept_judged(finding, looked, said)
    if finding.band.low < finding.required - TOUCH_MM:
        settle = _settle(study, looked, finding.required)
        return replace(finding, reason=_joined(NEEDS_INSULATION, *said), settle_by=settle)
    if finding.rests_on_guess:
        guess = f"rests on a guess: {', '.join(finding.rests_on_guess)}"
        return replace(finding, reason=_joined(guess, *said), settle_by=f"measure {finding.rests_on_guess[0]}")
    return replace(finding, status=Status.MET, reason=_joined(LONG_ENOUGH if looked.surfaces else STRAIGHT, *said))


def _crept_judged(finding: Finding, looked: Looked, said: list[str]) -> Finding:
    """A way over surfaces that is not long enough in every build."""
    crept = looked.crept
    if crept is None:
        settle = "a drawing of the insulation in between, worked out by hand, or more distance"
        return replace(finding, reason=_joined(NOTHING_TO_CREEP_ON, *said), settle_by=settle)
    known = all(is_known_metal(part) for part in looked.way.over)
    if crept.high < (finding.required or 0.0) - TOUCH_MM and known and not finding.rests_on_guess:
        return replace(finding, status=Status.NOT_MET, reason=_joined(TOO_SHORT, *said))
    settle = "" if known else "say what the floating parts are made of"
    return replace(finding, reason=_joined(TOO_CLOSE, *said), settle_by=settle)


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
    resting = [name for name in names if name in quantities and quantities[name].is_guess]
    return tuple(dict.fromkeys([*resting, *guessed(electrical)]))


def _joined(*said: str) -> str:
    return "; ".join(filter(None, said))
