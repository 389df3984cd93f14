"""The cells of a surface as a net: shared nodes, and rims cut where corners of other cells lie on them."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from fitcheck.geometry.surface_paths.cells import SAME_MM, Cell
from fitcheck.geometry.surface_paths.net import Array, Index, Net

MOST_COMPARED = 4_000_000


def net_of(cells: Sequence[Cell]) -> Net:
    """The rims of all cells, without leaps; room k is cell k."""
    corners = np.concatenate([cell.corners for cell in cells])
    counts = np.array([len(cell.corners) for cell in cells])
    nodes, place = _merged(corners)
    starts = np.cumsum(counts) - counts
    following = np.arange(len(corners)) + 1
    following[starts + counts - 1] = starts
    room = np.repeat(np.arange(len(cells)), counts)
    edges = np.column_stack([place, place[following]])
    sound = edges[:, 0] != edges[:, 1]
    edges, room = _without_t_joints(nodes, edges[sound], room[sound])
    segments, number = np.unique(np.sort(edges, axis=1), axis=0, return_inverse=True)
    empty = np.empty(0, dtype=np.intp)
    net = Net(nodes, segments.astype(np.intp), empty, empty, np.empty((0, 2), dtype=np.intp))
    return net.with_entries(room, number.reshape(-1).astype(np.intp))


def _merged(points: Array) -> tuple[Array, Index]:
    """Points nearer than SAME_MM as one: (places, the place of each point)."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    near = cKDTree(points).query_pairs(SAME_MM * 2.0, output_type="ndarray")
    joined = coo_matrix((np.ones(len(near)), (near[:, 0], near[:, 1])), shape=(len(points), len(points)))
    _, label = connected_components(joined, directed=False)
    _, first = np.unique(label, return_index=True)
    return points[first], label.astype(np.intp)


def _without_t_joints(nodes: Array, edges: Index, room: Index) -> tuple[Index, Index]:
    """The same rims, each edge cut at every node that lies on it."""
    on_edges: dict[int, list[int]] = {}
    step = max(MOST_COMPARED // max(len(nodes), 1), 1)
    for low in range(0, len(edges), step):
        ends = nodes[edges[low : low + step]]
        for edge, node in _lying_on(nodes, ends):
            if node not in edges[low + edge]:
                on_edges.setdefault(low + edge, []).append(node)
    if not on_edges:
        return edges, room
    stays = np.ones(len(edges), dtype=bool)
    new_edges, new_room = [], []
    for edge, found in on_edges.items():
        stays[edge] = False
        start, end = edges[edge]
        along = (nodes[found] - nodes[start]) @ (nodes[end] - nodes[start])
        chain = [start, *np.array(found)[np.argsort(along)], end]
        new_edges += list(itertools.pairwise(chain))
        new_room += [room[edge]] * (len(chain) - 1)
    return np.concatenate([edges[stays], np.array(new_edges, dtype=np.intp)]), np.concatenate([room[stays], new_room])


def _lying_on(nodes: Array, ends: Array) -> Index:
    """(edge, node) for nodes on edges, their ends among them. Few of many: boxes first, by the tree of nodes."""
    from scipy.spatial import cKDTree

    middles = ends.mean(axis=1)
    reach = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1) / 2.0 + SAME_MM
    near = cKDTree(nodes).query_ball_point(middles, reach)
    counts = np.array([len(found) for found in near])
    edge = np.repeat(np.arange(len(ends)), counts)
    node = np.concatenate([np.asarray(found, dtype=np.intp) for found in near]) if len(near) else edge
    start, along = ends[edge, 0], ends[edge, 1] - ends[edge, 0]
    share = np.einsum("ki,ki->k", nodes[node] - start, along) / np.einsum("ki,ki->k", along, along)
    off = np.linalg.norm(nodes[node] - start - share[:, None] * along, axis=1)
    return np.asarray(np.column_stack([edge, node])[off < SAME_MM * 2.0], dtype=np.intp)
