"""A potential on a net: the proof that no way is shorter than its rise from one conductor to the other.

It begins as the length of ways from node to node, shortened room by room until nowhere across a room it rises by more
than the straight distance; what rounding is left is divided out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.surface_paths.net import Array, Index
from fitcheck.geometry.surface_paths.slope import least_slopes

ROUNDS = 12
ENOUGH = 1.0 + 2e-4
CORNERS = ((0, 0), (0, 1), (1, 0), (1, 1))
OUGHT = 1.0 + 1e-9


@dataclass(slots=True, eq=False)
class Moves:
    """Every step of a net. `one`, `other` (P,) segments that see each other, `place` (P,) the room or leap between
    them.

    `slack` (P,) mm by which a step may be shorter than drawn. Links are steps of known length from nodes to conductors:
    `link_node`, `link_hub` (numbers after the nodes) and `link_length`. `tapers`: for some of the steps, vectors
    (K, 4, 3) between the same four corners that are no longer than any way there, as the straight ones are.
    """

    nodes: Array
    segments: Index
    one: Index
    other: Index
    place: Index
    slack: Array
    link_node: Index
    link_hub: Index
    link_length: Array
    hubs: int
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
        from scipy.sparse import csr_matrix
        from scipy.sparse.csgraph import dijkstra

        least = np.minimum.reduceat(lengths[self._order], self._first) if len(self._first) else np.empty(0)
        there = np.isfinite(least)
        # The solver takes an entry of exactly zero for no entry.
        data = np.maximum(least[there], 1e-13)
        graph = csr_matrix((data, (self._low[there], self._high[there])), shape=(self._count, self._count))
        found, before = dijkstra(graph, directed=False, indices=start, return_predecessors=True)
        return np.asarray(found), np.asarray(before, dtype=np.intp)


class Slopes:
    """The steps of a net, ready for potentials from either end."""

    def __init__(self, moves: Moves) -> None:
        self._moves = moves
        self._places = int(moves.place.max()) + 1 if len(moves.place) else 0
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
        ends = np.concatenate([*(np.column_stack(step) for step in self._steps), moves.segments, links])
        self._graph = Graph(len(nodes) + moves.hubs, ends)

    def rise_from(self, start: int, end: int, highest: float) -> Array:
        """The rise (nodes, then hubs) over hub `start`, in mm, capped at `highest`: never more than the least way
        there.

        Of several proven potentials the one that is highest at hub `end`.
        """
        moves, share = self._moves, np.ones(self._places)
        best = np.zeros(len(moves.nodes) + moves.hubs)
        for _ in range(ROUNDS):
            steps = (self._straight * share[moves.place][:, None]).T.ravel()
            lengths = np.concatenate([steps, self._along, moves.link_length])
            rise = np.minimum(self._graph.shortest(lengths, start)[0], highest)
            rises = np.stack([rise[there] - rise[here] for here, there in self._steps], axis=1)
            steep = _steepness(self._vectors, rises, moves.slack)
            for rows, vectors in moves.tapers:
                steep[rows] = np.minimum(steep[rows], _steepness(vectors, rises[rows], moves.slack[rows]))
            worst = max(float(steep.max(initial=1.0)), 1.0)
            scaled = rise / (worst * OUGHT)
            if scaled[end] >= best[end]:
                best = scaled
            if worst <= ENOUGH:
                break
            needed = np.ones(self._places)
            np.maximum.at(needed, moves.place, steep)
            share = share / needed
        return best


def _steepness(vectors: Array, rises: Array, slack: Array) -> Array:
    """By what factor each step rises or falls too fast."""
    steep = np.zeros(len(rises))
    for signed in (rises, -rises):
        some = (signed > 0.0).any(axis=1) & (slack > 0.0)
        steep = np.maximum(steep, least_slopes(vectors, signed + np.where(some, slack, 0.0)[:, None]))
    return steep
