"""Many supports, few heights: the fewest different heights that still keep every need.

Ways of tying heights together are tried by the number of different heights that they leave, fewest first, so the first
that can be built is the answer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fitcheck.findings import TOUCH_MM, Sense, Status, judge
from fitcheck.model.sections import LevelFeet
from fitcheck.stack.choose import choose, shop_of
from fitcheck.stack.feet import out_of_level
from fitcheck.stack.found import Found, Pick, with_heights
from fitcheck.stack.needs import Need, probed
from fitcheck.stack.solve import Solved
from fitcheck.stack.upright_gaps import unmet_gaps
from fitcheck.study import Study

MOST_SUPPORTS = 7
"""Of seven heights there are 877 ways of tying; of more, too many to try them all."""

Blocks = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fewer:
    """A choice with fewer different heights: `blocks` are the heights that are equal."""

    blocks: Blocks
    picks: Mapping[str, Pick]


def fewest_heights(study: Study, solved: Solved, prefer: str) -> Fewer | None:
    """The choice with the fewest different heights; None if the solved one has no more than needed, or too many heights
    are to be found for all ways to be tried. `study` is as written."""
    names = tuple(each.name for each in solved.found)
    present = len({pick.height for pick in solved.picks.values()})
    if not 2 <= len(names) <= MOST_SUPPORTS or present < 2:
        return None
    shop = shop_of(solved.found)
    for blocks in sorted(_partitions(names), key=len):
        if len(blocks) >= present:
            return None
        ties = [(block[0], other) for block in blocks for other in block[1:]]
        picks = choose(shop, solved.needs, solved.basis, prefer, ties)
        if picks is not None and _holds(study, solved, shop.found, picks):
            return Fewer(blocks=blocks, picks=picks)
    return None


def levelled(study: Study, solved: Solved, feet: LevelFeet, prefer: str) -> Mapping[str, Pick] | None:
    """The choice in which all feet of one part that are to be found have one height, by the name of each such foot;
    None if no such choice keeps the needs and brings the feet nearer to level than the solved one."""
    by_foot = {part: each.name for each in solved.found for part in each.parts if part in feet.feet}
    names = tuple(dict.fromkeys(by_foot.values()))
    if len(names) < 2 or solved.placed is None:
        return None
    shop = shop_of(solved.found)
    picks = choose(shop, solved.needs, solved.basis, prefer, [(names[0], other) for other in names[1:]])
    if picks is None or not _holds(study, solved, shop.found, picks):
        return None
    tied = Study(with_heights(study.layout, solved.found, picks), study.meshes)
    statuses = [
        judge(out_of_level(each, feet).band, feet.within.nominal, Sense.AT_MOST, solved.basis)
        for each in (solved.placed, tied)
    ]
    if statuses[1] is Status.NOT_MET or statuses[0] is statuses[1]:
        return None
    return {foot: picks[name] for foot, name in by_foot.items()}


def said_of_level(picks: Mapping[str, Pick]) -> str:
    """What to do for one height under all feet, in words. `picks` is by foot, not empty."""
    pick = next(iter(picks.values()))
    pieces = " + ".join(f"{size:g}" for size in pick.pieces)
    made = f" ({pieces})" if len(pick.pieces) > 1 else ""
    return f"one height of {pick.height:g}{made} for {', '.join(picks)} would do: tie them by same_for"


def _holds(study: Study, solved: Solved, found: Mapping[str, Found], picks: Mapping[str, Pick]) -> bool:
    """Whether a choice keeps every need exactly, and every gap rule besides."""
    heights = {name: pick.height for name, pick in picks.items()}
    pieces = {name: len(pick.pieces) for name, pick in picks.items()}

    def margin(need: Need) -> float:
        return need.margin(solved.basis, found, heights, pieces)

    if any(margin(need) < -TOUCH_MM for need in solved.needs):
        return False
    layout = with_heights(study.layout, solved.found, picks)
    placed, probe = Study(layout, study.meshes), Study(probed(layout), study.meshes)
    return next(unmet_gaps(placed, probe, solved.found, picks, solved.basis), None) is None


def _partitions(names: Sequence[str]) -> Iterator[Blocks]:
    """Every way of dividing the names into groups."""
    if not names:
        yield ()
        return
    first, rest = names[0], names[1:]
    for blocks in _partitions(rest):
        yield ((first,), *blocks)
        for k, block in enumerate(blocks):
            yield (*blocks[:k], (first, *block), *blocks[k + 1 :])


def said_of(fewer: Fewer, solved: Solved) -> str:
    """The choice in one sentence."""
    present = len({pick.height for pick in solved.picks.values()})
    by_name = {each.name: each for each in solved.found}
    groups = []
    for block in fewer.blocks:
        pick = fewer.picks[block[0]]
        parts = ", ".join(part for name in block for part in by_name[name].parts)
        groups.append(f"{pick.height:g} ({' + '.join(f'{size:g}' for size in pick.pieces)}) for {parts}")
    more = sum(
        (fewer.picks[name].height - solved.picks[name].height) * len(each.parts) for name, each in by_name.items()
    )
    return (
        f"{len(fewer.blocks)} different height{'s' if len(fewer.blocks) > 1 else ''} would do instead of {present}: "
        f"{'; '.join(groups)}; {more:g} mm more in all"
    )
