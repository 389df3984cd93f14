"""The answer for one layout: which heights, from which pieces, what decides them, or which demands contradict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import comb

from fitcheck.findings import TOUCH_MM
from fitcheck.result_heights import ConflictRow, FoundRow
from fitcheck.stack.choose import Limit, Shop, add_tangent, choose, is_possible, least, shop_of, shortfall
from fitcheck.stack.found import Found, Pick, found_in, heights_of, with_heights
from fitcheck.stack.needs import BASES, RSS, Need, needs_of, probed
from fitcheck.stack.upright_gaps import unmet_gaps
from fitcheck.study import Study

MOST_ROUNDS = 200
"""Each round adds what the choice before it left unmet; boxes judged by the worst case need two."""

MOST_SETS = 1000
"""So many sets of one size are tried for the smallest contradiction, a few milliseconds each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """`picks` are the chosen heights by the name of each Found; empty without a solution.

    `placed` is the layout with them (None without a solution), placed and in part measured. `needs` are the demands and
    the gap rules that the choice had to keep, `least` the least heights that would do by each basis.
    """

    found: tuple[Found, ...]
    picks: Mapping[str, Pick]
    needs: tuple[Need, ...]
    basis: str
    least: Mapping[str, Mapping[str, float] | None]
    placed: Study | None
    conflict: tuple[ConflictRow, ...] = ()

    def margins(self) -> list[tuple[float, Need]]:
        """What each need has to spare with the choice, least first; mm."""
        by_name = {each.name: each for each in self.found}
        heights = {name: pick.height for name, pick in self.picks.items()}
        pieces = {name: len(pick.pieces) for name, pick in self.picks.items()}
        found = [(need.margin(self.basis, by_name, heights, pieces), need) for need in self.needs]
        return sorted(found, key=lambda pair: pair[0])

    def binding(self, name: str) -> str:
        """The need that keeps a height from being less, in words; empty where it could as well be nothing."""
        height = self.picks[name].height
        lowest, decides = min(
            ((margin / need.rates[name], need) for margin, need in self.margins() if need.rates.get(name, 0.0) > 0.0),
            key=lambda pair: pair[0],
            default=(height, None),
        )
        return "" if decides is None or lowest >= height else f"{decides.title} ({lowest:.2f} mm to spare)"


def solve(study: Study) -> Solved:
    """Find the heights. Raises UsageError without a `heights` section, LayoutErrors for parts without one height."""
    layout = study.layout
    wanted = heights_of(layout)
    found = found_in(layout)
    needs = needs_of(study, found, wanted.so_that)
    shop, basis = shop_of(found), wanted.judge_by
    for _ in range(MOST_ROUNDS):
        study.progress("choosing heights")
        picks = choose(shop, needs, basis, wanted.prefer)
        if picks is None:
            return _without(shop, found, needs, basis)
        if basis == RSS and tighten(shop, needs, picks):
            continue
        placed = Study(with_heights(layout, found, picks), study.meshes, study.progress)
        further = _further(placed, found, picks, basis, needs)
        if not further:
            return Solved(
                found=found,
                picks=picks,
                needs=tuple(needs),
                basis=basis,
                least=_least(found, needs),
                placed=placed,
            )
        needs = further
    # Not one of the rounds' choices kept every rule: that is said, and never taken as met.
    gave_up = ConflictRow(
        what=f"gap rules of which {MOST_ROUNDS} choices in turn left some unmet", parts=(), check="", by=None, unit="mm"
    )
    return replace(_without(shop, found, needs, basis), conflict=(gave_up,))


def _least(found: Sequence[Found], needs: Sequence[Need]) -> dict[str, Mapping[str, float] | None]:
    return {basis: least(found, needs, basis) for basis in BASES}


def tighten(shop: Shop, needs: Sequence[Need], picks: Mapping[str, Pick]) -> bool:
    """Add the tangents that a choice calls for; whether there were any."""
    heights = {name: pick.height for name, pick in picks.items()}
    pieces = {name: len(pick.pieces) for name, pick in picks.items()}
    missed = [need for need in needs if need.margin(RSS, shop.found, heights, pieces) < -TOUCH_MM]
    for need in missed:
        add_tangent(shop, need, picks)
    return bool(missed)


def _further(
    placed: Study, found: Sequence[Found], picks: Mapping[str, Pick], basis: str, needs: Sequence[Need]
) -> list[Need]:
    """All needs so far and those of the gap rules that the choice leaves unmet; empty if it leaves none."""
    probe = Study(probed(placed.layout), placed.meshes)
    fresh = list(unmet_gaps(placed, probe, found, picks, basis))
    if not fresh:
        return []
    kept = [need for need in needs if need.title not in {each.title for each in fresh}]
    again = [_sharper(need, needs) for need in fresh]
    return [*kept, *again]


def _sharper(fresh: Need, needs: Sequence[Need]) -> Need:
    """The need of one gap, never looser than an earlier one by the same title along the same heights."""
    earlier = [need for need in needs if need.title == fresh.title and dict(need.rates) == dict(fresh.rates)]
    return replace(fresh, base=min([fresh.base, *(need.base for need in earlier)]))


def _without(shop: Shop, found: tuple[Found, ...], needs: Sequence[Need], basis: str) -> Solved:
    return Solved(
        found=found,
        picks={},
        needs=tuple(needs),
        basis=basis,
        least=_least(found, needs),
        placed=None,
        conflict=contradiction(shop, needs, basis),
    )


def contradiction(shop: Shop, needs: Sequence[Need], basis: str) -> tuple[ConflictRow, ...]:
    """The smallest set of needs and limits that cannot hold together: leaving out any one of them would mend it.

    Each row says how far that one alone would have to give way.
    """
    kept = _smallest(shop, [*needs, *shop.limits], basis)
    rows = []
    for each in kept:
        by = shortfall(shop, *_sorted(kept), basis, each)
        is_need = isinstance(each, Need)
        rows.append(
            ConflictRow(
                what=each.title,
                parts=each.parts if isinstance(each, Need) else (),
                check=each.check if isinstance(each, Need) else "",
                by=by,
                unit="mm" if is_need else "pieces",
            )
        )
    return tuple(rows)


def _smallest(shop: Shop, conditions: Sequence[Need | Limit], basis: str) -> list[Need | Limit]:
    """The fewest conditions that contradict each other, those named first in the file before others. Of very many
    conditions it is a set of which none can be spared, though another may be smaller still."""
    kept = list(conditions)
    for each in tuple(kept):
        rest = [other for other in kept if other is not each]
        if not is_possible(shop, *_sorted(rest), basis):
            kept = rest
    for size in range(1, len(kept)):
        if comb(len(conditions), size) > MOST_SETS:
            return kept
        for some in combinations(conditions, size):
            if not is_possible(shop, *_sorted(some), basis):
                return list(some)
    return kept


def _sorted(conditions: Sequence[Need | Limit]) -> tuple[list[Need], list[Limit]]:
    return (
        [each for each in conditions if isinstance(each, Need)],
        [each for each in conditions if isinstance(each, Limit)],
    )


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
