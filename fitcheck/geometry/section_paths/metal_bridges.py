"""Stretches of air narrower than X that end on metal.

Between a face of metal and a wall, the width is measured square to the wall, as the worked figures of the standard do
it. Corners bridge aslant too: from a lip of the insulation to the nearest metal, and from a corner of the metal to any
point of a wall. There, a solid piece must face the wall as walls face one another; metal drawn as a line without
thickness has an edge that faces every wall it sees. Metal to metal is bridged at its nearest.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.section_paths.air import Indices
from fitcheck.geometry.section_paths.bridges import NARROWER_MM, SQUARE, Ends, Found, at_distance, shorter
from fitcheck.geometry.section_paths.metal import Metals, nearest_on
from fitcheck.geometry.section_paths.rings import Array, Flags
from fitcheck.geometry.section_paths.walls import Walls


def metal_bridges(walls: Walls, metals: Metals, x_mm: float) -> Iterator[Found]:
    """Bridges with metal at one end or both; whether they lie in air is still to be seen."""
    yield from _to_walls(walls, metals, x_mm)
    yield from _to_metal(metals, x_mm)


@dataclass(frozen=True, slots=True, eq=False)
class _Pairs:
    """M pairs of a wall and an edge of metal that may be nearer than X. Fields are (M, 2) or (M,)."""

    starts: Array
    ends: Array
    along: Array
    lengths: Array
    normals: Array
    start_is_lip: Flags
    end_is_lip: Flags
    metal_starts: Array
    metal_ends: Array
    facing: Flags


def _to_walls(walls: Walls, metals: Metals, x_mm: float) -> Iterator[Found]:
    wall, edge = _near_pairs(walls, metals, x_mm)
    starts, ends = walls.starts[wall], walls.ends[wall]
    lengths = np.linalg.norm(ends - starts, axis=1)
    against = np.sum(walls.normals[wall] * metals.normals[edge], axis=1)
    is_line = ~np.any(metals.normals[edge] != 0.0, axis=1)
    pairs = _Pairs(
        starts=starts,
        ends=ends,
        along=(ends - starts) / lengths[:, None],
        lengths=lengths,
        normals=walls.normals[wall],
        start_is_lip=walls.lips[walls.start_nodes[wall]],
        end_is_lip=walls.lips[walls.end_nodes[wall]],
        metal_starts=metals.starts[edge],
        metal_ends=metals.ends[edge],
        facing=is_line | (against < -SQUARE),
    )
    for each in (
        *_square(pairs, walls.nodes[walls.lips], x_mm),
        *_from_lips(pairs, x_mm),
        *_from_metal_corners(pairs, x_mm),
    ):
        way = each.on_other - each.on_one
        kept = each.good & (np.sum(way * pairs.normals, axis=1) > SQUARE * np.linalg.norm(way, axis=1))
        yield wall[kept], -1 - metals.owners[edge[kept]], each.on_one[kept], each.on_other[kept]


def _near_pairs(walls: Walls, metals: Metals, x_mm: float) -> tuple[Indices, Indices]:
    middles, metal_middles = (walls.starts + walls.ends) / 2.0, (metals.starts + metals.ends) / 2.0
    halves = np.linalg.norm(walls.ends - walls.starts, axis=1) / 2.0
    metal_halves = np.linalg.norm(metals.ends - metals.starts, axis=1) / 2.0
    apart = np.linalg.norm(middles[:, None] - metal_middles[None], axis=2) - halves[:, None] - metal_halves[None]
    return tuple(np.nonzero(apart < x_mm))  # type: ignore[return-value]


def _square(pairs: _Pairs, lips: Array, x_mm: float) -> Iterator[Ends]:
    """Square to the wall: from its ends, to the ends of the metal, past a lip in between, and where the width is X.

    Along the wall the width changes at a fixed rate from one such place to the next, so the others need no look.
    """
    first, last = (_along_and_up(pairs, points) for points in (pairs.metal_starts, pairs.metal_ends))
    run, rise = last[0] - first[0], last[1] - first[1]
    slanted = np.abs(run) > NARROWER_MM
    slope = rise / np.where(slanted, run, 1.0)
    places = [first[0], last[0], np.zeros_like(pairs.lengths), pairs.lengths]
    heights = [first[1], last[1], first[1] - slope * first[0], first[1] + slope * (pairs.lengths - first[0])]
    low = np.maximum(np.minimum(first[0], last[0]), 0.0)
    high = np.minimum(np.maximum(first[0], last[0]), pairs.lengths)
    for number, (place, height) in enumerate(zip(places, heights, strict=True)):
        on_both = (place >= low - NARROWER_MM) & (place <= high + NARROWER_MM)
        usable = on_both & (slanted if number > 1 else True)
        yield _upright(pairs, place, height, usable & (height < x_mm - NARROWER_MM))
    for lip in lips:
        place, up = _along_and_up(pairs, lip)
        height = first[1] + slope * (place - first[0])
        on_both = slanted & (place > low) & (place < high) & (up > 0.0) & (up < height)
        yield _upright(pairs, place, height, on_both & (height < x_mm - NARROWER_MM))
    level = np.abs(slope) <= SQUARE
    place = first[0] + (x_mm - first[1]) / np.where(level, 1.0, slope)
    least = np.minimum(first[1] + slope * (low - first[0]), first[1] + slope * (high - first[0]))
    on_both = slanted & ~level & (place >= low - NARROWER_MM) & (place <= high + NARROWER_MM)
    yield _upright(pairs, place, np.full_like(place, x_mm), on_both & (least < x_mm - NARROWER_MM))


def _along_and_up(pairs: _Pairs, points: Array) -> tuple[Array, Array]:
    off = points - pairs.starts
    return np.sum(off * pairs.along, axis=1), np.sum(off * pairs.normals, axis=1)


def _upright(pairs: _Pairs, place: Array, height: Array, good: Flags) -> Ends:
    foot = pairs.starts + np.clip(place, 0.0, pairs.lengths)[:, None] * pairs.along
    return Ends(foot, foot + height[:, None] * pairs.normals, good)


def _from_lips(pairs: _Pairs, x_mm: float) -> Iterator[Ends]:
    for point, is_lip in ((pairs.starts, pairs.start_is_lip), (pairs.ends, pairs.end_is_lip)):
        nearest = nearest_on(pairs.metal_starts, pairs.metal_ends, point)
        yield Ends(point, nearest, is_lip & pairs.facing & shorter(point, nearest, x_mm))


def _from_metal_corners(pairs: _Pairs, x_mm: float) -> Iterator[Ends]:
    for corner in (pairs.metal_starts, pairs.metal_ends):
        for point in (pairs.starts, pairs.ends):
            yield Ends(point, corner, pairs.facing & shorter(point, corner, x_mm))
        narrow = shorter(nearest_on(pairs.starts, pairs.ends, corner), corner, x_mm)
        for place in at_distance(pairs.starts, pairs.along, corner, x_mm):
            inside = (place >= -NARROWER_MM) & (place <= pairs.lengths + NARROWER_MM)
            point = pairs.starts + np.where(inside, place, 0.0)[:, None] * pairs.along
            yield Ends(point, corner, pairs.facing & narrow & inside)


def _to_metal(metals: Metals, x_mm: float) -> Iterator[Found]:
    """From the ends of each edge of metal to the nearest point of every edge of other metal."""
    one, other = np.nonzero(metals.owners[:, None] != metals.owners[None])
    for points in (metals.starts[one], metals.ends[one]):
        nearest = nearest_on(metals.starts[other], metals.ends[other], points)
        kept = shorter(points, nearest, x_mm)
        names = (-1 - metals.owners[one[kept]], -1 - metals.owners[other[kept]])
        yield (*names, points[kept], nearest[kept])
