"""What is tried for two live parts that are too near: a changed layout, and what the checks say of it.

A change counts only if the same check, run on the changed layout, finds the pair *met* at every age, and no other
finding about overlap, gaps, what stays inside the case, clearance or creepage has become worse.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from fitcheck.checks import clearance, containment, creepage, gap, overlap
from fitcheck.checks.air_way import air_ways
from fitcheck.checks.mend import leaves_the_case, mends
from fitcheck.checks.potentials import Kind, is_insulation, kind_of
from fitcheck.checks.surface_way import surface_ways
from fitcheck.findings import Finding, Status
from fitcheck.model.layout import Layout
from fitcheck.model.part import FREE_SPACE_ROLES, Build, Part, State
from fitcheck.model.sections import Electrical
from fitcheck.placing.facets import facets_of
from fitcheck.placing.outermost import Box
from fitcheck.placing.placed import Columns, placed_pieces
from fitcheck.standards.insulation import GROOVE_MM
from fitcheck.study import Study

STEP_MM = 0.5
"""Heights, depths and distances are searched to this."""
PROVABLE_MM = 0.05
"""A way is proven long enough only if it is longer by about this."""
MOST_WAYS = 16
MOST_WAYS_DEAR = 6
FEW_FACES = 3000
"""How often the way of one pair is worked out anew, the second through air and where the insulation has more
facets than this; what is not found by then is not said."""

_CHECKS = {clearance.NAME: clearance.check, creepage.NAME: creepage.check}


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A changed layout, told from others of its pair by `key`. `changed` names what is new in it or stands elsewhere;
    `cut` is the box from which matter was taken away, which no overlap, gap or case minds.
    """

    key: Hashable
    layout: Layout
    changed: tuple[str, ...]
    cut: Box | None = None


class Bench:
    """Trials for one pair that is not met."""

    def __init__(
        self, study: Study, build: Build, electrical: Electrical, finding: Finding, before: Sequence[Finding]
    ) -> None:
        self.study, self.build, self.electrical, self.finding = study, build, electrical, finding
        self.layout = study.layout
        self.state = State(finding.state)
        self.required = finding.required or 0.0
        self._names = frozenset(finding.parts)
        self._before = list(before)
        fine = study.remembered(("fine insulation", build, self.state), self._is_fine)
        self._left = MOST_WAYS if self.creeps and not fine else MOST_WAYS_DEAR
        self._found: dict[Hashable, list[Finding]] = {}

    def _is_fine(self) -> bool:
        chain = self.study.chain(self.state)
        insulation = [part for part in self.layout.in_build(self.build) if is_insulation(part)]
        pieces = [piece for part in insulation for piece in placed_pieces(chain, part)]
        return sum(len(facets_of(piece, Columns(())).faces) for piece in pieces) > FEW_FACES

    @property
    def is_spent(self) -> bool:
        """Whether the pair's share of work is used up."""
        return self._left <= 0

    @property
    def creeps(self) -> bool:
        """Whether it is a way over surfaces; else one through air."""
        return self.finding.check == creepage.NAME

    @property
    def bridged(self) -> float:
        """Openings narrower than this, in mm, count as none."""
        return GROOVE_MM[self.electrical.pollution_degree] if self.creeps else 0.0

    @property
    def short(self) -> float:
        """By how much the way may fall short of what is asked for, mm."""
        return self.required - (0.0 if self.finding.band is None else self.finding.band.low)

    @property
    def route(self) -> tuple[Part, ...]:
        """The conductors along the way, both ends counted in."""
        one, other = (self.layout.by_name[name] for name in self.finding.parts)
        return one, *self.over, other

    @cached_property
    def over(self) -> tuple[Part, ...]:
        """The floating metal that makes the way shorter."""
        make = surface_ways if self.creeps else air_ways
        one, other = (self.layout.by_name[name] for name in self.finding.parts)
        return make(self.study, self.build, self.state, self.electrical).way(one, other, self.required).over

    def holds(self, trial: Trial) -> bool:
        """Whether the pair alone is met; no more is found out once the pair's share of work is used up."""
        if trial.key not in self._found:
            if self._left <= 0:
                return False
            self._left -= 1
            self._found[trial.key] = self._electric(trial, self._names, self.finding.check)
        return self._is_met(self._found[trial.key])

    def accepts(self, trial: Trial) -> bool:
        """Whether the pair is met and nothing else has become worse."""
        if not self.holds(trial):
            return False
        if not self.fits(trial):
            return False
        concerned = self._concerned(self._after(trial), trial)
        return all(self._is_no_worse(trial, concerned, check) for check in _CHECKS)

    def fits(self, trial: Trial) -> bool:
        """Whether no overlap, no gap and nothing inside the case has become worse."""
        if trial.cut is not None:
            return True
        after = self._after(trial)
        solid = [*overlap.check(after, self.build), *gap.check(after, self.build)]
        solid += containment.check(after, self.build)
        return mends(self.finding, self._before, solid) and not leaves_the_case(self.study, after, self.build)

    def _is_no_worse(self, trial: Trial, concerned: frozenset[str], check: str) -> bool:
        known = check == self.finding.check and concerned == self._names
        found = self._found[trial.key] if known else self._electric(trial, concerned, check)
        return mends(self.finding, self._before, found) and self._is_met(found)

    def least(self, holds: Callable[[float], bool], first: int, most: float, *, below: bool = False) -> float | None:
        """A length in mm, in whole steps, from which `holds`: `first` steps, else more of them up to `most` mm.

        What does not hold costs most to find out: the next step is tried, then the last one, then what lies between.
        Fewer steps are tried only where `below` says that they might do.
        """
        last = int(most / STEP_MM + 1e-9)
        low, high = 0 if below else first - 1, first
        if first > last:
            return None
        if not holds(first * STEP_MM):
            low = first
            high = next((each for each in (first + 1, last) if first < each <= last and holds(each * STEP_MM)), -1)
            if high < 0:
                return None
        elif below and first > 1 and not holds((first - 1) * STEP_MM):
            low = first - 1
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if holds(middle * STEP_MM) else (middle, high)
        return high * STEP_MM

    def more(self, share: float) -> int:
        """How many steps, each of which makes the way longer by `share` of itself, make up for what is missing.

        A way that is only just long enough is hardly ever proven to be.
        """
        return max(1, steps((self.short + PROVABLE_MM) / share))

    def _after(self, trial: Trial) -> Study:
        known = self.study if trial.cut is None else None
        return Study(trial.layout, self.study.meshes, self.study.progress, known=known).shares_work_of(self.study)

    def _electric(self, trial: Trial, names: frozenset[str], check: str) -> list[Finding]:
        """What a check finds between some conductors, the others not looked at."""
        after = self._after(replace(trial, layout=self._among(trial.layout, names)))
        return [finding for finding in _CHECKS[check](after, self.build) if finding.band is not None]

    def _is_met(self, findings: Sequence[Finding]) -> bool:
        """Whether the pair is met at every age, by the rules that the finding is about; a pair too far apart to be
        listed has no finding.
        """
        rules, key = self.finding.rule.rule_set, (self.finding.check, self.finding.parts)
        return all(
            one.status is Status.MET for one in findings if (one.check, one.parts) == key and one.rule.rule_set == rules
        )

    def _among(self, layout: Layout, names: frozenset[str]) -> Layout:
        """The layout in which no conductor but these counts: the others stand for space."""

        def stands(part: Part) -> Part:
            kind = kind_of(self.electrical, part)
            if part.name in names or kind not in (Kind.LIVE, Kind.BONDED):
                return part
            return replace(part, role=FREE_SPACE_ROLES[0], potential=None)

        return replace(layout, parts=tuple(stands(part) for part in layout.parts))

    def _concerned(self, after: Study, trial: Trial) -> frozenset[str]:
        """Conductors with a way to what is changed no longer than anything that is asked for, floating metal crossed
        for nothing: no way between others can have become shorter."""
        asked = [finding.required or 0.0 for finding in self._before if finding.check in _CHECKS]
        reach = max([self.required, *asked])
        near = [trial.cut] if trial.cut is not None else []
        for placed in (self.study, after):
            names = [name for name in trial.changed if name in placed.layout.by_name]
            near += [placed.bounds(state)[name] for state in placed.states for name in names]
        floating = [
            part.name for part in after.layout.in_build(self.build) if kind_of(self.electrical, part) is Kind.FLOATING
        ]
        bounds = [after.bounds(state) for state in after.states]
        while floating:
            joined = [name for name in floating if _is_near([each[name] for each in bounds], near, reach)]
            if not joined:
                break
            near += [each[name] for each in bounds for name in joined]
            floating = [name for name in floating if name not in joined]
        return self._names | {
            part.name
            for part in after.layout.in_build(self.build)
            if kind_of(self.electrical, part) in (Kind.LIVE, Kind.BONDED)
            and _is_near([each[part.name] for each in bounds], near, reach)
        }


def steps(length: float) -> int:
    """How many whole steps reach a length in mm."""
    return math.ceil(length / STEP_MM - 1e-6)


def _is_near(boxes: Sequence[Box], others: Sequence[Box], within: float) -> bool:
    return any(box_gap(one, other) <= within for one in boxes for other in others)


def box_gap(one: Box, other: Box) -> float:
    """The distance of two boxes, 0 where they meet."""
    return math.hypot(*(max(other[k][0] - one[k][1], one[k][0] - other[k][1], 0.0) for k in range(3)))
