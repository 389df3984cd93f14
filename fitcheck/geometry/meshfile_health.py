"""Is a mesh a sound solid? Leaks, winding, doubled and empty triangles, loose bodies, and what follows for its volume.

Nothing is mended here. A volume is given only where it can be trusted: the surface is closed, wound one way, holds no
triangle twice, and its bodies do not run into one another. Whether one body cuts through itself is not examined.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.meshfile_raw import Faces, Points

MOST_BODIES_COMPARED = 500
"""With more bodies than this whose boxes overlap, whether they run into one another is left open."""

AT_ONCE = 250_000
"""Triangles worked on together."""

FLAT = 1e-12
"""A volume below this share of the cube of the largest size is none; a triangle likewise (of the square)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshHealth:
    """What was found. Lengths in mm, volume in mm3.

    `leaks` counts edges that only one triangle uses, `crowded_edges` those that more than two use; `closed` means there
    are neither. `mixed_winding` means neighbouring triangles face opposite ways. `inverted` means that a closed body is
    inside out; its `volume_mm3` is then given as positive. `bodies` counts pieces that share no corner. `volume_mm3` is
    None where no volume can be trusted; `notes` says why.
    """

    triangles: int
    closed: bool
    leaks: int
    crowded_edges: int
    mixed_winding: bool
    inverted: bool
    duplicate_faces: int
    degenerate_faces: int
    bodies: int
    mirrored: bool
    extents_mm: tuple[float, float, float]
    volume_mm3: float | None
    notes: tuple[str, ...]

    @property
    def is_solid(self) -> bool:
        """Whether volume and centroid can be taken from the mesh."""
        return self.volume_mm3 is not None


@dataclass(frozen=True, kw_only=True, eq=False)
class _Edges:
    """Undirected edges: one number for the two corners of each, how many triangles use it, and how the directions of
    use balance.
    """

    keys: NDArray[np.int64]
    uses: NDArray[np.int64]
    balance: NDArray[np.int64]


def _edges(faces: Faces, vertex_count: int) -> _Edges:
    """Edges of the triangles that have three different corners."""
    whole = faces[~has_repeated_corner(faces)]
    used = np.empty(3 * len(whole), dtype=np.int64)
    for side in range(3):
        start, end = whole[:, side], whole[:, (side + 1) % 3]
        # The lowest bit tells the direction, so that one sort without an index does.
        edge = np.minimum(start, end) * vertex_count + np.maximum(start, end)
        used[side * len(whole) : (side + 1) * len(whole)] = 2 * edge + (start < end)
    used.sort()
    keys = used >> 1
    first = (
        np.flatnonzero(np.concatenate([[True], keys[1:] != keys[:-1]])) if len(keys) else np.zeros(0, dtype=np.int64)
    )
    uses = np.diff(np.append(first, len(keys)))
    forward = np.add.reduceat(used & 1, first) if len(first) else first
    return _Edges(keys=keys[first], uses=uses, balance=2 * forward - uses)


def has_repeated_corner(faces: Faces) -> NDArray[np.bool_]:
    """True for triangles that name one corner twice: they bound nothing."""
    result: NDArray[np.bool_] = (faces == np.roll(faces, 1, axis=1)).any(axis=1)
    return result


def _repeated(faces: Faces) -> int:
    """How many triangles have the same three corners as one before them."""
    rows = np.sort(faces, axis=1)
    count = int(rows.max()) + 1
    if count**3 < 2**63:
        keys = (rows[:, 0] * count + rows[:, 1]) * count + rows[:, 2]
        keys.sort()
        return int((keys[1:] == keys[:-1]).sum())
    rows = rows[np.lexsort((rows[:, 2], rows[:, 1], rows[:, 0]))]
    return int((rows[1:] == rows[:-1]).all(axis=1).sum())


def open_vertices(faces: Faces, vertex_count: int) -> NDArray[np.int64]:
    """The corners of open edges, each once, in ascending order."""
    edges = _edges(faces, vertex_count)
    ends = edges.keys[edges.uses == 1]
    return np.unique(np.concatenate([ends // vertex_count, ends % vertex_count]))


def examine(vertices: Points, faces: Faces, *, mirrored: bool, notes: tuple[str, ...]) -> MeshHealth:
    """Look at a mesh of finite vertices (V, 3) in mm and faces (F, 3), equal corners merged; F is at least 1."""
    edges = _edges(faces, len(vertices))
    used = np.zeros(len(vertices), dtype=bool)
    used[faces] = True
    extents = np.ptp(vertices[used], axis=0)
    size = float(extents.max())
    leaks, crowded = int((edges.uses == 1).sum()), int((edges.uses > 2).sum())
    mixed = bool(((edges.uses == 2) & (edges.balance != 0)).any())
    duplicates = _repeated(faces)
    bodies, body_of_face = bodies_of(faces, len(vertices))
    closed = leaks == 0 and crowded == 0 and bodies > 0
    usable = closed and not mixed and duplicates == 0
    volume, inverted, why = _volume(vertices, faces, body_of_face, bodies, size) if usable else (None, False, ())
    trouble = _trouble(leaks, crowded, mixed, duplicates, usable)
    return MeshHealth(
        triangles=len(faces),
        closed=closed,
        leaks=leaks,
        crowded_edges=crowded,
        mixed_winding=mixed,
        inverted=inverted,
        duplicate_faces=duplicates,
        degenerate_faces=sum(_flat(vertices[some], size) for some in _portions(faces)),
        bodies=bodies,
        mirrored=mirrored,
        extents_mm=(float(extents[0]), float(extents[1]), float(extents[2])),
        volume_mm3=volume,
        notes=(*notes, *trouble, *why),
    )


def _portions(faces: Faces) -> list[Faces]:
    """The faces in runs that are worked on together, to bound the memory."""
    return [faces[start : start + AT_ONCE] for start in range(0, len(faces), AT_ONCE)]


def _flat(triangles: Points, size: float) -> int:
    """How many triangles (F, 3, 3) have no area."""
    doubled = np.linalg.norm(np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]), axis=1)
    return int((doubled <= FLAT * size**2).sum())


def _trouble(leaks: int, crowded: int, mixed: bool, duplicates: int, usable: bool) -> tuple[str, ...]:
    said = []
    if leaks:
        said.append(f"The surface is open along {leaks} {'edge' if leaks == 1 else 'edges'}.")
    if crowded:
        said.append(f"{crowded} {'edge is' if crowded == 1 else 'edges are'} shared by more than two triangles.")
    if mixed:
        said.append("Neighbouring triangles face opposite ways, so inside and outside cannot be told apart.")
    if duplicates:
        said.append(f"{duplicates} {'triangle is' if duplicates == 1 else 'triangles are'} there more than once.")
    if not usable:
        said.append("Gaps can be measured; volume and centroid cannot be told from this file.")
    return tuple(said)


def bodies_of(faces: Faces, vertex_count: int) -> tuple[int, NDArray[np.int64]]:
    """How many pieces hang together at corners, and the piece of each face (-1: a triangle without three corners)."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    whole = ~has_repeated_corner(faces)
    corners = faces[whole]
    links = np.vstack([corners[:, :2], corners[:, 1:]])
    graph = coo_matrix((np.ones(len(links), dtype=np.int8), (links[:, 0], links[:, 1])), (vertex_count,) * 2)
    _, label = connected_components(graph, directed=False)
    body = np.full(len(faces), -1, dtype=np.int64)
    kinds, body[whole] = np.unique(label[corners[:, 0]], return_inverse=True)
    return len(kinds), body


def _volume(
    vertices: Points, faces: Faces, body_of_face: NDArray[np.int64], bodies: int, size: float
) -> tuple[float | None, bool, tuple[str, ...]]:
    """Volume if it can be trusted, whether it is inside out, and notes, for a closed mesh wound one way."""
    whole = body_of_face >= 0
    centred, kept = vertices - vertices.mean(axis=0), faces[whole]
    label = body_of_face[whole]
    parts = np.concatenate([_signed_volumes(centred[some]) for some in _portions(kept)])
    volumes: Points = np.bincount(label, weights=parts, minlength=bodies).astype(np.float64)
    total = float(volumes.sum())
    if abs(total) <= FLAT * size**3:
        return None, False, ("The surface is closed but encloses no volume.",)
    inverted = total < 0.0
    notes = ["The surface is inside out; it was measured as if turned the right way out."] if inverted else []
    if inverted:
        volumes = -volumes
    if bodies == 1:
        return abs(total), inverted, tuple(notes)
    triangles = centred[kept]
    lows, highs = _boxes(triangles, label, bodies)
    hollow = volumes < 0.0
    if not _inside_another(lows, highs, hollow):
        count = int(hollow.sum())
        said = f"{count} of {bodies} bodies {'is' if count == 1 else 'are'} inside out; the volume cannot be told."
        return None, True, (said,)
    if hollow.any():
        notes.append(f"{int(hollow.sum())} of {bodies} bodies are inside another and wound inward: taken as hollows.")
    doubt = _run_into_one_another(triangles * (-1.0 if inverted else 1.0), label, lows, highs, volumes)
    if doubt:
        return None, inverted, (*notes, doubt)
    return abs(total), inverted, tuple(notes)


def _signed_volumes(triangles: Points) -> Points:
    """Of the tetrahedra from zero to each triangle (F, 3, 3)."""
    return np.asarray(np.einsum("ij,ij->i", triangles[:, 0], np.cross(triangles[:, 1], triangles[:, 2])) / 6.0)


def _boxes(triangles: Points, label: NDArray[np.int64], bodies: int) -> tuple[Points, Points]:
    lows, highs = np.full((bodies, 3), np.inf), np.full((bodies, 3), -np.inf)
    np.minimum.at(lows, label, triangles.min(axis=1))
    np.maximum.at(highs, label, triangles.max(axis=1))
    return lows, highs


def _inside_another(lows: Points, highs: Points, hollow: NDArray[np.bool_]) -> bool:
    """Whether the box of each hollow lies within the box of some solid body."""
    solid_low, solid_high = lows[~hollow], highs[~hollow]
    return all(
        bool(((solid_low <= low) & (high <= solid_high)).all(axis=1).any())
        for low, high in zip(lows[hollow], highs[hollow], strict=True)
    )


def _run_into_one_another(
    triangles: Points, label: NDArray[np.int64], lows: Points, highs: Points, volumes: Points
) -> str:
    """Why the sum of the bodies' volumes is not the volume of the whole; empty if it is."""
    meets = ((lows[:, None] < highs[None]) & (lows[None] < highs[:, None])).all(axis=2) if len(lows) <= 3000 else None
    if meets is not None and meets.sum() == len(lows):
        return ""
    if len(lows) > MOST_BODIES_COMPARED:
        return f"Whether its {len(lows)} bodies run into one another was not examined; the volume cannot be told."
    from fitcheck.geometry.intersect import union_volume

    solids = [triangles[label == body] for body in np.flatnonzero(volumes > 0.0)]
    hollows = [triangles[label == body][:, ::-1] for body in np.flatnonzero(volumes < 0.0)]
    outcome = union_volume(solids, hollows)
    total = float(volumes.sum())
    if outcome is None or abs(outcome - total) > 1e-9 * total:
        return "Bodies run into one another; the volume they share would count twice, so it cannot be told."
    return ""
