"""What is searched: pieces of edges, triangles of the two conductors, and every two of them between which air may lie.

Steps are dropped only where they are proven to be blocked, to be on no shortest way, or to be on none short enough.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from fitcheck.geometry.air_paths.edges import Edges, gaps
from fitcheck.geometry.air_paths.metal import facing, floors, halved, sizes
from fitcheck.geometry.air_paths.shade import blocked
from fitcheck.geometry.air_paths.walls import DEEP_MM, Array, Index, Mask, Walls

ROUNDING = 1e-6
AT_ONCE = 200_000
SIMILAR = 0.3
"""Edges and triangles at least so long as a share of the longest are halved with it."""
FIRST = 0.1
"""What spares no more than this share of what the others may is halved whatever the length of these."""
NEAR_END = 0.1
"""Share of an edge beside either end where it is not cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Play:
    """What may be nearer than drawn: each conductor to all else, two solids to each other, in mm; `margin` mm is what
    anything may move, `lean` by how much (as a tangent) faces may turn.
    """

    loose: tuple[float, float] = (0.0, 0.0)
    slack: float = 0.0
    margin: float = 0.0
    lean: float = 0.0


FIXED = Play()

Rows = tuple[Mask, Mask, Mask, Mask]
"""Which pairs, which steps from either conductor, which direct ones."""


@dataclass(slots=True, eq=False)
class Field:
    """edges (S); `metal` the triangles of either conductor. pairs (P, 2) of edges; holds (L, 2) of a triangle and an
    edge, for either conductor, with `floors` (L, 3, 2) of each; direct (D, 2) of triangles of both. `reach` (2, S): no
    more than the least distance of each edge to either conductor. `spare` of each edge and each triangle: by how much
    ways over it are longer at least than the bound that was found last.
    """

    walls: Walls
    play: Play
    edges: Edges
    metal: tuple[Array, Array]
    pairs: Index
    holds: tuple[Index, Index]
    direct: Index
    reach: Array
    spare: tuple[Array, Array, Array]
    floors: tuple[Array, Array] = field(default_factory=lambda: (np.empty((0, 3, 2)), np.empty((0, 3, 2))))

    @property
    def steps(self) -> int:
        return len(self.pairs) + len(self.holds[0]) + len(self.holds[1]) + len(self.direct)

    def finer(self, spare: float, at: dict[int, Array]) -> Field:
        """The same with the longest of those edges and triangles halved that spare no more than `spare` mm, and the
        steps of each part. An edge on a line of `at` is first cut at the point that is said there.
        """
        found = self
        for line, point in at.items():
            found = found._cut(line, point)
        long = [2.0 * found.edges.halves(), *(sizes(metal) for metal in found.metal)]
        large = [np.zeros(len(size), dtype=bool) for size in long]
        for limit in (spare, FIRST * spare):
            urgent = [each <= limit for each in found.spare]
            most = max(float(size[some].max(initial=0.0)) for size, some in zip(long, urgent, strict=True))
            large = [
                before | (some & (size > SIMILAR * most))
                for before, some, size in zip(large, urgent, long, strict=True)
            ]
        return found._halved(large[0], large[1:])

    def _cut(self, line: int, point: Array) -> Field:
        """The edge cut at a point on it, where that is not near an end of it."""
        ends = self.edges.ends
        along = ends[:, 1] - ends[:, 0]
        share = np.einsum("ki,ki->k", point - ends[:, 0], along) / np.maximum(
            np.einsum("ki,ki->k", along, along), 1e-300
        )
        here = (self.edges.line == line) & (share > NEAR_END) & (share < 1.0 - NEAR_END)
        none = [np.zeros(len(metal), dtype=bool) for metal in self.metal]
        return self._halved(here, none, ends[:, 0] + share[:, None] * along) if here.any() else self

    def _halved(self, long: Mask, large: list[Mask], middle: Array | None = None) -> Field:
        ends, rows = self.edges.ends, np.arange(len(self.edges))
        middle = ends.mean(axis=1) if middle is None else middle
        first = np.stack([ends[:, 0], np.where(long[:, None], middle, ends[:, 1])], axis=1)
        second = np.stack([middle, ends[:, 1]], axis=1)[long]
        whole = np.concatenate([rows, rows[long]])
        edges = replace(self.edges.some(whole), ends=np.concatenate([first, second]))
        metal, of = zip(
            *(halved(triangles, some) for triangles, some in zip(self.metal, large, strict=True)), strict=True
        )
        return replace(
            self,
            edges=edges,
            metal=metal,
            pairs=_children(self.pairs, whole, whole),
            holds=(_children(self.holds[0], of[0], whole), _children(self.holds[1], of[1], whole)),
            direct=_children(self.direct, of[0], of[1]),
            reach=self.reach[:, whole],
            spare=(self.spare[0][whole], self.spare[1][of[0]], self.spare[2][of[1]]),
        )

    def kept(self, stays: Mask, metal: tuple[Mask, Mask]) -> Field:
        """The same without some edges and triangles, and their steps."""
        return replace(
            self,
            edges=self.edges.some(np.flatnonzero(stays)),
            metal=(self.metal[0][metal[0]], self.metal[1][metal[1]]),
            pairs=_remaining(self.pairs, stays, stays),
            holds=(_remaining(self.holds[0], metal[0], stays), _remaining(self.holds[1], metal[1], stays)),
            direct=_remaining(self.direct, metal[0], metal[1]),
            reach=self.reach[:, stays],
            spare=(self.spare[0][stays], self.spare[1][metal[0]], self.spare[2][metal[1]]),
        )

    def only(self, rows: Rows) -> Field:
        """The same with some of its steps."""
        pairs, one, other, direct = rows
        return replace(
            self,
            pairs=self.pairs[pairs],
            holds=(self.holds[0][one], self.holds[1][other]),
            direct=self.direct[direct],
        )

    def short(self, highest: float) -> Field:
        """The same without steps that are on no way as short as `highest`, straight lines taken as clear."""
        lengths = [self._away(hub, *self.holds[hub].T) for hub in (0, 1)]
        (middle, radius), (facing, round_it) = _balls(self.metal[0]), _balls(self.metal[1])
        one, other = self.direct.T
        direct = np.linalg.norm(middle[one] - facing[other], axis=1) - radius[one] - round_it[other]
        return self.only(self.shorter(highest, (lengths[0], lengths[1]), direct))

    def shorter(self, highest: float, lengths: tuple[Array, Array], direct: Array) -> Rows:
        """Which steps are on a way as short as `highest`; lengths (L,) and `direct` (D,) of those from conductors."""
        highest += ROUNDING
        play, ends = self.play, self.edges.ends
        reach = [np.maximum(self.reach[hub] - play.loose[hub], 0.0) for hub in (0, 1)]
        one, other = self.pairs.T
        ways = np.minimum(reach[0][one] + reach[1][other], reach[0][other] + reach[1][one])
        pairs = ways <= highest
        near = np.flatnonzero(pairs)
        one, other = one[near], other[near]
        apart = gaps(ends[one], ends[other]) - np.where(self.edges.body[one] != self.edges.body[other], play.slack, 0.0)
        pairs[near] = ways[near] + np.maximum(apart, 0.0) <= highest
        holds = [
            np.maximum(lengths[hub] - play.loose[hub], 0.0) + reach[1 - hub][self.holds[hub][:, 1]] <= highest
            for hub in (0, 1)
        ]
        return pairs, holds[0], holds[1], direct - sum(play.loose) <= highest

    def _away(self, hub: int, triangle: Index, edge: Index) -> Array:
        """No more than the distance of triangles of a conductor to edges, by balls about the triangles."""
        middle, radius = _balls(self.metal[hub])
        start, along = self.edges.ends[edge, 0], self.edges.ends[edge, 1] - self.edges.ends[edge, 0]
        to = middle[triangle] - start
        share = np.einsum("ki,ki->k", to, along) / np.maximum(np.einsum("ki,ki->k", along, along), 1e-300)
        off = to - np.clip(share, 0.0, 1.0)[:, None] * along
        return np.asarray(np.maximum(np.linalg.norm(off, axis=1) - radius[triangle], 0.0))

    def open(self) -> Field:
        """The same without steps that are proven to be blocked."""
        return self.only(self.clear())

    def clear(self) -> Rows:
        """Which steps are not proven to be blocked."""
        ends, margin = self.edges.ends, self.play.margin
        one, other = self.pairs.T
        pairs = ~blocked(self.walls, ends[one], ends[other], margin)
        holds = [
            ~blocked(self.walls, metal[rows[:, 0]], ends[rows[:, 1]], margin)
            for metal, rows in zip(self.metal, self.holds, strict=True)
        ]
        one, other = self.direct.T
        return pairs, holds[0], holds[1], ~blocked(self.walls, self.metal[0][one], self.metal[1][other], margin)

    def taut(self) -> Field:
        """The same without steps to an edge from before both its faces: no shortest way bends there."""
        return self.only(self.tight())

    def tight(self) -> Rows:
        """Which steps lead to no edge from before both its faces."""
        ends = self.edges.ends
        one, other = self.pairs.T
        pairs = self._wraps(ends[one], other) & self._wraps(ends[other], one)
        holds = [self._wraps(metal[rows[:, 0]], rows[:, 1]) for metal, rows in zip(self.metal, self.holds, strict=True)]
        return pairs, holds[0], holds[1], np.ones(len(self.direct), dtype=bool)

    def _wraps(self, corners: Array, edge: Index) -> Mask:
        """Whether a way from somewhere in convex sets (K, n, 3) may bend round edges `edge` (K,)."""
        start = self.edges.ends[edge, 0]
        heights = np.einsum("kni,kfi->knf", corners - start[:, None], self.edges.normals[edge])
        far = np.linalg.norm(corners - start[:, None], axis=2).max(axis=1)
        least = DEEP_MM + 2.0 * self.play.margin + self.play.lean * far
        return np.asarray(~(heights.min(axis=1) > least[:, None]).all(axis=1))

    def measured(self) -> Field:
        """The same with the floors of the steps from conductors."""
        found = [
            floors(self.edges.ends[rows[:, 1]], metal[rows[:, 0]])
            for metal, rows in zip(self.metal, self.holds, strict=True)
        ]
        return replace(self, floors=(found[0], found[1]))


def field_of(walls: Walls, edges: Edges, metal: tuple[Array, Array], play: Play) -> Field:
    """Every two pieces joined, save those of one edge, and edges behind a face of a solid conductor."""
    one, other = np.triu_indices(len(edges), 1)
    faces = facing(metal)
    holds = []
    for triangles, solid in zip(metal, faces, strict=True):
        rows = _product(len(triangles), len(edges))
        holds.append(rows[_before(triangles, solid, rows[:, 0], edges.ends[rows[:, 1]])])
    direct = _product(len(metal[0]), len(metal[1]))
    direct = direct[_before(metal[0], faces[0], direct[:, 0], metal[1][direct[:, 1]])]
    direct = direct[_before(metal[1], faces[1], direct[:, 1], metal[0][direct[:, 0]])]
    return Field(
        walls=walls,
        play=play,
        edges=edges,
        metal=metal,
        pairs=np.column_stack([one, other]),
        holds=(holds[0], holds[1]),
        direct=direct,
        reach=np.zeros((2, len(edges))),
        spare=(np.zeros(len(edges)), np.zeros(len(metal[0])), np.zeros(len(metal[1]))),
    )


def _before(triangles: Array, solid: Mask, rows: Index, points: Array) -> Mask:
    """Whether any of some points (K, n, 3) is not behind triangles (K,) of a solid.

    A line that leaves a solid from behind a face runs through it, and comes out of a face before which it goes on.
    """
    first = triangles[:, 0]
    normals = np.cross(triangles[:, 1] - first, triangles[:, 2] - first)
    normals /= np.maximum(np.linalg.norm(normals, axis=1), 1e-300)[:, None]
    heights = np.einsum("kni,ki->kn", points - first[rows][:, None], normals[rows])
    return np.asarray(~solid[rows] | (heights.max(axis=1) > -DEEP_MM))


def _product(first: int, second: int) -> Index:
    return np.column_stack([np.repeat(np.arange(first), second), np.tile(np.arange(second), first)])


def _balls(triangles: Array) -> tuple[Array, Array]:
    """Middles (T, 3) and radii (T,) of balls that hold triangles."""
    middle = triangles.mean(axis=1)
    return middle, np.asarray(np.linalg.norm(triangles - middle[:, None], axis=2).max(axis=1, initial=0.0))


def _children(rows: Index, first: Index, second: Index) -> Index:
    """Pairs of parts, for pairs of wholes; `first` and `second` name the whole of each part on either side."""
    orders = [np.argsort(of, kind="stable") for of in (first, second)]
    lows, counts = [], []
    for side, (of, order) in enumerate(zip((first, second), orders, strict=True)):
        lows.append(np.searchsorted(of[order], rows[:, side]))
        counts.append(np.searchsorted(of[order], rows[:, side], side="right") - lows[-1])
    both = counts[0] * counts[1]
    row = np.repeat(np.arange(len(rows)), both)
    rank = np.arange(both.sum()) - np.repeat(np.cumsum(both) - both, both)
    one = orders[0][lows[0][row] + rank // np.maximum(counts[1][row], 1)]
    other = orders[1][lows[1][row] + rank % np.maximum(counts[1][row], 1)]
    return np.column_stack([one, other])


def _remaining(rows: Index, first: Mask, second: Mask) -> Index:
    """Rows whose both ends stay, renumbered."""
    stays = first[rows[:, 0]] & second[rows[:, 1]]
    numbers = np.cumsum(first) - 1, np.cumsum(second) - 1
    return np.column_stack([numbers[0][rows[stays, 0]], numbers[1][rows[stays, 1]]])
