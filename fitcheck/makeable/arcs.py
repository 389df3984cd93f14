"""Arcs that a ring of corners stands for, found again: a shop wants one arc with its radius, not forty short lines.

A run of short sides becomes an arc only where all of its corners lie on one circle (chords), or all of its sides touch
one (the way in which outlines are cut into straight pieces outside of the curve), within ON_MM, turning all the same
way and by little at each corner. Short arcs side by side that turn on into each other are a free curve, such as an
ellipse: that stays as it is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fitcheck.makeable.contour import Loop, Round, ring_of
from fitcheck.model.shape import Point2, Ring

Array = NDArray[np.float64]

ON_MM = 0.005
"""Corners or sides of an arc lie this near to its circle."""

OFF_MM = 0.03
"""No straight side of a run lies farther from its arc than this: what is judged and what is cut are then the same."""

LEAST_SIDES = 4
MOST_TURN = math.radians(24.0)
"""Fewer sides, or sharper corners, are meant as drawn: a chamfer, a hexagon."""

MOST_ANGLE = math.radians(358.0)

SURE = math.radians(30.0)
SURE_SIDES = 8
"""An arc through at least this angle, of so many sides, and nearer to its circle than half of ON_MM is one whatever is
beside it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """From corner to corner of a ring, counter-clockwise: straight, or an arc with `radius` and `centre`, in mm.

    `bulge` is the tangent of a quarter of the angle that the arc goes through, positive to the left, 0 for a straight
    side. `off` is how far the arc is from the straight sides that it stands for, `sides` how many those are, `miss` how
    far their corners, or the sides themselves, are from its circle.
    """

    start: Point2
    end: Point2
    bulge: float = 0.0
    radius: float = 0.0
    centre: Point2 = (0.0, 0.0)
    off: float = 0.0
    miss: float = 0.0
    sides: int = 1

    @property
    def is_arc(self) -> bool:
        return self.bulge != 0.0

    @property
    def angle(self) -> float:
        """What it goes through, in radians, positive to the left."""
        return 4.0 * math.atan(self.bulge)

    @property
    def middle(self) -> Point2:
        """The point halfway along."""
        (x, y), (a, b) = self.start, self.end
        # The bulge is the height of the arc over half its chord.
        return (x + a + self.bulge * (b - y)) / 2.0, (y + b - self.bulge * (a - x)) / 2.0


@lru_cache(maxsize=256)
def spans_of(loop: Loop) -> tuple[Span, ...]:
    """The ring in spans, counter-clockwise; the corners where spans meet are corners of the ring."""
    whole = ring_of(loop)
    sides = [math.dist(one, other) for one, other in zip(whole, (*whole[1:], whole[0]), strict=True)]
    # The first corner may lie within an arc: begin where the longest side ends, then where an arc does.
    ring = _begun(whole, sides.index(max(sides)) + 1)
    found = _spans(ring)
    first = next((number for number, span in enumerate(found) if span.is_arc), None)
    if first is None:
        return tuple(Span(start=one, end=other) for one, other in zip(whole, (*whole[1:], whole[0]), strict=True))
    ring = _begun(ring, sum(span.sides for span in found[: first + 1]))
    return tuple(_without_free_curves(_spans(ring), ring))


def _begun(ring: Ring, at: int) -> Ring:
    """The same ring, begun at another corner."""
    at %= len(ring)
    return ring[at:] + ring[:at]


def radii_of(contour: Loop | Round) -> tuple[Span, ...]:
    """Its arcs, none for a circle, which has a diameter."""
    return tuple(span for span in spans_of(contour) if span.is_arc) if isinstance(contour, Loop) else ()


def curve_sides(contour: Loop | Round) -> tuple[int, float]:
    """(number of straight sides that stand for a free curve, how far a smooth curve through their corners may be from
    them in mm); (0, 0) without any.
    """
    if isinstance(contour, Round):
        return 0, 0.0
    spans = spans_of(contour)
    count, off = 0, 0.0
    for before, here, after in zip((spans[-1], *spans), spans, (*spans[1:], spans[0]), strict=False):
        turns = [abs(_turn(one, other)) for one, other in ((before, here), (here, after))]
        if not here.is_arc and min(turns) > 1e-6 and max(turns) < MOST_TURN:
            count += 1
            off = max(off, math.dist(here.start, here.end) * max(turns) / 8.0)
    return (count, off) if count >= LEAST_SIDES else (0, 0.0)


def is_smooth(one: Span, other: Span) -> bool:
    """Whether the second goes on from the first with a turn that a curve drawn as short pieces has, and no more."""
    return 1e-6 < abs(_turn(one, other)) < MOST_TURN


def _turn(one: Span, other: Span) -> float:
    """How far the way turns where two spans meet, in radians."""
    out = math.atan2(one.end[1] - one.start[1], one.end[0] - one.start[0]) + one.angle / 2.0
    into = math.atan2(other.end[1] - other.start[1], other.end[0] - other.start[0]) - other.angle / 2.0
    return math.remainder(into - out, 2.0 * math.pi)


def _spans(ring: Sequence[Point2]) -> list[Span]:
    """From the first corner on, each arc as long as it holds."""
    points = np.array([*ring, ring[0]])
    steps = np.diff(points, axis=0)
    lengths = np.hypot(*steps.T)
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    turns = np.remainder(np.diff(heading) + math.pi, 2.0 * math.pi) - math.pi
    found: list[Span] = []
    at, last = 0, len(ring)
    while at < last:
        far = _turning(turns, lengths, at, last)
        arc = _longest(points, at, far) if far - at >= LEAST_SIDES else None
        found.append(arc or Span(start=ring[at], end=ring[(at + 1) % last]))
        at += found[-1].sides
    return found


def _turning(turns: Array, lengths: Array, at: int, last: int) -> int:
    """The corner up to which the ring turns on the same way, by little at each corner."""
    far = at + 1
    while far < last:
        turn = turns[far - 1]
        is_small = 1e-6 < abs(turn) <= MOST_TURN and turn * turns[at] > 0.0
        # A side much longer than its neighbour is a straight one that runs into the arc.
        if not is_small or max(lengths[far - 1], lengths[far]) * abs(turn) / 8.0 > OFF_MM:
            break
        far += 1
    return far


def _longest(points: Array, at: int, far: int) -> Span | None:
    """The longest arc from one corner on that ends no later than at another; None where none is long enough."""
    held = None
    for end in range(at + LEAST_SIDES, far + 1):
        run = points[at : end + 1]
        fits = (_by_corners(run), _by_sides(run))
        if all(fit.miss > ON_MM for fit in fits):
            break
        held = _arc(run, fits) or held
    return held


def _arc(points: Array, fits: Sequence[Fit]) -> Span | None:
    """The arc for all of the points, by the circle whose ends lie nearer to it; None where none is near enough."""
    fit = min(fits, key=lambda fit: max(fit.miss, fit.ends))
    centre, radius = fit.centre, fit.radius
    if max(fit.miss, fit.ends) > ON_MM:
        return None
    before, after = points[:-1] - centre, points[1:] - centre
    angle = float(np.arctan2(_cross(before, after), (before * after).sum(axis=1)).sum())
    reaches = np.concatenate((np.hypot(*(points - centre).T), _passing(points, centre)))
    off = float(np.abs(reaches - radius).max())
    if off > OFF_MM or not 0.0 < abs(angle) < MOST_ANGLE:
        return None
    return Span(
        start=_point(points[0]), end=_point(points[-1]), bulge=math.tan(angle / 4.0), radius=radius,
        centre=_point(centre), off=off, miss=fit.miss, sides=len(points) - 1,
    )  # fmt: skip


def _point(of: Array) -> Point2:
    return float(of[0]), float(of[1])


def _cross(one: Array, other: Array) -> Array:
    found: Array = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    return found


def _passing(points: Array, centre: Array) -> Array:
    """How far from the centre the lines of the sides pass."""
    steps = np.diff(points, axis=0)
    found: Array = np.abs(_cross(points[:-1] - centre, steps)) / np.hypot(*steps.T)
    return found


@dataclass(frozen=True, slots=True)
class Fit:
    """A circle: how far what it was fitted to misses it at most, and how far the two ends of the run do; all in mm."""

    miss: float
    ends: float
    centre: Array
    radius: float


def _fit(points: Array, rows: Array, wanted: Array, *, by_sides: bool) -> Fit:
    """The circle of least squares; `points` count from the first one."""
    found, *_ = np.linalg.lstsq(rows, wanted, rcond=None)
    centre = np.asarray(found[:2], dtype=np.float64)
    radius = abs(float(found[2])) if by_sides else math.sqrt(max(0.0, float(found[2] + centre @ centre)))
    corners = [abs(math.dist(point, centre) - radius) for point in points]
    miss = float(np.abs(_passing(points, centre) - radius).max()) if by_sides else max(corners)
    return Fit(miss, max(corners[0], corners[-1]), centre, radius)


def _by_corners(points: Array) -> Fit:
    """The circle nearest to all corners."""
    moved: Array = points - points[0]
    fit = _fit(moved, np.column_stack((2.0 * moved, np.ones(len(moved)))), (moved**2).sum(axis=1), by_sides=False)
    return replace(fit, centre=fit.centre + points[0])


def _by_sides(points: Array) -> Fit:
    """The circle that all sides nearly touch."""
    moved = points - points[0]
    steps = np.diff(moved, axis=0)
    normals = np.column_stack((steps[:, 1], -steps[:, 0])) / np.hypot(*steps.T)[:, None]
    rows = np.column_stack((normals, np.ones(len(normals))))
    fit = _fit(moved, rows, (normals * moved[:-1]).sum(axis=1), by_sides=True)
    return replace(fit, centre=fit.centre + points[0])


def _without_free_curves(spans: Sequence[Span], ring: Sequence[Point2]) -> list[Span]:
    """Arcs that only follow a free curve for a bit become their straight sides again."""
    found: list[Span] = []
    at = 0
    for before, here, after in zip((spans[-1], *spans), spans, (*spans[1:], spans[0]), strict=False):
        beside = (_goes_on(here, before, _turn(before, here)), _goes_on(here, after, _turn(here, after)))
        is_sure = abs(here.angle) >= SURE and here.miss <= ON_MM / 2.0 and here.sides >= SURE_SIDES
        if here.is_arc and not is_sure and any(beside):
            corners = [ring[(at + number) % len(ring)] for number in range(here.sides + 1)]
            found += [Span(start=one, end=other) for one, other in pairwise(corners)]
        else:
            found.append(here)
        at += here.sides
    return found


def _goes_on(arc: Span, beside: Span, turn: float) -> bool:
    """Whether the curve of a short arc goes on in what is beside it."""
    if abs(turn) > MOST_TURN:
        return False
    if beside.is_arc:
        return abs(beside.angle) < SURE and beside.angle * arc.angle > 0.0
    side = abs(arc.angle) * arc.radius / arc.sides
    return abs(turn) > 1e-6 and math.dist(beside.start, beside.end) < 3.0 * side
