"""Pairs measured on triangles: a mesh against anything, a part in a bore, and what a contact leaves of a prism or mesh.

One side is held and the other moves against it: every corner of the moving side gets the box of displacements that the
uncertain values can give it relative to the held side, and the distance is bounded over all of them. A distance alone
does not tell a part inside another from one beside it, so corners are also tested for being inside.
"""

from __future__ import annotations

import weakref
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fitcheck.findings import TOUCH_MM, Point
from fitcheck.geometry.facet_distance import Nearest, nearest
from fitcheck.geometry.facets import FacetTree
from fitcheck.geometry.inside_mesh import depth_of_points, points_inside, sample_points, winding_numbers
from fitcheck.geometry.intersect import overlap_solid
from fitcheck.geometry.meshfile import MeshModel
from fitcheck.placing.clip import without_regions
from fitcheck.placing.contacts import Region
from fitcheck.placing.facets import Faces, Facets, facets_of
from fitcheck.placing.forms import Widths, fall, rise
from fitcheck.placing.local import MeshSolid
from fitcheck.placing.pair import STAY, Lowest, PiecePair, Shift, Spread
from fitcheck.placing.placed import Array, Columns, Placed, columns_of, surface_tolerance

STILL_POSE = (np.eye(3), np.zeros(3))
MOST_TESTED = 4000
"""Corners tested for being inside the other part; of meshes with several bodies, evenly chosen."""

OPEN_SURFACES_MEET = "the surfaces meet and a mesh is not closed: whether they only touch cannot be told"

MOST_TRIED = 16
"""Corners tried against an open mesh: every triangle is looked at for each of them."""

BEHIND_SURFACE, ALL_ROUND = 0.25, 0.9
"""How often an open surface has to go round a point, backs turned to it, for the point to be taken as perhaps in the
material; and faces turned to it, as in a mesh that may be inside out. The air of a case seen from inside has the faces
turned to it, and an opening."""

_trees: weakref.WeakKeyDictionary[MeshModel, FacetTree] = weakref.WeakKeyDictionary()


def faceted_pair(
    a: Placed, b: Placed, regions_a: tuple[Region, ...], regions_b: tuple[Region, ...]
) -> PiecePair | None:
    """The pair; None if a contact leaves nothing of one side."""
    pair = FacetPair(a, b, regions_a, regions_b)
    return None if pair.is_empty else pair


@dataclass(frozen=True)
class FacetPair:
    """`regions` are what contacts leave out of each piece's distance, never of its overlap."""

    a: Placed
    b: Placed
    regions_a: tuple[Region, ...] = ()
    regions_b: tuple[Region, ...] = ()

    @cached_property
    def columns(self) -> Columns:
        return columns_of(self.a, self.b)

    @cached_property
    def names(self) -> frozenset[str]:
        return frozenset(self.columns.names)

    @cached_property
    def is_empty(self) -> bool:
        return any(not len(side.faces) for side in (self._left_a, self._left_b))

    @cached_property
    def _whole_a(self) -> Facets:
        return facets_of(self.a, self.columns)

    @cached_property
    def _whole_b(self) -> Facets:
        return facets_of(self.b, self.columns)

    @cached_property
    def _left_a(self) -> Facets:
        return without_regions(self._whole_a, self.regions_a)

    @cached_property
    def _left_b(self) -> Facets:
        return without_regions(self._whole_b, self.regions_b)

    @cached_property
    def _tolerance(self) -> float:
        return surface_tolerance(self.a) + surface_tolerance(self.b)

    @cached_property
    def _tree_a(self) -> tuple[FacetTree, tuple[Array, Array]]:
        return _tree(self.a, self._left_a, self.regions_a)

    @cached_property
    def _tree_b(self) -> tuple[FacetTree, tuple[Array, Array]]:
        return _tree(self.b, self._left_b, self.regions_b)

    def _slack(self, widths: Widths) -> Array:
        """(V, 2, 3): how far each corner of the second side can go against the first, lowest and highest."""
        below, above = self.columns.widths(widths)
        held = self._left_a.moves
        middle = (held.min(axis=0) + held.max(axis=0)) / 2.0
        moves = self._left_b.moves - middle[None, :, :]
        low = np.minimum(-moves * below[None, :, None], moves * above[None, :, None]).sum(axis=1)
        high = np.maximum(-moves * below[None, :, None], moves * above[None, :, None]).sum(axis=1)
        own = (np.abs(held - middle[None, :, :]).max(axis=0) * np.maximum(below, above)[:, None]).sum(axis=0)
        return np.stack([low - own, high + own], axis=1)

    def least(self, widths: Widths) -> float:
        slack = self._slack(widths)
        low_b = (self._left_b.vertices + slack[:, 0]).min(axis=0)
        high_b = (self._left_b.vertices + slack[:, 1]).max(axis=0)
        low_a, high_a = self._left_a.vertices.min(axis=0), self._left_a.vertices.max(axis=0)
        gaps = np.maximum(low_b - high_a, low_a - high_b)
        return float(np.linalg.norm(np.maximum(gaps, 0.0))) - self._tolerance if (gaps > 0).any() else -np.inf

    def lowest(self, widths: Widths, shift: Shift = STAY) -> Lowest:
        return Lowest(self.spread(widths, shift).low)

    def spread(self, widths: Widths, shift: Shift = STAY) -> Spread:
        slack = self._slack(widths)
        tree_a, pose_a = self._tree_a
        tree_b, (rotation, place) = self._tree_b
        found = nearest(tree_a, pose_a, tree_b, (rotation, place + np.array(shift)), slack=slack)
        assert found is not None  # noqa: S101 (no limit was given)
        depth = self._depth(found.distance, shift)
        if depth > 0.0:
            return self._overlapping(depth, found, slack, widths)
        apart = self._apart(found, slack, widths, shift)
        doubt = self._doubt(found.distance, shift)
        if not doubt:
            return apart
        deepest = self._deepest(shift)
        meshes = [piece.part for piece in (self.a, self.b) if not _is_closed(piece)]
        doubted = {f"{meshes[0]}.surface": -(apart.value + deepest)}
        return replace(apart, low=min(apart.low, -deepest), falls={**apart.falls, **doubted}, note=doubt)

    def _doubt(self, distance: float, shift: Shift) -> str:
        """Why surfaces that do not cross may still belong to parts that overlap; empty if they cannot."""
        if _is_closed(self.a) and _is_closed(self.b):
            return ""
        if distance <= TOUCH_MM:
            return OPEN_SURFACES_MEET
        whole_b = self._whole_b.vertices + np.array(shift)
        for outer, inner, corners, faces, points in (
            (self.a, self.b, self._whole_a.vertices, self._whole_a.faces, whole_b),
            (self.b, self.a, whole_b, self._whole_b.faces, self._whole_a.vertices),
        ):
            if _may_hold(outer, corners, faces, points):
                return f"the mesh of {outer.part} is not closed: whether {inner.part} lies inside it cannot be told"
        return ""

    def _deepest(self, shift: Shift) -> float:
        """No overlap can be deeper than what the two bounding boxes share."""
        whole_b = self._whole_b.vertices + np.array(shift)
        low = np.maximum(self._whole_a.vertices.min(axis=0), whole_b.min(axis=0))
        high = np.minimum(self._whole_a.vertices.max(axis=0), whole_b.max(axis=0))
        return max(1.0, float((high - low).min()))

    def _apart(self, found: Nearest, slack: Array, widths: Widths, shift: Shift) -> Spread:
        on_a, on_b = np.array(found.point_a), np.array(found.point_b)
        away = on_b - on_a
        distance = found.distance
        normal = away / distance if distance > TOUCH_MM else np.zeros(3)
        near = self._support(normal, on_b - np.array(shift))
        ends = np.maximum(np.abs(away + slack[near, 0].min(axis=0)), np.abs(away + slack[near, 1].max(axis=0)))
        pulls = self._pulls(near, normal, distance)
        return Spread(
            value=distance,
            low=self._low(found, slack) - self._tolerance,
            high=max(distance, float(np.linalg.norm(ends))) + self._tolerance + self._error,
            falls={name: min(fall(pull, widths[name]) for pull in both) for name, both in pulls.items()}
            | self._skin(-1),
            rises={name: max(rise(pull, widths[name]) for pull in both) for name, both in pulls.items()}
            | self._skin(1),
            points=(_point(on_a), _point(on_b)),
            error=self._error,
        )

    @cached_property
    def _error(self) -> float:
        return self._whole_a.error + self._whole_b.error

    @staticmethod
    def _low(found: Nearest, slack: Array) -> float:
        """The proven bound; where it reaches zero the search says no more, and the farthest travel bounds the depth."""
        if found.low > 0.0:
            return min(found.distance, found.low)
        return found.distance - float(np.linalg.norm(np.abs(slack).max(axis=(0, 1))))

    def _support(self, normal: Array, on_b: Array) -> Faces:
        """The corners of the second side that lie in the plane of its witness point; all of them if none does."""
        off = np.abs((self._left_b.vertices - on_b) @ normal)
        near = np.flatnonzero(off < 1e-6)
        return near if len(near) and normal.any() else np.arange(len(self._left_b.vertices))

    def _pulls(self, near: Faces, normal: Array, distance: float) -> dict[str, tuple[float, float]]:
        """How fast the distance changes with each value: the slowest and the fastest of the nearest corners."""
        held = self._left_a.moves
        moves = self._left_b.moves[near] - ((held.min(axis=0) + held.max(axis=0)) / 2.0)[None, :, :]
        if distance <= TOUCH_MM:
            speeds = np.linalg.norm(moves, axis=2)
            return {name: (-float(speeds[:, k].max()), 0.0) for k, name in enumerate(self.columns.names)}
        speeds = moves @ normal
        return {
            name: (float(speeds[:, k].min()), float(speeds[:, k].max())) for k, name in enumerate(self.columns.names)
        }

    def _skin(self, sign: int) -> dict[str, float]:
        """The surface tolerance of a mesh, as one more contribution."""
        return {
            f"{piece.part}.surface": sign * surface_tolerance(piece)
            for piece in (self.a, self.b)
            if surface_tolerance(piece)
        }

    def _overlapping(self, depth: float, found: Nearest, slack: Array, widths: Widths) -> Spread:
        reach = float(np.linalg.norm(np.abs(slack).max(axis=(0, 1)))) + self._tolerance
        below, above = self.columns.widths(widths)
        speeds = np.linalg.norm(self._left_b.moves, axis=2).max(axis=0)
        each = dict(zip(self.columns.names, (speeds * np.maximum(below, above)).tolist(), strict=True))
        return Spread(
            value=-depth,
            low=-depth - reach,
            high=-depth + reach + self._error,
            falls={name: -size for name, size in each.items()} | self._skin(-1),
            rises=each | self._skin(1),
            points=(_point(np.array(found.point_a)), _point(np.array(found.point_b))),
            error=self._error,
        )

    def _depth(self, distance: float, shift: Shift) -> float:
        """How deep the two overlap at nominal, 0.0 if they only touch or stand clear."""
        whole_b = self._whole_b.vertices + np.array(shift)
        if distance > TOUCH_MM and not self._one_inside(whole_b):
            return 0.0
        shared = overlap_solid((self._whole_a.vertices, self._whole_a.faces), (whole_b, self._whole_b.faces))
        if shared is not None:
            return shared.depth_mm if shared.depth_mm > TOUCH_MM else 0.0
        return self._depth_of_open(whole_b)

    def _depth_of_open(self, whole_b: Array) -> float:
        """Where one mesh is not closed: the deepest of its corners and triangle middles inside the other."""
        depths = [0.0]
        if _is_closed(self.b):
            points = sample_points(self._whole_a.vertices, self._whole_a.faces)
            depths.append(depth_of_points(whole_b, self._whole_b.faces, points))
        if _is_closed(self.a):
            points = sample_points(whole_b, self._whole_b.faces)
            depths.append(depth_of_points(self._whole_a.vertices, self._whole_a.faces, points))
        return max(depths)

    def _one_inside(self, whole_b: Array) -> bool:
        return _holds(self.a, self._whole_a.vertices, self._whole_a.faces, whole_b) or _holds(
            self.b, whole_b, self._whole_b.faces, self._whole_a.vertices
        )


def _is_closed(piece: Placed) -> bool:
    return not isinstance(piece.solid, MeshSolid) or piece.solid.model.solid_faces is not None


def _holds(outer: Placed, vertices: Array, faces: Faces, points: Array) -> bool:
    """Whether any of the points lies inside a closed piece."""
    if not _is_closed(outer):
        return False
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    inside = points[((points > low) & (points < high)).all(axis=1)]
    if not len(inside):
        return False
    chosen = inside[:: max(1, len(inside) // MOST_TESTED)]
    return bool(points_inside(vertices, faces, chosen).any())


def _may_hold(outer: Placed, vertices: Array, faces: Faces, points: Array) -> bool:
    """Whether any of the points may lie in the material of a mesh that is not closed."""
    if not isinstance(outer.solid, MeshSolid) or _is_closed(outer):
        return False
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    within = points[((points > low) & (points < high)).all(axis=1)]
    if not len(within):
        return False
    health = outer.solid.model.health
    if health.mixed_winding or health.crowded_edges or health.leaks > health.triangles / 2:
        return True  # the triangles say nothing about which side of them is material
    turns = winding_numbers(vertices, faces, within[:: max(1, len(within) // MOST_TRIED)])
    return bool(((turns > BEHIND_SURFACE) | (turns < -ALL_ROUND)).any())


def _tree(piece: Placed, left: Facets, regions: tuple[Region, ...]) -> tuple[FacetTree, tuple[Array, Array]]:
    """The search tree of a side and its pose: one tree serves every part made of one mesh file."""
    solid = piece.solid
    if regions or not isinstance(solid, MeshSolid) or solid.vertices is not solid.model.vertices:
        return FacetTree(left.vertices, left.faces), STILL_POSE
    if solid.model not in _trees:
        _trees[solid.model] = FacetTree(solid.model.vertices, left.faces)
    centre = np.array([form.nominal for form in piece.centre])
    return _trees[solid.model], (np.array(piece.rotation), centre)


def _point(array: Array) -> Point:
    x, y, z = (float(value) for value in array)
    return (x, y, z)
