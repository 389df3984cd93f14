"""Stretches of air narrower than X from wall to wall: a way over surfaces crosses them straight.

Two walls face one another when their normals point against each other, by more than a right angle; so the corner of a
square groove is never cut, while the bottom of a V is. A bridge leaves both walls into the air and lies in it.

Of all the bridges between two walls a shortest way needs only some. Its length changes at a fixed rate as an end moves
along its wall, so the end is pushed on until it comes to the end of the wall, until the bridge has grown to X, or until
it touches a corner (`grazing`); with both ends free at length X, it meets its walls at equal angles. Where metal lies
on a wall, walking there counts nothing, and the bridge stands square on that wall. The list is finite, so it is exact.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.section_paths.air import Air, Indices
from fitcheck.geometry.section_paths.metal import nearest_on
from fitcheck.geometry.section_paths.rings import Array, Flags
from fitcheck.geometry.section_paths.section import SAME_MM
from fitcheck.geometry.section_paths.walls import Walls

Floats = NDArray[np.float64]
Found = tuple[Indices, Indices, Array, Array]
"""The wall, or -1 - owner for metal, at each end of K bridges, and their ends (K, 2)."""

NARROWER_MM = 1e-9
"""A width of X to within this is X, and not narrower."""
SQUARE = 1e-9
"""Cosines below this are right angles."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bridges:
    """K bridges. `one`, `other`: (K,) the wall at each end, or -1 - owner for metal. starts, ends: (K, 2)."""

    one: Indices
    other: Indices
    starts: Array
    ends: Array


@dataclass(frozen=True, slots=True, eq=False)
class Ends:
    """(M, 2) points on one wall of each pair and on the other, (M,) whether they are a candidate at all."""

    on_one: Array
    on_other: Array
    good: Flags


def straight_bridges(walls: Walls, x_mm: float) -> Iterator[Found]:
    """Walls and ends of bridges shorter than `x_mm`, or limits of such; whether they lie in air is still to be seen."""
    one, other = _facing_pairs(walls, x_mm)
    first, second = _Side.of(walls, one), _Side.of(walls, other)
    for ends in _candidates(first, second, x_mm):
        kept = ends.good & _leaves(first, ends.on_other - ends.on_one) & _leaves(second, ends.on_one - ends.on_other)
        yield one[kept], other[kept], ends.on_one[kept], ends.on_other[kept]


def in_air(air: Air, found: Iterable[Found]) -> Bridges:
    """Those of the bridges found that have a length and lie in air."""
    one, other, starts, ends = (np.concatenate(each) for each in zip(*found, strict=True))
    kept = np.linalg.norm(ends - starts, axis=1) > SAME_MM
    kept[kept] = air.joins(starts[kept], ends[kept])
    return Bridges(one=one[kept], other=other[kept], starts=starts[kept], ends=ends[kept])


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """One wall of each of M pairs."""

    starts: Array
    ends: Array
    along: Array
    lengths: Floats
    normals: Array

    @staticmethod
    def of(walls: Walls, which: Indices) -> _Side:
        starts, ends = walls.starts[which], walls.ends[which]
        lengths = np.linalg.norm(ends - starts, axis=1)
        return _Side(starts, ends, (ends - starts) / lengths[:, None], lengths, walls.normals[which])

    def at(self, place: Floats) -> tuple[Array, Flags]:
        """The points so far along the walls, and whether they lie on them."""
        inside = (place >= -SAME_MM) & (place <= self.lengths + SAME_MM)
        return self.starts + np.clip(place, 0.0, self.lengths)[:, None] * self.along, inside


def _facing_pairs(walls: Walls, x_mm: float) -> tuple[Indices, Indices]:
    """Pairs of walls that face one another and may be nearer than X."""
    middles = (walls.starts + walls.ends) / 2.0
    halves = np.linalg.norm(walls.ends - walls.starts, axis=1) / 2.0
    apart = np.linalg.norm(middles[:, None] - middles[None], axis=2) - halves[:, None] - halves[None]
    facing = (walls.normals @ walls.normals.T < -SQUARE) & (apart < x_mm)
    return tuple(np.nonzero(np.triu(facing, 1)))  # type: ignore[return-value]


def _leaves(side: _Side, way: Array) -> Flags:
    """(M,) whether the ways leave the walls into the air, not along them."""
    return np.asarray(np.sum(way * side.normals, axis=1) > SQUARE * np.linalg.norm(way, axis=1))


def _candidates(one: _Side, other: _Side, x_mm: float) -> Iterator[Ends]:
    yield from _between_ends(one, other, x_mm)
    for near, far, swap in ((one, other, False), (other, one, True)):
        for ends in _from_ends(near, far, x_mm):
            yield Ends(ends.on_other, ends.on_one, ends.good) if swap else ends
        ends = _square_on(near, far, x_mm)
        yield Ends(ends.on_other, ends.on_one, ends.good) if swap else ends
    yield _equal_angles(one, other, x_mm)


def _between_ends(one: _Side, other: _Side, x_mm: float) -> Iterator[Ends]:
    for start in (one.starts, one.ends):
        for end in (other.starts, other.ends):
            yield Ends(start, end, shorter(start, end, x_mm))


def _from_ends(near: _Side, far: _Side, x_mm: float) -> Iterator[Ends]:
    """From the ends of the near walls to the far ones: as long as X, and to the nearest point."""
    for point in (near.starts, near.ends):
        nearest = nearest_on(far.starts, far.ends, point)
        narrow = shorter(point, nearest, x_mm)
        yield Ends(point, nearest, narrow)
        for place in at_distance(far.starts, far.along, point, x_mm):
            target, inside = far.at(place)
            yield Ends(point, target, narrow & inside)


def _square_on(near: _Side, far: _Side, x_mm: float) -> Ends:
    """Square on the near wall and as long as X."""
    height = np.sum((far.starts - near.starts) * near.normals, axis=1)
    slope = np.sum(far.along * near.normals, axis=1)
    sloping = np.abs(slope) > SQUARE
    target, inside = far.at((x_mm - height) / np.where(sloping, slope, 1.0))
    foot, on_near = near.at(np.sum((target - near.starts) * near.along, axis=1))
    return Ends(foot, target, sloping & inside & on_near & _goes_narrower(height, slope, far.lengths, x_mm))


def _goes_narrower(height: Floats, slope: Floats, lengths: Floats, x_mm: float) -> Flags:
    return np.minimum(height, height + slope * lengths) < x_mm - NARROWER_MM


def _equal_angles(one: _Side, other: _Side, x_mm: float) -> Ends:
    """As long as X and at the same angle to both walls, seen from where their lines meet."""
    area = one.along[:, 0] * other.along[:, 1] - one.along[:, 1] * other.along[:, 0]
    angled = np.abs(area) > SQUARE
    between = other.starts - one.starts
    share = (between[:, 0] * other.along[:, 1] - between[:, 1] * other.along[:, 0]) / np.where(angled, area, 1.0)
    apex = one.starts + share[:, None] * one.along
    cosine = np.clip(-np.sum(one.normals * other.normals, axis=1), -1.0, 1.0)
    half_sine = np.sqrt((1.0 - cosine) / 2.0)
    reach = x_mm / (2.0 * np.where(angled, half_sine, 1.0))
    on_one, good_one, nearest_one = _from_apex(one, other, apex, reach)
    on_other, good_other, nearest_other = _from_apex(other, one, apex, reach)
    goes_narrower = np.minimum(nearest_one, nearest_other) < reach - NARROWER_MM
    return Ends(on_one, on_other, angled & good_one & good_other & goes_narrower)


def _from_apex(side: _Side, facing: _Side, apex: Array, reach: Floats) -> tuple[Array, Flags, Floats]:
    """The point of a wall so far from the apex, whether it is on the wall, and how near to the apex the wall comes."""
    outward = np.sign(np.sum(side.along * facing.normals, axis=1))
    begin = np.sum((side.starts - apex) * side.along, axis=1) * outward
    point, inside = side.at((reach - begin) * outward)
    return point, inside & (outward != 0.0), np.minimum(begin, begin + outward * side.lengths)


def at_distance(starts: Array, along: Array, points: Array, x_mm: float) -> Iterator[Floats]:
    """How far along each line its two points lie that are X from a point; a line farther off gives NaN."""
    foot = np.sum((points - starts) * along, axis=1)
    off = points - starts - foot[:, None] * along
    squared = x_mm**2 - np.sum(off * off, axis=1)
    half = np.sqrt(np.where(squared >= 0.0, squared, np.nan))
    yield foot - half
    yield foot + half


def shorter(starts: Array, ends: Array, x_mm: float) -> Flags:
    return np.asarray(np.linalg.norm(ends - starts, axis=1) < x_mm - NARROWER_MM)
