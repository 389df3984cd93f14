"""Pairs measured on triangles: a mesh against anything, a part in a bore, and what a contact leaves of a prism or mesh.

One side is held and the other moves against it: every corner of the moving side gets the box of displacements that the
uncertain values can give it relative to the held side, and the distance is bounded over all of them. A distance alone
does not tell a part inside another from one beside it, so corners are also tested for being inside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from fitcheck.findings import TOUCH_MM, Point
from fitcheck.geometry.facet_distance import Nearest, nearest
from fitcheck.geometry.inside_mesh import depth_of_points, sample_points
from fitcheck.geometry.mesh_blocks import Boxes
from fitcheck.placing.contacts import Region
from fitcheck.placing.facets import Faces, Facets
from fitcheck.placing.forms import Widths, fall, rise
from fitcheck.placing.local import MeshSolid
from fitcheck.placing.pair import STAY, Lowest, PiecePair, Shift, Spread
from fitcheck.placing.placed import Array, Columns, Placed, columns_of, surface_tolerance
from fitcheck.placing.shared_solid import SharedSolid
from fitcheck.placing.side import Detail, LargeSide, Side, holds, is_closed, side_of

OPEN_SURFACES_MEET = "the surfaces meet and a mesh is not closed: whether they only touch cannot be told"

MOST_TRIED = 16
"""Corners tried against an open mesh: every triangle is looked at for each of them."""

BEHIND_SURFACE, ALL_ROUND = 0.25, 0.9
"""How often an open surface has to go round a point, backs turned to it, for the point to be taken as perhaps in the
material; and faces turned to it, as in a mesh that may be inside out. The air of a case seen from inside has the faces
turned to it, and an opening."""

SPARE_MM = 5.0
"""Kept beyond what one question needs, so that the next one, a little farther along, needs no other triangles."""


def faceted_pair(
    a: Placed, b: Placed, regions_a: tuple[Region, ...], regions_b: tuple[Region, ...]
) -> PiecePair | None:
    """The pair; None if a contact leaves nothing of one side."""
    pair = FacetPair(a, b, regions_a, regions_b)
    return None if pair.is_empty else pair


@dataclass(slots=True)
class _Kept:
    """Details of both sides, the second moved by `shift`, that decide every distance up to `reach` there; `at_most` is
    a true one.
    """

    details: tuple[Detail, Detail] | None = None
    shift: Shift = STAY
    reach: float = -1.0
    at_most: float = 0.0


@dataclass(frozen=True)
class FacetPair:
    """`regions` are what contacts leave out of each piece's distance, never of its overlap."""

    a: Placed
    b: Placed
    regions_a: tuple[Region, ...] = ()
    regions_b: tuple[Region, ...] = ()
    _kept: _Kept = field(default_factory=_Kept, init=False, compare=False, repr=False)

    @cached_property
    def columns(self) -> Columns:
        return columns_of(self.a, self.b)

    @cached_property
    def names(self) -> frozenset[str]:
        return frozenset(self.columns.names)

    @cached_property
    def is_empty(self) -> bool:
        return self._side_a.is_empty or self._side_b.is_empty

    @cached_property
    def _side_a(self) -> Side:
        return side_of(self.a, self.columns, self.regions_a)

    @cached_property
    def _side_b(self) -> Side:
        return side_of(self.b, self.columns, self.regions_b)

    @cached_property
    def _shared(self) -> SharedSolid:
        return SharedSolid(self._side_a, self._side_b)

    @cached_property
    def _tolerance(self) -> float:
        return surface_tolerance(self.a) + surface_tolerance(self.b)

    def _at_most(self, shift: Shift) -> float:
        """A true distance of the two at nominal, the second moved by `shift`, so no less than the smallest; infinite
        where both are kept whole.
        """
        if not (isinstance(self._side_a, LargeSide) or isinstance(self._side_b, LargeSide)):
            return math.inf
        some_b = self._side_b.nearest(_moved(self._side_a.few, shift, -1.0))
        some_a = self._side_a.nearest(_moved(some_b.boxes, shift))
        rotation, place = some_b.pose
        found = nearest(some_a.tree, some_a.pose, some_b.tree, (rotation, place + np.array(shift)))
        assert found is not None  # noqa: S101 (no limit was given)
        return found.distance

    def _details(self, slack: Array, shift: Shift) -> tuple[Detail, Detail]:
        """What can decide the distance with the second side moved by `shift`, and its bound with that slack.

        A pair of triangles that slack brings as near as the distance stands no farther apart than both together.
        Where the second side was moved otherwise when they were kept, it stood farther off by at most the way between,
        and so may the distance have been smaller by it.
        """
        kept, travel = self._kept, _travel(slack) + TOUCH_MM
        if kept.details is None or kept.at_most + 2.0 * math.dist(shift, kept.shift) + travel > kept.reach:
            kept.shift, kept.at_most = shift, self._at_most(shift)
            kept.reach = kept.at_most + travel + SPARE_MM
            kept_b = self._side_b.near(_moved(self._side_a.few, shift, -1.0), kept.reach)
            kept.details = self._side_a.near(_moved(kept_b.boxes, shift), kept.reach), kept_b
        return kept.details

    def _slack(self, widths: Widths) -> Array:
        """(V, 2, 3): how far each corner of the second side can go against the first, lowest and highest; (1, 2, 3)
        where all go alike.
        """
        below, above = self.columns.widths(widths)
        held = self._side_a.moves
        middle = (held.min(axis=0) + held.max(axis=0)) / 2.0
        moves = self._side_b.moves - middle[None, :, :]
        low = np.minimum(-moves * below[None, :, None], moves * above[None, :, None]).sum(axis=1)
        high = np.maximum(-moves * below[None, :, None], moves * above[None, :, None]).sum(axis=1)
        own = (np.abs(held - middle[None, :, :]).max(axis=0) * np.maximum(below, above)[:, None]).sum(axis=0)
        return np.stack([low - own, high + own], axis=1)

    def least(self, widths: Widths) -> float:
        slack = self._slack(widths)
        low_a, high_a = self._side_a.box
        low_b, high_b = self._side_b.moved_box(slack)
        gaps = np.maximum(low_b - high_a, low_a - high_b)
        return float(np.linalg.norm(np.maximum(gaps, 0.0))) - self._tolerance if (gaps > 0).any() else -np.inf

    def lowest(self, widths: Widths, shift: Shift = STAY) -> Lowest:
        return Lowest(self.spread(widths, shift).low)

    def spread(self, widths: Widths, shift: Shift = STAY) -> Spread:
        slack = self._slack(widths)
        kept = self._details(slack, shift)
        kept_a, kept_b = kept
        slack = np.broadcast_to(slack, (len(kept_b.facets.vertices), 2, 3))
        rotation, place = kept_b.pose
        found = nearest(kept_a.tree, kept_a.pose, kept_b.tree, (rotation, place + np.array(shift)), slack=slack)
        assert found is not None  # noqa: S101 (no limit was given)
        depth = self._depth(found.distance, kept, shift)
        if depth > 0.0:
            return self._overlapping(depth, found, slack, widths)
        apart = self._apart(found, kept_b, slack, widths, shift)
        doubt = self._doubt(found.distance, kept, shift)
        if not doubt:
            return apart
        deepest = self._deepest(shift)
        meshes = [piece.part for piece in (self.a, self.b) if not is_closed(piece)]
        doubted = {f"{meshes[0]}.surface": -(apart.value + deepest)}
        return replace(apart, low=min(apart.low, -deepest), falls={**apart.falls, **doubted}, note=doubt)

    def _both_ways(
        self, kept: tuple[Detail, Detail], shift: Shift
    ) -> tuple[tuple[Side, Side, Facets, Array], tuple[Side, Side, Facets, Array]]:
        """Outer side, inner side, what is kept of the inner, and how far that is moved against the outer."""
        kept_a, kept_b = kept
        return (
            (self._side_a, self._side_b, kept_b.facets, np.array(shift)),
            (self._side_b, self._side_a, kept_a.facets, -np.array(shift)),
        )

    def _doubt(self, distance: float, kept: tuple[Detail, Detail], shift: Shift) -> str:
        """Why surfaces that do not cross may still belong to parts that overlap; empty if they cannot."""
        if is_closed(self.a) and is_closed(self.b):
            return ""
        if distance <= TOUCH_MM:
            return OPEN_SURFACES_MEET
        for outer, inner, some, moved in self._both_ways(kept, shift):
            if _may_hold(outer, inner.corners(some) + moved):
                name, other = outer.piece.part, inner.piece.part
                return f"the mesh of {name} is not closed: whether {other} lies inside it cannot be told"
        return ""

    def _deepest(self, shift: Shift) -> float:
        """No overlap can be deeper than what the two bounding boxes share."""
        (low_a, high_a), (low_b, high_b) = self._side_a.whole_box, self._side_b.whole_box
        low, high = np.maximum(low_a, low_b + np.array(shift)), np.minimum(high_a, high_b + np.array(shift))
        return max(1.0, float((high - low).min()))

    def _apart(self, found: Nearest, kept: Detail, slack: Array, widths: Widths, shift: Shift) -> Spread:
        """`kept` is what there is of the second side."""
        on_a, on_b = np.array(found.point_a), np.array(found.point_b)
        away = on_b - on_a
        distance = found.distance
        normal = away / distance if distance > TOUCH_MM else np.zeros(3)
        facets = kept.facets
        near = _support(facets, normal, on_b - np.array(shift))
        ends = np.maximum(np.abs(away + slack[near, 0].min(axis=0)), np.abs(away + slack[near, 1].max(axis=0)))
        pulls = self._pulls(facets.moves[near], normal, distance)
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
        return self._side_a.error + self._side_b.error

    @staticmethod
    def _low(found: Nearest, slack: Array) -> float:
        """The proven bound; where it reaches zero the search says no more, and the farthest travel bounds the depth."""
        if found.low > 0.0:
            return min(found.distance, found.low)
        return found.distance - _travel(slack)

    def _pulls(self, moves: Array, normal: Array, distance: float) -> dict[str, tuple[float, float]]:
        """How fast the distance changes with each value: the slowest and the fastest of the nearest corners."""
        held = self._side_a.moves
        moves = moves - ((held.min(axis=0) + held.max(axis=0)) / 2.0)[None, :, :]
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
        reach = _travel(slack) + self._tolerance
        below, above = self.columns.widths(widths)
        speeds = np.linalg.norm(self._side_b.moves, axis=2).max(axis=0)
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

    def _depth(self, distance: float, kept: tuple[Detail, Detail], shift: Shift) -> float:
        """How deep the two overlap at nominal, 0.0 if they only touch or stand clear."""
        ways = self._both_ways(kept, shift)
        if distance > TOUCH_MM and not any(holds(outer, inner, some, moved) for outer, inner, some, moved in ways):
            return 0.0
        if is_closed(self.a) and is_closed(self.b):
            shared = self._shared.overlap(shift)
            if shared is not None:
                return shared.depth_mm if shared.depth_mm > TOUCH_MM else 0.0
        return self._depth_of_open(shift)

    def _depth_of_open(self, shift: Shift) -> float:
        """Where one mesh is not closed: the deepest of its corners and triangle middles inside the other."""
        depths = [0.0]
        for outer, inner, moved in (
            (self._side_b, self._side_a, -np.array(shift)),
            (self._side_a, self._side_b, np.array(shift)),
        ):
            if is_closed(outer.piece):
                low, high = outer.whole_box
                some, whole = inner.within(low - moved, high - moved), outer.whole
                if len(some.faces):
                    points = sample_points(some.vertices, some.faces) + moved
                    depths.append(depth_of_points(whole.vertices, whole.faces, points))
        return max(depths)


def _may_hold(outer: Side, points: Array) -> bool:
    """Whether any of the points may lie in the material of a mesh that is not closed."""
    solid = outer.piece.solid
    if not isinstance(solid, MeshSolid) or is_closed(outer.piece):
        return False
    low, high = outer.whole_box
    within = points[((points > low) & (points < high)).all(axis=1)]
    if not len(within):
        return False
    health = solid.model.health
    if health.mixed_winding or health.crowded_edges or health.leaks > health.triangles / 2:
        return True  # the triangles say nothing about which side of them is material
    turns = outer.turns(within[:: max(1, len(within) // MOST_TRIED)], (BEHIND_SURFACE, -ALL_ROUND))
    return bool(((turns > BEHIND_SURFACE) | (turns < -ALL_ROUND)).any())


def _moved(boxes: Boxes, shift: Shift, times: float = 1.0) -> Boxes:
    low, high = boxes
    by = times * np.array(shift)
    return low + by, high + by


def _travel(slack: Array) -> float:
    """No corner goes farther than this."""
    return float(np.linalg.norm(np.abs(slack).max(axis=(0, 1))))


def _support(facets: Facets, normal: Array, on_b: Array) -> Faces:
    """The corners of the second side that lie in the plane of its witness point; all of them if none does."""
    off = np.abs((facets.vertices - on_b) @ normal)
    near = np.flatnonzero(off < 1e-6)
    return near if len(near) and normal.any() else np.arange(len(facets.vertices))


def _point(array: Array) -> Point:
    x, y, z = (float(value) for value in array)
    return (x, y, z)
