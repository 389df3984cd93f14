"""Where a number or a rule was read."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """The public origin of a number.

    `verified` says in plain words how the figure was checked: "read on two independent public pages", "from memory",
    "computed here", "common practice, no source".
    """

    document: str
    clause: str = ""
    verified: str = ""

    def __str__(self) -> str:
        text = self.document + (f", {self.clause}" if self.clause else "")
        return text + (f" ({self.verified})" if self.verified else "")


PRACTICE = Source(document="common practice", verified="no source")
