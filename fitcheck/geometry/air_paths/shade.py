"""The proof that every straight line between two convex sets runs through solid insulation.

A plane that parts the two sets cuts each such line once, and all the cuts lie in the hull of the cuts of the lines from
corner to corner. Where that hull lies in the solid, deeper than all may move, every line is blocked. Planes are tried
that run a little below the faces which the line between the middles crosses. Convex blocks of the solid are tried
first, which is quick; its whole skin only where lines may be blocked by no one block.
"""

from __future__ import annotations

import numpy as np

from fitcheck.geometry.air_paths.blocks import CLOSE, PARTS, SHARES, barred
from fitcheck.geometry.air_paths.walls import DEEP_MM, Array, Index, Mask, Walls

PAIRS_AT_ONCE = 600_000


def blocked(walls: Walls, ones: Array, others: Array, margin: float) -> Mask:
    """Whether all lines from convex sets `ones` (K, a, 3) to `others` (K, b, 3) are proven to be blocked.

    margin: mm that the lines and the walls may move.
    """
    least = margin + 2.0 * DEEP_MM
    found = np.zeros(len(ones), dtype=bool)
    for blocks in walls.blocks:
        left = np.flatnonzero(~found)
        found[left] = barred(blocks, ones[left], others[left], least)
    left = np.flatnonzero(~found)
    step = max(PAIRS_AT_ONCE // max(len(walls.skin), 1), 1)
    for low in range(0, 0 if walls.known else len(left), step):
        rows = left[low : low + step]
        found[rows] = _blocked(walls, ones[rows], others[rows], least)
    return found


def _blocked(walls: Walls, ones: Array, others: Array, least: float) -> Mask:
    found = np.zeros(len(ones), dtype=bool)
    rows, faces = _crossed(walls, ones.mean(axis=1), others.mean(axis=1))
    normals = walls.normals[faces]
    here = np.einsum("kai,ki->ka", ones[rows], normals) - walls.heights[faces, None]
    there = np.einsum("kbi,ki->kb", others[rows], normals) - walls.heights[faces, None]
    # One set stands before the face or on it, the other behind it, at least so deep.
    before = here.min(axis=1) > there.min(axis=1)
    deep = -np.where(before, there.max(axis=1), here.max(axis=1))
    front = np.where(before, here.min(axis=1), there.min(axis=1))
    for share in (*SHARES, None):
        depth = np.full(len(rows), least + CLOSE) if share is None else share * deep
        at = np.flatnonzero(~found[rows] & (depth >= least) & (depth < deep - PARTS) & (front > PARTS - depth))
        if not len(at):
            continue
        over, under = here[at] + depth[at, None], there[at] + depth[at, None]
        part = over[:, :, None] / (over[:, :, None] - under[:, None, :])
        start, end = ones[rows[at]][:, :, None], others[rows[at]][:, None]
        cuts = start + part[..., None] * (end - start)
        proven = _lies_within(walls, cuts, normals[at], walls.heights[faces[at]] - depth[at], least)
        found[rows[at[proven]]] = True
    return found


def _crossed(walls: Walls, starts: Array, ends: Array) -> tuple[Index, Index]:
    """(line, triangle) for each face that a line crosses or touches, one triangle for each face."""
    here = starts @ walls.normals.T - walls.heights
    there = ends @ walls.normals.T - walls.heights
    tolerance = 4.0 * DEEP_MM
    across = ((here <= tolerance) & (there >= -tolerance)) | ((here >= -tolerance) & (there <= tolerance))
    across &= np.abs(here - there) > PARTS
    line, triangle = np.nonzero(across)
    share = np.clip(here[line, triangle] / (here[line, triangle] - there[line, triangle]), 0.0, 1.0)
    points = starts[line] + share[:, None] * (ends[line] - starts[line])
    on = walls.on_skin(triangle, points)
    line, triangle = line[on], triangle[on]
    key = line * (int(walls.plane.max(initial=0)) + 1) + walls.plane[triangle]
    _, first = np.unique(key, return_index=True)
    return line[first], triangle[first]


def _lies_within(walls: Walls, cuts: Array, normals: Array, heights: Array, least: float) -> Mask:
    """Whether the hulls of `cuts` (K, a, b, 3), in planes, lie in the solid and no nearer to its skin than `least`."""
    points = cuts.reshape(len(cuts), -1, 3)
    found = walls.holds(points.mean(axis=1))
    at = np.flatnonzero(found)
    points, cuts, normals, heights = points[at], cuts[at], normals[at], heights[at]
    row, triangle = _near(walls, points, least)
    over = np.einsum("qci,qi->qc", walls.skin[triangle], normals[row]) - heights[row, None]
    # Wholly on one side of the plane of the cuts, or these on one side of the plane of the triangle.
    parted = _lowest(over) > least
    parted |= _lowest(-over) > least
    row, triangle, over = row[~parted], triangle[~parted], over[~parted]
    beside = np.einsum("qpi,qi->qp", points[row], walls.normals[triangle]) - walls.heights[triangle, None]
    parted = (_lowest(beside) > least) | (_lowest(-beside) > least)
    row, triangle, over = row[~parted], triangle[~parted], over[~parted]
    bad = _meets(walls.skin[triangle], over, cuts[row], normals[row], least)
    found[at[row[bad]]] = False
    return found


def _lowest(values: Array) -> Array:
    """The least of each row of (Q, n); quicker than asking for it where n is small."""
    least = values[:, 0].copy()
    for k in range(1, values.shape[1]):
        np.minimum(least, values[:, k], out=least)
    return least


def _near(walls: Walls, points: Array, least: float) -> tuple[Index, Index]:
    """(set, triangle) where the balls about both come near each other."""
    middle = points.mean(axis=1)
    radius = np.linalg.norm(points - middle[:, None], axis=2).max(axis=1)
    centres = walls.skin.mean(axis=1)
    reach = np.linalg.norm(walls.skin - centres[:, None], axis=2).max(axis=1, initial=0.0)
    apart = np.linalg.norm(middle[:, None] - centres[None], axis=2)
    row, triangle = np.nonzero(apart <= radius[:, None] + reach[None] + least)
    return row, triangle


def _meets(triangles: Array, over: Array, cuts: Array, normals: Array, least: float) -> Mask:
    """Which triangles (Q, 3, 3) are not parted, within planes, from the hulls of `cuts` by an edge of either."""
    if not len(triangles):
        return np.zeros(0, dtype=bool)
    slab, counts = _in_slab(triangles, over, least)
    points = cuts.reshape(len(cuts), -1, 3)
    parted = ~counts.any(axis=1)
    for along in [*_sides(cuts), *(triangles[:, k] - triangles[:, k - 1] for k in range(3))]:
        axis = np.cross(normals, along)
        length = np.linalg.norm(axis, axis=1)
        axis /= np.maximum(length, 1e-300)[:, None]
        own = np.einsum("qpi,qi->qp", points, axis)
        others = np.einsum("qpi,qi->qp", slab, axis)
        above = _lowest(np.where(counts, others, np.inf)) > least - _lowest(-own)
        below = -_lowest(np.where(counts, -others, np.inf)) < _lowest(own) - least
        parted |= (length > 1e-12) & (above | below)
    return np.asarray(~parted)


def _sides(cuts: Array) -> list[Array]:
    """Directions (Q, 3) among which are those of all edges of the hull."""
    found = []
    _, a, b, _ = cuts.shape
    for k in range(a):
        found += [cuts[:, k, j] - cuts[:, k, (j + 1) % b] for j in range(b if b > 2 else b - 1)]
    for j in range(b):
        found += [cuts[:, k, j] - cuts[:, (k + 1) % a, j] for k in range(a if a > 2 else a - 1)]
    return found


def _in_slab(triangles: Array, over: Array, least: float) -> tuple[Array, Mask]:
    """Corners (Q, 6, 3) of what of each triangle lies within `least` of its plane, and which of them count."""
    ends, beyond = np.roll(triangles, -1, axis=1), np.roll(over, -1, axis=1)
    rise = beyond - over
    with np.errstate(divide="ignore", invalid="ignore"):
        first, last = (-least - over) / rise, (least - over) / rise
    flat = np.abs(rise) < 1e-12
    low = np.where(flat, 0.0, np.minimum(first, last))
    high = np.where(flat, 1.0, np.maximum(first, last))
    counts = (low <= 1.0) & (high >= 0.0) & ~(flat & (np.abs(over) > least))
    places = np.stack([np.clip(low, 0.0, 1.0), np.clip(high, 0.0, 1.0)], axis=2)
    points = triangles[:, :, None] + places[..., None] * (ends - triangles)[:, :, None]
    return points.reshape(len(triangles), 6, 3), np.repeat(counts, 2, axis=1)
