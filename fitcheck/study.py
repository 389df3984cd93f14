"""A layout placed and ready to be measured: what every check looks at.

Measures are memoised, and a study of a layout with one placing number changed takes over every measure that the change
does not touch.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType
from typing import TypeVar, cast

from fitcheck.model.layout import Layout
from fitcheck.model.part import Part, State
from fitcheck.model.rules import GapRule
from fitcheck.placing.chain import Chain
from fitcheck.placing.contacts import NOTHING_EXCUSED, Excuse, declared, excuse
from fitcheck.placing.forms import Extra, Form, Widths
from fitcheck.placing.local import MeshSource
from fitcheck.placing.matching import match
from fitcheck.placing.measure import Measure, PartPair
from fitcheck.placing.outermost import Box, outermost
from fitcheck.placing.pair import Shift
from fitcheck.placing.play import held_at

Progress = Callable[[str], None]
Value = TypeVar("Value")


def silent(_: str) -> None:
    """No progress."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two parts that share a build, in file order, and the rule that speaks of them."""

    one: Part
    other: Part
    rule: GapRule | None

    @property
    def names(self) -> tuple[str, str]:
        return self.one.name, self.other.name

    @property
    def required(self) -> float:
        """What the rule asks for; of a rule with a tolerance, the most it may ask for."""
        return 0.0 if self.rule is None else self.rule.at_least.high


class Study:
    """One layout, placed. `meshes` turns a mesh shape into its model."""

    def __init__(
        self, layout: Layout, meshes: MeshSource, progress: Progress = silent, known: Study | None = None
    ) -> None:
        self.layout = layout
        self.meshes = meshes
        self.progress = progress
        self.extra = Extra({name: (value.below, value.above) for name, value in layout.quantities.items()})
        self._remembered: dict[object, object] = {}
        self._chains: dict[State, Chain] = {}
        self._bounds: dict[State, Mapping[str, Box]] = {}
        self._pairs: dict[tuple[str, str, State, bool], PartPair] = {}
        self._measures: dict[object, Measure] = {} if known is None else known._measures
        self._worked: dict[object, object] = {} if known is None else known._worked

    def chain(self, state: State) -> Chain:
        if state not in self._chains:
            self._chains[state] = Chain(self.layout, state, self.meshes, self.extra)
        return self._chains[state]

    @property
    def widths(self) -> Widths:
        return self.extra.widths

    @cached_property
    def states(self) -> tuple[State, ...]:
        """Both ages if any part grows, else the beginning of life alone."""
        return tuple(State) if any(part.grows for part in self.layout.parts) else (State.BEGINNING,)

    def remembered(self, key: object, make: Callable[[], Value]) -> Value:
        """What `make` gives, worked out once for this study."""
        if key not in self._remembered:
            self._remembered[key] = make()
        return cast(Value, self._remembered[key])

    def worked_out(self, key: object, make: Callable[[], Value]) -> Value:
        """What `make` gives, shared with the studies that this one comes from: all that it rests on is in the key."""
        if key not in self._worked:
            self._worked[key] = make()
        return cast(Value, self._worked[key])

    def shares_work_of(self, other: Study) -> Study:
        """This study, which takes over what another has worked out, though nothing that was measured by name."""
        self._worked = other._worked
        return self

    def rule_for(self, one: Part, other: Part) -> GapRule | None:
        """The gap rule that speaks of a pair: the most specific, of those the one that asks for most."""
        first, second = (one.name, one.role), (other.name, other.role)
        ruling = [rule for rule in self.layout.gap_rules if rule.applies(first, second)]
        return max(ruling, key=lambda rule: (rule.rank, rule.at_least.high), default=None)

    @cached_property
    def _contacts(self) -> frozenset[frozenset[str]]:
        return frozenset(frozenset(names) for names in self.layout.contacts)

    def excused_altogether(self, pair: Pair) -> bool:
        """Whether the layout's list of contacts names the pair."""
        return frozenset(pair.names) in self._contacts

    def changes_with_age(self, pair: Pair) -> bool:
        """Whether either part grows or is carried by one that does."""
        young, old = self.chain(State.BEGINNING), self.chain(State.END)
        return any(
            part.grows or any(_differs(young.origin(part, axis), old.origin(part, axis)) for axis in range(3))
            for part in (pair.one, pair.other)
        )

    def part_pair(self, pair: Pair, state: State, *, with_contacts: bool) -> PartPair:
        """The pair to be measured; `with_contacts` leaves out what declared contacts excuse (gaps, never overlaps)."""
        key = (*pair.names, state, with_contacts)
        if key not in self._pairs:
            chain = self.chain(state)
            excused: tuple[Excuse, Excuse] = (NOTHING_EXCUSED, NOTHING_EXCUSED)
            if with_contacts:
                excused = (
                    excuse(chain, pair.other, pair.one, pair.required),
                    excuse(chain, pair.one, pair.other, pair.required),
                )
            self._pairs[key] = PartPair(chain, pair.one, pair.other, match, excused)
        return self._pairs[key]

    def touch(self, pair: Pair) -> bool:
        """Whether either part's words declare a contact with the other."""
        return any(declared(pair.one, pair.other)) or any(declared(pair.other, pair.one))

    def leaves_regions_out(self, pair: Pair, state: State) -> bool:
        """Whether a declared contact leaves part of a prism or mesh out of the pair's gap."""
        chain = self.chain(state)
        return self.touch(pair) and any(
            excuse(chain, standing, support, pair.required).regions
            for standing, support in ((pair.one, pair.other), (pair.other, pair.one))
        )

    def measure(self, pair: Pair, state: State, *, with_contacts: bool) -> Measure | None:
        """The band of a pair; None if contacts leave nothing to measure."""
        part_pair = self.part_pair(pair, state, with_contacts=with_contacts)
        if part_pair.is_empty:
            return None
        key = self._signature(pair, state, with_contacts)
        if key not in self._measures:
            self._measures[key] = part_pair.measure()
        return self._measures[key]

    def _signature(self, pair: Pair, state: State, with_contacts: bool) -> object:
        """What a measure depends on, the parts themselves aside: how the two stand to each other and who turns what."""
        chain = self.chain(state)
        apart = (chain.origin(pair.other, axis) - chain.origin(pair.one, axis) for axis in range(3))
        return (
            *pair.names,
            state,
            with_contacts,
            pair.required if with_contacts else 0.0,
            *((round(form.nominal, 9), frozenset(form.terms.items())) for form in apart),
        )

    def held(self, moves: Mapping[str, Shift]) -> Study:
        """The same with some parts held at one place of their play, part name -> how far off the drawn one (mm)."""
        return self.remembered(("held", *sorted(moves.items())), lambda: self._held(moves))

    def _held(self, moves: Mapping[str, Shift]) -> Study:
        parts = tuple(held_at(part, moves[part.name]) if part.name in moves else part for part in self.layout.parts)
        own = {play.free.name: play.free for part in parts for play in part.play}
        quantities = MappingProxyType({**self.layout.quantities, **own})
        return Study(replace(self.layout, parts=parts, quantities=quantities), self.meshes, self.progress)

    def bounds(self, state: State) -> Mapping[str, Box]:
        """The bounding box of every part, each face at its outermost: name -> ((low, high) for x, y, z)."""
        if state not in self._bounds:
            chain = self.chain(state).swept(self.widths)
            self._bounds[state] = {part.name: outermost(chain, part) for part in self.layout.parts}
        return self._bounds[state]


def _differs(one: Form, other: Form) -> bool:
    return abs(one.nominal - other.nominal) > 1e-12 or one.terms != other.terms
