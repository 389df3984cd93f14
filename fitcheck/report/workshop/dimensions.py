"""Dimensions on a drawing: overall sizes between arrows, and running sizes that all count from the datum."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Point2
from fitcheck.report.workshop.paper import Paper

LETTER = 2.8
SMALL = 2.4
APART = 3.1
"""Least distance between the base lines of running sizes, in mm on paper."""

MOST_RUNNING = 30


def number(value: float) -> str:
    """At most two decimals, none that say nothing."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def with_band(value: Quantity, sign: str = "") -> str:
    """The size with its own tolerance; what follows a general tolerance stands in the title block."""
    return sign + number(value.nominal) if value.basis.startswith("ISO 2768") else with_any_band(value, sign)


def with_any_band(value: Quantity, sign: str = "") -> str:
    """The size with its tolerance, also where that is the general one."""
    text = sign + number(value.nominal)
    if value.is_exact:
        return text
    if abs(value.above - value.below) < 1e-9:
        return f"{text} ±{number(value.above)}"
    return f"{text} +{number(value.above)}/-{number(value.below)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """Draws along one direction of the sheet. `cross` maps (along, across) to a point of the paper."""

    paper: Paper
    cross: Callable[[float, float], Point2]
    upright: bool

    def overall(self, start: float, end: float, across: float, edge: float, text: str) -> None:
        """A dimension line at `across` with extension lines from `edge`."""
        away = 1.0 if across > edge else -1.0
        for at in (start, end):
            self.paper.line([self.cross(at, edge + away), self.cross(at, across + 1.5 * away)])
        wide = self.paper.width_of(text, LETTER)
        unit = self._unit()
        if end - start > 8.0:
            self.paper.line([self.cross(start, across), self.cross(end, across)])
            self.paper.arrow(self.cross(start, across), (-unit[0], -unit[1]))
            self.paper.arrow(self.cross(end, across), unit)
        else:
            self.paper.line([self.cross(start - 5.0, across), self.cross(end + 5.0, across)])
            self.paper.arrow(self.cross(start, across), unit)
            self.paper.arrow(self.cross(end, across), (-unit[0], -unit[1]))
        if wide + 2.0 <= end - start:
            self.paper.text(
                self._above((start + end) / 2.0, across), text, LETTER, anchor="middle", upright=self.upright
            )
        elif self.upright:
            self.paper.text(self._above(end + 6.0, across), text, LETTER, upright=True)
        else:
            x, y = self.cross((start + end) / 2.0, across + 1.5 * away)
            self.paper.text((x, y - LETTER), text, LETTER, anchor="middle")

    def running(self, origin: float, scale: float, values: Sequence[float], across: float, edge: float) -> None:
        """Sizes that count from the datum at `origin`, each written beside its own line; the datum has a ring."""
        away = 1.0 if across > edge else -1.0
        places = [origin + value * scale for value in values]
        seats = spread(places, APART)
        ends = (min(origin, *places), max(origin, *places))
        self.paper.line([self.cross(ends[0], across), self.cross(ends[1], across)])
        for value, place, seat in zip(values, places, seats, strict=True):
            far = across + 3.0 * away
            self.paper.line([self.cross(place, edge + away), self.cross(place, across), self.cross(seat, far)])
            unit = self._unit()
            sign = 1.0 if value > 0.0 else -1.0
            self.paper.arrow(self.cross(place, across), (unit[0] * sign, unit[1] * sign), 1.9)
            self._running_text(seat, far + 0.5 * away, number(value))
        self.paper.circle(self.cross(origin, across), 0.7, "thin", fill="#ffffff")

    def _running_text(self, along: float, across: float, text: str) -> None:
        """Written across the ruler, its middle on `along`, its near end at `across`."""
        drop = SMALL * 0.36
        if self.upright:
            self.paper.text(self.cross(along - drop, across), text, SMALL, anchor="end")
        else:
            self.paper.text(self.cross(along + drop, across), text, SMALL, anchor="end", upright=True)

    def _unit(self) -> Point2:
        (x0, y0), (x1, y1) = self.cross(0.0, 0.0), self.cross(1.0, 0.0)
        return (x1 - x0, y1 - y0)

    def _above(self, along: float, across: float) -> Point2:
        """Just off a dimension line, on the side where text stands."""
        x, y = self.cross(along, across)
        return (x - 0.8, y) if self.upright else (x, y + 0.8)


def level(paper: Paper) -> Ruler:
    return Ruler(paper=paper, cross=lambda along, across: (along, across), upright=False)


def plumb(paper: Paper) -> Ruler:
    return Ruler(paper=paper, cross=lambda along, across: (across, along), upright=True)


def spread(places: Sequence[float], apart: float) -> list[float]:
    """The places, moved as little as this simple way allows, so that neighbours stand `apart`; ascending order kept."""
    order = sorted(range(len(places)), key=lambda index: places[index])
    groups: list[tuple[list[int], float]] = []
    for index in order:
        members, middle = [index], places[index]
        while groups and middle - groups[-1][1] < apart * (len(members) + len(groups[-1][0])) / 2.0 - 1e-9:
            before, _ = groups.pop()
            members = before + members
            middle = sum(places[member] for member in members) / len(members)
        groups.append((members, middle))
    seats = [0.0] * len(places)
    for members, middle in groups:
        for rank, member in enumerate(members):
            seats[member] = middle + apart * (rank - (len(members) - 1) / 2.0)
    return seats
