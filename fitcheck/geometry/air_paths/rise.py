"""A potential on pieces of edges: the proof that no way is shorter than its rise from one conductor to the other.

It begins halfway between the lengths of ways from either conductor, and is brought down wherever it rises over a step
by more than that is long, until hardly any such step is left; what is left is divided out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.air_paths.walls import Array, Index
from fitcheck.geometry.surface_paths.slope import least_slopes
from fitcheck.geometry.surface_paths.waves import Front, front, reached

ROUNDS = 12
SWEEPS = 100
ENOUGH = 1.0 + 2e-4
OUGHT = 1.0 + 1e-9
CORNERS = ((0, 0), (0, 1), (1, 0), (1, 1))
TINY = 1e-9
ALIKE = 1e-6
SMALLEST = 1e-13
"""The solver takes an entry of exactly zero for no entry."""


@dataclass(frozen=True, slots=True, eq=False)
class Steps:
    """nodes (N, 3), `segments` (S, 2) of them; `one`, `other` (P,) segments between which air may lie, `slack` (P,) mm
    by which a step between them may be shorter than drawn. Links are steps from nodes `link_node` (K,) to conductors
    `link_hub`, numbers N and N + 1, or between both, of a least length each.
    """

    nodes: Array
    segments: Index
    one: Index
    other: Index
    slack: Array
    link_node: Index
    link_hub: Index
    link_length: Array

    def ends(self) -> list[tuple[Index, Index]]:
        """The nodes (P,) of the four corners of every step."""
        here, there = self.segments[self.one], self.segments[self.other]
        return [(here[:, a], there[:, b]) for a, b in CORNERS]


def are_joined(steps: Steps) -> bool:
    """Whether any steps lead from one conductor to the other."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    count = len(steps.nodes)
    one = np.concatenate([steps.segments[steps.one, 0], steps.segments[:, 0], steps.link_node])
    other = np.concatenate([steps.segments[steps.other, 0], steps.segments[:, 1], steps.link_hub])
    graph = coo_matrix((np.ones(len(one)), (one, other)), shape=(count + 2, count + 2))
    _, label = connected_components(graph, directed=False)
    return bool(label[count] == label[count + 1])


class Rise:
    """Potentials over the steps of one round."""

    def __init__(self, steps: Steps) -> None:
        self._steps, self._ends = steps, steps.ends()
        nodes, count = steps.nodes, len(steps.nodes) + 2
        self._vectors = np.stack([nodes[there] - nodes[here] for here, there in self._ends], axis=1)
        self._straight = np.maximum(np.linalg.norm(self._vectors, axis=2) - steps.slack[:, None], 0.0)
        own = nodes[steps.segments]
        self._along = np.linalg.norm(own[:, 1] - own[:, 0], axis=1)
        links = np.column_stack([steps.link_node, steps.link_hub])
        self._count = count
        self._graph = Graph(
            count, np.concatenate([*(np.column_stack(each) for each in self._ends), steps.segments, links])
        )
        self._lengths = np.concatenate([self._straight.T.ravel(), self._along, steps.link_length])
        self._sights = _sights(steps)

    def lengths(self, start: int) -> Array:
        """Lengths (N + 2,) of ways from node to node from a conductor to all."""
        return self._graph.shortest(self._lengths, start)

    def over(self, start: int, end: int, highest: float) -> Array:
        """The rise (N + 2,) over conductor `start`, in mm, capped at `highest`: never more than the least way there.

        Of several proven potentials the one that is highest at conductor `end`. Halfway between the length from one
        conductor and what the length to the other leaves: where both bend, they bend against each other.
        """
        ahead = self._lowered(np.minimum(self.lengths(start), highest), end)
        back = self._lowered(np.minimum(self.lengths(end), highest), start)
        merit, best = ahead + back, np.zeros(self._count)
        rise = np.maximum((ahead - back + min(ahead[end], back[start])) / 2.0, 0.0)
        for _ in range(ROUNDS):
            rise = self._lowered(rise, end)
            steep, own = self._steepness(rise)
            worst = max(float(steep.max(initial=1.0)), float(own.max(initial=1.0)), 1.0)
            scaled = rise / (worst * OUGHT)
            if scaled[end] >= best[end]:
                best = scaled
            if worst <= ENOUGH:
                break
            rise = self._bent(rise, np.flatnonzero(steep > OUGHT), merit)
        return best

    def _lowered(self, rise: Array, end: int) -> Array:
        """The rise brought down to what every point of every segment, not only its nodes, allows to the nodes."""
        steps, sights, rise = self._steps, self._sights, rise.copy()
        for _ in range(SWEEPS):
            before = rise.copy()
            if len(sights.target):
                ends = rise[sights.source]
                found, _ = reached(sights.seen, ends[:, 0], ends[:, 1], np.ones(len(ends)))
                least = np.minimum.reduceat(found - steps.slack[sights.step], sights.first)
                where = sights.target[sights.first]
                rise[where] = np.minimum(rise[where], np.maximum(least, 0.0))
            one, other = steps.segments.T
            np.minimum.at(rise, one, before[other] + self._along)
            np.minimum.at(rise, other, before[one] + self._along)
            if (rise >= before - TINY).all():
                break
        last = steps.link_hub == end
        other = steps.link_node[last]
        rise[end] = min(rise[end], float((rise[other] + steps.link_length[last]).min(initial=np.inf)))
        return rise

    def _bent(self, rise: Array, rows: Index, merit: Array) -> Array:
        """The rise brought down over some steps, so that what is linear along a segment stays below the lengths there.

        Lengths of ways bend upward along a segment: a plane wave that is right at one end is not too high anywhere.
        """
        steps, rise = self._steps, rise.copy()
        for far, near in ((steps.one[rows], steps.other[rows]), (steps.other[rows], steps.one[rows])):
            source, target = steps.segments[far], steps.segments[near]
            ends = merit[target]
            level = np.abs(ends[:, 0] - ends[:, 1]) <= ALIKE * ends.min(axis=1)
            up = np.where(level[:, None], rise[target], ends).argmin(axis=1)
            at = np.arange(len(rows))
            point = steps.nodes[target[at, up]]
            corners = steps.nodes[source]
            _, place = reached(
                front(point, corners[:, 0], corners[:, 1]), rise[source[:, 0]], rise[source[:, 1]], np.ones(len(rows))
            )
            along = corners[:, 1] - corners[:, 0]
            along /= np.maximum(np.linalg.norm(along, axis=1), 1e-300)[:, None]
            way = point - corners[:, 0] - place[:, None] * along
            length = np.linalg.norm(way, axis=1)
            way /= np.maximum(length, 1e-300)[:, None]
            base = (rise[source] - np.einsum("ki,kei->ke", way, corners)).min(axis=1) - steps.slack[rows]
            allowed = base[:, None] + np.einsum("ki,kei->ke", way, steps.nodes[target])
            for k in (0, 1):
                np.minimum.at(rise, target[length > TINY, k], np.maximum(allowed[length > TINY, k], 0.0))
        return rise

    def _steepness(self, rise: Array) -> tuple[Array, Array]:
        """By what factor each step rises too fast in either direction, and each segment along itself."""
        slack = self._steps.slack
        rises = np.stack([rise[there] - rise[here] for here, there in self._ends], axis=1)
        steep = np.zeros(len(rises))
        for signed in (rises, -rises):
            some = (signed > 0.0).any(axis=1) & (slack > 0.0)
            steep = np.maximum(steep, least_slopes(self._vectors, signed + np.where(some, slack, 0.0)[:, None]))
        own = np.abs(np.diff(rise[self._steps.segments], axis=1))[:, 0] / np.maximum(self._along, 1e-300)
        return steep, own


@dataclass(frozen=True, slots=True, eq=False)
class Sights:
    """Nodes `target` (T,), sorted, `first` where each begins, seen over a `step` from segments `source` (T, 2)."""

    target: Index
    first: Index
    source: Index
    step: Index
    seen: Front


def _sights(steps: Steps) -> Sights:
    one, other = steps.segments[steps.one], steps.segments[steps.other]
    target = np.concatenate([one[:, 0], one[:, 1], other[:, 0], other[:, 1]])
    source = np.concatenate([other, other, one, one])
    order = np.argsort(target, kind="stable")
    target, source, step = target[order], source[order], np.tile(np.arange(len(one)), 4)[order]
    first = np.flatnonzero(np.concatenate([np.ones(min(len(target), 1), dtype=bool), np.diff(target) != 0]))
    seen = front(steps.nodes[target], steps.nodes[source[:, 0]], steps.nodes[source[:, 1]])
    return Sights(target, first, source, step, seen)


class Graph:
    """Nodes joined by steps (E, 2) that may be gone either way; of several between two nodes the shortest counts."""

    def __init__(self, count: int, ends: Index) -> None:
        low, high = ends.min(axis=1), ends.max(axis=1)
        self._order = np.lexsort((high, low))
        low, high = low[self._order], high[self._order]
        self._first = np.flatnonzero(np.concatenate([[True], (np.diff(low) != 0) | (np.diff(high) != 0)]))
        self._low, self._high, self._count = low[self._first], high[self._first], count

    def shortest(self, lengths: Array, start: int) -> Array:
        """Least lengths from one node to all, infinite to what cannot be reached."""
        from scipy.sparse import csr_matrix
        from scipy.sparse.csgraph import dijkstra

        least = np.maximum(np.minimum.reduceat(lengths[self._order], self._first), SMALLEST)
        graph = csr_matrix((least, (self._low, self._high)), shape=(self._count, self._count))
        return np.asarray(dijkstra(graph, directed=False, indices=start))
