"""Mending hints: the smallest change of one placing number that mends a gap and makes nothing else worse.

The numbers tried are those that the placing words of the two parts, and of what these are placed on, state for parts
that are not retained: what stands in the donor case stands where it was measured. What is placed on a moved part
follows it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from types import MappingProxyType

from fitcheck.checks.directions import way
from fitcheck.checks.vast import is_vast
from fitcheck.findings import Finding, Sense, Status
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build, Change, Part, State
from fitcheck.model.quantity import Quantity
from fitcheck.placing.outermost import Box
from fitcheck.placing.pair import Shift
from fitcheck.study import Pair, Study

FARTHEST_MM = 200.0
"""Changes larger than this are another layout, not a hint."""
STEP_MM = 0.1
"""Hints are given to this, rounded away from the trouble."""
_ROUNDED_MM = 0.02 * STEP_MM
MOST_FINDINGS = 30
MOST_TRIED = 8
MOST_TRIED_SLOWLY = 2
"""How many findings get a hint, and how many changes are tried in full for each: the rest of a long list says so. Where
turns are uncertain, or beside a mesh of a million triangles or more, each trial takes long."""

NONE_FOUND = "no change of a single placing number mends this without making another finding worse"
NONE_SO_SMALL = (
    "no change of a single placing number by what is missing mends this without making another finding worse; beside a "
    "mesh of a million triangles or more larger ones were not tried"
)
NOT_SOUGHT = f"not sought: hints are worked out for the first {MOST_FINDINGS} gaps not met"

RunChecks = Callable[[Study, Build], list[Finding]]

_RANK = {
    Status.MET: 0,
    Status.UNDER_CONCESSION: 1,
    Status.NOT_CHECKED: 1,
    Status.CANNOT_TELL: 2,
    Status.NOT_MET: 3,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Nudge:
    """One placing number changed by `by` mm."""

    part: Part
    axis: int
    offset: Quantity
    sign: int
    by: float


def with_mends(study: Study, build: Build, findings: list[Finding], run: RunChecks) -> list[Finding]:
    """The findings, each gap not met with its hint."""
    mended, sought = [], 0
    for finding in findings:
        if finding.check != "gap" or finding.status is not Status.NOT_MET:
            mended.append(finding)
            continue
        sought += 1
        hint = _hint(study, build, finding, findings, run) if sought <= MOST_FINDINGS else NOT_SOUGHT
        mended.append(replace(finding, mend=hint))
    return mended


def _hint(study: Study, build: Build, finding: Finding, before: list[Finding], run: RunChecks) -> str:
    study.progress(f"how to mend {' - '.join(finding.parts)}")
    one, other = (study.layout.by_name[name] for name in finding.parts)
    pair = Pair(one=one, other=other, rule=study.rule_for(one, other))
    changes = sorted(_changes(study, pair, State(finding.state)), key=lambda change: abs(change.by))
    turned = any(not turn.angle.is_exact for part in study.layout.parts for turn in part.turns)
    vast = is_vast(study, one, other)
    tried = MOST_TRIED_SLOWLY if turned or vast else MOST_TRIED
    for change in changes[:tried]:
        changed = with_change(study.layout, change)
        after = Study(changed, study.meshes, study.progress, known=study)
        if not leaves_the_case(study, after, build) and mends(finding, before, run(after, build)):
            return words_of(study.layout, change)
    if len(changes) > tried:
        return f"none of the {tried} smallest changes of a single placing number mends this; larger ones were not tried"
    return NONE_SO_SMALL if vast else NONE_FOUND


def _changes(study: Study, pair: Pair, state: State) -> Iterator[Nudge]:
    """For each placing number, the smallest change either way that would mend the pair alone."""
    part_pair = study.part_pair(pair, state, with_contacts=True)
    required = pair.required

    # What uncertain turns take off hardly changes with a shift, and is dear to work out: it is taken off as it is here.
    turns = part_pair.turns
    taken_off = part_pair.lowest(straight=True) - part_pair.lowest() + STEP_MM if turns else 0.0

    def lowest(shift: Shift) -> float:
        if turns:
            return part_pair.lowest(shift, straight=True) - taken_off
        if study.layout.judge_by == "rss":
            return part_pair.measure(shift=shift).band.rss_low
        return part_pair.lowest(shift)

    least_amount = _amount_missing if is_vast(study, pair.one, pair.other) else _least_amount
    for part, axis, offset, sign in placing_numbers(study.layout, pair):
        travel = _travel(study, pair, state, part, axis)
        if not any(travel):
            continue
        for direction in (1.0, -1.0):
            amount = least_amount(lowest, travel, direction, required)
            if amount is not None:
                yield Nudge(part=part, axis=axis, offset=offset, sign=sign, by=amount * direction)


def placing_numbers(layout: Layout, pair: Pair) -> list[tuple[Part, int, Quantity, int]]:
    """(part, axis, number, sign) of every placing number that moves either part, those of retained parts left out."""
    seen: dict[str, tuple[Part, int, Quantity, int]] = {}

    def follow(part: Part, axis: int) -> None:
        if not part.placings:
            return
        placing = part.placings[axis]
        if placing.offset is not None and part.change is not Change.RETAINED:
            seen.setdefault(placing.offset.name, (part, axis, placing.offset, placing.sign))
        if placing.reference is not None:
            follow(layout.by_name[placing.reference], axis)

    for part in (pair.one, pair.other):
        for axis in range(3):
            follow(part, axis)
    return list(seen.values())


def _travel(study: Study, pair: Pair, state: State, part: Part, axis: int) -> Shift:
    """How the second part moves against the first when `part` moves by 1 mm along +axis."""
    offset = part.placings[axis].offset
    assert offset is not None  # noqa: S101 (placing_numbers chose it)
    change = Nudge(part=part, axis=axis, offset=offset, sign=part.placings[axis].sign, by=1.0)
    before, after = study.chain(state), Study(with_change(study.layout, change), study.meshes).chain(state)

    def moved(name: str, k: int) -> float:
        old, new = study.layout.by_name[name], after.layout.by_name[name]
        return after.origin(new, k).nominal - before.origin(old, k).nominal

    x, y, z = (round(moved(pair.other.name, k) - moved(pair.one.name, k), 9) for k in range(3))
    return (x, y, z)


def with_change(layout: Layout, change: Nudge) -> Layout:
    """The layout with the part moved by `change.by` along its axis: one placing number is another."""
    moved = replace(change.offset, nominal=change.offset.nominal + change.sign * change.by)
    placing = replace(change.part.placings[change.axis], offset=moved)
    placings = tuple(placing if k == change.axis else old for k, old in enumerate(change.part.placings))
    part = replace(change.part, placings=placings)
    return replace(
        layout,
        parts=tuple(part if old.name == part.name else old for old in layout.parts),
        quantities=MappingProxyType({**layout.quantities, moved.name: moved}),
    )


def _least_amount(lowest: Callable[[Shift], float], travel: Shift, direction: float, required: float) -> float | None:
    """The smallest amount, in whole steps, from which the gap holds; None within FARTHEST_MM."""

    def holds(amount: float) -> bool:
        by = amount * direction
        return lowest((travel[0] * by, travel[1] * by, travel[2] * by)) >= required

    high = STEP_MM
    while not holds(high):
        high *= 2.0
        if high > FARTHEST_MM:
            return None
    low = 0.0 if high == STEP_MM else high / 2.0
    while high - low > STEP_MM / 100:
        middle = (low + high) / 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return math.ceil(high / STEP_MM - 0.02) * STEP_MM


def _amount_missing(lowest: Callable[[Shift], float], travel: Shift, direction: float, required: float) -> float | None:
    """What is missing, in whole steps, where that is enough: no distance grows faster than the parts are moved."""
    amount = math.ceil((required - lowest((0.0, 0.0, 0.0))) / STEP_MM - 0.02) * STEP_MM
    by = amount * direction
    enough = lowest((travel[0] * by, travel[1] * by, travel[2] * by)) >= required - _ROUNDED_MM
    return amount if enough and amount <= FARTHEST_MM else None


def leaves_the_case(before: Study, after: Study, build: Build) -> bool:
    """Whether a part that stood within an enclosure's outer box no longer does."""
    old, new = before.bounds(State.BEGINNING), after.bounds(State.BEGINNING)
    parts = list(before.layout.in_build(build))
    cases = [part.name for part in parts if part.role == "enclosure"]
    return any(
        _within(old[part.name], old[case]) and not _within(new[part.name], new[case])
        for part in parts
        for case in cases
        if part.name != case
    )


def _within(inner: Box, outer: Box) -> bool:
    return all(outer[k][0] <= inner[k][0] and inner[k][1] <= outer[k][1] for k in range(3))


def mends(finding: Finding, before: list[Finding], after: list[Finding]) -> bool:
    """Whether the finding is met afterwards and none has become worse."""
    old = {_key(each): _badness(each) for each in before}
    new = {_key(each): _badness(each) for each in after}
    mended = new.get(_key(finding), (0, 0.0))[0] == 0
    return mended and all(bad <= old.get(key, (0, 0.0)) for key, bad in new.items())


def _badness(finding: Finding) -> tuple[int, float]:
    """How bad a finding is: by its status, and among those not met by how far it falls short."""
    rank, band = _RANK[finding.status], finding.band
    if finding.status is not Status.NOT_MET or band is None or finding.required is None:
        return rank, 0.0
    short = finding.required - band.value if finding.sense is Sense.AT_LEAST else band.value - finding.required
    return rank, round(short, 6)


def _key(finding: Finding) -> tuple[str, tuple[str, ...], str, str, str]:
    return finding.check, finding.parts, finding.build, finding.state, finding.rule.rule_set


def words_of(layout: Layout, change: Nudge) -> str:
    old, new = change.offset.nominal, change.offset.nominal + change.sign * change.by
    followers = [part.name for part in layout.parts if follows(layout, part, change)]
    carried = f"; {', '.join(followers)} follow" if followers else ""
    return (
        f"move {change.part.name} {way(layout, change.axis, change.by)} by {abs(change.by):.10g} mm "
        f"({change.offset.name}: {old:.10g} -> {new:.10g}{carried})"
    )


def follows(layout: Layout, part: Part, change: Nudge) -> bool:
    """Whether a part's place along the axis goes back to the moved part."""
    if part.name == change.part.name or not part.placings:
        return False
    reference = part.placings[change.axis].reference
    if reference is None:
        return False
    return reference == change.part.name or follows(layout, layout.by_name[reference], change)
