"""How lengths of ways spread from segment to segment across flat rooms, other than only from node to node.

Given lengths at the nodes, linear along each segment, the least length at a point is the least over all points of every
segment that it sees: the front of a wave, straight between two nodes. Far from its source a wave is nearly flat, so
that a finely cut surface needs no cutting of its edges.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Mask = NDArray[np.bool_]

MOST_SWEEPS = 4000
WORTH = 1e-6
"""A length is renewed only where it falls by more than this share of the longest, or of what is asked for."""
ALONG = 1.0 - 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Front:
    """Where points (K,) see segments: `length` (K,) of the segment, `along` and `off` (K,) the point's foot measured
    from the segment's start, and its distance from the line.
    """

    length: Array
    along: Array
    off: Array


def front(points: Array, starts: Array, ends: Array) -> Front:
    """Points (K, 3) against segments from starts (K, 3) to ends (K, 3)."""
    way, out = ends - starts, points - starts
    length = np.linalg.norm(way, axis=1)
    along = np.einsum("ki,ki->k", out, way) / np.maximum(length, 1e-300)
    off = np.sqrt(np.maximum(np.einsum("ki,ki->k", out, out) - along**2, 0.0))
    return Front(length, along, off)


def reached(seen: Front, first: Array, last: Array, share: Array) -> tuple[Array, Array]:
    """The least lengths (K,) at the points, and where on the segments (K,) in mm they come from.

    first, last: lengths at the two ends of each segment. share: what a mm across the room counts.
    """
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        slope = np.clip((last - first) / np.maximum(seen.length, 1e-300) / share, -ALONG, ALONG)
        place = seen.along - seen.off * slope / np.sqrt(1.0 - slope**2)
    place = np.clip(np.nan_to_num(place, nan=0.0), 0.0, seen.length)
    part = place / np.maximum(seen.length, 1e-300)
    # A length that is not known at one end says nothing about the middle.
    known = np.isfinite(first) & np.isfinite(last)
    one, other = np.where(known, first, 0.0), np.where(known, last, 0.0)
    found = one + (other - one) * part + share * np.hypot(place - seen.along, seen.off)
    return np.where(known, found, np.inf), place


class Waves:
    """The walks of a net, ready to bring lengths at its nodes down."""

    def __init__(self, nodes: Array, segments: Index, one: Index, other: Index) -> None:
        target = np.concatenate([segments[one, 0], segments[one, 1], segments[other, 0], segments[other, 1]])
        source = np.concatenate([other, other, one, one])
        apart = (segments[source, 0] != target) & (segments[source, 1] != target)
        order = np.argsort(target[apart], kind="stable")
        self._target = target[apart][order]
        self._from = segments[source[apart][order]]
        self._walk = np.tile(np.arange(len(one)), 4)[apart][order]
        self._front = front(nodes[self._target], nodes[self._from[:, 0]], nodes[self._from[:, 1]])
        self._count = len(nodes)
        rows = np.argsort(self._from.ravel(), kind="stable")
        self._rows = rows // 2
        self._starts = np.searchsorted(self._from.ravel()[rows], np.arange(self._count + 1))

    def lowered(self, lengths: Array, share: Array, enough: float, first: Index) -> Array:
        """Lengths (N,) brought down until no wave is lower that a walk, of which a mm counts `share`, sends across.

        Only what is at most `enough` is followed. first: the rows to begin with, as `after` and `about` tell.
        """
        lengths = lengths.copy()
        worth = WORTH * enough
        active = first
        for _ in range(MOST_SWEEPS):
            active = active[lengths[self._from[active]].min(axis=1) < enough]
            if not len(active):
                break
            seen = Front(self._front.length[active], self._front.along[active], self._front.off[active])
            ends = lengths[self._from[active]]
            found, _ = reached(seen, ends[:, 0], ends[:, 1], share[self._walk[active]])
            target = self._target[active]
            runs = np.flatnonzero(np.concatenate([[True], target[1:] != target[:-1]]))
            least, where = np.minimum.reduceat(found, runs), target[runs]
            lower = least < lengths[where] - worth
            lengths[where[lower]] = least[lower]
            active = self.after(where[lower])
        return lengths

    def after(self, nodes: Index) -> Index:
        """Rows of all segments that end at one of some nodes."""
        lows, highs = self._starts[nodes], self._starts[nodes + 1]
        counts = highs - lows
        within = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
        marked = np.zeros(len(self._target), dtype=bool)
        marked[self._rows[np.repeat(lows, counts) + within]] = True
        return np.flatnonzero(marked)

    def about(self, walks: Mask) -> Index:
        """Rows of some walks (P,)."""
        return np.flatnonzero(walks[self._walk])
