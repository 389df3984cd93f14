"""The shortest actual way that a net knows: from node to node, and straightened across the rooms in between."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from fitcheck.geometry.surface_paths.cells import SAME_MM, Cell
from fitcheck.geometry.surface_paths.claws import Claw, nearest
from fitcheck.geometry.surface_paths.facing import Sight, may_leap
from fitcheck.geometry.surface_paths.links import Links
from fitcheck.geometry.surface_paths.net import Array, Index, Net
from fitcheck.geometry.surface_paths.potential import CORNERS, Graph
from fitcheck.geometry.surface_paths.trace import Trace
from fitcheck.geometry.surface_paths.waves import WORTH, Waves
from fitcheck.geometry.triangles import closest_points

MOST_BLOCKED = 60
"""Ways tried that leap through insulation; after that only leaps that are known to be clear are taken."""
MOST_TURNS = 6
ALIKE_MM = 1e-9


class Actual:
    """Ways on a net between conductor 0 and conductor 1; the first `facing` leaps of it cross openings as drawn."""

    def __init__(
        self,
        net: Net,
        cells: Sequence[Cell],
        claws: Sequence[Claw],
        narrow: float,
        hold: float,
        facing: int,
        sight: Sight,
    ) -> None:
        self._net, self._cells, self._claws, self._narrow, self._facing = net, cells, claws, narrow, facing
        self._hold = hold
        self._sight = sight

    def way(
        self, walks: tuple[Index, Index], leaps: tuple[Index, Index, Index], links: Links, waves: Waves
    ) -> tuple[float, Array]:
        """The length and the corners of a way; infinite without one.

        walks, leaps: pairs of segments, and the number of each leap.
        """
        net = self._net
        start, end = len(net.nodes), len(net.nodes) + 1
        corners = net.segments[np.column_stack(walks)]
        pairs = [np.column_stack([corners[:, 0, a], corners[:, 1, b]]) for a, b in CORNERS]
        known = np.isfinite(links.true)
        ends = np.column_stack([links.node, links.hub])[known]
        crossing = self._whole_leaps(net.segments[np.column_stack(leaps[:2])], leaps[2])
        steps = np.concatenate([*pairs, net.segments, ends, crossing])
        places = np.concatenate([net.nodes, np.zeros((2, 3))])
        lengths = np.linalg.norm(places[steps[:, 0]] - places[steps[:, 1]], axis=1)
        count = len(steps) - len(crossing)
        lengths[count - len(ends) : count] = links.true[known]
        graph = Graph(end + 1, steps)
        number = {tuple(pair): count + row for row, pair in enumerate(np.sort(crossing, axis=1).tolist())}
        rise, chain = self._unblocked(graph, lengths, number, start, end)
        length = float(rise[end])
        if not math.isfinite(length):
            return math.inf, np.empty((0, 3))
        rise = self._straightened(graph, lengths, rise, waves, len(walks[0]))
        shorter, line = self._traced(rise, crossing, lengths[count:], length)
        return (shorter, line) if shorter < length else (length, self._line(chain))

    def _unblocked(
        self, graph: Graph, lengths: Array, number: dict[tuple[int, ...], int], start: int, end: int
    ) -> tuple[Array, list[int]]:
        """Lengths from node to node without leaps through insulation on the way to the end, which get infinite."""
        clear: set[tuple[int, ...]] = set()
        for turn in range(MOST_BLOCKED + 1):
            if turn == MOST_BLOCKED:
                lengths[[row for leg, row in number.items() if leg not in clear]] = math.inf
            rise, before = graph.shortest(lengths, start)
            if not math.isfinite(rise[end]):
                break
            chain = [end]
            while chain[-1] != start:
                chain.append(int(before[chain[-1]]))
            legs = [leg for leg in map(_key, pairwise(chain)) if leg in number]
            blocked = [leg for leg in legs if leg not in clear and self._through_solid(*leg)]
            clear.update(leg for leg in legs if leg not in blocked)
            if not blocked:
                return rise, chain[::-1]
            lengths[[number[leg] for leg in blocked]] = math.inf
        return np.full(end + 1, math.inf), []

    def _straightened(self, graph: Graph, lengths: Array, rise: Array, waves: Waves, walks: int) -> Array:
        """Lengths brought down to those of ways that cross segments anywhere."""
        share, highest = np.ones(walks), float(rise[-1])
        count = len(self._net.nodes)
        first = waves.after(np.flatnonzero(rise[:count] < highest))
        for _ in range(MOST_TURNS):
            lowered = np.concatenate([waves.lowered(rise[:count], share, highest, first), rise[count:]])
            rise = graph.relaxed(lengths, lowered)
            changed = np.flatnonzero(rise[:count] < lowered[:count] * (1.0 - WORTH))
            if not len(changed):
                break
            first = waves.after(changed)
        return rise

    def _traced(self, rise: Array, crossing: Index, lengths: Array, best: float) -> tuple[float, Array]:
        both = np.concatenate([crossing, crossing[:, ::-1]])
        order = np.argsort(both[:, 0], kind="stable")
        nodes, onto, steps = both[order, 0], both[order, 1], np.tile(lengths, 2)[order]

        def leaps(node: int) -> tuple[Index, Array]:
            low, high = np.searchsorted(nodes, [node, node + 1])
            near = [
                k for k in range(low, high) if math.isfinite(steps[k]) and not self._through_solid(node, int(onto[k]))
            ]
            return onto[near], steps[near]

        trace = Trace(self._net, self._cells, self._claws, self._hold, self._sight, leaps=leaps)
        return trace.back(0, rise, best)

    def _through_solid(self, one: int, other: int) -> bool:
        """Whether a straight leap runs through insulation and not through air."""
        start, end = self._net.nodes[[one, other]]
        return self._sight.pierces(start, end)

    def _line(self, chain: Sequence[int]) -> Array:
        """Corners of a way; at either end the nearest point of the conductor."""
        points = [self._net.nodes[node] for node in chain[1:-1]]
        if not points:
            return _closest_of([_different([c.triangles for c in self._claws if c.hub == hub]) for hub in (0, 1)])
        ends = []
        for hub, point in ((0, points[0]), (1, points[-1])):
            triangles = np.concatenate([claw.triangles for claw in self._claws if claw.hub == hub])
            ends.append(nearest(triangles, point[None, :])[1][0])
        return np.array([ends[0], *points, ends[1]])

    def _whole_leaps(self, corners: Index, leap: Index) -> Index:
        """Node pairs (K, 2) over which a leap is one, of segment pairs (P, 2, 2)."""
        found = [np.empty((0, 2), dtype=np.intp)]
        nodes = self._net.nodes
        for number in np.unique(leap[leap < self._facing]):
            one, other = (self._cells[room] for room in self._net.leaps[number])
            mine = corners[leap == number]
            pairs = np.concatenate([np.column_stack([mine[:, 0, a], mine[:, 1, b]]) for a, b in CORNERS])
            pairs = np.unique(pairs, axis=0)
            found.append(pairs[may_leap(one, other, nodes[pairs[:, 0]], nodes[pairs[:, 1]], self._narrow)])
        return np.concatenate(found)


def _key(leg: tuple[int, int]) -> tuple[int, ...]:
    return tuple(sorted(leg))


def _different(pieces: Sequence[Array]) -> Array:
    """Triangles of all pieces, each once: one conductor has many claws, and each claw may hold all of it."""
    triangles = np.concatenate(pieces)
    _, first = np.unique(triangles.reshape(len(triangles), -1), axis=0, return_index=True)
    return np.asarray(triangles[np.sort(first)])


def _closest_of(pieces: Sequence[Array]) -> Array:
    low, high = ([piece.min(axis=1) for piece in pieces], [piece.max(axis=1) for piece in pieces])
    gaps = np.maximum(low[0][:, None] - high[1][None], low[1][None] - high[0][:, None])
    least = np.linalg.norm(np.maximum(gaps, 0.0), axis=2)
    # No farther than two corners are apart: pairs whose boxes are farther need not be looked at.
    most = np.linalg.norm(pieces[0][:, 0][:, None] - pieces[1][:, 0][None], axis=2).min()
    one, other = np.nonzero(least <= most + SAME_MM)
    distance, here, there = closest_points(pieces[0][one], pieces[1][other])
    shortest = np.flatnonzero(distance <= distance.min() + ALIKE_MM)
    # Of several that are alike the one at the lowest coordinates, so that ways from either side of a part lie in line.
    at = shortest[np.lexsort(np.round(here[shortest] + there[shortest], 6).T[::-1])[0]]
    return np.array([here[at], there[at]])
