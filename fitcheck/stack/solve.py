"""The answer for one layout: which heights, from which pieces, what decides them, or which demands contradict."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fitcheck.result_heights import ConflictRow, FoundRow
from fitcheck.stack.choose import choose, least
from fitcheck.stack.conditions import Condition, conditions_of
from fitcheck.stack.contradiction import Contradicting, Contradiction
from fitcheck.stack.found import Found, Pick, found_in, heights_of
from fitcheck.stack.needs import BASES, Need, feet_needs, needs_of
from fitcheck.stack.settle import MOST_ROUNDS, GaveUp, Known, Picks, Settled, settle
from fitcheck.stack.shop import Shop, shop_of
from fitcheck.stack.upright_gaps import UprightGaps
from fitcheck.study import Study


@dataclass(frozen=True, slots=True, kw_only=True)
class Beyond:
    """A condition that no heights keep, and the titles of those that stand against it."""

    condition: Condition
    against: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """`picks` are the chosen heights by the name of each Found; empty without a solution.

    `placed` is the layout with them (None without a solution), placed and in part measured. `conditions` are the
    demands, the limits and the gap rules that the choice had to keep; `beyond` those that no heights keep and that
    something else must mend. `least` are the least heights that would do by each basis. `is_smallest` is whether no
    smaller set of conditions contradicts.
    """

    found: tuple[Found, ...]
    shop: Shop
    picks: Mapping[str, Pick]
    conditions: tuple[Condition, ...]
    known: Known
    least: Mapping[str, Mapping[str, float] | None]
    placed: Study | None
    beyond: tuple[Beyond, ...] = ()
    conflict: tuple[ConflictRow, ...] = ()
    is_smallest: bool = True

    @property
    def basis(self) -> str:
        return self.known.basis

    def binding(self, name: str) -> str:
        """What keeps a height from being less, in words; empty where it could as well be nothing."""
        height = self.picks[name].height
        lowest, title = min(self._held_up(name), key=lambda pair: pair[0], default=(height, ""))
        return "" if lowest >= height else f"{title} ({lowest:.2f} mm to spare)"

    def margins(self) -> list[tuple[float, Need]]:
        """What each linear need has to spare with the choice, least first; mm."""
        heights = {name: pick.height for name, pick in self.picks.items()}
        pieces = {name: len(pick.pieces) for name, pick in self.picks.items()}
        needs = (need for condition in self.conditions for need in condition.needs)
        found = [(need.margin(self.basis, self.shop.found, heights, pieces), need) for need in needs]
        return sorted(found, key=lambda pair: pair[0])

    def _held_up(self, name: str) -> Iterator[tuple[float, str]]:
        """(how far a height could come down, what it would then break)."""
        for margin, need in self.margins():
            if (rate := need.rates.get(name, 0.0)) > 0.0:
                yield margin / rate, need.title
        for condition in self.conditions:
            for either in condition.eithers:
                taken = max(either.ways, key=lambda way: way.spare(self.picks))
                if (rate := taken.heights.get(name, 0.0)) > 0.0:
                    yield taken.spare(self.picks) / rate, condition.title


def solve(study: Study) -> Solved:
    """Find the heights. Raises UsageError without a `heights` section, LayoutErrors for parts without one height."""
    wanted = heights_of(study.layout)
    found = found_in(study.layout)
    shop = shop_of(found)
    conditions = [*_demands(study, found), *conditions_of((), shop.limits)]
    gaps = UprightGaps(study, found)
    known = Known(gaps, wanted.judge_by)

    def pick(held: Sequence[Condition]) -> Picks | None:
        study.progress("choosing heights")
        return choose(shop, held, known.basis, wanted.prefer)

    conflict, settled = Contradiction(rows=(), is_smallest=True), None
    try:
        settled = settle(conditions, known, pick)
        if settled.picks is None:
            conflict = Contradicting(shop, settled.conditions, known).found()
    except GaveUp:
        # Not one of the rounds' choices kept every rule: that is said, and never taken as met.
        conflict = Contradiction(rows=(_GAVE_UP,), is_smallest=False)
    ended = settled or Settled(picks=None, placed=None, conditions=tuple(conditions))
    return Solved(
        found=found,
        shop=shop,
        picks=ended.picks or {},
        conditions=ended.conditions,
        known=known,
        least=_least(found, ended, gaps),
        placed=ended.placed,
        beyond=_beyond(shop, ended, known),
        conflict=conflict.rows,
        is_smallest=conflict.is_smallest,
    )


_GAVE_UP = ConflictRow(
    what=f"gap rules of which {MOST_ROUNDS} choices in turn left some unmet", parts=(), check="", by=None, unit="mm"
)


def _beyond(shop: Shop, ended: Settled, known: Known) -> tuple[Beyond, ...]:
    """What was left aside, each with what stands against it among all that is kept."""
    if ended.picks is None:
        return ()
    found = []
    for each in ended.beyond:
        try:
            rows = Contradicting(shop, [*ended.conditions, each], known).found().rows
        except GaveUp:
            rows = ()
        found.append(Beyond(condition=each, against=tuple(row.what for row in rows if row.what != each.title)))
    return tuple(found)


def _demands(study: Study, found: Sequence[Found]) -> list[Condition]:
    """What `so_that` asks for, then the level feet; feet that may be shimmed give way where no heights level them."""
    wanted = heights_of(study.layout)
    demands = conditions_of(needs_of(study, found, wanted.so_that), ())
    for feet in wanted.level_feet:
        needs = feet_needs(study, found, feet)
        if needs:
            first = needs[0]
            demands.append(
                Condition(
                    title=first.title,
                    check=first.check,
                    parts=first.parts,
                    needs=tuple(needs),
                    is_soft=bool(feet.shims),
                )
            )
    return demands


def _least(found: Sequence[Found], ended: Settled, gaps: UprightGaps) -> dict[str, Mapping[str, float] | None]:
    """The least heights by each basis, cut to measure from one piece, all gap rules kept that the choice keeps."""
    aside = {each.title for each in ended.beyond}
    demands = [each for each in ended.conditions if not each.is_gap]
    heights: dict[str, Mapping[str, float] | None] = {}
    for basis in BASES:

        def pick(held: Sequence[Condition], basis: str = basis) -> Picks | None:
            return least(found, held, basis)

        try:
            settled = settle(demands, Known(gaps, basis), pick, aside)
        except GaveUp:
            heights[basis] = None
            continue
        picks = settled.picks
        heights[basis] = None if picks is None else {name: round(pick.height, 6) for name, pick in picks.items()}
    return heights


def found_rows(solved: Solved) -> tuple[FoundRow, ...]:
    """One row for each part of which the height was asked for, in file order."""
    rows = []
    for each in solved.found:
        pick = solved.picks.get(each.name)
        by_basis = []
        for basis in BASES:
            heights = solved.least[basis]
            by_basis.append((basis, None if heights is None else heights[each.name]))
        below, above = each.widths(1 if pick is None else len(pick.pieces))
        for part, written in zip(each.parts, each.written, strict=True):
            rows.append(
                FoundRow(
                    part=part,
                    height_mm=None if pick is None else pick.height,
                    pieces=() if pick is None else pick.pieces,
                    least_nominal_mm=dict(by_basis)[solved.basis],
                    least_by=tuple(by_basis),
                    written_mm=written.nominal,
                    below_mm=below,
                    above_mm=above,
                    decided_by=solved.binding(each.name) if pick is not None else "",
                    same_as="" if part == each.name else each.name,
                )
            )
    return tuple(rows)
