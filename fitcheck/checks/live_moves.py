"""Moving a part away: the smallest change of one placing number after which two live parts are far enough apart.

The numbers are those that mending hints for gaps try: of the two parts and of what they are placed on, never of a
retained part, and here of the floating metal between them as well. What touched before must still touch, and what lay
wholly against a face must still do so: a terminal is not proposed to hang in the air.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from fitcheck.checks.live_trials import STEP_MM, Bench, Trial, box_gap, steps
from fitcheck.checks.mend import FARTHEST_MM, Nudge, follows, placing_numbers, with_change, words_of
from fitcheck.findings import TOUCH_MM
from fitcheck.model.layout import Layout
from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity
from fitcheck.placing.chain import Chain
from fitcheck.placing.outermost import Box
from fitcheck.placing.pair import Shift
from fitcheck.standards.insulation import GROOVE_MM
from fitcheck.study import Pair, Study

MOST_TRIED = 6
"""How many changes are tried in full, the smallest first."""


def moved(bench: Bench) -> str:
    """The smallest move that mends the pair, in words; empty where none was found."""
    for nudge in sorted(_nudges(bench), key=lambda each: abs(each.by))[:MOST_TRIED]:
        found = _least(bench, nudge)
        if found is not None and bench.accepts(_trial(bench, found)):
            return words_of(bench.layout, found)
    return ""


def _least(bench: Bench, nudge: Nudge) -> Nudge | None:
    """The smallest move in that direction from which the pair is met."""
    direction = 1.0 if nudge.by > 0.0 else -1.0

    def holds(amount: float) -> bool:
        return bench.holds(_trial(bench, replace(nudge, by=direction * amount)))

    amount = bench.least(holds, steps(abs(nudge.by)), abs(nudge.by) + STEP_MM, below=_winds(bench))
    return None if amount is None else replace(nudge, by=direction * amount)


def _winds(bench: Bench) -> bool:
    """Whether the way is longer than the bounding boxes are apart: a smaller move than they say may do."""
    bounds = bench.study.bounds(bench.state)
    boxes = [bounds[part.name] for part in bench.route]
    return bench.required - bench.short > _apart(bench, boxes) + STEP_MM / 10.0


def _apart(bench: Bench, boxes: Sequence[Box]) -> float:
    """How far the first box is from the last, straight or over those between: air narrower than X counts nothing."""
    air = GROOVE_MM[bench.electrical.pollution_degree]
    gaps = [box_gap(one, other) for one, other in pairwise(boxes)]
    over = sum(gap for gap in gaps if len(gaps) == 1 or gap >= air)
    return min(over, box_gap(boxes[0], boxes[-1]))


def _trial(bench: Bench, nudge: Nudge) -> Trial:
    layout = with_change(bench.layout, nudge)
    changed = (nudge.part.name, *(part.name for part in layout.parts if follows(layout, part, nudge)))
    return Trial(key=(nudge.offset.name, round(nudge.by / STEP_MM)), layout=layout, changed=changed)


def _nudges(bench: Bench) -> Iterator[Nudge]:
    """Each number either way, by the least amount after which the bounding boxes on the way are far enough apart."""
    route = bench.route
    bounds = bench.study.bounds(bench.state)
    boxes = [bounds[part.name] for part in route]
    for part, axis, offset, sign in _numbers(bench, route):
        nudge = Nudge(part=part, axis=axis, offset=offset, sign=sign, by=1.0)
        shifts = _shifts(bench, nudge, route)
        for direction in (1.0, -1.0):
            amount = _enough(bench, boxes, [_scaled(shift, direction) for shift in shifts])
            if amount is None:
                continue
            change = replace(nudge, by=amount * direction)
            if _keeps_contact(bench, with_change(bench.layout, change), change):
                yield change


def _numbers(bench: Bench, route: Sequence[Part]) -> list[tuple[Part, int, Quantity, int]]:
    found: dict[str, tuple[Part, int, Quantity, int]] = {}
    for part in route[1:]:
        for number in placing_numbers(bench.layout, Pair(one=route[0], other=part, rule=None)):
            found.setdefault(number[2].name, number)
    return list(found.values())


def _shifts(bench: Bench, nudge: Nudge, route: Sequence[Part]) -> list[Shift]:
    """How each part on the way moves with the change."""
    before = bench.study.chain(bench.state)
    after = Study(with_change(bench.layout, nudge), bench.study.meshes).chain(bench.state)

    def shift(part: Part) -> Shift:
        x, y, z = (round(_origin(after, part.name, k) - _origin(before, part.name, k), 9) for k in range(3))
        return x, y, z

    return [shift(part) for part in route]


def _origin(chain: Chain, name: str, axis: int) -> float:
    return chain.origin(chain.layout.by_name[name], axis).nominal


def _scaled(shift: Shift, by: float) -> Shift:
    return shift[0] * by, shift[1] * by, shift[2] * by


def _enough(bench: Bench, boxes: Sequence[Box], shifts: Sequence[Shift]) -> float | None:
    """The least amount in whole steps from which the boxes, shifted, are far enough apart, both straight and over the
    floating metal between; None where the parts would first come nearer.
    """

    def length(amount: float) -> float:
        return _apart(bench, [_shifted(box, _scaled(shift, amount)) for box, shift in zip(boxes, shifts, strict=True)])

    if len(set(shifts)) == 1 or length(STEP_MM) < length(0.0) - TOUCH_MM:
        return None
    low, high = 0, steps(FARTHEST_MM)
    if length(high * STEP_MM) < bench.required - TOUCH_MM:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if length(middle * STEP_MM) >= bench.required - TOUCH_MM else (middle, high)
    return high * STEP_MM


def _shifted(box: Box, shift: Shift) -> Box:
    x, y, z = ((low + by, high + by) for (low, high), by in zip(box, shift, strict=True))
    return x, y, z


def _keeps_contact(bench: Bench, layout: Layout, nudge: Nudge) -> bool:
    """Whether what moves still lies against all that it lay against, as wholly as before; metal on the way aside."""
    before, after = bench.study.chain(bench.state), Study(layout, bench.study.meshes).chain(bench.state)
    moves = {nudge.part.name, *(part.name for part in layout.parts if follows(layout, part, nudge))}
    present = [part.name for part in layout.in_build(bench.build)]
    apart = {part.name for part in bench.route}
    old, new = ({name: _nominal(chain, name) for name in present} for chain in (before, after))
    return all(
        _lies(new[name], new[other], axis, wholly=_lies(old[name], old[other], axis, wholly=True))
        for name in moves
        if name in old
        for other in present
        if other not in moves and not {name, other} <= apart
        for axis in range(3)
        if _lies(old[name], old[other], axis, wholly=False)
    )


def _nominal(chain: Chain, name: str) -> Box:
    part = chain.layout.by_name[name]
    x, y, z = ((chain.low(part, k).nominal, chain.high(part, k).nominal) for k in range(3))
    return x, y, z


def _lies(box: Box, other: Box, axis: int, *, wholly: bool) -> bool:
    """Whether a box lies against another across an axis, beside it on no other; `wholly`: with its whole side."""
    (low, high), (start, end) = box[axis], other[axis]
    if min(abs(low - end), abs(high - start)) > TOUCH_MM:
        return False
    rest = [(box[k], other[k]) for k in range(3) if k != axis]
    if wholly:
        return all(b[0] <= a[0] + TOUCH_MM and a[1] <= b[1] + TOUCH_MM for a, b in rest)
    return all(a[0] < b[1] - TOUCH_MM and b[0] < a[1] - TOUCH_MM for a, b in rest)
