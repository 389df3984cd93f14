"""Room left: how far each part could still move, each of six ways, before a finding that is met no longer is.

The part moves alone, all others stay. Distances are rounded down and end at `list_within`. Square boxes are solved in
closed form. Other shapes are followed in steps no longer than the least distance left, which never passes the place
where something changes; when the steps run out, what was reached so far is reported, which is on the safe side. Beside
a mesh of a million triangles or more the first step is all.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from fitcheck.checks.directions import WAYS
from fitcheck.checks.vast import is_vast
from fitcheck.findings import TOUCH_MM, Finding, Status
from fitcheck.model.part import Build, Feature, Part, State
from fitcheck.model.shape import Tray
from fitcheck.placing.forms import Widths
from fitcheck.placing.many import ManyPair
from fitcheck.placing.measure import PartPair
from fitcheck.placing.oblique import ObliquePair
from fitcheck.placing.pair import PiecePair
from fitcheck.placing.square import SquarePair, norm_of_gaps
from fitcheck.result import Room
from fitcheck.study import Pair, Study

STEPS = 12
PROBE_MM = 0.05
"""A touching part is tried this far along: if the distance does not fall, it slides or moves away."""
FINE_MM = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """A finding that holds and must go on holding while a part moves."""

    pair: Pair
    part_pair: PartPair
    required: float


def room_left(study: Study, build: Build, findings: list[Finding]) -> tuple[Room, ...]:
    """One row for each part of the build, in file order."""
    demands = _demands(study, findings)
    rows = []
    for part in study.layout.in_build(build):
        study.progress(f"room left around {part.name}")
        ways = [(word, *_along(study, part, word, demands[part.name], findings)) for word in WAYS]
        rows.append(Room(part=part.name, limit_mm=study.layout.list_within, ways=tuple(ways)))
    return tuple(rows)


def _demands(study: Study, findings: Iterable[Finding]) -> dict[str, list[Demand]]:
    """What must go on holding, by part: gaps that are met, and everywhere that the parts stay clear of each other."""
    found: defaultdict[str, list[Demand]] = defaultdict(list)
    for finding in findings:
        if finding.check not in ("gap", "overlap"):
            continue
        one, other = (study.layout.by_name[name] for name in finding.parts)
        pair = Pair(one=one, other=other, rule=study.rule_for(one, other))
        for demand in _demands_of(study, pair, finding):
            found[one.name].append(demand)
            found[other.name].append(demand)
    return found


def _demands_of(study: Study, pair: Pair, finding: Finding) -> Iterator[Demand]:
    state = State(finding.state)
    is_gap = finding.check == "gap"
    gap_holds = is_gap and finding.status is Status.MET and finding.band is not None
    if gap_holds:
        gap = study.part_pair(pair, state, with_contacts=True)
        yield Demand(pair=pair, part_pair=gap, required=finding.required or 0.0)
    if not gap_holds or study.touch(pair):
        # Whatever its gap, the pair must not begin to overlap where it is clear now.
        measure = study.measure(pair, state, with_contacts=False)
        if measure is not None and measure.band.low >= -TOUCH_MM:
            whole = study.part_pair(pair, state, with_contacts=False)
            yield Demand(pair=pair, part_pair=whole, required=0.0)


def _along(
    study: Study, part: Part, word: str, demands: list[Demand], findings: list[Finding]
) -> tuple[float | None, str]:
    """(distance, what stops it); None: farther than `list_within`."""
    axis, sign = study.layout.direction(word)
    limit = study.layout.list_within
    reached, stopped = limit, ""
    for demand in demands:
        partner = demand.pair.other if demand.pair.one.name == part.name else demand.pair.one
        # Shifts move the second part of a pair; moving the first is moving the second the other way.
        along = sign if demand.pair.other.name == part.name else -sign
        vast = is_vast(study, demand.pair.one, demand.pair.other)
        room = _room(demand, axis, along, reached, study.widths, vast=vast)
        if room < reached:
            reached, stopped = room, partner.name
    inside = _room_inside(study, part, axis, sign, findings)
    if inside < reached:
        reached, stopped = inside, "the edge of the case"
    return (None, "") if reached >= limit else (math.floor(reached / FINE_MM + 1e-6) * FINE_MM, stopped)


def _room(demand: Demand, axis: int, sign: int, limit: float, widths: Widths, *, vast: bool) -> float:
    return min(
        (_piece_room(pair, axis, sign, demand.required, limit, widths, vast=vast) for pair in demand.part_pair.pairs),
        default=limit,
    )


def _piece_room(
    pair: PiecePair, axis: int, sign: int, required: float, limit: float, widths: Widths, *, vast: bool
) -> float:
    if isinstance(pair, SquarePair):
        return square_room(pair, axis, sign, required, limit, widths)
    if isinstance(pair, ManyPair):
        return min(_piece_room(each, axis, sign, required, limit, widths, vast=vast) for each in pair.pairs)
    if pair.least(widths) - limit >= required:
        return limit
    if isinstance(pair, ObliquePair) and pair.is_single and _opens(pair, axis, sign, widths):
        return limit
    if vast:
        return min(limit, max(0.0, pair.lowest(widths).value - required))
    return stepped_room(pair, axis, sign, required, limit, widths)


def square_room(pair: SquarePair, axis: int, sign: int, required: float, limit: float, widths: Widths) -> float:
    """How far the second box can move along one axis while the distance stays at least `required`."""
    gaps = list(pair.lowest_gaps(widths))
    up, down = pair.facing[axis]
    ahead = down.low(widths) if sign > 0 else up.low(widths)
    gaps[axis] = -math.inf
    across = norm_of_gaps((gaps[0], gaps[1], gaps[2]))
    if across >= required - TOUCH_MM:
        return limit
    needed = math.sqrt(required**2 - max(across, 0.0) ** 2)
    if ahead < needed - TOUCH_MM:
        # Nothing lies ahead within reach: the other box is behind.
        return limit
    return min(limit, max(0.0, ahead - needed))


def _opens(pair: ObliquePair, axis: int, sign: int, widths: Widths) -> bool:
    """Whether the distance of two convex bodies does not fall at first; it is convex, so it then never falls."""
    shift = [0.0, 0.0, 0.0]
    shift[axis] = PROBE_MM * sign
    moved = pair.lowest(widths, (shift[0], shift[1], shift[2])).value
    return moved >= pair.lowest(widths).value - TOUCH_MM


def stepped_room(pair: PiecePair, axis: int, sign: int, required: float, limit: float, widths: Widths) -> float:
    """The same for any pieces, by steps no longer than what is left; never too far."""

    def left_at(reached: float) -> float:
        shift = [0.0, 0.0, 0.0]
        shift[axis] = reached * sign
        return pair.lowest(widths, (shift[0], shift[1], shift[2])).value - required

    reached = 0.0
    left = left_at(0.0)
    for _ in range(STEPS):
        if left < FINE_MM:
            ahead = left_at(reached + PROBE_MM)
            if ahead < min(left, 0.0) - TOUCH_MM or ahead < -TOUCH_MM:
                return reached
            reached += PROBE_MM
            left = ahead
        else:
            reached += left
            if reached >= limit:
                return limit
            left = left_at(reached)
    return reached


def _room_inside(study: Study, part: Part, axis: int, sign: int, findings: list[Finding]) -> float:
    """How far a module may move before its plan leaves the case."""
    room = math.inf
    for finding in findings:
        if finding.check != "containment" or finding.parts[0] != part.name or finding.status is not Status.MET:
            continue
        case = study.layout.by_name[finding.parts[1]]
        if axis == study.layout.up[0]:
            continue
        chain = study.chain(State(finding.state))
        hollow = isinstance(case.shape, Tray)
        if sign > 0:
            edge = chain.plane(case, axis, Feature.INSIDE_HIGH if hollow else Feature.HIGH)
            form = edge - chain.high(part, axis)
        else:
            edge = chain.plane(case, axis, Feature.INSIDE_LOW if hollow else Feature.LOW)
            form = chain.low(part, axis) - edge
        room = min(room, max(0.0, form.low(study.widths)))
    return room
