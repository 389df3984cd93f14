"""What a choice of heights must keep: linear needs, and gaps that can be had on either side.

A gap rule between two parts forbids a span of lifts: the other part stands high enough above, or low enough below, or
the tolerance is less because there are fewer pieces. Each is linear in heights and pieces; together they are an Either.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fitcheck.stack.found import Pick
from fitcheck.stack.needs import Need
from fitcheck.stack.shop import Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way out: the weighted heights (mm) and numbers of pieces reach at least `least`."""

    heights: Mapping[str, float]
    least: float
    pieces: Mapping[str, float]

    def spare(self, picks: Mapping[str, Pick]) -> float:
        reached = sum(rate * picks[name].height for name, rate in self.heights.items())
        return reached + sum(weight * len(picks[name].pieces) for name, weight in self.pieces.items()) - self.least


@dataclass(frozen=True, slots=True, kw_only=True)
class Either:
    """At least one of the `ways` must be taken. `title` is that of the rule it comes from."""

    title: str
    ways: tuple[Way, ...]

    def spare(self, picks: Mapping[str, Pick]) -> float:
        """What the best way has to spare, negative where none is taken."""
        return max(way.spare(picks) for way in self.ways)


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """Everything that one line of the layout asks for, so that it stands or falls as one.

    `needs` are linear; a gap rule has none, and `eithers` as far as they were found; `limit` is set for a bound on
    pieces alone. `is_soft`: heights keep it where they can, and something else mends it where they cannot.
    """

    title: str
    check: str = ""
    parts: tuple[str, ...] = ()
    needs: tuple[Need, ...] = ()
    eithers: tuple[Either, ...] = ()
    limit: Limit | None = None
    is_soft: bool = False

    @property
    def is_gap(self) -> bool:
        return self.limit is None and not self.needs


def conditions_of(needs: Sequence[Need], limits: Sequence[Limit]) -> list[Condition]:
    """One condition for each title, in file order, the limits on pieces after the demands."""
    by_title: dict[str, list[Need]] = {}
    for need in needs:
        by_title.setdefault(need.title, []).append(need)
    demands = [
        Condition(title=title, check=same[0].check, parts=same[0].parts, needs=tuple(same))
        for title, same in by_title.items()
    ]
    return [*demands, *(Condition(title=limit.title, limit=limit) for limit in limits)]
