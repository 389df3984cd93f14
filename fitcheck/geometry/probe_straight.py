"""A straight placing of a probe that touches a target as drawn: a proof that it can be reached.

Tried from points on the target in many directions, then down the middle of openings. What is found holds: the whole
straight probe is clear of all other matter, and so is its stop, all the way out. That none is found proves nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.probe_matter import Array, Block, Matter, Skin
from fitcheck.geometry.probe_opening import Placing, middle_placing
from fitcheck.geometry.probe_reach import Probe

Flags = NDArray[np.bool_]

DIRECTIONS = 400
POINTS_ON_SKIN = 60
SPREAD_MM = 0.5
LEAST_STEP_MM = 0.25
MOST_POINTS = 200_000
"""Points spread over a surface that stand for it, and how far it may lie from the nearest of them."""


def straight_placing(target: list[Matter], others: list[Matter], probe: Probe) -> Placing | None:
    """A placing of the straight probe, its stop a ball of `stop_radius`; None when none of those tried is clear."""
    points = np.concatenate([_surface_points(piece) for piece in target])
    ways = _directions(DIRECTIONS)
    starts, along = np.repeat(points, len(ways), axis=0), np.tile(ways, (len(points), 1))
    # The flat end leans: its rim reaches back past the point touched by no more than the radius.
    starts = starts + along * probe.radius
    stops = starts + along * (probe.length - probe.radius + probe.stop_radius)
    far = _way_out(stops, along, [*target, *others], probe.stop_radius)
    free = np.ones(len(starts), dtype=bool)
    for block in (piece for piece in others if isinstance(piece, Block)):
        left = np.flatnonzero(free)
        hit = _passes(block, starts[left], stops[left], probe.radius)
        hit |= _passes(block, stops[left], far[left], probe.stop_radius)
        free[left[hit]] = False
    skins = [piece for piece in others if isinstance(piece, Skin)]
    if skins and free.any():
        surface = _Surface.of(skins)
        for begin, end, radius in ((starts, stops, probe.radius), (stops, far, probe.stop_radius)):
            left = np.flatnonzero(free)
            free[left] = surface.clear(begin[left], along[left], np.linalg.norm(end - begin, axis=1)[left], radius)
    index = int(free.argmax())
    if free[index]:
        return Placing(starts[index] - along[index] * probe.radius, stops[index])
    return middle_placing(target, others, probe)


def _surface_points(piece: Matter) -> Array:
    """A few points of the surface: of a box on a grid over each face."""
    if isinstance(piece, Skin):
        points, _ = piece.points_at_most(POINTS_ON_SKIN, SPREAD_MM)
        return points[:: max(1, len(points) // POINTS_ON_SKIN)]
    steps = np.array([-0.9, 0.0, 0.9])
    found = []
    for axis in range(3):
        for side in (-1.0, 1.0):
            face = np.stack(np.meshgrid(steps, steps, [side], indexing="ij"), axis=-1).reshape(-1, 3)
            found.append(np.roll(face, axis - 2, axis=1))
    return np.asarray(piece.middle + (np.concatenate(found) * piece.half) @ piece.rotation.T)


def _directions(count: int) -> Array:
    """(N, 3) unit vectors spread evenly, with those along the axes first."""
    number = np.arange(count) + 0.5
    height = 1.0 - 2.0 * number / count
    around = np.pi * (1.0 + np.sqrt(5.0)) * number
    flat = np.sqrt(1.0 - height**2)
    even = np.stack([flat * np.cos(around), flat * np.sin(around), height], axis=1)
    return np.concatenate([np.eye(3)[::-1], -np.eye(3)[::-1], even])


def _way_out(stops: Array, along: Array, matter: list[Matter], radius: float) -> Array:
    """The points straight on from the stops at which a ball has left the bounding box of all matter."""
    lows, highs = zip(*(piece.bounds for piece in matter), strict=True)
    across = float(np.linalg.norm(np.max(highs, axis=0) - np.min(lows, axis=0)))
    return stops + along * (across + 2.0 * radius)


def _passes(block: Block, starts: Array, ends: Array, radius: float) -> Flags:
    """(N,) whether a straight stretch comes into the box grown by the radius, square corners and all."""
    begin = (starts - block.middle) @ block.rotation
    way = (ends - starts) @ block.rotation
    grown = block.half + radius
    still = np.abs(way) < 1e-12
    share = np.where(still, 1.0, way)
    one, other = (-grown - begin) / share, (grown - begin) / share
    inside = np.abs(begin) <= grown
    first = np.where(still, np.where(inside, -np.inf, np.inf), np.minimum(one, other)).max(axis=1)
    last = np.where(still, np.where(inside, np.inf, -np.inf), np.maximum(one, other)).min(axis=1)
    return np.asarray((first <= last) & (last >= 0.0) & (first <= 1.0))


@dataclass(frozen=True, slots=True, eq=False)
class _Surface:
    """Surfaces as points; every point of them lies within `spread` of one."""

    tree: Any
    spread: float

    @staticmethod
    def of(skins: list[Skin]) -> _Surface:
        from scipy.spatial import cKDTree

        found = [skin.points_at_most(MOST_POINTS, SPREAD_MM) for skin in skins]
        return _Surface(cKDTree(np.concatenate([points for points, _ in found])), max(spread for _, spread in found))

    def clear(self, starts: Array, along: Array, lengths: Array, radius: float) -> Flags:
        """(N,) whether a ball that goes straight so far is clear all the way.

        Each step is as long as the room about the ball; where there is next to none, the way is given up.
        """
        gone, clear = np.zeros(len(starts)), np.zeros(len(starts), dtype=bool)
        going = np.arange(len(starts))
        while len(going):
            room = self.tree.query(starts[going] + gone[going, None] * along[going])[0] - self.spread - radius
            free = room >= LEAST_STEP_MM
            arrived = free & (gone[going] + room >= lengths[going])
            clear[going[arrived]] = True
            gone[going] += room
            going = going[free & ~arrived]
        return clear
