"""Smallest distance between two meshes, nominal and with every vertex free within a box of its own.

A search from the top boxes down that looks at many pairs of boxes at a time and drops those that cannot hold anything
nearer than what is known. A quick dive finds a near pair first; its direction then serves as a guide: along it the
facing sides of parallel walls are told apart from the rest however they stand to the axes.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from fitcheck.geometry.facet_placed import Index, Loose, Placed
from fitcheck.geometry.facets import FANOUT, Array, FacetTree, Pose
from fitcheck.geometry.triangles import closest_points, unit_normals

SAME = 4e-10
"""mm. Pairs of boxes that promise no more than this beyond what is known are dropped: parallel walls tie everywhere."""
PAIRS_AT_ONCE = 16384
"""Pairs opened together, each into FANOUT**2 others: bounds the memory at some 50 MB."""
TRIANGLES_AT_ONCE = 4096
BEAM = 24
"""Pairs followed in the first dive."""
MOST_LOW_PAIRS = 100_000
"""Pairs of triangles looked at for the lowest distance; after that what their boxes prove is taken for the rest."""
GUIDE_FROM = 2048
"""Pairs still open at one time from which on a guide pays."""
WORTH_A_GUIDE = 0.999
"""A new guide costs a pass over both meshes, so it is taken only for a pair nearer by a thousandth."""
_AXES = np.concatenate([np.eye(3), -np.eye(3)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Nearest:
    """distance: smallest distance [mm], 0.0 where the surfaces touch or cross. point_a, point_b: (3,) witnesses.

    low: proven lower bound over all displacements within the slack; without slack the distance.
    """

    distance: float
    point_a: Array
    point_b: Array
    low: float


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Pairs of boxes, one level of each tree, what the boxes prove about their distance, and that of their middles."""

    level_a: int
    level_b: int
    a: Index
    b: Index
    bound: Array
    middles: Array

    def __getitem__(self, chosen: Index | slice) -> _Pairs:
        return _Pairs(
            self.level_a, self.level_b, self.a[chosen], self.b[chosen], self.bound[chosen], self.middles[chosen]
        )

    @property
    def are_triangles(self) -> bool:
        return self.level_a == self.level_b == 0


@dataclass(slots=True)
class _Known:
    """The least value found so far and the pair of triangles it belongs to (-1: none)."""

    value: float
    pair: tuple[int, int] = (-1, -1)

    def indices(self) -> tuple[Index, Index]:
        return np.array(self.pair[:1]), np.array(self.pair[1:])

    def offer(self, pairs: _Pairs, values: Array) -> None:
        at = int(values.argmin())
        if values[at] < self.value:
            self.value, self.pair = float(values[at]), (int(pairs.a[at]), int(pairs.b[at]))


@dataclass(frozen=True, slots=True)
class _Guide:
    """Boxes of both trees along three other axes, level by level."""

    a: list[tuple[Array, Array]]
    b: list[tuple[Array, Array]]

    def bound(self, level_a: int, level_b: int, a: Index, b: Index) -> Array:
        (low_a, high_a), (low_b, high_b) = self.a[level_a], self.b[level_b]
        return _length(np.maximum(np.maximum(low_b[b] - high_a[a], low_a[a] - high_b[b]), 0.0))


def _length(vectors: Array) -> Array:
    return np.asarray(np.sqrt(np.einsum("ij,ij->i", vectors, vectors)))


Measure = Callable[[_Pairs, float], Array]
"""Value of each pair of triangles; for one that is not below the figure given, any value that is not either."""


@dataclass(slots=True)
class _Search:
    a: Placed
    b: Placed
    measure: Measure
    known: _Known
    most_pairs: float = math.inf
    own_axes: _Guide | None = field(default=None, init=False)
    guide: _Guide | None = field(default=None, init=False)
    guided_at: float = field(default=math.inf, init=False)
    looked_at: int = field(default=0, init=False)

    def start(self) -> None:
        """Follow the nearest few pairs of boxes down, for a good first figure."""
        pairs = self._tops()
        while not pairs.are_triangles:
            pairs = self._opened(pairs)
            # Among many that tie, as between parallel walls, those whose middles face each other come first.
            pairs = pairs[np.lexsort((pairs.middles, np.round(pairs.bound, 6)))[:BEAM]]
        self._look_at(pairs)

    def _guide_again(self) -> None:
        """Look along the nearest pair too, once it is nearer by a good part than at the last time, and along a's axes.

        In its own axes a turned mesh, often a machined part, has the tightest boxes.
        """
        if self.own_axes is None and not self.a.is_square:
            self.own_axes = self._along(self.a.turn.T)
        if self.known.pair[0] < 0 or self.known.value > WORTH_A_GUIDE * self.guided_at:
            return
        self.guided_at = self.known.value
        _, on_a, on_b = closest_points(*_triangles(self.a, self.b, *self.known.indices()))
        between = on_b[0] - on_a[0]
        length = float(np.linalg.norm(between))
        if length > 0.0:
            self.guide = self._along(_frame(between / length))

    def _along(self, frame: Array) -> _Guide:
        return _Guide(self.a.extents(frame), self.b.extents(frame))

    def run(self) -> None:
        """Find the least value there is, nearest boxes first."""
        waiting = [self._tops()]
        while waiting:
            pairs = self._left(waiting.pop())
            if not len(pairs.a):
                continue
            if pairs.are_triangles:
                if self.looked_at + len(pairs.a) > self.most_pairs:
                    left = min(float(some.bound.min()) for some in (pairs, *waiting) if len(some.bound))
                    self.known.value = min(self.known.value, left)
                    return
                self._look_at(pairs)
                continue
            if len(pairs.a) > GUIDE_FROM:
                self._guide_again()
            opened = self._left(self._opened(pairs))
            opened = opened[np.argsort(opened.bound, kind="stable")]
            step = TRIANGLES_AT_ONCE if opened.are_triangles else PAIRS_AT_ONCE
            starts = range(0, len(opened.a), step)
            waiting.extend(opened[start : start + step] for start in reversed(starts))

    def _tops(self) -> _Pairs:
        level_a, level_b = len(self.a.tree.levels) - 1, len(self.b.tree.levels) - 1
        count_a, count_b = len(self.a.tree.levels[-1].half), len(self.b.tree.levels[-1].half)
        a, b = np.repeat(np.arange(count_a), count_b), np.tile(np.arange(count_b), count_a)
        return self._bounded(level_a, level_b, a, b)

    def _left(self, pairs: _Pairs) -> _Pairs:
        return pairs[np.flatnonzero(pairs.bound < self.known.value - SAME)]

    def _opened(self, pairs: _Pairs) -> _Pairs:
        """The pairs below: of both boxes, or of the one that stands higher in its tree."""
        level_a, level_b, a, b = pairs.level_a, pairs.level_b, pairs.a, pairs.b
        open_a, open_b = level_a >= level_b, level_b >= level_a
        if open_a:
            level_a -= 1
            a, b = self.a.tree.below(level_a, a), np.repeat(b, FANOUT)
        if open_b:
            level_b -= 1
            a, b = np.repeat(a, FANOUT), self.b.tree.below(level_b, b)
        return self._bounded(level_a, level_b, a, b)

    def _bounded(self, level_a: int, level_b: int, a: Index, b: Index) -> _Pairs:
        middle_a, half_a = self.a.boxes(level_a, a)
        middle_b, half_b = self.b.boxes(level_b, b)
        between = middle_b - middle_a
        bound = _length(np.maximum(np.abs(between) - half_a - half_b, 0.0))
        for guide in (self.own_axes, self.guide):
            if guide is not None:
                bound = np.maximum(bound, guide.bound(level_a, level_b, a, b))
        return _Pairs(level_a, level_b, a, b, bound, _length(between))

    def _look_at(self, pairs: _Pairs) -> None:
        for start in range(0, len(pairs.a), TRIANGLES_AT_ONCE):
            part = self._left(pairs[start : start + TRIANGLES_AT_ONCE])
            if len(part.a):
                self.looked_at += len(part.a)
                self.known.offer(part, self.measure(part, self.known.value))


def nearest(
    a: FacetTree, pose_a: Pose, b: FacetTree, pose_b: Pose, *, limit: float = math.inf, slack: Array | None = None
) -> Nearest | None:
    """Smallest distance between the surfaces of two meshes in their poses, or None when it is above `limit` [mm].

    slack: (V, 2, 3), or (2, 3) for all vertices: lowest and highest displacement of the vertices of b relative to a,
    along each case axis; each vertex moves within its box by itself. Solids inside one another are not noticed here.
    Raises ValueError for shapes that do not match and numbers that are not finite.
    """
    placed_a, placed_b = Placed(a, pose_a), Placed(b, pose_b)
    loose_b = None if slack is None else Loose(b, pose_b, slack)
    known = _Known(math.inf if math.isinf(limit) else limit + 2.0 * SAME)
    search = _Search(placed_a, placed_b, _nominal(placed_a, placed_b), known)
    search.start()
    if known.value > 0.0:
        search.run()
    if known.pair[0] < 0:
        return None
    distances, on_a, on_b = closest_points(*_triangles(placed_a, placed_b, *known.indices()))
    distance = float(distances[0])
    if distance > limit:
        return None
    low = distance if loose_b is None else _lowest(placed_a, loose_b, known, distance)
    return Nearest(distance=distance, point_a=on_a[0], point_b=on_b[0], low=low)


def _frame(direction: Array) -> Array:
    """A unit direction and two others square to it and to each other, as rows."""
    side = np.cross(direction, np.eye(3)[int(np.abs(direction).argmin())])
    side = side / np.linalg.norm(side)
    return np.array([direction, side, np.cross(direction, side)])


def _triangles(a: Placed, b: Placed, index_a: Index, index_b: Index) -> tuple[Array, Array]:
    return a.triangles(index_a), b.triangles(index_b)


def _nominal(a: Placed, b: Placed) -> Measure:
    def measure(pairs: _Pairs, known: float) -> Array:
        on_a, on_b = _triangles(a, b, pairs.a, pairs.b)
        values = np.maximum(_parted(on_a, on_b, unit_normals(on_a)[0]), _parted(on_a, on_b, unit_normals(on_b)[0]))
        near = np.flatnonzero(values < known - SAME)
        # The others are at best as near; what was found for them is a bound and must not pass for a distance.
        values = np.full(len(values), math.inf)
        values[near] = closest_points(on_a[near], on_b[near])[0]
        return values

    return measure


def _parted(a: Array, b: Array, n: Array) -> Array:
    """How far triangles (N, 3, 3) are apart along a unit direction each (N, 3), whichever way it points."""
    along_a, along_b = np.einsum("ijk,ik->ij", a, n), np.einsum("ijk,ik->ij", b, n)
    forth, back = along_b.min(axis=1) - along_a.max(axis=1), along_a.min(axis=1) - along_b.max(axis=1)
    return np.asarray(np.maximum(forth, back))


def _lowest(a: Placed, b: Loose, nearest_pair: _Known, distance: float) -> float:
    """The least distance that the slack of b may leave, as far as it can be proved; never above the distance."""
    known = _Known(distance, nearest_pair.pair)
    search = _Search(a, b, _with_slack(a, b), known, MOST_LOW_PAIRS)
    search.start()
    if known.value > 0.0:
        search.run()
    return max(known.value - SAME, 0.0)


def _with_slack(a: Placed, b: Loose) -> Measure:
    def measure(pairs: _Pairs, known: float) -> Array:
        on_a, on_b = _triangles(a, b, pairs.a, pairs.b)
        slack = b.corner_slack(pairs.b)
        normals_a, normals_b = unit_normals(on_a)[0], unit_normals(on_b)[0]
        _, from_a, to_b = closest_points(on_a, on_b)
        between = to_b - from_a
        lengths = np.linalg.norm(between, axis=1)
        own = between / np.where(lengths > 0.0, lengths, 1.0)[:, None]
        directions = [own, normals_a, -normals_a, normals_b, -normals_b]
        directions += [np.broadcast_to(axis, own.shape) for axis in _AXES]
        values = pairs.bound
        for n in directions:
            values = np.maximum(values, _parted_at_worst(on_a, on_b, slack, n))
        return values

    return measure


def _parted_at_worst(a: Array, b: Array, slack: Array, n: Array) -> Array:
    worst = np.minimum(slack[:, :, 0] * n[:, None], slack[:, :, 1] * n[:, None]).sum(axis=2)
    return np.asarray((np.einsum("ijk,ik->ij", b, n) + worst).min(axis=1) - np.einsum("ijk,ik->ij", a, n).max(axis=1))
