"""A potential on a net: the proof that no way is shorter than its rise from one conductor to the other.

It begins as the length of ways, shortened wherever it would rise between two segments by more than the straight
distance; what is left of that is divided out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.geometry.surface_paths.net import Array, Index
from fitcheck.geometry.surface_paths.slope import least_slopes
from fitcheck.geometry.surface_paths.waves import WORTH, Waves

if TYPE_CHECKING:
    from scipy.sparse import csr_matrix

MOST_TURNS = 30
NEARLY = 1.05
"""Steps that rise too fast if all rose by this factor more are looked at again each time."""
SMALLEST = 1e-13
"""The solver takes an entry of exactly zero for no entry."""
ENOUGH = 1.0 + 3e-4
CLOSE = 1.0 + 2e-3
FULL = 8
"""All steps are looked at again after so many rounds, or when those looked at are this close to be gentle enough."""
FIRMLY = 1.7
"""Steps that rise too fast are shortened by so much more than they seem to need: lowering an end lowers others."""
CORNERS = ((0, 0), (0, 1), (1, 0), (1, 1))
OUGHT = 1.0 + 1e-9


@dataclass(slots=True, eq=False)
class Moves:
    """Every step of a net. `one`, `other` (P,) segments that see each other.

    `slack` (P,) mm by which a step may be shorter than drawn. Links are steps of known length from nodes to conductors:
    `link_node`, `link_hub` (numbers after the nodes) and `link_length`. The first `walks` steps are straight and
    nothing else. `tapers`: for some of the steps, vectors (K, 4, 3) between the same four corners that are no longer
    than any way there, as the straight ones are.
    """

    nodes: Array
    segments: Index
    one: Index
    other: Index
    slack: Array
    link_node: Index
    link_hub: Index
    link_length: Array
    hubs: int
    walks: int
    tapers: list[tuple[Index, Array]]


class Graph:
    """Nodes joined by steps (E, 2) that may be gone either way; of several between two nodes the shortest counts.

    Sorted once, so that the lengths of the steps may change.
    """

    def __init__(self, count: int, ends: Index) -> None:
        low, high = ends.min(axis=1), ends.max(axis=1)
        key = low * count + high
        self._order = np.argsort(key, kind="stable")
        key = key[self._order]
        first = np.flatnonzero(np.concatenate([[True], key[1:] != key[:-1]])) if len(key) else np.empty(0, np.intp)
        self._first, self._count = first, count
        self._low, self._high = low[self._order][first], high[self._order][first]

    def shortest(self, lengths: Array, start: int) -> tuple[Array, Index]:
        """Least lengths from one node to all, infinite to what cannot be reached, and the node before each."""
        from scipy.sparse.csgraph import dijkstra

        graph = self._matrix(*self._steps(lengths), self._count)
        found, before = dijkstra(graph, directed=False, indices=start, return_predecessors=True)
        return np.asarray(found), np.asarray(before, dtype=np.intp)

    def relaxed(self, lengths: Array, found: Array) -> Array:
        """Lengths (N,) that are known brought down to what steps from others of them allow."""
        from scipy.sparse.csgraph import dijkstra

        low, high, data = self._steps(lengths)
        known = np.flatnonzero(np.isfinite(found))
        source = np.full(len(known), self._count)
        graph = self._matrix(
            np.concatenate([low, known]),
            np.concatenate([high, source]),
            np.concatenate([data, np.maximum(found[known], SMALLEST)]),
            self._count + 1,
        )
        reached = dijkstra(graph, directed=False, indices=self._count)[: self._count]
        return np.asarray(np.minimum(reached, found))

    def _steps(self, lengths: Array) -> tuple[Index, Index, Array]:
        least = np.minimum.reduceat(lengths[self._order], self._first) if len(self._first) else np.empty(0)
        there = np.isfinite(least)
        return self._low[there], self._high[there], np.maximum(least[there], SMALLEST)

    def _matrix(self, low: Index, high: Index, data: Array, count: int) -> csr_matrix:
        from scipy.sparse import csr_matrix

        return csr_matrix((data, (low, high)), shape=(count, count))


class Slopes:
    """The steps of a net, ready for potentials from either end. waves: those of its walks."""

    def __init__(self, moves: Moves, waves: Waves) -> None:
        self._moves, self.waves = moves, waves
        corner = moves.segments[np.column_stack([moves.one, moves.other])]
        self._steps = [(corner[:, 0, a], corner[:, 1, b]) for a, b in CORNERS]
        nodes = moves.nodes
        self._vectors = np.stack([nodes[there] - nodes[here] for here, there in self._steps], axis=1)
        self._straight = np.linalg.norm(self._vectors, axis=2)
        for rows, vectors in moves.tapers:
            self._straight[rows] = np.maximum(self._straight[rows], np.linalg.norm(vectors, axis=2))
        self._straight = np.maximum(self._straight - moves.slack[:, None], 0.0)
        own = nodes[moves.segments]
        self._along = np.linalg.norm(own[:, 1] - own[:, 0], axis=1)
        links = np.column_stack([moves.link_node, moves.link_hub])
        count = len(nodes) + moves.hubs
        rest = [moves.segments, links]
        self._graph = Graph(count, np.concatenate([*(np.column_stack(step) for step in self._steps), *rest]))
        # Walks spread as waves; leaps and links from node to node.
        leaps = [np.column_stack(step)[moves.walks :] for step in self._steps]
        self._leaps = Graph(count, np.concatenate([*leaps, *rest]))

    def rise_from(self, start: int, end: int, highest: float, turns: int) -> tuple[Array, Array]:
        """The rise (nodes, then hubs) over hub `start`, in mm, capped at `highest`: never more than the least way
        there; and the share (P,) of its length that each step had to be taken for.

        Of several proven potentials, bent `turns` times at most, the one that is highest at hub `end`.
        """
        share = np.ones(len(self._moves.one))
        rise = self._first(start, highest)
        best, shares = np.zeros(len(rise)), share
        every = np.arange(len(share))
        near = every
        for number in range(turns):
            steep = self._steepness(near, rise, NEARLY if near is every else 1.0)
            if near is every:
                worst = max(float(steep.max(initial=1.0)), 1.0)
                scaled = rise / (worst * OUGHT)
                if scaled[end] >= best[end]:
                    best, shares = scaled, share
                if worst <= ENOUGH:
                    break
                near, steep = every[steep > 1.0 / NEARLY], steep[steep > 1.0 / NEARLY]
            share = share.copy()
            share[near] /= 1.0 + FIRMLY * np.maximum(steep - 1.0, 0.0)
            changed = np.zeros(len(share), dtype=bool)
            changed[near[steep > 1.0]] = True
            first = self.waves.about(changed[: self._moves.walks])
            lower = np.minimum(self._lowered(rise, share, highest, first), highest)
            if steep.max(initial=1.0) <= CLOSE or number % FULL == FULL - 1 or not (lower < rise).any():
                near = every
            rise = lower
        return best, shares

    def _first(self, start: int, highest: float) -> Array:
        """Least lengths from a hub to all nodes and hubs."""
        lengths = np.concatenate([self._straight.T.ravel(), self._along, self._moves.link_length])
        found = self._graph.shortest(lengths, start)[0]
        first = self.waves.after(np.flatnonzero(found[: len(self._moves.nodes)] < highest))
        return np.minimum(self._lowered(found, np.ones(len(self._moves.one)), highest, first), highest)

    def _lowered(self, rise: Array, share: Array, highest: float, first: Index) -> Array:
        """Lengths brought down to what steps allow that count their `share`; `first`: see `Waves.lowered`."""
        moves, count = self._moves, len(self._moves.nodes)
        steps = (self._straight * share[:, None])[moves.walks :].T.ravel()
        lengths = np.concatenate([steps, self._along, moves.link_length])
        for _ in range(MOST_TURNS):
            lowered = np.concatenate([self.waves.lowered(rise[:count], share, highest, first), rise[count:]])
            rise = self._leaps.relaxed(lengths, lowered)
            changed = np.flatnonzero(rise[:count] < lowered[:count] * (1.0 - WORTH))
            if not len(changed):
                break
            first = self.waves.after(changed)
        return rise

    def _steepness(self, rows: Index, rise: Array, margin: float) -> Array:
        """By what factor each of some steps rises or falls too fast; told wherever it does so with a margin."""
        moves = self._moves
        rises = np.stack([rise[there[rows]] - rise[here[rows]] for here, there in self._steps], axis=1) * margin
        slack = moves.slack[rows] * margin
        steep = _steepness(self._vectors[rows], rises, slack)
        place = np.full(len(moves.one), -1, dtype=np.intp)
        place[rows] = np.arange(len(rows))
        for tapering, vectors in moves.tapers:
            at = place[tapering]
            vectors, at = vectors[at >= 0], at[at >= 0]
            steep[at] = np.minimum(steep[at], _steepness(vectors, rises[at], slack[at]))
        return np.asarray(steep / margin)


def _steepness(vectors: Array, rises: Array, slack: Array) -> Array:
    """By what factor each step rises or falls too fast."""
    steep = np.zeros(len(rises))
    for signed in (rises, -rises):
        some = (signed > 0.0).any(axis=1) & (slack > 0.0)
        steep = np.maximum(steep, least_slopes(vectors, signed + np.where(some, slack, 0.0)[:, None]))
    return steep
