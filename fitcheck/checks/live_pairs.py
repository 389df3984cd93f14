"""How the pairs of conductors at different potential are chosen and measured: shared by clearance and creepage."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from fitcheck.checks.air_way import air_ways
from fitcheck.checks.asked import NO_IMPULSE, STATE_IMPULSE
from fitcheck.checks.live_judged import STANDARD, Looked, finding_of, is_short
from fitcheck.checks.potentials import (
    STATE_VOLTAGE,
    Kind,
    Voltage,
    kind_of,
    live_parts,
    no_voltage,
    voltage_between,
    without_voltage,
    worst_group,
)
from fitcheck.checks.rule_sets import Asks, RuleSet
from fitcheck.checks.straight_way import Way, Ways, ways
from fitcheck.checks.surface_way import Crept, SurfaceWays, surface_ways
from fitcheck.errors import OutsideTable
from fitcheck.findings import TOUCH_MM, Band, Finding, Rule, Status
from fitcheck.model.part import Build, Part, State
from fitcheck.model.sections import Electrical
from fitcheck.standards.insulation import Need
from fitcheck.study import Study

NO_GROUP = "III"
"""Asks for as much as any group does: where no insulation is near, none can be the wrong one."""


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
    found = _unlike(finding_of(study, build, check, electrical, rules, looked) for looked in looked_at)
    mend = {NO_IMPULSE: STATE_IMPULSE}
    names = tuple(part.name for part in live)
    unknown = _without_voltage(build, check, electrical, live) if rules.first else []
    return [*unknown, *found, *(not_checked(build, check, names, reason, mend.get(reason, "")) for reason in refused)]


def _without_voltage(build: Build, check: str, electrical: Electrical, live: list[Part]) -> list[Finding]:
    """One finding for each circuit whose potentials are all the same: nobody said what stands between its ends."""
    return [
        not_checked(build, check, tuple(part.name for part in parts), no_voltage(circuit), STATE_VOLTAGE)
        for circuit, parts in without_voltage(electrical, live).items()
    ]


def _unlike(found: Iterable[Finding]) -> list[Finding]:
    """A later age only where it says something else than the earlier one."""
    kept: dict[object, Finding] = {}
    for one in found:
        kept.setdefault((one.parts, one.status, one.band, one.required, one.way, one.reason), one)
    return list(kept.values())


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
            need = _need(rules.asks, voltage.volts, NO_GROUP, refused)
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
    """The pair at each age, the later one only where it differs, or where insulation, which may grow, is looked at."""
    one, other = pair
    seen: list[tuple[float, Band, Need | None]] = []
    for state in study.states:
        all_ways = ways(study, build, state, electrical)
        way = _way(all_ways, one, other, need, study.layout.list_within)
        if way is None:
            continue
        near = [] if need is None else all_ways.insulation_near(one, other, need.mm)
        final = None if need is None else asks(voltage.volts, worst_group(near) if near else NO_GROUP)
        words = (way.least, way.straight.band, final)
        if not _is_settled(way, final) or words not in seen:
            yield Looked(one=one, other=other, state=state, voltage=voltage, way=way, need=final)
        seen.append(words)


def _over_surfaces(study: Study, build: Build, electrical: Electrical, looked: Looked) -> Looked:
    """The same with the way over surfaces, where the straight one is too short to do without."""
    need, state = looked.need, looked.state
    if need is None or _is_settled(looked.way, need):
        return looked
    over = surface_ways(study, build, state, electrical)
    way = over.way(looked.one, looked.other, need.mm)
    drawn = over.crept(looked.one, looked.other, way)
    crept = _where_nearest(study, build, electrical, looked, drawn, surface_ways)
    return replace(looked, way=way, surfaces=True, crept=crept, insulation=tuple(over.insulation))


def _through_air(study: Study, build: Build, electrical: Electrical, looked: Looked) -> Looked:
    """The same with the way through air around insulation, where the straight one is too short to do without."""
    need, state = looked.need, looked.state
    if need is None or _is_settled(looked.way, need):
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
    if way.least > limit or (need is None and not is_short(way)):
        return None
    return way


def _is_settled(way: Way, need: Need | None) -> bool:
    """Whether the straight way says all: ways around insulation are not looked for."""
    return need is None or way.least >= need.mm - TOUCH_MM or is_short(way)
