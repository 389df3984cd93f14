"""The shortest way through air between two conductors: an actual way, and a proven lower bound, drawn together.

A shortest way is a taut string: it bends only round edges of insulation that stick out. Each round drops the steps that
are proven to be blocked, finds an actual way (an upper bound) and a potential from either end (a lower bound), drops
what lies on no way short enough, and halves the rest.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.geometry.air_paths.edges import Edges, edges_of
from fitcheck.geometry.air_paths.field import FIXED, ROUNDING, Field, Play, field_of
from fitcheck.geometry.air_paths.rise import Rise, Steps, are_joined
from fitcheck.geometry.air_paths.spare import Spare
from fitcheck.geometry.air_paths.string import pulled, strings_of
from fitcheck.geometry.air_paths.walls import Array, Index, Solid, Walls, walls_of
from fitcheck.geometry.air_paths.whole import Whole
from fitcheck.geometry.triangles import closest_points

ROUNDS = 48
FARTHER = 1.4
MOST_HORIZONS = 12
MOST_STEPS, MOST_LATER = 400_000, 100_000
STALE, STALE_SHARE = 10, 0.93
"""Where something may move and so many rounds have not brought the bounds together to this share, no more would."""
WORTHWHILE = 0.7
"""Where less than this share of the steps is left, they are looked at again before anything is halved."""
URGENT = 0.5
"""What leaves over no more than this share of the way between the bounds is cut first."""
FAR = 1e6
"""Longer than any way that is looked for, in mm."""


class TooFine(Exception):
    """More edges of insulation within reach than can be searched."""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """`low` is proven, `high` the length of the way along `line` (N, 3); infinite where none was found. Both are
    infinite where no way through air joins the two.
    """

    low: float
    high: float
    line: Array
    steps: int
    rounds: int


def shortest(
    solids: Sequence[Solid],
    metal: tuple[Array, Array],
    *,
    play: Play = FIXED,
    enough: float | None = None,
    accuracy: float = 0.005,
    limit: float = math.inf,
) -> Found:
    """The way between two conductors, given as triangles (M, 3, 3), around closed meshes (vertices, faces).

    Refines until `high` and `low` are within `accuracy` of each other, or lie on one side of `enough`. limit: ways
    longer than this are not looked for; without a shorter one `low` is the limit. Raises TooFine.
    """
    drawn = walls_of(solids)
    proof = drawn if play.slack == 0.0 and play.margin == 0.0 else walls_of(solids, closed=False)
    search = _Search(drawn, proof, edges_of(solids), metal, play)
    steps = rounds = 0
    for horizon in _horizons(metal, min(limit, FAR)):
        most = ROUNDS if horizon >= min(limit, FAR) else 1
        try:
            found = search.within(horizon, enough, accuracy, most)
        except TooFine:
            if not rounds:
                raise
            break
        steps, rounds = steps + found.steps, rounds + found.rounds
        if found.high < min(horizon, limit) or (enough is not None and found.low >= enough):
            break
    low = math.inf if found.low >= FAR else found.low
    return replace(found, low=low, steps=steps, rounds=rounds)


def _horizons(metal: tuple[Array, Array], limit: float) -> Iterator[float]:
    """Lengths up to which ways are looked for, one after another: little lies on short ways."""
    points = [triangles.reshape(-1, 3) for triangles in metal]
    boxes = [(each.min(axis=0), each.max(axis=0)) for each in points]
    gap = np.maximum(np.maximum(boxes[0][0] - boxes[1][1], boxes[1][0] - boxes[0][1]), 0.0)
    size = float(max(np.linalg.norm(high - low) for low, high in boxes))
    horizon = max(float(np.linalg.norm(gap)), size / 16.0) * FARTHER
    for _ in range(MOST_HORIZONS):
        if horizon >= limit:
            break
        yield horizon
        horizon *= FARTHER
    yield limit


class _Search:
    def __init__(self, drawn: Walls, proof: Walls, edges: Edges, metal: tuple[Array, Array], play: Play) -> None:
        self._drawn, self._proof, self._edges, self._metal, self._play = drawn, proof, edges, metal, play
        self._upper, self._line, self._low = math.inf, np.empty((0, 3)), 0.0
        self._limit = math.inf
        self._whole = Whole(field_of(proof, edges, metal, play))
        self._crossings: dict[int, Array] = {}

    def within(self, horizon: float, enough: float | None, accuracy: float, vain: int) -> Found:
        """Ways no longer than a horizon, given up after `vain` rounds without one. `low` is at most the horizon."""
        self._limit = horizon
        field = self._whole.within(self._highest, MOST_STEPS)
        if field is None:
            raise TooFine
        steps, halve, urgent = 0, True, math.inf
        gaps: list[float] = []
        for number in range(1, ROUNDS + 1):
            if number > 1:
                field = field.finer(urgent, self._crossings) if halve else field
                field = field.short(self._highest).taut()
                if field.steps > MOST_LATER:
                    break
                field = field.open()
            field = field.measured()
            steps += field.steps
            self._pull(field)
            rises = _Rises(field, self._highest)
            if not rises.joined:
                self._low = self._highest
                break
            self._low = max(self._low, min(rises.low, self._highest))
            if self._is_settled(enough, accuracy) or (number >= vain and self._upper > horizon):
                break
            gaps.append(self._highest - self._low)
            if self._play.margin > 0.0 and rises.is_final():
                break
            if self._play.margin > 0.0 and len(gaps) > STALE and gaps[-1] > STALE_SHARE * gaps[-1 - STALE]:
                break
            before, field = field, rises.worth(self._highest)
            halve = field.steps > WORTHWHILE * before.steps
            urgent = URGENT * (self._highest - rises.low)
        return Found(min(self._low, self._upper), self._upper, self._line, steps, number)

    @property
    def _highest(self) -> float:
        return min(self._upper, self._limit)

    def _is_settled(self, enough: float | None, accuracy: float) -> bool:
        if self._low >= self._limit or (self._upper < math.inf and self._upper - self._low <= accuracy * self._upper):
            return True
        return enough is not None and (self._low >= enough or self._upper < enough)

    def _pull(self, field: Field) -> None:
        """Find an actual way, and pull it taut."""
        if self._proof is not self._drawn:
            field = replace(field, walls=self._drawn)
        strings = strings_of(field)
        length, line, nodes = strings.way(min(self._upper, FAR))
        if length < self._upper:
            lines = strings.edge[nodes]
            self._upper, self._line = pulled(self._drawn, line, self._edges.ends[lines], self._metal)
            self._crossings = dict(zip(lines.tolist(), self._line[1:-1], strict=True))


class _Rises:
    """The potential of a field from one conductor to the other, both as near as drawn: `low` is less by what they may
    be nearer.
    """

    def __init__(self, field: Field, highest: float) -> None:
        self.field = field
        ends, play = field.edges.ends, field.play
        nodes, number = np.unique(ends.reshape(-1, 3), axis=0, return_inverse=True)
        self._segments: Index = number.reshape(-1, 2).astype(np.intp)
        self._count = len(nodes)
        one, other = field.pairs.T
        differ = field.edges.body[one] != field.edges.body[other]
        self.slack = np.where(differ, play.slack, 0.0)
        self.floors = field.floors[0][:, 0], field.floors[1][:, 0]
        steps = self._steps(nodes)
        self.joined = are_joined(steps)
        self.low = 0.0
        if self.joined:
            self._climb(nodes, steps, highest)

    def _climb(self, nodes: Array, steps: Steps, highest: float) -> None:
        start, end = self._count, self._count + 1
        rise, loose = Rise(steps), sum(self.field.play.loose)
        ahead, back = (np.minimum(rise.lengths(hub), highest + loose) for hub in (start, end))
        self.floors = self._chosen((ahead - back + ahead[end]) / 2.0, float(ahead[end]))
        potential = Rise(self._steps(nodes)).over(start, end, highest + loose)
        self._spare = Spare(self.field, self._segments, potential, self.floors, self._direct)
        self.low = max(self._spare.least - loose, 0.0)

    def _steps(self, nodes: Array) -> Steps:
        one, other = self.field.pairs.T
        link_node, link_hub, link_length = self._links()
        return Steps(
            nodes=nodes,
            segments=self._segments,
            one=one,
            other=other,
            slack=self.slack,
            link_node=link_node,
            link_hub=link_hub,
            link_length=link_length,
        )

    def _chosen(self, rise: Array, top: float) -> tuple[Array, Array]:
        """Of the floors of each step from a conductor the one that leaves a potential the most room."""
        found = []
        for side in (0, 1):
            nodes, floors = self._segments[self.field.holds[side][:, 1]], self.field.floors[side]
            need = rise[nodes] if side == 0 else top - rise[nodes]
            room = (floors - need[:, None]).min(axis=2)
            room[(floors < 0.0).any(axis=2)] = -np.inf
            found.append(floors[np.arange(len(nodes)), room.argmax(axis=1)])
        return found[0], found[1]

    def _links(self) -> tuple[Index, Index, Array]:
        field, count = self.field, self._count
        node, hub, length = [], [], []
        for side in (0, 1):
            edge = field.holds[side][:, 1]
            for k in (0, 1):
                node.append(self._segments[edge, k])
                hub.append(np.full(len(edge), count + side))
                length.append(self.floors[side][:, k])
        self._direct = self._direct_lengths()
        if len(field.direct):
            node.append(np.array([count]))
            hub.append(np.array([count + 1]))
            length.append(self._direct.min(keepdims=True))
        return np.concatenate(node).astype(np.intp), np.concatenate(hub).astype(np.intp), np.concatenate(length)

    def _direct_lengths(self) -> Array:
        field = self.field
        one, other = field.direct.T
        apart, here, there = closest_points(field.metal[0][one], field.metal[1][other])
        self._nearest = here, there
        return np.asarray(apart)

    def is_final(self) -> bool:
        """Whether the shortest straight line may stay open within what moves: then no cut raises the bound."""
        if not len(self._direct) or not self.field.walls.known:
            return False
        at = [int(self._direct.argmin())]
        open_line = not self.field.walls.bars(self._nearest[0][at], self._nearest[1][at], self.field.play.margin)[0]
        return bool(open_line and self.low + sum(self.field.play.loose) >= float(self._direct.min()) - ROUNDING)

    def worth(self, highest: float) -> Field:
        """The field without what lies on no way as short as `highest`."""
        return self._spare.worth(highest + sum(self.field.play.loose))
