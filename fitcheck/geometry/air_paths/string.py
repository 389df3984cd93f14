"""An actual way through air: node to node, each stretch clear of insulation, then pulled taut along its edges."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fitcheck.geometry.air_paths.field import Field
from fitcheck.geometry.air_paths.metal import feet
from fitcheck.geometry.air_paths.rise import CORNERS
from fitcheck.geometry.air_paths.walls import Array, Index, Walls
from fitcheck.geometry.triangles import closest_points

MOST_TRIED = 150
"""Ways tried that turn out to lead through insulation; after that none is known this time."""
PULLS = 60


@dataclass(slots=True, eq=False)
class Strings:
    """Steps of a field from node to node. nodes (N, 3); conductors are numbers N and N + 1. Row k of `ends` (E, 2) is
    a step from `starts` (E, 3) to `stops` (E, 3); edge `edge` (N,) holds each node.
    """

    walls: Walls
    nodes: Array
    edge: Index
    ends: Index
    starts: Array
    stops: Array
    lengths: Array

    def way(self, below: float) -> tuple[float, Array, list[int]]:
        """The shortest way that is clear and shorter than `below`: length, corners, nodes; infinite without one."""
        from scipy.sparse import csr_matrix
        from scipy.sparse.csgraph import dijkstra

        count = len(self.nodes)
        self.lengths[self.walls.bars(self.starts, self.stops)] = math.inf
        low, high = self.ends.min(axis=1), self.ends.max(axis=1)
        for _ in range(MOST_TRIED):
            order = np.lexsort((self.lengths, high, low))
            order = order[np.isfinite(self.lengths[order])]
            if not len(order):
                break
            first = order[np.concatenate([[True], (np.diff(low[order]) != 0) | (np.diff(high[order]) != 0)])]
            data = np.maximum(self.lengths[first], 1e-13)
            graph = csr_matrix((data, (low[first], high[first])), shape=(count + 2, count + 2))
            found, before = dijkstra(graph, directed=False, indices=count, return_predecessors=True, limit=below)
            if not math.isfinite(found[count + 1]):
                break
            chain = [count + 1]
            while chain[-1] != count:
                chain.append(int(before[chain[-1]]))
            row_of = {(int(low[row]), int(high[row])): int(row) for row in first}
            rows = [row_of[min(step), max(step)] for step in pairwise(chain[::-1])]
            shut = [row for row in rows if not self.walls.is_clear(self.starts[row], self.stops[row])]
            if not shut:
                return float(found[count + 1]), self._corners(chain[::-1], rows), chain[-2:0:-1]
            self.lengths[shut] = math.inf
        return math.inf, np.empty((0, 3)), []

    def _corners(self, chain: list[int], rows: list[int]) -> Array:
        count = len(self.nodes)
        ends = []
        for row, hub in ((rows[0], count), (rows[-1], count + 1)):
            ends.append(self.starts[row] if self.ends[row, 0] == hub else self.stops[row])
        return np.array([ends[0], *(self.nodes[node] for node in chain[1:-1]), ends[1]])


def strings_of(field: Field) -> Strings:
    """All steps of a field from node to node, not yet tried."""
    ends = field.edges.ends
    nodes, number = np.unique(ends.reshape(-1, 3), axis=0, return_inverse=True)
    number = number.reshape(-1, 2)
    count = len(nodes)
    edge = np.zeros(count, dtype=np.intp)
    edge[number.ravel()] = np.repeat(field.edges.line, 2)
    one, other = field.pairs.T
    pairs = np.concatenate([number, *(np.column_stack([number[one, a], number[other, b]]) for a, b in CORNERS)])
    pairs = np.unique(np.sort(pairs[pairs[:, 0] != pairs[:, 1]], axis=1), axis=0)
    all_ends, starts, stops = [pairs], [nodes[pairs[:, 0]]], [nodes[pairs[:, 1]]]
    for hub in (0, 1):
        rows = np.concatenate(
            [np.column_stack([field.holds[hub][:, 0], number[field.holds[hub][:, 1], k]]) for k in (0, 1)]
        )
        rows = np.unique(rows, axis=0)
        points = nodes[rows[:, 1]]
        all_ends.append(np.column_stack([np.full(len(rows), count + hub), rows[:, 1]]))
        starts.append(feet(points, field.metal[hub][rows[:, 0]]))
        stops.append(points)
    one, other = field.direct.T
    _, here, there = closest_points(field.metal[0][one], field.metal[1][other])
    all_ends.append(np.tile([count, count + 1], (len(here), 1)).reshape(-1, 2))
    start, stop = np.concatenate([*starts, here]), np.concatenate([*stops, there])
    lengths = np.linalg.norm(start - stop, axis=1)
    return Strings(field.walls, nodes, edge, np.concatenate(all_ends).astype(np.intp), start, stop, lengths)


def pulled(walls: Walls, line: Array, edges: Array, metal: tuple[Array, Array]) -> tuple[float, Array]:
    """A way (N, 3) pulled taut: inner corners slide along edges (N - 2, 2, 3), its ends over the conductors.

    The way itself where the taut one would run through insulation.
    """
    best, taut = _length(line), line.copy()
    for _ in range(PULLS):
        for k in range(1, len(taut) - 1):
            taut[k] = _crossing(taut[k - 1], taut[k + 1], edges[k - 1])
        for hub, at, beside in ((0, 0, 1), (1, -1, -2)):
            near = feet(np.broadcast_to(taut[beside], (len(metal[hub]), 3)), metal[hub])
            taut[at] = near[np.linalg.norm(near - taut[beside], axis=1).argmin()]
    shorter = _length(taut)
    if shorter < best and all(walls.is_clear(start, end) for start, end in pairwise(taut)):
        return shorter, taut
    return best, line


def _length(line: Array) -> float:
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())


def _crossing(start: Array, end: Array, edge: Array) -> Array:
    """Where the shortest way from point to point over an edge crosses it: straight, both unfolded into one plane."""
    along = edge[1] - edge[0]
    length = float(np.linalg.norm(along))
    if length == 0.0:
        return np.asarray(edge[0])
    along = along / length
    here, there = float((start - edge[0]) @ along), float((end - edge[0]) @ along)
    off = float(np.linalg.norm(start - edge[0] - here * along))
    other = float(np.linalg.norm(end - edge[0] - there * along))
    both = off + other
    place = (here * other + there * off) / both if both > 0.0 else here
    return np.asarray(edge[0] + min(max(place, 0.0), length) * along)
