"""Convex blocks of solids: the quick proof that every line between two convex sets runs through solid.

A convex solid is one block. Of any other solid, what lies behind the plane of a face that looks into a hollow is one,
unless more of its surface lies there: a wall of a tube beside its bore, the part of a plate beside a hole. A plane that
parts two sets cuts each line between them once, in the hull of the cuts of the lines from corner to corner; where these
lie in one block, deeper than all may move, so do all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Mask = NDArray[np.bool_]

ROUNDING_MM = 1e-7
"""Surface that lies no farther behind a plane than this is taken as lying on it."""
TINY = 1e-12
PARTS = 1e-9
"""A plane parts two sets if they keep this from it."""
SHARES = (0.5, 0.1, 0.01)
"""Planes are tried at these shares of the depth of the set behind a face, and CLOSE mm below it."""
CLOSE = 1e-4
MOST_PLANES = 6
MOST_BLOCKS = 400
TRIED = 2
"""Of the blocks of a solid so many are tried, those that the line between the middles runs through longest."""
AT_ONCE = 1_000_000


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """What lies behind all of `outer` (F, 4) planes, and behind those of one row of `inner` (B, G, 4), is solid: normal
    and height of each; `box` (6, 4) planes bound the whole solid. `whole`: the blocks are all of the solid.
    """

    outer: Array
    inner: Array
    box: Array
    whole: bool

    def parted(self, points: Array) -> bool:
        """Whether all of some points (K, 3) lie clear before one outer plane."""
        return bool((_heights(self.outer, points).min(axis=0) > ROUNDING_MM).any())

    def chords(self, starts: Array, ends: Array, least: float) -> tuple[Array, Array, Index, Index]:
        """Where straight lines (K,) run deeper than `least` in each block: shares (K, B) of the way, empty where the
        second is not more than the first; and the outer planes (K,) where they enter and leave.
        """
        low, high, entry, leave = _clipped(self.outer, starts, ends, least)
        planes = self.inner.reshape(-1, 4)
        first, last = _between(_heights(planes, starts) + least, _heights(planes, ends) + least)
        shape = (len(starts), *self.inner.shape[:2])
        return (
            np.maximum(low[:, None], first.reshape(shape).max(axis=2, initial=0.0)),
            np.minimum(high[:, None], last.reshape(shape).min(axis=2, initial=1.0)),
            entry,
            leave,
        )

    def bars(self, starts: Array, ends: Array, least: float, share: Array) -> Mask:
        """Which lines (K,) run deeper than `least` in a block over more than a share (K,) of the way."""
        found = np.zeros(len(starts), dtype=bool)
        step = max(AT_ONCE // self.count, 1)
        near = self.near(starts, ends)
        for first in range(0, len(near), step):
            part = near[first : first + step]
            low, high, _, _ = self.chords(starts[part], ends[part], least)
            found[part] = ((high - low) > share[part, None]).any(axis=1)
        return found

    def near(self, starts: Array, ends: Array) -> Index:
        """Which lines (K,) meet the box of the solid; none where there are no blocks."""
        if not len(self.inner):
            return np.zeros(0, dtype=np.intp)
        low, high, _, _ = _clipped(self.box, starts, ends, 0.0)
        return np.flatnonzero(low < high)

    @property
    def count(self) -> int:
        """How many planes there are."""
        return max(len(self.outer) + len(self.inner.reshape(-1, 4)), 1)


def _clipped(planes: Array, starts: Array, ends: Array, least: float) -> tuple[Array, Array, Index, Index]:
    """Between which shares (K,) of the way lines lie behind all planes by `least`, and by which planes."""
    if not len(planes):
        none = np.zeros(len(starts), dtype=np.intp)
        return np.zeros(len(starts)), np.ones(len(starts)), none, none
    low, high = _between(_heights(planes, starts) + least, _heights(planes, ends) + least)
    return low.max(axis=1), high.min(axis=1), low.argmax(axis=1), high.argmin(axis=1)


def _heights(planes: Array, points: Array) -> Array:
    return np.asarray(points @ planes[:, :3].T - planes[:, 3])


def _between(here: Array, there: Array) -> tuple[Array, Array]:
    """The shares of the way at which a line comes to lie behind a plane and again before it, from heights at its ends;
    the first above 1 where it never lies behind.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        share = here / (here - there)
    low = np.where(here > 0.0, np.where(there > 0.0, 2.0, share), 0.0)
    return low, np.where((there > 0.0) & (here <= 0.0), share, 1.0)


def blocks_of(vertices: Array, faces: Index) -> Blocks:
    """The blocks of a closed mesh wound outward."""
    triangles, normals = _sound(vertices[faces])
    planes, owner = _planes(triangles, normals)
    behind = _heights(planes, triangles.reshape(-1, 3)).max(axis=0) <= ROUNDING_MM
    outer, hollow, middles = planes[behind], planes[~behind], triangles[owner[~behind]].mean(axis=1)
    axes = np.concatenate([np.eye(3), -np.eye(3)])
    box = np.column_stack([axes, (vertices @ axes.T).max(axis=0)])
    if not len(hollow):
        return Blocks(outer, np.empty((1, 0, 4)), box, whole=True)
    if len(hollow) > MOST_BLOCKS:
        return Blocks(outer, np.empty((0, 1, 4)), box, whole=False)
    on_outer = np.abs(_heights(outer, triangles)).max(axis=1) <= ROUNDING_MM
    inward = ~on_outer.any(axis=1)
    heights = _heights(hollow, triangles[inward])
    before = heights.min(axis=1) >= -ROUNDING_MM
    # A face against the back of another leaves no solid behind it.
    before &= (heights.max(axis=1) > ROUNDING_MM) | (normals[inward] @ hollow[:, :3].T > 0.0)
    found = []
    for number, middle in enumerate(middles):
        if (_heights(outer, middle) < -10.0 * ROUNDING_MM).all():
            found.append(_row(number, middle, hollow, before))
    rows = [each for each in found if each is not None]
    most = max(map(len, rows), default=1)
    padded = [[*each, *[each[0]] * (most - len(each))] for each in rows]
    inner = hollow[np.array(padded, dtype=np.intp).reshape(-1, most)]
    return Blocks(outer, inner, box, whole=len(rows) == len(hollow) and most == 1)


def _sound(triangles: Array) -> tuple[Array, Array]:
    """Triangles that have an area, and their unit normals."""
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    length = np.linalg.norm(normals, axis=1)
    sound = length > TINY
    return triangles[sound], normals[sound] / length[sound, None]


def _planes(triangles: Array, normals: Array) -> tuple[Array, Index]:
    """The planes (P, 4) of triangles, each once, at the least height that any of them has, and a triangle of each."""
    heights = np.einsum("tci,ti->tc", triangles, normals).min(axis=1)
    key = np.round(np.column_stack([normals, heights]) / ROUNDING_MM).astype(np.int64)
    _, first, same = np.unique(key, axis=0, return_index=True, return_inverse=True)
    least = np.full(len(first), np.inf)
    np.minimum.at(least, same.reshape(-1), heights)
    return np.column_stack([normals[first], least]), first


def _row(number: int, middle: Array, hollow: Array, before: Mask) -> list[int] | None:
    """Planes behind which, beside the outer ones, no more surface lies; `middle` stays behind all."""
    rows = [number]
    intruding = ~before[:, number]
    usable = _heights(hollow, middle) < -10.0 * ROUNDING_MM
    while intruding.any():
        clears = np.where(usable, before[intruding].sum(axis=0), 0)
        best = int(clears.argmax())
        if not clears[best] or len(rows) == MOST_PLANES:
            return None
        rows.append(best)
        intruding &= ~before[:, best]
    return rows


def barred(blocks: Blocks, ones: Array, others: Array, least: float) -> Mask:
    """Whether all lines from convex sets `ones` (K, a, 3) to `others` (K, b, 3) are proven to run through a block,
    deeper than `least`.
    """
    found = np.zeros(len(ones), dtype=bool)
    step = max(AT_ONCE // blocks.count, 1)
    near = blocks.near(ones.mean(axis=1), others.mean(axis=1))
    for low in range(0, len(near), step):
        part = near[low : low + step]
        found[part] = _barred(blocks, ones[part], others[part], least)
    return found


def _barred(blocks: Blocks, ones: Array, others: Array, least: float) -> Mask:
    found = np.zeros(len(ones), dtype=bool)
    if not len(blocks.inner):
        return found
    starts, ends = ones.mean(axis=1), others.mean(axis=1)
    low, high, entry, leave = blocks.chords(starts, ends, least)
    rows = np.arange(len(low))
    for _ in range(min(TRIED, low.shape[1])):
        block = (high - low).argmax(axis=1)
        at = np.flatnonzero(~found & (high[rows, block] > low[rows, block]))
        if not len(at):
            break
        middle = (low[at, block[at]] + high[at, block[at]]) / 2.0
        spot = starts[at] + middle[:, None] * (ends[at] - starts[at])
        faces = [blocks.outer[entry[at]], blocks.outer[leave[at]]]
        if blocks.inner.shape[1]:
            faces.insert(0, blocks.inner[block[at], 0])
        may = np.ones(len(at), dtype=bool)
        for number, (normals, heights) in enumerate(_tries(ones[at], others[at], spot, faces, least)):
            if number == 1:
                left = np.flatnonzero(~found[at])
                may[left] = _all_run_through(blocks, block[at[left]], ones[at[left]], others[at[left]], least)
            left = np.flatnonzero(may & ~found[at] & np.isfinite(heights))
            some = at[left]
            found[some] = _cut(blocks, block[some], ones[some], others[some], normals[left], heights[left], least)
        high[rows, block] = -np.inf
    return found


def _all_run_through(blocks: Blocks, block: Index, ones: Array, others: Array, least: float) -> Mask:
    """Whether all lines from corner to corner run through a block (K,): else no plane is worth a try."""
    count, a, b = len(block), ones.shape[1], others.shape[1]
    starts = np.repeat(ones, b, axis=1).reshape(-1, 3)
    ends = np.tile(others, (1, a, 1)).reshape(-1, 3)
    low, high, _, _ = _clipped(blocks.outer, starts, ends, least)
    low, high = low.reshape(count, a * b), high.reshape(count, a * b)
    for k in range(blocks.inner.shape[1]):
        plane = blocks.inner[block, k]
        here = np.einsum("kai,ki->ka", ones, plane[:, :3]) - plane[:, 3:] + least
        there = np.einsum("kbi,ki->kb", others, plane[:, :3]) - plane[:, 3:] + least
        first, last = _between(np.repeat(here, b, axis=1), np.tile(there, (1, a)))
        low, high = np.maximum(low, first), np.minimum(high, last)
    return np.asarray((low < high).all(axis=1))


def _tries(ones: Array, others: Array, spot: Array, faces: list[Array], least: float) -> Iterator[tuple[Array, Array]]:
    """Planes that may part the sets within the block: normals (K, 3) and heights (K,), infinite where there is none."""
    normals = others.mean(axis=1) - ones.mean(axis=1)
    normals = normals / np.maximum(np.linalg.norm(normals, axis=1), 1e-300)[:, None]
    yield normals, np.einsum("ki,ki->k", normals, spot)
    for plane in faces:
        here = np.einsum("kai,ki->ka", ones, plane[:, :3]) - plane[:, 3:]
        there = np.einsum("kbi,ki->kb", others, plane[:, :3]) - plane[:, 3:]
        before = here.min(axis=1) > there.min(axis=1)
        deep = -np.where(before, there.max(axis=1), here.max(axis=1))
        for share in (*SHARES, None):
            depth = np.full(len(deep), least + CLOSE) if share is None else share * deep
            sound = (depth >= least) & (depth < deep - PARTS)
            yield plane[:, :3], np.where(sound, plane[:, 3] - depth, np.inf)


def _cut(
    blocks: Blocks, block: Index, ones: Array, others: Array, normals: Array, heights: Array, least: float
) -> Mask:
    """Whether planes (K,) part the sets, and cut all lines from corner to corner in a block (K,)."""
    over = np.einsum("kai,ki->ka", ones, normals) - heights[:, None]
    under = np.einsum("kbi,ki->kb", others, normals) - heights[:, None]
    parts = (over.min(axis=1) > PARTS) & (under.max(axis=1) < -PARTS)
    parts |= (over.max(axis=1) < -PARTS) & (under.min(axis=1) > PARTS)
    found = np.zeros(len(ones), dtype=bool)
    rows = np.flatnonzero(parts)
    if not len(rows):
        return found
    over, under, start, end = over[rows], under[rows], ones[rows][:, :, None], others[rows][:, None]
    share = over[:, :, None] / (over[:, :, None] - under[:, None, :])
    cuts = (start + share[..., None] * (end - start)).reshape(len(rows), -1, 3)
    within = np.ones(len(rows), dtype=bool)
    for k in range(blocks.inner.shape[1]):
        plane = blocks.inner[block[rows], k]
        within &= (np.einsum("kci,ki->kc", cuts, plane[:, :3]) - plane[:, 3:]).max(axis=1) <= -least
    rows, cuts = rows[within], cuts[within]
    depth = _heights(blocks.outer, cuts.reshape(-1, 3))
    found[rows] = (depth.max(axis=1, initial=-np.inf).reshape(cuts.shape[:2]) <= -least).all(axis=1)
    return found
