"""The net on which ways are searched: straight segments in space, and the rooms across which they see each other.

A room is a flat convex cell of a surface, or any other convex place; its segments are its rim. A leap joins two rooms
over narrow air. Every way crosses segments one after another, and goes straight between two of them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Mask = NDArray[np.bool_]


@dataclass(slots=True, eq=False)
class Net:
    """nodes (N, 3); segments (S, 2) rows of nodes. Segment `entry_segment[k]` is on the rim of room `entry_room[k]`;
    entries are sorted by room. leaps (L, 2) are pairs of rooms.
    """

    nodes: Array
    segments: Index
    entry_room: Index
    entry_segment: Index
    leaps: Index

    def lengths(self) -> Array:
        ends = self.nodes[self.segments]
        return np.asarray(np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1))

    def rim(self, room: int) -> Index:
        """The segments of a room."""
        low, high = np.searchsorted(self.entry_room, [room, room + 1])
        return self.entry_segment[low:high]

    def split(self, which: Index, places: Array) -> Net:
        """The same net with segments `which` cut at `places` (K, 3) on them; the first part keeps the number."""
        new = len(self.nodes) + np.arange(len(which))
        first, second = self.segments.copy(), np.column_stack([new, self.segments[which, 1]])
        first[which, 1] = new
        other = np.full(len(self.segments), -1, dtype=np.intp)
        other[which] = len(self.segments) + np.arange(len(which))
        also = other[self.entry_segment]
        twice = also >= 0
        return Net(
            np.concatenate([self.nodes, places]),
            np.concatenate([first, second]),
            *_sorted(
                np.concatenate([self.entry_room, self.entry_room[twice]]),
                np.concatenate([self.entry_segment, also[twice]]),
            ),
            self.leaps,
        )

    def finer(self, longest: float) -> Net:
        """The same net with every segment longer than `longest` mm halved until none is."""
        net = self
        while True:
            long = np.flatnonzero(net.lengths() > longest * (1.0 + 1e-9))
            if not len(long):
                return net
            net = net.split(long, net.nodes[net.segments[long]].mean(axis=1))

    def halved(self, which: Mask) -> Net:
        """The same net with the segments of a mask (S,) cut in the middle."""
        rows = np.flatnonzero(which)
        return self.split(rows, self.nodes[self.segments[rows]].mean(axis=1)) if len(rows) else self

    def kept(self, which: Mask) -> Net:
        """The same net without the segments outside a mask (S,), and without nodes that no segment has."""
        number = np.cumsum(which) - 1
        segments = self.segments[which]
        used = np.zeros(len(self.nodes), dtype=bool)
        used[segments] = True
        node = np.cumsum(used) - 1
        stays = which[self.entry_segment]
        return replace(
            self,
            nodes=self.nodes[used],
            segments=np.asarray(node[segments], dtype=np.intp),
            entry_room=self.entry_room[stays],
            entry_segment=np.asarray(number[self.entry_segment[stays]], dtype=np.intp),
        )

    def with_entries(self, rooms: Index, segments: Index) -> Net:
        room, segment = _sorted(rooms, segments)
        return replace(self, entry_room=room, entry_segment=segment)

    def walks(self) -> tuple[Index, Index, Index]:
        """Every two segments on the rim of one room: (one, other, room)."""
        ends = np.searchsorted(self.entry_room, self.entry_room, side="right")
        own = np.arange(len(self.entry_room))
        one, other = _products(own, own + 1, ends)
        return self.entry_segment[one], self.entry_segment[other], self.entry_room[one]

    def leaping(self) -> tuple[Index, Index, Index]:
        """Every two segments on the rims of two rooms that a leap joins: (one, other, leap)."""
        lows = np.searchsorted(self.entry_room, self.leaps)
        highs = np.searchsorted(self.entry_room, self.leaps, side="right")
        counts = highs[:, 0] - lows[:, 0]
        leap = np.repeat(np.arange(len(self.leaps)), counts)
        within = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
        at, other = _products(np.arange(len(leap)), lows[leap, 1], highs[leap, 1])
        one = (lows[leap, 0] + within)[at]
        found = self.entry_segment[one], self.entry_segment[other]
        apart = found[0] != found[1]
        return found[0][apart], found[1][apart], leap[at][apart]


def _products(rows: Index, starts: Index, ends: Index) -> tuple[Index, Index]:
    """Each row with every number from its start to before its end."""
    counts = np.maximum(ends - starts, 0)
    one = np.repeat(rows, counts)
    within = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
    return one, np.repeat(starts, counts) + within


def _sorted(room: Index, segment: Index) -> tuple[Index, Index]:
    order = np.lexsort((segment, room))
    return room[order], segment[order]
