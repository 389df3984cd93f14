"""Many supports, few heights: the fewest different heights that still keep every demand.

One more integer program: each support takes one of the heights that its stock can make within its range, each height
that any support takes costs one, and the fewest win. Of choices with equally few, what the layout prefers counts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.findings import Sense, Status, judge
from fitcheck.model.sections import LevelFeet
from fitcheck.stack.choose import best_by, choose, goals_of
from fitcheck.stack.conditions import Condition
from fitcheck.stack.feet import out_of_level
from fitcheck.stack.found import MOST_PIECES, Found, Pick, pieces_in_words, with_heights
from fitcheck.stack.program import Further, Program
from fitcheck.stack.settle import GaveUp, Picks, settle
from fitcheck.stack.shop import Shop
from fitcheck.stack.solve import Solved
from fitcheck.study import Study

MOST_HEIGHTS = 4000
"""So many heights of all supports together are weighed against each other; a few hundred take a moment."""

_SAME_MM = 1e-6
_DIGITS = 6

Menu = Mapping[str, tuple[float, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fewer:
    """A choice with fewer different heights: `blocks` are the heights that are equal."""

    blocks: tuple[tuple[str, ...], ...]
    picks: Mapping[str, Pick]


def fewest_heights(solved: Solved, prefer: str) -> Fewer | str | None:
    """The choice with the fewest different heights; None if the solved one has no more than needed; in words why, if
    that is left open."""
    present = len({pick.height for pick in solved.picks.values()})
    if present < 2:
        return None
    try:
        menu = _menu(solved)
        if sum(len(heights) for heights in menu.values()) > MOST_HEIGHTS:
            return "whether fewer different heights would do is left open: the stock makes too many within reach"
        settled = settle(
            [each for each in solved.conditions if not each.is_gap],
            solved.known,
            lambda held: _pick(solved.shop, held, solved.known.basis, menu, prefer),
            {each.condition.title for each in solved.beyond},
        )
    except GaveUp:
        return "whether fewer different heights would do is left open: the gap rules let no choice stand"
    if settled.picks is None or len({pick.height for pick in settled.picks.values()}) >= present:
        return None
    blocks: dict[float, list[str]] = {}
    for name, pick in settled.picks.items():
        blocks.setdefault(pick.height, []).append(name)
    return Fewer(blocks=tuple(tuple(names) for names in blocks.values()), picks=settled.picks)


def _menu(solved: Solved) -> Menu:
    """The heights that each support can take: those of its stock between the least and the most that it can have."""
    menu = {}
    for name, found in solved.shop.found.items():
        row = solved.shop.height_row({name: 1.0})
        low = Program(solved.shop, solved.conditions, solved.basis).best(row)
        assert low is not None  # noqa: S101 (the solved choice keeps the conditions)
        # A support that may be as high as one likes shares no height that none of the others takes.
        most = max(pick.height for pick in solved.picks.values())
        capped = Program(solved.shop, solved.conditions, solved.basis)
        capped.require(row, -math.inf, max(most, float(row @ low)) + _SAME_MM)
        high = capped.best(-row)
        assert high is not None  # noqa: S101 (the least height is below the cap)
        menu[name] = heights_between(found, float(row @ low), float(row @ high))
    return menu


def heights_between(found: Found, low: float, high: float) -> tuple[float, ...]:
    """The heights from `low` to `high` that a height's stock can make, whatever is on hand, least first.

    >>> from fitcheck.stack.found import Found
    >>> shelf = ((3.0, None), (5.0, 1))
    >>> heights_between(Found(parts=("a",), written=(), stock=shelf, step=None, at_most_pieces=3,
    ...                       tolerance=(0.0, 0.0), per_piece=(0.0, 0.0)), 5.0, 10.0)
    (5.0, 6.0, 8.0, 9.0)
    """
    if not found.stock:
        step = found.step or 1.0
        first, last = math.ceil(low / step - _SAME_MM), math.floor(high / step + _SAME_MM)
        return tuple(round(k * step, _DIGITS) for k in range(first, min(last, first + MOST_HEIGHTS) + 1))
    fewest = {0.0: 0}
    for size, on_hand in found.stock:
        most = MOST_PIECES if on_hand is None else on_hand // len(found.parts)
        for height, pieces in sorted(fewest.items()):
            for number in range(1, min(most, math.floor((high - height + _SAME_MM) / size)) + 1):
                made = round(height + number * size, _DIGITS)
                fewest[made] = min(fewest.get(made, MOST_PIECES), pieces + number)
    allowed = MOST_PIECES if found.at_most_pieces is None else found.at_most_pieces
    return tuple(sorted(made for made, pieces in fewest.items() if 0 < pieces <= allowed and made >= low - _SAME_MM))


def _pick(shop: Shop, held: Sequence[Condition], basis: str, menu: Menu, prefer: str) -> Picks | None:
    """The choice that takes the fewest heights from the menu. Beside the shop's columns stands one for each height of
    each support (is it taken?) and one for each height at all (does any take it?)."""
    every = sorted({height for heights in menu.values() for height in heights})
    taken = [(name, height) for name, heights in menu.items() for height in heights]
    first, width = len(shop.columns), len(shop.columns) + len(taken) + len(every)
    yes_or_no = Further(low=0.0, high=1.0, is_whole=True)
    program = Program(shop, held, basis, further=[yes_or_no] * (len(taken) + len(every)))
    for name in menu:
        own = [k for k, (of, _) in enumerate(taken) if of == name]
        one, made = np.zeros(width), np.zeros(width)
        made[:first] = shop.height_row({name: 1.0})
        for k in own:
            one[first + k] = 1.0
            made[first + k] = -taken[k][1]
        program.require(one, 1.0, 1.0)
        program.require(made, -_SAME_MM, _SAME_MM)
    for k, (_, height) in enumerate(taken):
        used = np.zeros(width)
        used[first + len(taken) + every.index(height)], used[first + k] = 1.0, -1.0
        program.require(used, 0.0, math.inf)
    fewest = np.zeros(width)
    fewest[first + len(taken) :] = 1.0
    values = best_by(program, [fewest, *goals_of(shop, prefer)])
    return None if values is None else program.picks(values)


def levelled(study: Study, solved: Solved, feet: LevelFeet, prefer: str) -> Mapping[str, Pick] | None:
    """The choice in which all feet of one part that are to be found have one height, by the name of each such foot;
    None if no such choice keeps the needs and brings the feet nearer to level than the solved one."""
    by_foot = {part: each.name for each in solved.found for part in each.parts if part in feet.feet}
    names = tuple(dict.fromkeys(by_foot.values()))
    if len(names) < 2 or solved.placed is None:
        return None
    ties = [(names[0], other) for other in names[1:]]
    try:
        settled = settle(
            [each for each in solved.conditions if not each.is_gap],
            solved.known,
            lambda held: choose(solved.shop, held, solved.basis, prefer, ties),
            {each.condition.title for each in solved.beyond},
        )
    except GaveUp:
        return None
    if settled.picks is None:
        return None
    tied = Study(with_heights(study.layout, solved.found, settled.picks), study.meshes)
    statuses = [
        judge(out_of_level(each, feet).band, feet.within.nominal, Sense.AT_MOST, solved.basis)
        for each in (solved.placed, tied)
    ]
    if statuses[1] is Status.NOT_MET or statuses[0] is statuses[1]:
        return None
    return {foot: settled.picks[name] for foot, name in by_foot.items()}


def said_of_level(picks: Mapping[str, Pick]) -> str:
    """What to do for one height under all feet, in words. `picks` is by foot, not empty."""
    return f"one height of {_made(next(iter(picks.values())))} for {', '.join(picks)} would do: tie them by same_for"


def said_of(fewer: Fewer, solved: Solved) -> str:
    """The choice in one sentence."""
    present = len({pick.height for pick in solved.picks.values()})
    by_name = {each.name: each for each in solved.found}
    groups = []
    for block in fewer.blocks:
        parts = ", ".join(part for name in block for part in by_name[name].parts)
        groups.append(f"{_made(fewer.picks[block[0]])} for {parts}")
    more = sum(
        (fewer.picks[name].height - solved.picks[name].height) * len(each.parts) for name, each in by_name.items()
    )
    heights = "height" if len(fewer.blocks) == 1 else "heights"
    extra = (
        f"{more:g} mm more in all" if more > 0.0 else f"{-more:g} mm less in all" if more < 0.0 else "no higher in all"
    )
    return f"{len(fewer.blocks)} different {heights} would do instead of {present}: {'; '.join(groups)}; {extra}"


def _made(pick: Pick) -> str:
    """A height and its pieces: "13 (8 + 5)"; alike ones counted: "24 (3 x 8)"."""
    if len(pick.pieces) < 2:
        return f"{pick.height:g}"
    return f"{pick.height:g} ({pieces_in_words(pick.pieces)})"
