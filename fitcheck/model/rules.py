"""What the layout asks for: gap rules, contacts, concessions."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import NOWHERE, Mark
from fitcheck.model.quantity import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Selector:
    """Which parts a rule speaks of: exactly one of a part name, a role, or anything."""

    part: str | None = None
    role: str | None = None

    def chooses(self, name: str, role: str) -> bool:
        if self.part is not None:
            return self.part == name
        return self.role is None or self.role == role

    @property
    def rank(self) -> int:
        """2 for one part, 1 for a role, 0 for anything."""
        return 2 if self.part is not None else 1 if self.role is not None else 0

    def __str__(self) -> str:
        return self.part or (f"every {self.role}" if self.role else "anything")


@dataclass(frozen=True, slots=True, kw_only=True)
class GapRule:
    """The least distance between two kinds of parts, in mm."""

    between: tuple[Selector, Selector]
    at_least: Quantity
    because: str = ""
    at: Mark = NOWHERE

    def applies(self, one: tuple[str, str], other: tuple[str, str]) -> bool:
        """Whether the rule speaks of this pair; each part is (name, role)."""
        a, b = self.between
        return (a.chooses(*one) and b.chooses(*other)) or (a.chooses(*other) and b.chooses(*one))

    @property
    def rank(self) -> int:
        """Specificity: part-part beats part-role beats role-role beats anything.

        A part and anything is as specific as two roles, so that of those two the one that asks for more counts.
        """
        return sum(selector.rank for selector in self.between)


@dataclass(frozen=True, slots=True, kw_only=True)
class Concession:
    """A signed allowance: one check on one pair may go down to a lesser value."""

    check: str
    parts: tuple[str, ...]
    down_to: Quantity
    because: str
    signed: str
    date: str
    at: Mark = NOWHERE
