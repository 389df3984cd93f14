"""Where a conductor takes hold of a surface: its convex pieces above a cell, no higher than a leap reaches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.surface_paths.cells import SAME_MM, Cell
from fitcheck.geometry.surface_paths.facing import Sight, apart, fan, within
from fitcheck.geometry.surface_paths.net import Array
from fitcheck.geometry.triangles import SKINNY, closest_points

CHUNK = 400_000
DIGITS = 9
"""Corners that are the same to so many digits of a mm are one."""
FLAT = 1e-7
"""Triangles whose normals differ by no more than this belong to one flat side."""


@dataclass(slots=True, eq=False)
class Claw:
    """One convex piece of a conductor, as triangles (M, 3, 3), that touches cell `room` or hangs less than X over it.

    `hub` 0 is where ways start, 1 where they end. `whole` is all of the piece: what lies across a leap may be nearest
    to a part of it that does not hang over this cell. `roof` (R, 4), where the opening is measured square to the cell:
    gentle planes of the piece's underside, as gradient and constant of their height over the cell's plane; no step onto
    the cell and along it is shorter than any of them. `level`: an edge that runs level over the cell, from which a leap
    goes aslant. `lips`: only edges of the face are taken hold of. `foot`, `tip` and `step`: the shortest step's points
    on the cell and on the piece, its length.
    """

    hub: int
    room: int
    triangles: Array
    whole: Array
    roof: Array | None = None
    level: bool = False
    lips: bool = False
    foot: Array = field(default_factory=lambda: np.zeros(3))
    tip: Array = field(default_factory=lambda: np.zeros(3))
    step: float = math.inf


def claws_of(pieces: Sequence[Array], hub: int, cells: Sequence[Cell], narrow: float, slack: float = 0.0) -> list[Claw]:
    """Claws of a conductor given as triangles (M, 3, 3) of convex pieces, on all cells that it reaches.

    Over a face, an opening is measured square to the face; aslant from edges of the conductor that run level over it,
    and to edges of the face. Where the conductor reaches beyond the face, and wherever anything may move (`slack`),
    it is measured straight, which is never more.
    """
    low = np.array([cell.corners.min(axis=0) for cell in cells])
    high = np.array([cell.corners.max(axis=0) for cell in cells])
    reach = narrow + slack
    found = []
    for piece in pieces:
        points, edges = piece.reshape(-1, 3), edges_of(piece)
        gap = np.maximum(low - points.max(axis=0), points.min(axis=0) - high).max(axis=1)
        for room in np.flatnonzero(gap < reach).tolist():
            cell = cells[room]
            if (points @ cell.normal).max() < cell.offset - SAME_MM - slack:
                continue
            held = below(piece, cell.normal, cell.offset + reach)
            if len(held):
                claws = _square(piece, edges, held, hub, room, cell, reach) if slack == 0.0 else None
                claws = [Claw(hub, room, held, piece)] if claws is None else claws
                found += [claw for claw in claws if _takes_hold(claw, cell, reach)]
    return found


def _square(
    piece: Array, edges: Array, held: Array, hub: int, room: int, cell: Cell, reach: float
) -> list[Claw] | None:
    """Claws where a piece stays over the cell's face; None where it reaches beyond."""
    if not _is_over(cell, held.reshape(-1, 3)):
        return None
    claws = [Claw(hub, room, edge, piece, level=True) for edge in _level_edges(edges, cell, reach)]
    claws.append(Claw(hub, room, held, piece, lips=True))
    if _covers(cell, held.reshape(-1, 3)):
        claws.append(Claw(hub, room, held, piece, _roof(piece, cell)))
    return claws


def _takes_hold(claw: Claw, cell: Cell, reach: float) -> bool:
    """Find the shortest step; whether it is shorter than an opening that counts."""
    tiles = fan(cell.corners)
    gap = np.maximum(
        claw.triangles.min(axis=1) - cell.corners.max(axis=0), cell.corners.min(axis=0) - claw.triangles.max(axis=1)
    )
    triangles = claw.triangles[gap.max(axis=1) < reach]
    if not len(triangles):
        return False
    ones, others = np.repeat(tiles, len(triangles), axis=0), np.tile(triangles, (len(tiles), 1, 1))
    distance, foot, tip = closest_points(ones, others)
    best = int(distance.argmin())
    claw.foot, claw.tip, claw.step = foot[best], tip[best], float(distance[best])
    return claw.step < reach - SAME_MM / 10.0


def _is_over(cell: Cell, points: Array) -> bool:
    """Whether the shadow of a convex piece lies on the face of which the cell is a part."""
    from shapely import MultiPoint

    if cell.face is None:
        return False
    shadow = MultiPoint(cell.face.flat(points)).convex_hull
    return bool(cell.face.outline.buffer(SAME_MM).covers(shadow))


def _covers(cell: Cell, points: Array) -> bool:
    """Whether the shadow of a convex piece falls on more of a cell than its rim."""
    from shapely import MultiPoint, Polygon

    assert cell.face is not None  # noqa: S101 (only cells of joined faces are asked about)
    shadow = MultiPoint(cell.face.flat(points)).convex_hull
    shared = Polygon(cell.face.flat(cell.corners)).intersection(shadow)
    if shadow.area > 0.0:
        return bool(shared.area > SAME_MM * shadow.area)
    return bool(shared.length > SAME_MM * shadow.length) if shadow.length > 0.0 else not shared.is_empty


def _level_edges(edges: Array, cell: Cell, reach: float) -> list[Array]:
    """Edges (E, 2, 3) of a piece that run level over a cell less than `reach` above it, as triangles without width."""
    heights = edges @ cell.normal - cell.offset
    level = (np.abs(heights[:, 0] - heights[:, 1]) < SAME_MM) & (heights[:, 0] > SAME_MM) & (heights[:, 0] < reach)
    return [np.array([[start, end, end]]) for start, end in edges[level]]


def is_convex(triangles: Array) -> bool:
    """Whether triangles (M, 3, 3) that face outward bound one convex body, to the rounding of their corners."""
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    lengths = np.linalg.norm(normals, axis=1)
    solid = lengths > SKINNY
    normals = normals[solid] / lengths[solid, None]
    points = np.unique(triangles.reshape(-1, 3).round(DIGITS), axis=0)
    heights = points @ normals.T - np.einsum("ki,ki->k", normals, triangles[solid, 0])
    return len(normals) >= 4 and bool((heights < SAME_MM / 10.0).all())


def edges_of(piece: Array) -> Array:
    """The edges (E, 2, 3) of a convex piece, each once, without those that only part the triangles of a flat side."""
    normals = np.cross(piece[:, 1] - piece[:, 0], piece[:, 2] - piece[:, 0])
    normals /= np.maximum(np.linalg.norm(normals, axis=1), 1e-300)[:, None]
    points, number = np.unique(piece.reshape(-1, 3).round(DIGITS), axis=0, return_inverse=True)
    corners = number.reshape(-1, 3)
    ends = np.sort(np.concatenate([corners, np.roll(corners, -1, axis=1)]).reshape(2, -1).T, axis=1)
    sides = np.repeat(np.arange(len(piece)), 3)
    real = ends[:, 0] != ends[:, 1]
    ends, sides = ends[real], sides[real]
    edges, which = np.unique(ends, axis=0, return_inverse=True)
    low, high = np.full((len(edges), 3), np.inf), np.full((len(edges), 3), -np.inf)
    np.minimum.at(low, which.reshape(-1), normals[sides])
    np.maximum.at(high, which.reshape(-1), normals[sides])
    twice = np.bincount(which.reshape(-1), minlength=len(edges)) > 1
    flat = twice & ((high - low).max(axis=1, initial=0.0) < FLAT)
    return np.asarray(points[edges[~flat]])


def _roof(piece: Array, cell: Cell) -> Array:
    normals = np.cross(piece[:, 1] - piece[:, 0], piece[:, 2] - piece[:, 0])
    upright = normals @ cell.normal
    lengths = np.linalg.norm(normals, axis=1)
    # Slopes up to 45 degrees: down such a plane nothing is gained by stepping off earlier and walking.
    gentle = np.abs(upright) >= lengths * math.sqrt(0.5)
    normals, upright, starts = normals[gentle], upright[gentle], piece[gentle, 0]
    inner = piece.reshape(-1, 3).mean(axis=0)
    inside = np.einsum("ki,ki->k", normals, inner - starts) / np.where(upright == 0.0, 1.0, upright)
    lower = inside >= -SAME_MM
    normals, upright, starts = normals[lower], upright[lower], starts[lower]
    # The plane n . x = n . start stands (n . start - n . q) / (n . up) over a point q of the cell.
    return np.asarray(np.column_stack([-normals, np.einsum("ki,ki->k", normals, starts)]) / upright[:, None])


def below(triangles: Array, normal: Array, height: float) -> Array:
    """What of triangles (M, 3, 3) lies at or below a plane, as triangles."""
    reach = triangles @ normal - height
    found = [triangles[(reach <= SAME_MM).all(axis=1)]]
    for corners, sides in zip(triangles, reach, strict=True):
        if (sides <= SAME_MM).all() or (sides > SAME_MM).all():
            continue
        ring: list[Array] = []
        for k in range(3):
            here, there = sides[k], sides[(k + 1) % 3]
            if here <= 0.0:
                ring.append(corners[k])
            if here * there < 0.0:
                ring.append(corners[k] + here / (here - there) * (corners[(k + 1) % 3] - corners[k]))
        if len(ring) >= 3:
            found.append(fan(np.array(ring)))
        elif ring:
            found.append(np.array([[ring[0], ring[-1], ring[-1]]]))
    return np.concatenate(found)


def nearest(triangles: Array, points: Array) -> tuple[Array, Array]:
    """Distance (K,) from points (K, 3) to a convex piece as triangles (M, 3, 3), and its nearest points (K, 3).

    A point inside a closed piece is at no distance.
    """
    best, feet = np.full(len(points), np.inf), np.zeros((len(points), 3))
    step = max(CHUNK // max(len(triangles), 1), 1)
    for low in range(0, len(points), step):
        part = points[low : low + step]
        foot = _feet(part[:, None, :], triangles[None])
        distance = np.linalg.norm(foot - part[:, None, :], axis=2)
        at = distance.argmin(axis=1)
        rows = np.arange(len(part))
        best[low : low + step], feet[low : low + step] = distance[rows, at], foot[rows, at]
    inside = _inside(triangles, points)
    best[inside], feet[inside] = 0.0, points[inside]
    return best, feet


def _inside(triangles: Array, points: Array) -> NDArray[np.bool_]:
    """Points within a convex piece whose triangles face outward; a piece cut open above counts as going on upward."""
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    lengths = np.linalg.norm(normals, axis=1)
    solid = lengths > SKINNY
    normals, starts = normals[solid] / lengths[solid, None], triangles[solid, 0]
    thick = len(starts) >= 4 and np.linalg.matrix_rank(normals, tol=1e-6) == 3
    if not thick:
        return np.zeros(len(points), dtype=bool)
    heights = points @ normals.T - np.einsum("ki,ki->k", normals, starts)
    return np.asarray((heights <= 0.0).all(axis=1))


def _feet(points: Array, triangles: Array) -> Array:
    """Nearest points (K, M, 3) of triangles (1, M, 3, 3) to points (K, 1, 3): on the face if over it, else on an
    edge."""
    first = triangles[:, :, 0]
    one, two = triangles[:, :, 1] - first, triangles[:, :, 2] - first
    a, b, c = _dot(one, one), _dot(one, two), _dot(two, two)
    to = points - first
    d, e = _dot(one, to), _dot(two, to)
    area = a * c - b * b
    with np.errstate(divide="ignore", invalid="ignore"):
        v, w = (c * d - b * e) / area, (a * e - b * d) / area
        over = (area > SKINNY * a * c) & (v >= 0.0) & (w >= 0.0) & (v + w <= 1.0)
    with np.errstate(invalid="ignore"):
        found = first + v[..., None] * one + w[..., None] * two
    least = np.where(over, -1.0, np.inf)
    for k in range(3):
        start, along = triangles[:, :, k], triangles[:, :, (k + 1) % 3] - triangles[:, :, k]
        share = np.clip(_dot(points - start, along) / np.maximum(_dot(along, along), 1e-300), 0.0, 1.0)
        foot = start + share[..., None] * along
        square = _dot(points - foot, points - foot)
        nearer = square < least
        found = np.where(nearer[..., None], foot, found)
        least = np.where(nearer, square, least)
    return np.asarray(found)


def _dot(one: Array, other: Array) -> Array:
    return np.asarray(np.einsum("...i,...i->...", one, other))


def step_between(one: Array, other: Array) -> float:
    """The least distance of two convex pieces given as triangles (M, 3, 3)."""
    return float(apart([one], [other])[0])


def steps_between(one: Array, other: Array, cell: Cell) -> tuple[float, float]:
    """The least distance of two convex pieces given as triangles (M, 3, 3), and how long the straight way between the
    two is where it lies on a cell; infinite where it does not.
    """
    ones, others = np.repeat(one, len(other), axis=0), np.tile(other, (len(one), 1, 1))
    distance, here, there = closest_points(ones, others)
    least = float(distance.min())
    alike = distance < least + SAME_MM / 10.0
    on_cell = np.ones(int(alike.sum()), dtype=bool)
    for points in (here[alike], there[alike]):
        on_cell &= (np.abs(points @ cell.normal - cell.offset) < SAME_MM) & within(cell, points)
    return least, least if on_cell.any() else math.inf


def true_steps(
    claw: Claw, cell: Cell, points: Array, distance: Array, feet: Array, narrow: float, sight: Sight
) -> Array:
    """The length of an actual way from the claw over its cell to points (K, 3) of it; infinite where none is known.

    Square onto the cell and along it; aslant by the shortest step where the opening is measured straight. No step goes
    through a solid.
    """
    height = np.maximum(feet @ cell.normal - cell.offset, 0.0)
    down = feet - height[:, None] * cell.normal
    level = height + np.linalg.norm(points - down, axis=1)
    lies = height < SAME_MM
    over = within(cell, down)
    over[~lies] &= sight.clear(feet[~lies], down[~lies], over[~lies])
    straight = np.where(over, np.where(lies, distance, level), np.inf)
    if claw.lips:
        near = distance < narrow - SAME_MM / 10.0
        return np.where(lies & near | sight.clear(feet, points, near & ~lies), distance, np.inf)
    if claw.level:
        # Where it is X wide at last, ways that land a little nearer come as close to this length as one likes.
        near = (distance <= narrow + SAME_MM) & (distance < straight)
        straight = np.where(sight.clear(feet, points, near), distance, straight)
    if claw.roof is None:
        if claw.step < SAME_MM or not sight.pierces(claw.tip, claw.foot):
            straight = np.minimum(straight, claw.step + np.linalg.norm(points - claw.foot, axis=1))
        return straight
    return np.asarray(np.minimum(straight, _square_steps(claw, cell, points, sight)))


def _square_steps(claw: Claw, cell: Cell, points: Array, sight: Sight) -> Array:
    """Square from the corners of the claw onto the cell, then along it."""
    corners = claw.triangles.reshape(-1, 3)
    height = corners @ cell.normal - cell.offset
    down = corners - height[:, None] * cell.normal
    over = sight.clear(corners, down, within(cell, down))
    if not over.any():
        return np.full(len(points), np.inf)
    apart = np.linalg.norm(points[:, None] - down[None, over], axis=2)
    return np.asarray((apart + np.maximum(height[over], 0.0)).min(axis=1))
