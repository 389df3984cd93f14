"""Straight runs, arcs and point chains of a flat drawing, and how each becomes corners of an outline.

An arc is cut into straight pieces on the side where there is no material, so that the part is never drawn too small:
outside the arc where the material is on the side of its centre, by chords where it is not. The points where an arc is
farthest out keep their exact place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

Point2 = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Straight:
    start: Point2
    end: Point2

    def turned(self) -> Straight:
        return Straight(self.end, self.start)

    def corners(self, off: float, material_left: bool) -> list[Point2]:
        """From start to end, both included."""
        return [self.start, self.end]


@dataclass(frozen=True, slots=True)
class Bow:
    """An arc from the angle `first` through `sweep` radians, positive to the left."""

    centre: Point2
    radius: float
    first: float
    sweep: float

    @property
    def start(self) -> Point2:
        return self._at(self.first)

    @property
    def end(self) -> Point2:
        return self.start if self.is_whole else self._at(self.first + self.sweep)

    @property
    def middle(self) -> Point2:
        return self._at(self.first + self.sweep / 2.0)

    @property
    def is_whole(self) -> bool:
        return abs(abs(self.sweep) - 2.0 * math.pi) < 1e-12

    def turned(self) -> Bow:
        return Bow(self.centre, self.radius, self.first + self.sweep, -self.sweep)

    def corners(self, off: float, material_left: bool) -> list[Point2]:
        """Straight pieces no farther than `off` from the arc; a whole circle ends where it begins."""
        outside = (self.sweep > 0.0) == material_left
        share = self.radius / (self.radius + off) if outside else 1.0 - min(off / self.radius, 1.0)
        half = math.acos(max(share, 0.5))
        found = [self.start]
        for low, high in self._quarters():
            pieces = max(1, math.ceil(abs(high - low) / (2.0 * half)))
            step = (high - low) / pieces
            for number in range(pieces):
                if outside:
                    found.append(self._at(low + (number + 0.5) * step, 1.0 / math.cos(step / 2.0)))
                else:
                    found.append(self._at(low + (number + 1) * step))
        if not outside:
            found[-1] = self.end
        elif self.is_whole:
            found[0] = found[-1]  # the circle's start lies on a side, it is no corner
        else:
            found.append(self.end)
        return found

    def _quarters(self) -> list[tuple[float, float]]:
        """The arc cut where it is farthest out along an axis."""
        last = self.first + self.sweep
        low, high = min(self.first, last), max(self.first, last)
        quarter = math.pi / 2.0
        cuts = [k * quarter for k in range(math.ceil(low / quarter), math.floor(high / quarter) + 1)]
        ends = [low, *(cut for cut in cuts if low + 1e-9 < cut < high - 1e-9), high]
        if self.sweep < 0.0:
            ends.reverse()
        return list(pairwise(ends))

    def _at(self, angle: float, share: float = 1.0) -> Point2:
        reach = self.radius * share
        return self.centre[0] + reach * math.cos(angle), self.centre[1] + reach * math.sin(angle)


@dataclass(frozen=True, slots=True)
class Chain:
    """Points on a free curve, dense enough to stand for it."""

    points: tuple[Point2, ...]

    @property
    def start(self) -> Point2:
        return self.points[0]

    @property
    def end(self) -> Point2:
        return self.points[-1]

    def turned(self) -> Chain:
        return Chain(self.points[::-1])

    def corners(self, off: float, material_left: bool) -> list[Point2]:
        return list(self.points)


Run = Straight | Bow | Chain


@dataclass(frozen=True, slots=True)
class Contour:
    """Runs that follow one another and close."""

    runs: tuple[Run, ...]

    @property
    def is_curved(self) -> bool:
        return any(isinstance(run, Bow) for run in self.runs)

    @property
    def is_free(self) -> bool:
        return any(isinstance(run, Chain) for run in self.runs)

    def ring(self, off: float, *, material_inside: bool) -> list[Point2]:
        """Its corners, each once, with the material on the left."""
        rough = _cleaned([corner for run in self.runs for corner in run.corners(off, True)])
        runs: Sequence[Run] = self.runs
        if (area(rough) > 0.0) != material_inside:
            runs = [run.turned() for run in reversed(self.runs)]
        return _cleaned([corner for run in runs for corner in run.corners(off, True)])


def _cleaned(corners: Sequence[Point2]) -> list[Point2]:
    """Without corners that repeat the one before."""
    found: list[Point2] = []
    for corner in corners:
        if not found or math.dist(corner, found[-1]) > 1e-9:
            found.append(corner)
    while len(found) > 1 and math.dist(found[0], found[-1]) <= 1e-9:
        found.pop()
    return found


def area(ring: Sequence[Point2]) -> float:
    """Of a closed ring, positive when it goes round to the left."""
    following = [*ring[1:], *ring[:1]]
    return sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(ring, following, strict=True)) / 2.0
