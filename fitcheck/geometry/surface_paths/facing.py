"""Where walls face each other across an opening narrower than X, which a way over surfaces does not follow.

A leap joins two cells whose normals point against each other and that come nearer than X, in front of each other. The
width of an opening is measured square to the line in which the two planes meet, so that a way across a groove at a
slant is straight as well. A width of exactly X is wide.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.surface_paths.cells import SAME_MM, Cell
from fitcheck.geometry.surface_paths.net import Array, Index
from fitcheck.geometry.triangles import closest_points

FACING = 1e-6
"""Normals whose product is above minus this do not face each other: a right-angled corner is no opening."""
PARALLEL = 1e-4
OVER_MM = 1e-4
MOST_ALL_PAIRS = 2500
CHUNK = 100_000


def fan(corners: Array) -> Array:
    """Triangles (N - 2, 3, 3) that cover a convex outline (N, 3)."""
    count = len(corners) - 2
    return np.stack([np.repeat(corners[:1], count, axis=0), corners[1:-1], corners[2:]], axis=1)


def apart(one: Sequence[Array], other: Sequence[Array]) -> Array:
    """Least distances (K,) of triangle sets, pair by pair."""
    counts = np.array([len(a) * len(b) for a, b in zip(one, other, strict=True)], dtype=np.intp)
    if not len(counts):
        return np.empty(0)
    firsts = np.concatenate([np.repeat(a, len(b), axis=0) for a, b in zip(one, other, strict=True)])
    seconds = np.concatenate([np.tile(b, (len(a), 1, 1)) for a, b in zip(one, other, strict=True)])
    found = np.concatenate(
        [closest_points(firsts[k : k + CHUNK], seconds[k : k + CHUNK])[0] for k in range(0, len(firsts), CHUNK)]
    )
    return np.asarray(np.minimum.reduceat(found, np.cumsum(counts) - counts))


def leaps_among(cells: Sequence[Cell], narrow: float, slack: float = 0.0, *, closed: bool = True) -> Index:
    """Pairs of cells (L, 2) joined by a leap over less than `narrow` mm; between two solids `slack` more.

    closed: no joint can open. Then no leap starts in one: it is walked, and its rim belongs to the walls beside it.
    """
    return facing_pairs(cells, _candidates(cells, narrow + slack, closed=closed), narrow, slack)


def near_pairs(cells: Sequence[Cell], slack: float) -> Index:
    """Cells of different solids that may touch, whichever way they face, because the solids may move by `slack` mm."""
    if slack <= 0.0:
        return np.empty((0, 2), dtype=np.intp)
    pairs = _boxes_near(cells, slack)
    bodies = np.array([cell.body for cell in cells])
    pairs = pairs[bodies[pairs[:, 0]] != bodies[pairs[:, 1]]]
    distances = apart([fan(cells[a].corners) for a, _ in pairs], [fan(cells[b].corners) for _, b in pairs])
    return np.asarray(pairs[distances <= slack], dtype=np.intp)


def facing_pairs(cells: Sequence[Cell], pairs: Index, narrow: float, slack: float = 0.0) -> Index:
    """Those of some pairs of cells that a leap joins."""
    kept = []
    for low in range(0, len(pairs), CHUNK):
        part = pairs[low : low + CHUNK]
        normals = np.array([[cells[a].normal, cells[b].normal] for a, b in part])
        part = part[np.einsum("ki,ki->k", normals[:, 0], normals[:, 1]) < -FACING]
        part = np.array([pair for pair in part if _in_front(cells, pair)], dtype=np.intp).reshape(-1, 2)
        fans = [(fan(cells[a].corners), fan(cells[b].corners)) for a, b in part]
        distances = apart([one for one, _ in fans], [other for _, other in fans])
        bodies = np.array([cells[a].body != cells[b].body for a, b in part], dtype=bool)
        kept.append(part[distances < narrow + np.where(bodies, slack, 0.0) - SAME_MM / 10.0])
    return np.concatenate(kept) if kept else np.empty((0, 2), dtype=np.intp)


def _in_front(cells: Sequence[Cell], pair: NDArray[np.intp]) -> bool:
    """Whether some of each cell lies in front of the other's plane, or in it."""
    one, other = cells[pair[0]], cells[pair[1]]
    return bool(
        (other.corners @ one.normal).max() >= one.offset - SAME_MM
        and (one.corners @ other.normal).max() >= other.offset - SAME_MM
    )


def _candidates(cells: Sequence[Cell], reach: float, *, closed: bool) -> Index:
    """Pairs of cells that may face each other within `reach`."""
    normals = np.array([cell.normal for cell in cells])
    pairs = _boxes_near(cells, reach)
    against = np.einsum("ki,ki->k", normals[pairs[:, 0]], normals[pairs[:, 1]])
    joint = np.array([cell.joint for cell in cells], dtype=bool)[pairs].any(axis=1) & closed
    return np.asarray(pairs[(against < -FACING) & ~joint], dtype=np.intp)


def _boxes_near(cells: Sequence[Cell], reach: float) -> Index:
    """Pairs of cells whose bounding boxes come within `reach`."""
    low = np.array([cell.corners.min(axis=0) for cell in cells])
    high = np.array([cell.corners.max(axis=0) for cell in cells])
    if len(cells) <= MOST_ALL_PAIRS:
        one, other = np.triu_indices(len(cells), 1)
    else:
        one, other = _neighbours(low, high, reach)
    gap = np.maximum(low[one] - high[other], low[other] - high[one]).max(axis=1)
    near = gap <= reach
    return np.column_stack([one[near], other[near]]).astype(np.intp)


def _neighbours(low: Array, high: Array, reach: float) -> tuple[Index, Index]:
    """Pairs of boxes that may come within `reach`: small ones by a tree, each of the few large ones with all."""
    from scipy.spatial import cKDTree

    middle, radius = (low + high) / 2.0, np.linalg.norm(high - low, axis=1) / 2.0
    large = radius > 6.0 * np.median(radius)
    small = np.flatnonzero(~large)
    found = cKDTree(middle[small]).query_pairs(2.0 * float(radius[small].max()) + reach, output_type="ndarray")
    pairs = [small[found]]
    everyone = np.arange(len(low))
    for number in np.flatnonzero(large):
        others = everyone[~large | (everyone > number)]
        pairs.append(np.column_stack([np.full(len(others), number), others]))
    both = np.concatenate(pairs)
    return both[:, 0].astype(np.intp), both[:, 1].astype(np.intp)


@dataclass(frozen=True, slots=True, eq=False)
class Opening:
    """Two walls that taper towards the line in which their planes meet.

    `along` is its direction, `up` (2, 3) points away from it in either plane, `apex` (2,) is where it stands along
    `up`. `link` is how far up either wall the opening is X wide, `saved` the most that crossing it shortens a way.
    """

    along: Array
    up: Array
    apex: Array
    link: float
    saved: float


def opening_between(one: Cell, other: Cell, narrow: float) -> Opening | None:
    """How two facing walls taper; None where they are parallel."""
    along = width_axes(one, other)
    if not along.any():
        return None
    ups = []
    for cell, facing in ((one, other), (other, one)):
        up = np.cross(cell.normal, along)
        ups.append(up if up @ facing.normal > 0.0 else -up)
    planes = np.stack([one.normal, other.normal])
    foot = np.linalg.lstsq(planes, np.array([one.offset, other.offset]), rcond=None)[0]
    half = math.sqrt(max((1.0 + float(one.normal @ other.normal)) / 2.0, 0.0))
    # Normals that are nearly opposite belong to walls at a small angle: half of it is the arc whose sine this is.
    link = narrow / 2.0 / max(half, 1e-12)
    up = np.stack(ups)
    return Opening(along, up, np.asarray(up @ foot), link, 2.0 * link - narrow)


def width_axes(one: Cell, other: Cell) -> Array:
    """The unit vector along an opening between two planes; zero where they are parallel and it has none."""
    along = np.cross(one.normal, other.normal)
    length = float(np.linalg.norm(along))
    return along / length if length > PARALLEL else np.zeros(3)


def may_leap(one: Cell, other: Cell, starts: Array, ends: Array, narrow: float) -> NDArray[np.bool_]:
    """Whether straight leaps from points (K, 3) of one cell to points (K, 3) of another cross a narrow opening.

    The opening is narrower than `narrow` there, or just so where it tapers, and goes on between both ends; between
    parallel walls a slant goes along the edge that it starts from.
    """
    along = width_axes(one, other)
    leap = ends - starts
    if along.any():
        slide = (leap @ along)[:, None] * along
        limit = narrow + SAME_MM
        goes_on = within(one, starts + slide) & within(other, ends - slide)
    else:
        slide = leap - (leap @ one.normal)[:, None] * one.normal
        limit = narrow - SAME_MM / 10.0
        goes_on = within(one, starts + slide) & within(other, ends - slide) & _along_edge(one, starts, slide)
    width = np.linalg.norm(leap - slide, axis=1)
    front = ((leap @ one.normal) >= -SAME_MM) & ((leap @ other.normal) <= SAME_MM)
    return np.asarray((width <= limit) & front & (goes_on | (np.linalg.norm(leap, axis=1) <= limit)))


def _along_edge(cell: Cell, points: Array, slide: Array) -> NDArray[np.bool_]:
    """Whether points (K, 3) on a cell's rim slide along the edge that they are on."""
    edges = np.roll(cell.corners, -1, axis=0) - cell.corners
    edges /= np.maximum(np.linalg.norm(edges, axis=1), 1e-300)[:, None]
    off = points[:, None] - cell.corners[None]
    aside = np.linalg.norm(off - np.einsum("kci,ci->kc", off, edges)[..., None] * edges, axis=2)
    across = np.linalg.norm(slide[:, None] - np.einsum("ki,ci->kc", slide, edges)[..., None] * edges, axis=2)
    return np.asarray(((aside < SAME_MM * 10.0) & (across < SAME_MM * 10.0)).any(axis=1))


def within(cell: Cell, points: Array) -> NDArray[np.bool_]:
    """Whether points (K, 3), seen along the cell's normal, lie on it or on its rim."""
    inward, offsets = _rim_planes(cell)
    return np.asarray((points @ inward.T - offsets >= -SAME_MM).all(axis=1))


class Sight:
    """Solids by their cells, to ask which straight lines enter them."""

    def __init__(self, cells: Sequence[Cell]) -> None:
        self._bodies = [cell.body for cell in cells]
        self._low = np.array([cell.corners.min(axis=0) for cell in cells]).reshape(-1, 3) - 2.0 * OVER_MM
        self._high = np.array([cell.corners.max(axis=0) for cell in cells]).reshape(-1, 3) + 2.0 * OVER_MM
        self._normals = np.array([cell.normal for cell in cells]).reshape(-1, 3)
        self._offsets = np.array([cell.offset for cell in cells])
        self._rims = [_rim_planes(cell) for cell in cells]

    def pierces(self, start: Array, end: Array) -> bool:
        """Whether a line between two surfaces enters a solid, at an end or by more than touching one."""
        way = end - start
        length = float(np.linalg.norm(way))
        if length < SAME_MM:
            return False
        low, high = np.minimum(start, end), np.maximum(start, end)
        near = np.flatnonzero(((self._high >= low) & (self._low <= high)).all(axis=1))
        if not len(near):
            return False
        if self._enters(near, start, way, length):
            return True
        # A line in the plane of a surface may run under what stands on it: looked at a little over the surface as well.
        for number in near[np.abs(self._normals[near] @ way) < FACING * length].tolist():
            normal = self._normals[number]
            lies = abs(self._offsets[number] - float(normal @ start)) < SAME_MM
            lies = lies and max(self._deep(number, start), self._deep(number, end)) >= -SAME_MM
            if lies and self._enters(near, start + normal * OVER_MM, way, length):
                return True
        return False

    def _enters(self, near: Index, start: Array, way: Array, length: float) -> bool:
        """Whether a line goes through the middle of one of some cells, or leaves either end into a solid."""
        slopes = self._normals[near] @ way
        heights = self._offsets[near] - self._normals[near] @ start
        with np.errstate(divide="ignore", invalid="ignore"):
            places = heights / slopes * length
        crosses = (np.abs(slopes) >= FACING * length) & (places > SAME_MM) & (places < length - SAME_MM)
        for number, place in zip(near[crosses].tolist(), places[crosses].tolist(), strict=True):
            if self._deep(number, start + way * (place / length)) > SAME_MM:
                return True
        here, there = near[np.abs(heights) < SAME_MM], near[np.abs(heights - slopes) < SAME_MM]
        return self._leaves_inward(here.tolist(), start, way / length) or self._leaves_inward(
            there.tolist(), start + way, -way / length
        )

    def _deep(self, number: int, point: Array) -> float:
        """How far within the rim of a cell a point in its plane lies."""
        inward, offsets = self._rims[number]
        return float((inward @ point - offsets).min())

    def _leaves_inward(self, numbers: Sequence[int], point: Array, way: Array) -> bool:
        """Whether a direction leads from a point into a solid on which it lies: down from all its cells there."""
        inward: dict[int, bool] = {}
        for number in numbers:
            if self._deep(number, point) >= -SAME_MM:
                body = self._bodies[number]
                inward[body] = inward.get(body, True) and float(way @ self._normals[number]) < -FACING
        return any(inward.values())

    def clear(self, starts: Array, ends: Array, asked: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Which of the lines (K, 3) that are asked about enter no solid; the others count as entering one."""
        found = np.zeros(len(asked), dtype=bool)
        for row in np.flatnonzero(asked).tolist():
            found[row] = not self.pierces(starts[row], ends[row])
        return found


class Everywhere(Sight):
    """No solid stands in the way: what steps could be at best."""

    def __init__(self) -> None:
        super().__init__(())

    def pierces(self, start: Array, end: Array) -> bool:
        return False

    def clear(self, starts: Array, ends: Array, asked: NDArray[np.bool_]) -> NDArray[np.bool_]:
        return asked


def _rim_planes(cell: Cell) -> tuple[Array, Array]:
    """Unit vectors (N, 3) into a cell, square to its edges, and the offsets (N,) of the edges along them."""
    inward = np.cross(cell.normal, np.roll(cell.corners, -1, axis=0) - cell.corners)
    inward /= np.maximum(np.linalg.norm(inward, axis=1), 1e-300)[:, None]
    return inward, np.einsum("ci,ci->c", cell.corners, inward)
