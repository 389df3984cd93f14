"""How the pairs of conductors at different potential are chosen and judged: shared by clearance and creepage."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from fitcheck.checks.air_way import air_ways
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
from fitcheck.checks.rule_sets import Asks, RuleSet
from fitcheck.checks.settle import settle_by
from fitcheck.checks.straight_way import Way, Ways, ways
from fitcheck.checks.surface_way import Crept, SurfaceWays, surface_ways
from fitcheck.errors import OutsideTable
from fitcheck.findings import TOUCH_MM, Band, Finding, Rule, Sense, Status
from fitcheck.model.part import Build, Part, State
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import Electrical
from fitcheck.sources import Source
from fitcheck.standards.insulation import MATERIAL_GROUPS, Need, rated_impulse
from fitcheck.study import Pair, Study

WEIGHS = ("mass", "inertia", "centre_of_mass", "centre of mass")
"""Values of a part that move no surface."""
NO_IMPULSE = "no impulse voltage is stated, and no overvoltage category with a supply"
STATE_IMPULSE = "state under electrical impulse: 2.5 kV, or overvoltage_category and supply"
NO_AIR_KNOWN = (
    "a straight way this short, and no way through air that is known to be longer: the insulation between is open, may "
    "turn or is too finely cut"
)
NOTHING_TO_CREEP_ON = (
    "a straight way this short, and no way over surfaces that is known to be longer: the insulation between is not "
    "drawn, is open, may turn or is too finely cut"
)
TOO_CLOSE = "the shortest way over surfaces may be too short within tolerance"
TOO_SHORT = "there is a way over surfaces that is too short in every build within tolerance"
LONG_ENOUGH = "every way over surfaces is long enough"
AIR_TOO_CLOSE = "the shortest way through air may be too short within tolerance"
AIR_TOO_SHORT = "there is a way through air that is too short in every build within tolerance"
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


def impulse_kv(electrical: Electrical) -> float:
    """The largest impulse as stated, or by overvoltage category and supply; OutsideTable when neither is stated."""
    if electrical.impulse_kv is not None:
        return electrical.impulse_kv.high
    if electrical.overvoltage_category is None or electrical.supply_v is None:
        raise OutsideTable(NO_IMPULSE)
    return rated_impulse(electrical.supply_v.high, electrical.overvoltage_category).kv


def findings_of(
    study: Study, build: Build, check: str, rules: RuleSet, *, over_surfaces: bool = False, through_air: bool = False
) -> list[Finding]:
    """One finding for each pair that the rule set speaks of and that is near enough to its requirement, and one for
    each thing that keeps pairs unchecked."""
    electrical = study.layout.sections.electrical
    if electrical is None:
        return []
    live = live_parts(study.layout, build)
    if not live and not rules.first:
        return []
    if not live:
        return [
            not_checked(build, check, (), "no part of this build carries a potential", "give live parts a potential")
        ]
    refused: dict[str, None] = {}
    looked_at = _looked_at(study, build, electrical, live, rules, refused)
    if over_surfaces:
        looked_at = (_over_surfaces(study, build, electrical, looked) for looked in looked_at)
    if through_air:
        looked_at = (_through_air(study, build, electrical, looked) for looked in looked_at)
    found = [_finding(study, build, check, electrical, rules, looked) for looked in looked_at]
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
    rules: RuleSet,
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
            if voltage is None or not rules.speaks(one, other):
                continue
            need = _need(rules.asks, voltage.volts, MATERIAL_GROUPS[-1], refused)
            first, second = sorted((one, other), key=lambda part: ranks[part.name])
            yield from _ages(study, build, electrical, (first, second), voltage, need, rules.asks)


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
    drawn = over.crept(looked.one, looked.other, way)
    crept = _where_nearest(study, build, electrical, looked, drawn, surface_ways)
    return replace(looked, way=way, surfaces=True, crept=crept, insulation=tuple(over.insulation))


def _through_air(study: Study, build: Build, electrical: Electrical, looked: Looked) -> Looked:
    """The same with the way through air around insulation, where the straight one is too short to do without."""
    need, state = looked.need, looked.state
    if need is None or looked.way.least >= need.mm - TOUCH_MM or _is_short(looked.way):
        return looked
    air = air_ways(study, build, state, electrical)
    way = air.way(looked.one, looked.other, need.mm)
    drawn = air.crept(looked.one, looked.other, way)
    crept = _where_nearest(study, build, electrical, looked, drawn, air_ways)
    solid = None if way.over else air.solid_between(way)
    around = tuple(air.insulation)
    return replace(looked, way=way, surfaces=True, air=True, crept=crept, insulation=around, solid=solid)


def _where_nearest(
    study: Study,
    build: Build,
    electrical: Electrical,
    looked: Looked,
    drawn: Crept | None,
    ways_of: Callable[[Study, Build, State, Electrical], SurfaceWays],
) -> Crept | None:
    """The way as drawn, or where the two stand nearest in their play if it is shorter there."""
    moves = dict(zip((looked.one.name, looked.other.name), looked.way.straight.moves, strict=True))
    if looked.need is None or not any(map(any, moves.values())):
        return drawn
    held = study.held(moves)
    over = ways_of(held, build, looked.state, electrical)
    one, other = (held.layout.by_name[name] for name in moves)
    crept = over.crept(one, other, over.way(one, other, looked.need.mm))
    return min((each for each in (drawn, crept) if each is not None), key=lambda each: each.high, default=None)


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


def _finding(study: Study, build: Build, check: str, electrical: Electrical, rules: RuleSet, looked: Looked) -> Finding:
    way, need = looked.way, looked.need
    straight = way.straight.band
    low = min(straight.value, straight.low if straight.low < 0.0 else way.least)
    crept = looked.crept
    value, high = (straight.value, straight.high) if crept is None else (crept.value, crept.high)
    if crept is not None:
        low = min(way.least, value)
        if math.isinf(high):
            high = max(value, 0.0 if need is None else need.mm)  # how long the way may become is not known
    elif looked.enclosed:
        low = straight.low
    elif looked.air and need is not None and way.least >= need.mm:
        value = low = high = way.least  # no way was found, and none is shorter than that
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
            name=f"{check} for {looked.voltage.volts:g} V, {rules.name}",
            text=f"{looked.voltage.why}; {told}; {rules.decides}",
            source=source,
            rule_set="" if rules.first else rules.name,
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
    if looked.enclosed:
        return _enclosed(finding, looked, said)
    if looked.surfaces and finding.band.low < finding.required - TOUCH_MM:
        return _crept_judged(study, finding, looked, said)
    if finding.rests_on_guess:
        guess = f"rests on a guess: {', '.join(finding.rests_on_guess)}"
        return replace(finding, reason=_joined(guess, *said), settle_by=f"measure {finding.rests_on_guess[0]}")
    long_enough = AIR_LONG_ENOUGH if looked.air else LONG_ENOUGH if looked.surfaces else STRAIGHT
    return replace(finding, status=Status.MET, reason=_joined(long_enough, *said, _solid(looked)))


def _enclosed(finding: Finding, looked: Looked, said: list[str]) -> Finding:
    """Nothing that a clearance could judge: the insulation itself has to stand the voltage."""
    settle = "the electric strength of the insulation, from its data sheet and a test"
    told = _solid(looked) or "how thick the solid in between is was not judged"
    return replace(finding, status=Status.NOT_CHECKED, reason=_joined(ENCLOSED, told, *said), settle_by=settle)


def _solid(looked: Looked) -> str:
    return f"{looked.solid:.2f} mm of solid insulation straight in between, not judged" if looked.solid else ""


def _crept_judged(study: Study, finding: Finding, looked: Looked, said: list[str]) -> Finding:
    """A way over surfaces, or through air, that is not long enough in every build."""
    crept, required = looked.crept, finding.required or 0.0
    if crept is None:
        settle = "a drawing of the insulation in between, worked out by hand, or more distance"
        if looked.air:
            settle = _settle(study, looked, required)
        unknown = NO_AIR_KNOWN if looked.air else NOTHING_TO_CREEP_ON
        return replace(finding, reason=_joined(unknown, *said), settle_by=settle)
    known = all(is_known_metal(part) for part in looked.way.over)
    if crept.high < required - TOUCH_MM and known and not finding.rests_on_guess:
        too_short = AIR_TOO_SHORT if looked.air else TOO_SHORT
        return replace(finding, status=Status.NOT_MET, reason=_joined(too_short, *said))
    settle = "" if known else "say what the floating parts are made of"
    if looked.air and known and crept.value >= required:
        settle = _settle(study, looked, required)
    shut = MAY_CLOSE if math.isinf(crept.high) else ""
    too_close = AIR_TOO_CLOSE if looked.air else TOO_CLOSE
    return replace(finding, reason=_joined(too_close, shut, *said), settle_by=settle)


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
