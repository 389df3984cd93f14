"""What a flat section holds, and what a way through it looks like; lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

Point = tuple[float, float]
Points = Sequence[Sequence[float]]

SAME_MM = 1e-7
"""Points nearer than this are one point, and joints narrower than this are closed. Drawn figures repeat to 1e-12."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Insulator:
    """One insulating body: an outline and its holes, either way round, none crossing itself."""

    outline: Points
    holes: Sequence[Points] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Metal:
    """One piece of metal: the outline of a solid, or (`solid` false) a line without thickness.

    A line of a single point is a conductor as small as a point.
    """

    points: Points
    solid: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A flat section through insulating bodies and two conductors.

    `cemented` lists groups of indices into `insulators`: the bodies of a group are one body, without joints. Bodies
    that touch and are not cemented have a joint, whose faces are surfaces like any other. `a` and `b` are the two
    conductors, each of one or more pieces at one potential; each piece of `floating` is metal of its own.
    """

    insulators: Sequence[Insulator]
    a: Sequence[Metal]
    b: Sequence[Metal]
    floating: Sequence[Metal] = ()
    cemented: Sequence[Sequence[int]] = ()

    def __post_init__(self) -> None:
        if not self.a or not self.b:
            raise ValueError("each conductor of a section needs a piece of metal")


class Over(StrEnum):
    """What a leg of a way runs over."""

    AIR = "air"
    SURFACE = "surface"
    BRIDGE = "bridge"
    METAL = "metal"


class Leg(NamedTuple):
    """A straight part of a way. A leg through metal counts nothing; it is drawn straight from its entry to its exit."""

    over: Over
    start: Point
    end: Point

    @property
    def length(self) -> float:
        return 0.0 if self.over is Over.METAL else math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A shortest way from conductor to conductor. A way without legs joins conductors that touch."""

    legs: tuple[Leg, ...]

    @property
    def length(self) -> float:
        return math.fsum(leg.length for leg in self.legs)

    @property
    def corners(self) -> tuple[Point, ...]:
        """The points that the way runs through in order, each once."""
        if not self.legs:
            return ()
        return (self.legs[0].start, *(leg.end for leg in self.legs))

    @property
    def bridged(self) -> tuple[tuple[Point, Point], ...]:
        """The ends of each stretch of air that counted as bridged, in order."""
        return tuple((leg.start, leg.end) for leg in self.legs if leg.over is Over.BRIDGE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Paths:
    """Both ways of a section; None where there is none. `x_mm` is the groove width that was used."""

    clearance: Way | None
    creepage: Way | None
    x_mm: float
