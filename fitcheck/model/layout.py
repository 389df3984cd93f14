"""The whole layout, as read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from fitcheck.errors import NOWHERE, Mark
from fitcheck.model.part import Build, Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.rules import Concession, GapRule
from fitcheck.model.sections import Sections

LIST_WITHIN_MM = 25.0
"""Pairs farther apart than their rule, their band and this are counted, not listed, unless the layout says other."""


@dataclass(frozen=True, kw_only=True)
class Layout:
    """One layout file.

    `axes` gives the vehicle direction of the case axes x, y, z, such as ("rearward", "right", "up"). `quantities` is
    every toleranced value of the parts by name. `judge_by` is "worst case" or "rss".
    """

    file: str
    title: str
    sha256: str
    axes: tuple[str, str, str]
    datum: str
    judge_by: str
    parts: tuple[Part, ...]
    gap_rules: tuple[GapRule, ...] = ()
    contacts: tuple[tuple[str, str], ...] = ()
    concessions: tuple[Concession, ...] = ()
    list_within: float = LIST_WITHIN_MM
    quantities: Mapping[str, Quantity] = field(default_factory=lambda: MappingProxyType({}))
    sections: Sections = field(default_factory=Sections)
    at: Mark = NOWHERE

    @cached_property
    def by_name(self) -> Mapping[str, Part]:
        return MappingProxyType({part.name: part for part in self.parts})

    def in_build(self, build: Build) -> Iterator[Part]:
        """The parts of one build, in file order."""
        return (part for part in self.parts if build.holds(part.change))

    @property
    def up(self) -> tuple[int, int]:
        """(axis index, +1 or -1) of the upward direction."""
        return self.direction("up")

    def direction(self, word: str) -> tuple[int, int]:
        """(axis index, sign) of a vehicle direction word: "rearward", "forward", "left", "right", "up" or "down"."""
        opposite = {"rearward": "forward", "left": "right", "up": "down"}
        opposite |= {value: key for key, value in opposite.items()}
        if word in self.axes:
            return self.axes.index(word), 1
        return self.axes.index(opposite[word]), -1
