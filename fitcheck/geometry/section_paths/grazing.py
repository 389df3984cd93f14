"""Bridges from wall to wall that touch a corner of the insulation on their way.

Such a bridge can only turn about the corner. With φ the angle between it and the normal of a wall that lies h from the
corner, it takes h/cos φ to that wall and meets it h·tan φ from the corner's foot. Whichever way a walk arrives there
and leaves, its length is a sum of such terms, convex in the angle; so it is least at its flat point or at the end of
where the bridge may turn: an end of a wall, the length X, or one more corner.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.section_paths.air import Indices
from fitcheck.geometry.section_paths.bridges import NARROWER_MM, SQUARE
from fitcheck.geometry.section_paths.metal import nearest_on
from fitcheck.geometry.section_paths.rings import Array
from fitcheck.geometry.section_paths.section import SAME_MM
from fitcheck.geometry.section_paths.walls import Walls

Floats = NDArray[np.float64]
Found = tuple[Indices, Indices, Array, Array]

HALVINGS = 60
"""Enough to find an angle to the last digit."""
WALKS = tuple((one, other) for one in (-1.0, 0.0, 1.0) for other in (-1.0, 0.0, 1.0))
"""How the walk grows as an end of the bridge moves along its wall: not at all where metal lies on the wall."""


def grazing_bridges(walls: Walls, x_mm: float) -> Iterator[Found]:
    """Walls and ends of the bridges that touch one corner at least; whether they lie in air is still to be seen."""
    corners = walls.nodes[walls.lips]
    if not len(walls.starts) or not len(corners):
        return
    gaps = np.linalg.norm(nearest_on(walls.starts[:, None], walls.ends[:, None], corners) - corners, axis=2)
    heights = np.einsum("wcd,wd->wc", corners[None] - walls.starts[:, None], walls.normals)
    for number, corner in enumerate(corners):
        near = np.flatnonzero((gaps[:, number] < x_mm) & (heights[:, number] > SAME_MM))
        facing = walls.normals[near] @ walls.normals[near].T < -SQUARE
        close = gaps[near, number][:, None] + gaps[near, number][None] < x_mm - NARROWER_MM
        one, other = np.nonzero(np.triu(facing & close, 1))
        if len(one):
            others = corners[np.linalg.norm(corners - corner, axis=1) < x_mm]
            yield from _about(walls, near[one], near[other], corner, others, x_mm)


def _about(walls: Walls, one: Indices, other: Indices, corner: Array, others: Array, x_mm: float) -> Iterator[Found]:
    """The bridges between pairs of walls about one corner; angles are counted from the normal of the first wall."""
    turn = _Turn(walls, one, other, corner)
    low, high = turn.range
    usable = low < high
    narrowest = _flat_point(turn.slope(0.0, 0.0), low, high)
    usable &= turn.length(narrowest) < x_mm - NARROWER_MM

    def narrow_enough(angle: Floats) -> Floats:
        return turn.length(angle) - x_mm

    low = _crossing(narrow_enough, narrowest, low)
    high = _crossing(narrow_enough, narrowest, high)
    angles = [low, high, *(_flat_point(turn.slope(*walk), low, high) for walk in WALKS), *turn.towards(others)]
    for angle in angles:
        good = usable & (angle >= low) & (angle <= high)
        starts, ends = turn.ends(angle)
        yield one[good], other[good], starts[good], ends[good]


class _Turn:
    """Bridges about one corner between M pairs of walls, by the angle from the normal of the first wall."""

    def __init__(self, walls: Walls, one: Indices, other: Indices, corner: Array) -> None:
        self._corner = corner
        normal, against = walls.normals[one], -walls.normals[other]
        self._along = np.stack([-normal[:, 1], normal[:, 0]], axis=1)
        self._normal = normal
        self._lean = self._angle(against)
        self._near = np.sum((corner - walls.starts[one]) * normal, axis=1)
        self._far = np.sum((walls.starts[other] - corner) * against, axis=1)
        from_one = [self._angle(corner - points) for points in (walls.starts[one], walls.ends[one])]
        to_other = [self._angle(points - corner) for points in (walls.starts[other], walls.ends[other])]
        self.range = (
            np.maximum(np.minimum(*from_one), np.minimum(*to_other)),
            np.minimum(np.maximum(*from_one), np.maximum(*to_other)),
        )

    def _angle(self, ways: Array) -> Floats:
        return np.asarray(np.arctan2(np.sum(ways * self._along, axis=1), np.sum(ways * self._normal, axis=1)))

    def length(self, angle: Floats) -> Floats:
        return np.asarray(self._near / np.cos(angle) + self._far / np.cos(angle - self._lean))

    def slope(self, walk: float, other_walk: float) -> Callable[[Floats], Floats]:
        """How fast the whole walk grows with the angle; rising, because the walk is convex."""

        def of(angle: Floats) -> Floats:
            secant, other_secant = 1.0 / np.cos(angle), 1.0 / np.cos(angle - self._lean)
            first = self._near * secant * (walk * secant + np.tan(angle))
            second = self._far * other_secant * (other_walk * other_secant + np.tan(angle - self._lean))
            return np.asarray(first + second)

        return of

    def towards(self, points: Array) -> Iterator[Floats]:
        """The angles at which the bridge touches each point too, ahead of the corner or behind it."""
        for point in points:
            for sign in (1.0, -1.0):
                yield self._angle(np.broadcast_to(sign * (point - self._corner), self._normal.shape))

    def ends(self, angle: Floats) -> tuple[Array, Array]:
        way = np.cos(angle)[:, None] * self._normal + np.sin(angle)[:, None] * self._along
        starts = self._corner - (self._near / np.cos(angle))[:, None] * way
        return starts, self._corner + (self._far / np.cos(angle - self._lean))[:, None] * way


def _flat_point(slope: Callable[[Floats], Floats], low: Floats, high: Floats) -> Floats:
    """Where a rising slope passes zero between two angles, or the end where it comes nearest."""
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        rises = slope(middle) > 0.0
        low, high = np.where(rises, low, middle), np.where(rises, middle, high)
    return np.asarray((low + high) / 2.0)


def _crossing(value: Callable[[Floats], Floats], inside: Floats, outside: Floats) -> Floats:
    """The last angle on the way from inside to outside at which a convex value is not above zero."""
    end = outside
    for _ in range(HALVINGS):
        middle = (inside + end) / 2.0
        holds = value(middle) <= 0.0
        inside, end = np.where(holds, middle, inside), np.where(holds, end, middle)
    return np.asarray(np.where(value(outside) <= 0.0, outside, inside))
