"""Several bodies that touch or overlap, melted into one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Mesh = tuple[NDArray[np.float64], NDArray[np.int64]]

MERGE_MM = 1e-6


def one_body(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> Mesh | None:
    """The same matter as one closed surface, or as few as it falls into; None where a body is not closed.

    vertices (V, 3) in mm, faces (F, 3) wound outward, each body with corners of its own.
    """
    from manifold3d import Error, Manifold, Mesh64, OpType

    solids = []
    for body in _bodies(len(vertices), faces):
        corners, same = np.unique(np.round(vertices / MERGE_MM), axis=0, return_inverse=True)
        own = np.ascontiguousarray(same.ravel()[body].astype(np.uint64))
        solid = Manifold(Mesh64(vert_properties=corners * MERGE_MM, tri_verts=own))
        if solid.status() != Error.NoError or solid.volume() <= 0.0:
            return None
        solids.append(solid)
    if not solids:
        return None
    # Touching faces of two bodies vanish in the union; what is left of their seams is taken out with the flat edges.
    whole = Manifold.batch_boolean(solids, OpType.Add).as_original().simplify(MERGE_MM)
    mesh = whole.to_mesh64()
    return np.array(mesh.vert_properties[:, :3], dtype=np.float64), np.array(mesh.tri_verts, dtype=np.int64)


def _bodies(count: int, faces: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """The faces of each body: those that hang together by shared corners."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    pairs = np.vstack((faces[:, :2], faces[:, 1:]))
    links = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    _, label = connected_components(links, directed=False)
    kinds = label[faces[:, 0]]
    return [faces[kinds == kind] for kind in np.unique(kinds)]
