"""The surfaces of a section cut where anything meets them, so that ways can turn off there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.geometry.section_paths.air import Indices
from fitcheck.geometry.section_paths.crossings import crossings
from fitcheck.geometry.section_paths.metal import Metals, nearest_on, right_of
from fitcheck.geometry.section_paths.rings import Array, Flags
from fitcheck.geometry.section_paths.section import SAME_MM


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Walls:
    """Straight pieces of surface between nodes.

    nodes: (N, 2). starts, ends: (W, 2), with start_nodes and end_nodes (W,). normals: (W, 2), unit, out of the matter.
    lips: (N,) the nodes at which some body sticks out.
    """

    nodes: Array
    starts: Array
    ends: Array
    start_nodes: Indices
    end_nodes: Indices
    normals: Array
    lips: Flags


def walls_of(contour: tuple[Array, Array, Array], metals: Metals) -> Walls:
    """Cut the contours of all bodies at their corners, at what touches or crosses them, and where metal begins."""
    starts, ends, lips = contour
    if not len(starts):
        return _no_walls()
    crossed, _ = crossings(starts, ends, starts, ends)
    metal_crossed, _ = crossings(metals.starts, metals.ends, starts, ends)
    points = np.concatenate([starts, crossed, metal_crossed, metals.corners])
    apart = np.linalg.norm(nearest_on(starts[:, None], ends[:, None], points) - points, axis=2)
    on_edge = apart <= SAME_MM
    used = on_edge.any(axis=0)
    points, on_edge = points[used], on_edge[:, used]
    same = _first_at_the_same_place(points)
    first_nodes, last_nodes, edges = [], [], []
    for edge in range(len(starts)):
        cut = np.unique(same[on_edge[edge]])
        along = (points[cut] - starts[edge]) @ (ends[edge] - starts[edge])
        cut = cut[np.argsort(along, kind="stable")]
        first_nodes.append(cut[:-1])
        last_nodes.append(cut[1:])
        edges.append(np.full(len(cut) - 1, edge))
    first, last, edge_of = (np.concatenate(each).astype(np.int64) for each in (first_nodes, last_nodes, edges))
    return Walls(
        nodes=points,
        starts=points[first],
        ends=points[last],
        start_nodes=first,
        end_nodes=last,
        normals=right_of(starts, ends)[edge_of],
        lips=_near_any(points, lips),
    )


def _no_walls() -> Walls:
    points, numbers = np.empty((0, 2)), np.empty(0, dtype=np.int64)
    return Walls(
        nodes=points,
        starts=points,
        ends=points,
        start_nodes=numbers,
        end_nodes=numbers,
        normals=points,
        lips=np.empty(0, dtype=bool),
    )


def _first_at_the_same_place(points: Array) -> Indices:
    """(N,) the lowest index of a point at the same place."""
    apart = np.linalg.norm(points[:, None] - points[None], axis=2)
    return np.asarray(np.argmax(apart <= 2.0 * SAME_MM, axis=1), dtype=np.int64)


def _near_any(points: Array, others: Array) -> Flags:
    if not len(others):
        return np.zeros(len(points), dtype=bool)
    return np.asarray(np.linalg.norm(points[:, None] - others[None], axis=2).min(axis=1) <= 2.0 * SAME_MM)
