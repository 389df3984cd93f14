"""The shortest way between two conductors over a net of cells: an actual way, and a proven lower bound, drawn together.

Each round finds the shortest way from node to node (an upper bound), a potential from either end (a lower bound), drops
what lies on no way short enough, and halves the segments that are left.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.geometry.surface_paths.cells import Cell
from fitcheck.geometry.surface_paths.claws import Claw, claws_of, nearest, step_between, true_steps
from fitcheck.geometry.surface_paths.cuts import cut_at_links, cut_under_claws
from fitcheck.geometry.surface_paths.facing import Opening, leaps_among, may_leap, opening_between
from fitcheck.geometry.surface_paths.net import Array, Index, Mask, Net
from fitcheck.geometry.surface_paths.potential import CORNERS, Graph, Moves, Slopes
from fitcheck.geometry.surface_paths.surface import net_of

ROUNDS = 14
MOST_STEPS = 3_000_000
COARSE = 4.0
"""The first segments are this share of the way."""

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """`low` is proven, `high` the length of the way along `line` (N, 3); infinite without one, where `limit` held."""

    low: float
    high: float
    line: Array
    steps: int
    rounds: int


@dataclass(slots=True, eq=False)
class Ground:
    """Cells with the leaps among them as a net, and the claws of both conductors on them. Narrow: X in mm.

    `slack` (cells, cells of other solids) mm by which two solids may come nearer than drawn; `loose` the same for each
    conductor.
    """

    cells: list[Cell]
    net: Net
    claws: list[Claw]
    openings: list[Opening | None]
    narrow: float
    slack: float = 0.0
    loose: tuple[float, float] = (0.0, 0.0)


def search(
    ground: Ground,
    *,
    enough: float | None = None,
    accuracy: float = 0.005,
    limit: float = math.inf,
    progress: Progress | None = None,
) -> Found:
    """Refine until `high` and `low` are within `accuracy` of each other, or lie on one side of `enough`.

    limit: ways longer than this are not looked for; without a shorter one `low` is the limit.
    """
    upper, line, low = math.inf, np.empty((0, 3)), 0.0
    size = _first_size(ground)
    ground.net = ground.net.finer(size)
    steps = 0
    for number in range(1, ROUNDS + 1):
        if progress:
            progress(f"round {number}")
        found = _Round(ground)
        steps += found.count
        length, way = found.way()
        if length < upper:
            upper, line = length, way
        highest = min(upper, limit)
        if not math.isfinite(highest):
            highest = found.anything()
        rises = found.potentials(highest)
        low = max(low, min(rises[0][found.end], rises[1][found.start], highest))
        if upper - low <= accuracy * upper or low >= limit:
            break
        if enough is not None and (low >= enough or upper < enough):
            break
        if found.count > MOST_STEPS:
            break
        ground.net = ground.net.kept(found.worth(rises, highest))
        if not len(ground.net.segments):
            break
        size /= 2.0
        ground.net = _near(ground, ground.net.finer(size), highest)
    return Found(min(low, upper), upper, line, steps, number)


def _first_size(ground: Ground) -> float:
    ends = [
        np.concatenate([claw.triangles.reshape(-1, 3) for claw in ground.claws if claw.hub == hub]) for hub in (0, 1)
    ]
    apart = np.linalg.norm(ends[0].mean(axis=0) - ends[1].mean(axis=0))
    return max(float(apart) / COARSE, ground.narrow / 2.0, 1e-3)


def _near(ground: Ground, net: Net, highest: float) -> Net:
    """The net without segments through which even straight lines to both conductors are longer than `highest`."""
    points = net.nodes[net.segments].mean(axis=1)
    both = -net.lengths()
    for hub in (0, 1):
        triangles = np.concatenate([claw.triangles for claw in ground.claws if claw.hub == hub])
        both += np.maximum(nearest(triangles, points)[0] - ground.loose[hub], 0.0)
    return net.kept(both <= highest + 1e-6)


class _Round:
    """One round: every step of the net as it stands."""

    def __init__(self, ground: Ground) -> None:
        self.ground, net = ground, ground.net
        self.start, self.end = len(net.nodes), len(net.nodes) + 1
        one, other, room = net.walks()
        leap_one, leap_other, leap = net.leaping()
        self.count = len(one) + len(leap_one)
        rooms = len(ground.cells)
        bodies = np.array([cell.body for cell in ground.cells], dtype=np.intp)
        between = bodies[net.leaps[leap, 0]] != bodies[net.leaps[leap, 1]] if len(leap) else np.empty(0, dtype=bool)
        self.walks, self.leaps, self.leap = (one, other), (leap_one, leap_other), leap
        nodes, hubs, lower, true = _links(ground)
        self.true_links = np.column_stack([nodes, hubs]), true
        self.moves = Moves(
            nodes=net.nodes,
            segments=net.segments,
            one=np.concatenate([one, leap_one]),
            other=np.concatenate([other, leap_other]),
            place=np.concatenate([room, rooms + leap]),
            slack=np.concatenate([np.zeros(len(one)), np.where(between, ground.slack, 0.0)]),
            link_node=nodes,
            link_hub=hubs,
            link_length=lower,
            hubs=2,
            tapers=self._tapers(),
        )

    def _tapers(self) -> list[tuple[Index, Array]]:
        """For the leaps over openings that taper: rows of the moves, and vectors (K, 4, 3) no longer than their ways.

        A way down one wall, over a link no longer than X and up the other saves at most `saved` over going to the very
        line where the walls meet; slants only add to it.
        """
        found, nodes, first = [], self.ground.net.nodes, len(self.walks[0])
        for number in np.unique(self.leap):
            opening = self.ground.openings[number]
            if opening is None:
                continue
            rows = np.flatnonzero(self.leap == number)
            one, other = (nodes[self.ground.net.segments[side[rows]]] for side in self.leaps)
            depth_one = one @ opening.up[0] - opening.apex[0]
            depth_other = other @ opening.up[1] - opening.apex[1]
            vectors = np.zeros((len(rows), 4, 3))
            for k, (a, b) in enumerate(CORNERS):
                vectors[:, k, 0] = depth_one[:, a] + depth_other[:, b] - opening.saved
                vectors[:, k, 1] = (other[:, b] - one[:, a]) @ opening.along
            deep = (vectors[:, :, 0] >= 0.0).all(axis=1)
            found.append((first + rows[deep], vectors[deep]))
        return found

    def way(self) -> tuple[float, Array]:
        """The shortest way from node to node that is one: its length and corners."""
        net, ground = self.ground.net, self.ground
        corners = net.segments[np.column_stack(self.walks)]
        ends = [np.column_stack([corners[:, 0, a], corners[:, 1, b]]) for a, b in CORNERS]
        ends.append(net.segments)
        leaps = net.segments[np.column_stack(self.leaps)]
        crossing = _whole_leaps(ground, leaps, self.leap)
        pairs = np.concatenate([*ends, crossing])
        lengths = np.linalg.norm(net.nodes[pairs[:, 0]] - net.nodes[pairs[:, 1]], axis=1)
        links, true = self.true_links
        known = np.isfinite(true)
        graph = Graph(self.end + 1, np.concatenate([pairs, links[known]]))
        found, before = graph.shortest(np.concatenate([lengths, true[known]]), self.start)
        length = float(found[self.end])
        if not math.isfinite(length):
            return math.inf, np.empty((0, 3))
        chain = [self.end]
        while chain[-1] != self.start:
            chain.append(int(before[chain[-1]]))
        return length, self._line(chain[::-1])

    def _line(self, chain: list[int]) -> Array:
        """Corners of a way; at either end the nearest point of the conductor."""
        points = [self.ground.net.nodes[node] for node in chain[1:-1]]
        if not points:
            pieces = [np.concatenate([c.triangles for c in self.ground.claws if c.hub == hub]) for hub in (0, 1)]
            return _closest_of(pieces)
        ends = []
        for hub, point in ((0, points[0]), (1, points[-1])):
            triangles = np.concatenate([claw.triangles for claw in self.ground.claws if claw.hub == hub])
            ends.append(nearest(triangles, point[None, :])[1][0])
        return np.array([ends[0], *points, ends[1]])

    def anything(self) -> float:
        """A length that no shortest way exceeds by far, where no way is known yet: all segments one after another."""
        return float(self.ground.net.lengths().sum()) + self.ground.narrow

    def potentials(self, highest: float) -> tuple[Array, Array]:
        slopes = Slopes(self.moves)
        return slopes.rise_from(self.start, self.end, highest), slopes.rise_from(self.end, self.start, highest)

    def worth(self, rises: tuple[Array, Array], highest: float) -> Mask:
        """Segments that a way no longer than `highest` may cross."""
        both = (rises[0] + rises[1])[self.ground.net.segments]
        return np.asarray(both.min(axis=1) <= highest + 1e-6)


def _closest_of(pieces: list[Array]) -> Array:
    from fitcheck.geometry.triangles import closest_points

    ones = np.repeat(pieces[0], len(pieces[1]), axis=0)
    others = np.tile(pieces[1], (len(pieces[0]), 1, 1))
    distance, here, there = closest_points(ones, others)
    at = int(distance.argmin())
    return np.array([here[at], there[at]])


def _whole_leaps(ground: Ground, corners: Index, leap: Index) -> Index:
    """Node pairs (K, 2) over which a leap is one, of segment pairs (P, 2, 2)."""
    found = [np.empty((0, 2), dtype=np.intp)]
    nodes = ground.net.nodes
    for number in np.unique(leap):
        one, other = (ground.cells[room] for room in ground.net.leaps[number])
        mine = corners[leap == number]
        pairs = np.concatenate([np.column_stack([mine[:, 0, a], mine[:, 1, b]]) for a, b in CORNERS])
        pairs = np.unique(pairs, axis=0)
        found.append(pairs[may_leap(one, other, nodes[pairs[:, 0]], nodes[pairs[:, 1]], ground.narrow)])
    return np.concatenate(found)


def _links(ground: Ground) -> tuple[Index, Index, Array, Array]:
    """Steps between nodes and conductors: (node, hub, least length, length of an actual step or infinite)."""
    net, first = ground.net, len(ground.net.nodes)
    leaps_of: dict[int, list[int]] = {}
    for a, b in net.leaps.tolist():
        leaps_of.setdefault(a, []).append(b)
        leaps_of.setdefault(b, []).append(a)
    rows: list[tuple[Index, Index, Array, Array]] = []
    for claw in ground.claws:
        loose = ground.loose[claw.hub]
        for room in [claw.room, *leaps_of.get(claw.room, [])]:
            rim = net.rim(room)
            if not len(rim):
                continue
            nodes, where = np.unique(net.segments[rim], return_inverse=True)
            points = net.nodes[nodes]
            distance, feet = nearest(claw.triangles, points)
            true = np.full(len(nodes), np.inf)
            if room == claw.room:
                true = true_steps(claw, ground.cells[room], points, distance, feet)
            roof = claw.roof if room == claw.room and claw.roof is not None else np.empty((0, 4))
            lower = np.maximum(_least(roof, distance, feet, points, where.reshape(-1, 2)) - loose, 0.0)
            rows.append((nodes, np.full(len(nodes), first + claw.hub), lower, true))
    starts = [claw for claw in ground.claws if claw.hub == 0]
    for one in starts:
        for other in ground.claws:
            if other.hub == 1 and (other.room == one.room or other.room in leaps_of.get(one.room, [])):
                between = step_between(one, other)
                shorter = max(between - sum(ground.loose), 0.0)
                actual = between if other.room == one.room else math.inf
                rows.append((np.array([first]), np.array([first + 1]), np.array([shorter]), np.array([actual])))
    if not rows:
        none = np.empty(0)
        return none.astype(np.intp), none.astype(np.intp), none, none
    node, hub, lower, true = (np.concatenate([row[k] for row in rows]) for k in range(4))
    return node.astype(np.intp), hub.astype(np.intp), lower, true


def _least(roof: Array, distance: Array, feet: Array, points: Array, segments: Index) -> Array:
    """For each node the least that its segments allow to a linear bound below the distance to a convex piece.

    The plane that supports the piece at the foot of one end bounds the distance all along the segment; so does a roof.
    """
    ends = points[segments]
    bounds = [np.zeros((len(segments), 2))]
    for end in (0, 1):
        at = segments[:, end]
        out = points[at] - feet[at]
        n = out / np.maximum(distance[at], 1e-300)[:, None]
        bounds.append(np.einsum("ki,kei->ke", n, ends - feet[at][:, None, :]))
    bounds += [ends @ plane[:3] + plane[3] for plane in roof]
    stacked = np.stack(bounds)
    # Below zero a bound is worth no more than nothing at all, which is linear too only where both ends are.
    below = np.asarray((stacked < -1e-12).any(axis=2))
    stacked = np.where(below[:, :, None], 0.0, np.maximum(stacked, 0.0))
    best = stacked[stacked.sum(axis=2).argmax(axis=0), np.arange(len(segments))]
    least = np.full(len(points), np.inf)
    for end in (0, 1):
        np.minimum.at(least, segments[:, end], best[:, end])
    return least


def ground_of(
    cells: Sequence[Cell],
    pieces: tuple[Sequence[Array], Sequence[Array]],
    narrow: float,
    *,
    slack: float = 0.0,
    loose: tuple[float, float] = (0.0, 0.0),
) -> Ground:
    """Cells, and two conductors as convex pieces of triangles (M, 3, 3), ready to be searched."""
    parts = cut_under_claws(cut_at_links(cells, narrow), pieces, narrow)
    net = replace(net_of(parts), leaps=leaps_among(parts, narrow, slack))
    claws = [claw for hub in (0, 1) for claw in claws_of(pieces[hub], hub, parts, narrow, slack + loose[hub])]
    openings = [opening_between(parts[one], parts[other], narrow) for one, other in net.leaps.tolist()]
    return Ground(parts, net, claws, openings, narrow, slack, loose)
