"""A way back from a conductor down the lengths of ways to the other: straight across each room, wherever it crosses."""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.surface_paths.cells import SAME_MM, Cell
from fitcheck.geometry.surface_paths.claws import Claw, nearest, true_steps
from fitcheck.geometry.surface_paths.facing import Everywhere, Sight
from fitcheck.geometry.surface_paths.links import on_edges
from fitcheck.geometry.surface_paths.net import Array, Index, Net
from fitcheck.geometry.surface_paths.waves import front, reached

MOST_STEPS = 20_000
MOST_LOOKS = 400
EVERYWHERE = Everywhere()
PULLS = 400
SAMPLES = 9
"""Points tried on each segment where a way steps onto the last conductor."""


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """A point of a way: on a node (`node`), or on a segment between two (`node` -1)."""

    point: Array
    node: int
    segment: int


@dataclass(frozen=True, slots=True, eq=False)
class _Step:
    length: float
    rest: float
    stand: Stand | None
    """None: the way has arrived."""
    foot: Array


@dataclass(slots=True, eq=False)
class _Tried:
    """Points (K, 3), `SAMPLES` on each segment, the lengths (K,) of steps there from a claw, and what is left to go."""

    claw: Claw
    points: Array
    lengths: Array
    rest: Array
    rim: Index
    ends: Index

    def stand(self, at: int) -> Stand:
        row, place = divmod(at, SAMPLES)
        node = -1 if 0 < place < SAMPLES - 1 else int(self.ends[row, 0 if place == 0 else 1])
        return Stand(self.points[at], node, int(self.rim[row]))


class Trace:
    """A net on which ways are followed back."""

    def __init__(
        self,
        net: Net,
        cells: Sequence[Cell],
        claws: Sequence[Claw],
        hold: float,
        sight: Sight,
        *,
        leaps: Callable[[int], tuple[Index, Array]],
    ) -> None:
        self._net, self._cells, self._hold, self._leaps = net, cells, hold, leaps
        self._sight = sight
        self._claws: dict[tuple[int, int], list[Claw]] = {}
        for claw in claws:
            if claw.step < hold:  # others take hold only where tolerances bring them nearer than drawn
                self._claws.setdefault((claw.hub, claw.room), []).append(claw)
        order = np.argsort(net.entry_segment, kind="stable")
        self._rooms, self._room_starts = net.entry_room[order], _starts(net.entry_segment[order], len(net.segments))
        ends = net.segments.ravel()
        order = np.argsort(ends, kind="stable")
        self._at_node, self._node_starts = order // 2, _starts(ends[order], len(net.nodes))

    def back(self, hub: int, rise: Array, best: float) -> tuple[float, Array]:
        """The way from conductor `hub` to the other, if shorter than `best`: its length and corners; else infinite.

        rise: about how long ways from `hub` to each node (N,) are.
        """
        step = self._onto(1 - hub, rise)
        if step is None:
            return math.inf, np.empty((0, 3))
        line, segments, length = [step.foot], [-1], 0.0
        for _ in range(MOST_STEPS):
            length += step.length
            if step.stand is None:
                taut, saved = self._taut(np.array([*line, step.foot]), np.array([*segments, -1], dtype=np.intp))
                return length - saved, taut[:: 1 if hub else -1]
            line.append(step.stand.point)
            segments.append(step.stand.segment if step.stand.node < 0 else -1)
            following = self._next(step.stand, hub, rise)
            if following is None or following.rest >= step.rest or length + following.length >= best:
                break
            step = following
        return math.inf, np.empty((0, 3))

    def _taut(self, line: Array, segments: Index) -> tuple[Array, float]:
        """The line with its corners (N,) slid along the segments that they lie on, -1 where they stay; what that saves.

        The first and last stretch, which need not be straight, stay as they are.
        """
        line = line.copy()
        before = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
        free = np.flatnonzero(segments >= 0)
        free = free[(free > 1) & (free < len(line) - 2)]
        for number in range(PULLS):
            rows = free[free % 2 == number % 2]
            if len(rows):
                line[rows] = self._between(line[rows - 1], line[rows + 1], segments[rows])
        return line, max(before - float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()), 0.0)

    def _between(self, one: Array, other: Array, segments: Index) -> Array:
        """Where straight ways between points (K, 3) cross segments (K,) when the rooms on both sides are laid flat."""
        ends = self._net.nodes[self._net.segments[segments]]
        starts, lasts = ends[:, 0], ends[:, 1]
        first, second = front(one, starts, lasts), front(other, starts, lasts)
        off = np.maximum(first.off + second.off, 1e-300)
        place = np.clip((first.along * second.off + second.along * first.off) / off, 0.0, first.length)
        return np.asarray(starts + (lasts - starts) * (place / first.length)[:, None])

    def _onto(self, hub: int, rise: Array) -> _Step | None:
        """The first step off a conductor, as short as it can be with what is left to go."""
        found = [
            tried
            for (owner, room), claws in self._claws.items()
            if owner == hub
            for tried in self._tries(room, claws, rise)
        ]
        heap = [(float((one.lengths + one.rest).min(initial=math.inf)), number) for number, one in enumerate(found)]
        heapq.heapify(heap)
        for _ in range(MOST_LOOKS):
            if not heap or not math.isfinite(heap[0][0]):
                return None
            _, number = heapq.heappop(heap)
            tried = found[number]
            at = int((tried.lengths + tried.rest).argmin())
            length, feet = self._stepping(tried.claw, tried.points[at : at + 1], self._sight)
            if length[0] <= tried.lengths[at] + SAME_MM:
                return _Step(float(length[0]), float(tried.rest[at]), tried.stand(at), feet[0])
            tried.lengths[at] = length[0]
            heapq.heappush(heap, (float((tried.lengths + tried.rest).min()), number))
        return None

    def _tries(self, room: int, claws: Sequence[Claw], rise: Array) -> Iterator[_Tried]:
        """Points on the rim of a room where a way may step onto each claw, steps as short as they could be at best."""
        rim = self._net.rim(room)
        ends = self._net.segments[rim]
        sound = np.isfinite(rise[ends]).all(axis=1)
        rim, ends = rim[sound], ends[sound]
        if not len(rim):
            return
        lips = on_edges(self._net, self._cells[room], rim) if any(claw.lips for claw in claws) else None
        nodes, shares = self._net.nodes[ends], np.linspace(0.0, 1.0, SAMPLES)
        points = (nodes[:, :1] + (nodes[:, 1:] - nodes[:, :1]) * shares[None, :, None]).reshape(-1, 3)
        rest = (rise[ends[:, :1]] + (rise[ends[:, 1:]] - rise[ends[:, :1]]) * shares[None, :]).ravel()
        for claw in claws:
            lengths, _ = self._stepping(claw, points, EVERYWHERE)
            if claw.lips and lips is not None:
                lengths[~np.repeat(lips, SAMPLES)] = math.inf
            yield _Tried(claw, points, lengths, rest, rim, ends)

    def _stepping(self, claw: Claw, points: Array, sight: Sight) -> tuple[Array, Array]:
        distance, feet = nearest(claw.triangles, points)
        return true_steps(claw, self._cells[claw.room], points, distance, feet, self._hold, sight), feet

    def _next(self, stand: Stand, hub: int, rise: Array) -> _Step | None:
        """The best step on from a point, with what is left after it."""
        net, here = self._net, stand.point
        segments = np.array([stand.segment], dtype=np.intp)
        if stand.node >= 0:
            segments = self._at_node[self._node_starts[stand.node] : self._node_starts[stand.node + 1]]
        rooms = np.unique(
            np.concatenate([self._rooms[self._room_starts[s] : self._room_starts[s + 1]] for s in segments.tolist()])
        )
        best: _Step | None = None
        for room in rooms.tolist():
            for claw in self._claws.get((hub, room), []):
                length, feet = self._stepping(claw, here[None], self._sight)
                on_lip = (
                    not claw.lips or on_edges(net, self._cells[room], np.intersect1d(segments, net.rim(room))).any()
                )
                if on_lip and math.isfinite(length[0]):
                    best = _better(best, _Step(float(length[0]), -1.0, None, feet[0]))
            best = _better(best, self._across(room, here, segments, rise))
        if stand.node >= 0:
            nodes, lengths = self._leaps(stand.node)
            for node, length in zip(nodes.tolist(), lengths.tolist(), strict=True):
                onto = Stand(net.nodes[node], node, -1)
                best = _better(best, _Step(length, float(rise[node]), onto, net.nodes[node]))
        return best

    def _across(self, room: int, here: Array, own: Index, rise: Array) -> _Step | None:
        """Straight across a room to another of its segments, or along its rim."""
        net = self._net
        rim = net.rim(room)
        rim = rim[~np.isin(rim, own)]
        if not len(rim):
            return None
        ends = net.segments[rim]
        starts, lasts = net.nodes[ends[:, 0]], net.nodes[ends[:, 1]]
        points = np.broadcast_to(here, starts.shape)
        found, place = reached(front(points, starts, lasts), rise[ends[:, 0]], rise[ends[:, 1]], np.ones(len(rim)))
        at = int(found.argmin())
        if not math.isfinite(found[at]):
            return None
        whole = float(np.linalg.norm(lasts[at] - starts[at]))
        point = starts[at] + (lasts[at] - starts[at]) * (place[at] / max(whole, 1e-300))
        node = -1
        if place[at] < SAME_MM or whole - place[at] < SAME_MM:
            node = int(ends[at, 0 if place[at] < SAME_MM else 1])
            point = net.nodes[node]
        length = float(np.linalg.norm(point - here))
        return _Step(length, float(found[at]) - length, Stand(point, node, int(rim[at])), point)


def _better(one: _Step | None, other: _Step | None) -> _Step | None:
    if one is None or other is None:
        return other if one is None else one
    rests = [max(step.rest, 0.0) + step.length for step in (one, other)]
    return one if rests[0] <= rests[1] else other


def _starts(numbers: Index, count: int) -> Index:
    """Where each number's run starts in a sorted list, and the end."""
    return np.searchsorted(numbers, np.arange(count + 1))
