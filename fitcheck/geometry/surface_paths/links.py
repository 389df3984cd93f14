"""Steps between a conductor and the rims of the cells that it takes hold of."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from fitcheck.geometry.surface_paths.cells import SAME_MM, Cell
from fitcheck.geometry.surface_paths.claws import Claw, nearest, step_between, steps_between, true_steps
from fitcheck.geometry.surface_paths.facing import Sight
from fitcheck.geometry.surface_paths.net import Array, Index, Mask, Net


class Links(NamedTuple):
    """Steps (K,): from a node or conductor to a conductor (numbers after the nodes), the `least` length that their
    segments allow, and the length of an actual step, infinite where none is known.
    """

    node: Index
    hub: Index
    least: Array
    true: Array


def links_of(
    net: Net, cells: Sequence[Cell], claws: Sequence[Claw], narrow: float, loose: tuple[float, float], sight: Sight
) -> Links:
    """All steps; `loose` mm are what each conductor may be nearer than drawn."""
    first = len(net.nodes)
    across: dict[int, list[int]] = {}
    for a, b in net.leaps.tolist():
        across.setdefault(a, []).append(b)
        across.setdefault(b, []).append(a)
    rows = []
    beyond: dict[tuple[int, int], tuple[Claw, set[int]]] = {}
    for claw in claws:
        rows.append(_own(net, cells[claw.room], claw, first, narrow, loose[claw.hub], sight))
        if not claw.lips:
            for room in across.get(claw.room, []):
                beyond.setdefault((claw.hub, id(claw.whole)), (claw, set()))[1].add(room)
    for claw, rooms in beyond.values():
        rows += _beyond(net, claw, sorted(rooms), first, loose[claw.hub])
    apart: dict[tuple[int, int], float] = {}
    for one in (claw for claw in claws if claw.hub == 0):
        for other in (claw for claw in claws if claw.hub == 1):
            if other.room == one.room or other.room in across.get(one.room, []):
                actual, both = math.inf, (id(one.whole), id(other.whole))
                if other.room == one.room:
                    between, walked = steps_between(one.triangles, other.triangles, cells[one.room])
                    drawn = not one.lips and not other.lips and max(one.step, other.step) < narrow
                    actual = walked if drawn else math.inf
                else:
                    if both not in apart:
                        apart[both] = step_between(one.whole, other.whole)
                    between = apart[both]
                shorter = max(between - sum(loose), 0.0)
                rows.append(Links(np.array([first]), np.array([first + 1]), np.array([shorter]), np.array([actual])))
    none = Links(np.empty(0, np.intp), np.empty(0, np.intp), np.empty(0), np.empty(0))
    return Links(*(np.concatenate([row[k] for row in (none, *rows)]) for k in range(4)))


def _own(net: Net, cell: Cell, claw: Claw, first: int, narrow: float, loose: float, sight: Sight) -> Links:
    """To the rim of the claw's own cell, or to those edges of the face that are on it."""
    rim = net.rim(claw.room)
    if claw.lips:
        rim = rim[on_edges(net, cell, rim)]
        ends = net.nodes[net.segments[rim]]
        reached = nearest(claw.triangles, ends.reshape(-1, 3))[0].reshape(-1, 2).sum(axis=1)
        rim = rim[(reached - np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)) / 2.0 < narrow]
    nodes, where = np.unique(net.segments[rim], return_inverse=True)
    points = net.nodes[nodes]
    distance, feet = nearest(claw.triangles, points)
    if claw.step < narrow:
        true = true_steps(claw, cell, points, distance, feet, narrow, sight)
    else:
        true = np.full(len(nodes), np.inf)  # it takes hold only where tolerances bring it nearer than drawn
    roof = np.empty((0, 4)) if claw.roof is None else claw.roof
    least = _least(roof, distance, feet, points, where.reshape(-1, 2))
    return Links(nodes, np.full(len(nodes), first + claw.hub), np.maximum(least - loose, 0.0), true)


def _beyond(net: Net, claw: Claw, rooms: Sequence[int], first: int, loose: float) -> list[Links]:
    """To the rims of cells that leaps join to one on which all of a conductor's piece has a claw."""
    rims = [net.segments[net.rim(room)] for room in rooms]
    nodes = np.unique(np.concatenate(rims))
    distance, feet = nearest(claw.whole, net.nodes[nodes])
    found = []
    for rim in rims:
        own, where = np.unique(rim, return_inverse=True)
        at = np.searchsorted(nodes, own)
        least = _least(np.empty((0, 4)), distance[at], feet[at], net.nodes[own], where.reshape(-1, 2))
        true = np.full(len(own), np.inf)
        found.append(Links(own, np.full(len(own), first + claw.hub), np.maximum(least - loose, 0.0), true))
    return found


def on_edges(net: Net, cell: Cell, rim: Index) -> Mask:
    """Which segments on the rim of a cell are on an edge of its face."""
    from shapely import distance, points

    if cell.face is None:
        return np.ones(len(rim), dtype=bool)
    middles = cell.face.flat(net.nodes[net.segments[rim]].mean(axis=1))
    return np.asarray(distance(cell.face.outline.boundary, points(middles)) < SAME_MM * 10.0)


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
