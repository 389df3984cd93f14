"""Solid insulation as a skin of triangles: which points lie deep in it, and which straight lines run through none.

A joint that is closed as drawn is not air: the faces that lie against each other there are no skin. Where the solids
may move against each other, the joint may open, and its faces stay.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.air_paths.blocks import Blocks, blocks_of
from fitcheck.geometry.inside_mesh import points_inside
from fitcheck.geometry.surface_paths.cells import Cell, Face, cells_of
from fitcheck.geometry.surface_paths.facing import fan
from fitcheck.geometry.triangles import closest_points

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Mask = NDArray[np.bool_]
Solid = tuple[Array, Index]

DEEP_MM = 1e-6
"""Nothing less deep than this counts as inside: lines along a face, or from an edge, touch and do not enter."""
OBLIQUE = np.array([0.5364, 0.7411, 0.4039])
"""A direction in which hardly any face lies: a point moved along it leaves the plane of a joint."""
SAMPLES = np.array([0.5, 0.21, 0.83])


@dataclass(frozen=True, slots=True, eq=False)
class Walls:
    """`skin` (M, 3, 3) triangles with outward unit `normals` (M, 3) at `heights` (M,) along them, `plane` (M,) the
    number of each one's face; `solids` closed meshes, `blocks` the convex blocks of each. `known`: the blocks are all
    of the solids, and these apart.
    """

    skin: Array
    normals: Array
    heights: Array
    plane: Index
    solids: tuple[Solid, ...]
    blocks: tuple[Blocks, ...]
    known: bool

    def holds(self, points: Array) -> Mask:
        """Which points (K, 3), none within DEEP_MM of the skin, lie inside."""
        moved = points + DEEP_MM / 2.0 * OBLIQUE
        inside = np.zeros(len(points), dtype=bool)
        for vertices, faces in self.solids:
            low, high = vertices.min(axis=0), vertices.max(axis=0)
            near = np.flatnonzero(~inside & ((moved >= low) & (moved <= high)).all(axis=1))
            if len(near):
                inside[near] = points_inside(vertices, faces, moved[near])
        return inside

    def distance(self, start: Array, end: Array) -> float:
        """The least distance of a straight line to the skin."""
        line = np.broadcast_to(np.array([start, end, end]), self.skin.shape)
        return float(closest_points(self.skin, np.array(line))[0].min(initial=np.inf))

    def deep(self, points: Array) -> Mask:
        """Which points (K, 3) lie deeper inside than DEEP_MM."""
        found = self.holds(points)
        for row in np.flatnonzero(found).tolist():
            found[row] = self._off_skin(points[row])
        return found

    def _off_skin(self, point: Array) -> bool:
        reach = 2.0 * DEEP_MM
        low, high = self.skin.min(axis=1) - reach, self.skin.max(axis=1) + reach
        near = self.skin[((point >= low) & (point <= high)).all(axis=1)]
        if not len(near):
            return True
        spot = np.broadcast_to(point, (len(near), 3, 3))
        return bool(closest_points(near, np.array(spot))[0].min() > DEEP_MM)

    def bars(self, starts: Array, ends: Array, margin: float = 0.0) -> Mask:
        """Which straight lines (K, 3) are known to run through insulation, deeper than `margin`; others may as well."""
        found = np.zeros(len(starts), dtype=bool)
        length = np.linalg.norm(ends - starts, axis=1)
        for blocks in self.blocks:
            left = np.flatnonzero(~found)
            found[left] = blocks.bars(
                starts[left], ends[left], margin + 2.0 * DEEP_MM, DEEP_MM / np.maximum(length[left], DEEP_MM)
            )
        return found

    def is_clear(self, start: Array, end: Array) -> bool:
        """Whether a straight line runs through no insulation. Along a face, and from one, is clear."""
        return self.solid_on(start, end) == 0.0

    def solid_on(self, start: Array, end: Array) -> float:
        """How many mm of a straight line run through insulation."""
        way = end - start
        slope = self.normals @ way
        with np.errstate(divide="ignore", invalid="ignore"):
            share = (self.heights - self.normals @ start) / slope
        crossed = np.isfinite(share) & (share > 0.0) & (share < 1.0)
        at = start + share[crossed, None] * way
        hit = self.on_skin(np.flatnonzero(crossed), at)
        breaks = np.unique(np.concatenate([[0.0, 1.0], share[crossed][hit]]))
        stretches = np.diff(breaks)
        length = float(np.linalg.norm(way))
        long = stretches * length > DEEP_MM
        places = breaks[:-1][long, None] + stretches[long, None] * SAMPLES
        inside = self.deep(start + places.ravel()[:, None] * way).reshape(-1, len(SAMPLES)).any(axis=1)
        return float(stretches[long][inside].sum()) * length

    def on_skin(self, rows: Index, points: Array) -> Mask:
        """Whether points (K, 3) in the planes of triangles `rows` (K,) lie on them or hardly beside them."""
        corners = self.skin[rows]
        found = np.ones(len(rows), dtype=bool)
        for k in range(3):
            along = corners[:, (k + 1) % 3] - corners[:, k]
            inward = np.cross(self.normals[rows], along)
            inward /= np.maximum(np.linalg.norm(inward, axis=1), 1e-300)[:, None]
            found &= np.einsum("ki,ki->k", inward, points - corners[:, k]) >= -4.0 * DEEP_MM
        return found


def walls_of(solids: Sequence[Solid], *, closed: bool = True) -> Walls:
    """Closed meshes (vertices, faces wound outward) as walls; without `closed`, joints are skin."""
    cells, faces = cells_of(solids, 2.0 * DEEP_MM)
    if closed:
        cells = [cell for cell in cells if not _is_joint(cell, faces)]
    planes: dict[int, int] = {}
    triangles, normals, plane = [np.empty((0, 3, 3))], [np.empty((0, 3))], [np.empty(0, dtype=np.intp)]
    for cell in cells:
        tiles = fan(cell.corners)
        number = planes.setdefault(id(cell if cell.face is None else cell.face), len(planes))
        triangles.append(tiles)
        normals.append(np.broadcast_to(cell.normal, (len(tiles), 3)))
        plane.append(np.full(len(tiles), number, dtype=np.intp))
    skin, out = np.concatenate(triangles), np.concatenate(normals)
    blocks = tuple(blocks_of(*solid) for solid in solids)
    known = all(each.whole for each in blocks) and (not closed or _are_apart(solids, blocks))
    heights = np.einsum("ki,ki->k", out, skin[:, 0])
    return Walls(skin, out, heights, np.concatenate(plane), tuple(solids), blocks, known)


def _are_apart(solids: Sequence[Solid], blocks: Sequence[Blocks]) -> bool:
    """Whether a plane of either parts every two solids: lines then run through no joint."""
    return all(
        blocks[one].parted(solids[other][0]) or blocks[other].parted(solids[one][0])
        for one, other in combinations(range(len(solids)), 2)
    )


def _is_joint(cell: Cell, faces: Sequence[Face]) -> bool:
    """Whether a cell lies against a face of another solid."""
    from shapely import Point

    if cell.face is None or not cell.face.cuts:
        return False
    middle = cell.corners.mean(axis=0)
    for other in faces:
        if other.body == cell.body or cell.normal @ other.normal > -1.0 + 1e-9:
            continue
        if abs(float((cell.corners - other.origin).dot(other.normal).max())) > 2.0 * DEEP_MM:
            continue
        if other.outline.contains(Point(other.flat(middle[None])[0])):
            return True
    return False
