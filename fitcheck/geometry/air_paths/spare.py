"""What a potential leaves over: how much longer than its rise each step is at least, and what that says to drop.

Any way is as long as the potential rises, and longer by what every step of it spares; so the least that any way spares
adds to the proof. Where the least that is spared on ways over a piece makes them longer than one that is known, the
piece is on no shortest way.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fitcheck.geometry.air_paths.edges import gaps
from fitcheck.geometry.air_paths.field import ROUNDING, Field
from fitcheck.geometry.air_paths.rise import CORNERS, SMALLEST
from fitcheck.geometry.air_paths.walls import Array, Index


class Spare:
    """segments (S, 2) of nodes for the edges of a field, `rise` (N + 2,) of each node and both conductors, `floors`
    (L, 2) of the steps from either conductor at the ends of the edge, `direct` (D,) lengths of the direct steps.
    """

    def __init__(self, field: Field, segments: Index, rise: Array, floors: tuple[Array, Array], direct: Array) -> None:
        self._field, self._segments, self._rise, self._direct = field, segments, rise, direct
        self._top = float(rise[-1])
        self._ahead, self._back = self._between()
        holds = []
        for hub in (0, 1):
            ends = rise[segments[field.holds[hub][:, 1]]]
            risen = ends if hub == 0 else self._top - ends
            holds.append(np.maximum((floors[hub] - risen).min(axis=1), 0.0))
        self._holds = holds
        self._before, self._after = self._spared()

    @property
    def least(self) -> float:
        """No way is shorter, infinite where there is none."""
        over = float((self._before + self._after).min(initial=np.inf))
        return min(self._top + over, float(self._direct.min(initial=np.inf)))

    def worth(self, highest: float) -> Field:
        """The field without what lies on no way as short as `highest`."""
        field, before, after = self._field, self._before, self._after
        most = highest - self._top + ROUNDING
        one, other = field.pairs.T
        least = np.minimum(before[one] + self._ahead + after[other], before[other] + self._back + after[one])
        holds, metal, spare = [], [], [before + after]
        straight = self._direct <= highest + ROUNDING
        for hub, rest in ((0, after), (1, before)):
            rows = field.holds[hub]
            over = self._holds[hub] + rest[rows[:, 1]]
            holds.append(rows[over <= most])
            left = np.full(len(field.metal[hub]), np.inf)
            np.minimum.at(left, rows[:, 0], over)
            np.minimum.at(left, field.direct[straight, hub], self._direct[straight] - self._top)
            spare.append(left)
            metal.append(left <= most)
        never = self.least - self._top
        thinner = replace(
            field,
            pairs=field.pairs[least <= most],
            holds=(holds[0], holds[1]),
            direct=field.direct[straight],
            spare=(spare[0] - never, spare[1] - never, spare[2] - never),
        )
        return thinner.kept(spare[0] <= most, (metal[0], metal[1]))

    def _between(self) -> tuple[Array, Array]:
        """The least (P,) that the step from one edge to the other spares, and the step back."""
        field = self._field
        one, other = field.pairs.T
        ends, rise = field.edges.ends, self._rise[self._segments]
        slack = np.where(field.edges.body[one] != field.edges.body[other], field.play.slack, 0.0)
        way = ends[other].mean(axis=1) - ends[one].mean(axis=1)
        way /= np.maximum(np.linalg.norm(way, axis=1), 1e-300)[:, None]
        along = np.stack([np.einsum("ki,ki->k", way, ends[other, b] - ends[one, a]) for a, b in CORNERS], axis=1)
        risen = np.stack([rise[other, b] - rise[one, a] for a, b in CORNERS], axis=1)
        apart = gaps(ends[one], ends[other])
        found = []
        for signed in (risen, -risen):
            least = np.maximum((along - signed).min(axis=1), apart - signed.max(axis=1))
            found.append(np.maximum(least - slack, 0.0))
        return found[0], found[1]

    def _spared(self) -> tuple[Array, Array]:
        """The least that is spared from the first conductor to each edge, and from there to the second."""
        from scipy.sparse import coo_matrix
        from scipy.sparse.csgraph import dijkstra

        field, count = self._field, len(self._field.edges)
        one, other = field.pairs.T
        here, there = self._runs()
        starts = [one, other, here, there, np.full(len(field.holds[0]), count), field.holds[1][:, 1]]
        ends = [other, one, there, here, field.holds[0][:, 1], np.full(len(field.holds[1]), count + 1)]
        none = np.zeros(len(here))
        costs = np.concatenate([self._ahead, self._back, none, none, *self._holds])
        low, high = np.concatenate(starts), np.concatenate(ends)
        order = np.lexsort((costs, high, low))
        low, high, costs = low[order], high[order], np.maximum(costs[order], SMALLEST)
        first = np.concatenate([np.ones(min(len(low), 1), dtype=bool), (np.diff(low) != 0) | (np.diff(high) != 0)])
        graph = coo_matrix((costs[first], (low[first], high[first])), shape=(count + 2, count + 2)).tocsr()
        before = dijkstra(graph, indices=count)[:count]
        after = dijkstra(graph.T.tocsr(), indices=count + 1)[:count]
        return np.asarray(before), np.asarray(after)

    def _runs(self) -> tuple[Index, Index]:
        """Pieces of one edge that follow each other: a way may run on from one to the next."""
        edges, count = self._field.edges, len(self._field.edges)
        node = self._segments.ravel()
        piece = np.repeat(np.arange(count), 2)
        line = edges.line[piece]
        order = np.lexsort((node, line))
        node, piece, line = node[order], piece[order], line[order]
        same = np.flatnonzero((np.diff(node) == 0) & (np.diff(line) == 0))
        return piece[same], piece[same + 1]
