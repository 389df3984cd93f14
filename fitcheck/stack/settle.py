"""Choosing, placing and measuring in turn, until a choice keeps every gap rule besides the demands."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from fitcheck.stack.conditions import Condition
from fitcheck.stack.found import Pick
from fitcheck.stack.upright_gaps import Unmet, UprightGaps
from fitcheck.study import Study

MOST_ROUNDS = 200
"""Each round adds what the choice before it left unmet; boxes judged by the worst case need two."""

Picks = Mapping[str, Pick]
Picking = Callable[[Sequence[Condition]], Picks | None]


class GaveUp(Exception):
    """Not one of very many choices in turn kept every gap rule."""


@dataclass(frozen=True, kw_only=True)
class Settled:
    """`picks` and `placed` are None where nothing keeps the conditions. `conditions` are those given and the gap rules
    that came up; `beyond` are the soft ones that no choice keeps together with the rest."""

    picks: Picks | None
    placed: Study | None
    conditions: tuple[Condition, ...]
    beyond: tuple[Condition, ...] = ()


class Known:
    """The spans that gap rules forbid, as far as choices have met with them. They hold for every choice, so that what
    one question finds spares the next one the measuring."""

    def __init__(self, gaps: UprightGaps, basis: str) -> None:
        self.gaps, self.basis = gaps, basis
        self._rules: dict[tuple[str, bool], Condition] = {}

    @property
    def rules(self) -> list[Condition]:
        return list(self._rules.values())

    def as_known(self, condition: Condition) -> Condition:
        """A condition, a gap rule with all that is known of it."""
        return self._rule(condition) if condition.is_gap else condition

    def _rule(self, condition: Condition) -> Condition:
        return self._rules.get((condition.title, condition.is_soft), replace(condition, eithers=()))

    def learn(self, unmet: Sequence[Unmet]) -> None:
        for each in unmet:
            blank = Condition(title=each.title, check="gap", parts=each.parts, is_soft=not each.is_upright)
            rule = self._rule(blank)
            self._rules[each.title, blank.is_soft] = replace(rule, eithers=(*rule.eithers, *each.eithers))


def settle(conditions: Sequence[Condition], known: Known, pick: Picking, leave_out: Collection[str] = ()) -> Settled:
    """A choice by `pick` that keeps the conditions and all gap rules, but for titles left out. Raises GaveUp."""
    beyond: dict[str, Condition] = {}
    for _ in range(MOST_ROUNDS):
        held = [each for each in (*conditions, *known.rules) if not (each.is_soft and each.title in beyond)]
        picks = pick(held)
        if picks is None:
            soft = [each for each in held if each.is_soft]
            if not soft:
                return Settled(picks=None, placed=None, conditions=tuple(held), beyond=tuple(beyond.values()))
            beyond |= {each.title: each for each in _not_to_be_had(held, soft, pick)}
            continue
        placed = known.gaps.placed(picks)
        unmet = known.gaps.unmet(placed, picks, known.basis, leave_out={*beyond, *leave_out})
        if not unmet:
            return Settled(picks=picks, placed=placed, conditions=tuple(held), beyond=tuple(beyond.values()))
        known.learn(unmet)
    raise GaveUp


def _not_to_be_had(held: Sequence[Condition], soft: Sequence[Condition], pick: Picking) -> list[Condition]:
    """The soft conditions that must be left aside, those named last in the file first."""
    kept = [each for each in held if not each.is_soft]
    if pick(kept) is None:
        return list(soft)
    aside = []
    for each in soft:
        if pick([*kept, each]) is None:
            aside.append(each)
        else:
            kept.append(each)
    return aside


def settled_among(conditions: Sequence[Condition], known: Known, pick: Picking, giving: str = "") -> Picks | None:
    """A choice by `pick` that truly keeps just these conditions, the gap rules among them measured, but for the title
    that gives way; None if there is none. Raises GaveUp."""
    titles = {each.title for each in conditions if each.is_gap and each.title != giving}
    for _ in range(MOST_ROUNDS):
        picks = pick([known.as_known(each) for each in conditions])
        if picks is None or not titles:
            return picks
        found = known.gaps.unmet(known.gaps.placed(picks), picks, known.basis, only=titles)
        unmet = [each for each in found if each.is_upright]
        if not unmet:
            return picks
        known.learn(unmet)
    raise GaveUp
