"""Cells cut where a narrow opening becomes wide, so that what may leap and what may not are cells of their own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from fitcheck.geometry.surface_paths.cells import Cell, cut
from fitcheck.geometry.surface_paths.claws import claws_of, edges_of
from fitcheck.geometry.surface_paths.facing import FACING, PARALLEL, leaps_among, opening_between
from fitcheck.geometry.surface_paths.net import Array

LEAST = 0.02
"""Parts less deep than this share of X are not cut off."""
TINY = 1e-6
FLAT_SHARE = 1e-3
"""Edges no higher over a wall than this share of X gain nothing worth a cut."""
MOST_LINES = 24
"""A conductor with more edges and faces beside a wall is round: nothing is cut, the bound is a little looser."""
SIGN = np.array([1.0, 1e-3, 1e-6])
"""Gives a direction and its opposite one sign, so that a line found twice is cut once."""


def cut_at_links(cells: Sequence[Cell], narrow: float, *, closed: bool = True) -> list[Cell]:
    """Facing walls cut where the opening between them is just X wide, and where a leap of X from a lip lands.

    closed: no joint can open.
    """
    lines: dict[int, list[tuple[Array, float]]] = {}
    for one, other in leaps_among(cells, narrow, closed=closed).tolist():
        for room, facing in ((one, other), (other, one)):
            found = [*_links(cells[room], cells[facing], narrow)]
            if len(found) <= MOST_LINES:
                lines.setdefault(room, []).extend(found)
    return _cut(cells, lines, narrow)


def _links(cell: Cell, facing: Cell, narrow: float) -> Iterator[tuple[Array, float]]:
    """Lines on a cell where the shortest links to a facing one may end."""
    opening = opening_between(cell, facing, narrow)
    edges = np.roll(facing.corners, -1, axis=0) - facing.corners
    if opening is None:
        both = np.stack([facing.corners, facing.corners + edges], axis=1)
        yield from _beside_edges(both, cell, narrow)
        if np.abs(facing.corners @ cell.normal - cell.offset).max() < FLAT_SHARE * narrow:
            yield from _about_edges(both, cell, narrow)
        return
    yield opening.up[0], float(opening.apex[0] + opening.link)
    slant = float(opening.up[0] @ opening.up[1])
    lengths = np.linalg.norm(edges, axis=1)
    level = np.abs(edges @ opening.along) > lengths * (1.0 - TINY)
    depths = facing.corners[level] @ opening.up[1] - opening.apex[1]
    for depth in np.unique(np.round(depths, 9)).tolist():
        rest = narrow**2 - depth**2 * (1.0 - slant**2)
        if rest > 0.0:
            for side in (-1.0, 1.0):
                yield opening.up[0], float(opening.apex[0] + depth * slant + side * rest**0.5)


def _about_edges(edges: Array, cell: Cell, narrow: float) -> Iterator[tuple[Array, float]]:
    """Beyond X of the edges (E, 2, 3) of a wall in the same plane: only nearer to it than that may a leap start."""
    outward = np.cross(edges[:, 1] - edges[:, 0], cell.normal)
    lengths = np.linalg.norm(outward, axis=1)
    middle = edges.mean(axis=(0, 1))
    for normal, length, start in zip(outward, lengths, edges[:, 0], strict=True):
        if length > TINY:
            unit = normal / length * (1.0 if normal @ (start - middle) > 0.0 else -1.0)
            yield unit, float(unit @ start) + narrow


def cut_under_claws(cells: Sequence[Cell], conductors: Sequence[Sequence[Array]], narrow: float) -> list[Cell]:
    """Walls cut where a conductor that leans over them, or ends beside them, is just X away."""
    lines: dict[int, list[tuple[Array, float]]] = {}
    for pieces in conductors:
        for piece in pieces:
            edges, planes = edges_of(piece), _planes(piece)
            for claw in claws_of([piece], 0, cells, narrow):
                cell = cells[claw.room]
                beside = list(_beside_edges(edges, cell, narrow))
                leaning = _leaning(planes, cell)
                if len(beside) + len(leaning) <= MOST_LINES:
                    lines.setdefault(claw.room, []).extend([*beside, *_under_faces(leaning, cell, narrow)])
    return _cut(cells, lines, narrow)


def _planes(piece: Array) -> Array:
    """The planes (F, 4) of a piece's faces, each once: unit normal and height along it."""
    normals = np.cross(piece[:, 1] - piece[:, 0], piece[:, 2] - piece[:, 0])
    areas = np.linalg.norm(normals, axis=1)
    faces = np.flatnonzero(areas > TINY)
    normals = normals[faces] / areas[faces, None]
    planes = np.column_stack([normals, np.einsum("ki,ki->k", normals, piece[faces, 0])])
    _, first = np.unique(np.round(planes, 6), axis=0, return_index=True)
    return np.asarray(planes[first])


def _leaning(planes: Array, cell: Cell) -> Array:
    """Those of some planes that neither run along a wall nor stand square to it."""
    toward = np.abs(planes[:, :3] @ cell.normal)
    sine = np.linalg.norm(np.cross(planes[:, :3], cell.normal), axis=1)
    return np.asarray(planes[(toward > FACING) & (sine > PARALLEL)])


def _under_faces(planes: Array, cell: Cell, narrow: float) -> Iterator[tuple[Array, float]]:
    """Where slanting faces of a conductor, in planes (F, 4), are X away from a wall, measured square to the wall."""
    for plane in planes:
        normal, height = plane[:3], plane[3]
        toward = float(normal @ cell.normal)
        if toward > 0.0:
            normal, height = -normal, -height
        opening = opening_between(cell, Cell((normal * height)[None], normal, -1), narrow)
        if opening is not None:
            sine = float(np.linalg.norm(np.cross(cell.normal, normal)))
            yield opening.up[0], float(opening.apex[0]) + narrow * abs(toward) / sine


def _beside_edges(edges: Array, cell: Cell, narrow: float) -> Iterator[tuple[Array, float]]:
    """Where edges (E, 2, 3) of a conductor stand over a wall, and where they are X away if they run level."""
    starts = edges[:, 0]
    along = edges[:, 1] - starts
    heights = starts @ cell.normal - cell.offset
    rises = along @ cell.normal
    across = np.cross(cell.normal, along)
    lengths = np.linalg.norm(across, axis=1)
    seen = (lengths > TINY) & (np.minimum(heights, heights + rises) < narrow)
    across, starts, heights, rises = across[seen] / lengths[seen, None], starts[seen], heights[seen], rises[seen]
    places = np.einsum("ki,ki->k", across, starts)
    over = np.maximum(heights, heights + rises) > FLAT_SHARE * narrow
    level = (np.abs(rises) < TINY) & over
    reach = np.sqrt(np.maximum(narrow**2 - heights**2, 0.0))
    lines = [np.column_stack([across, places])[over]]
    lines += [np.column_stack([across, places + side * reach])[level] for side in (-1.0, 1.0)]
    both = np.concatenate(lines)
    both[both[:, :3] @ SIGN < 0.0] *= -1.0
    for row in np.unique(np.round(both, 9), axis=0):
        yield row[:3], float(row[3])


def _cut(cells: Sequence[Cell], lines: dict[int, list[tuple[Array, float]]], narrow: float) -> list[Cell]:
    found: list[Cell] = []
    for room, cell in enumerate(cells):
        parts = [cell]
        for normal, height in lines.get(room, []):
            parts = [piece for part in parts for piece in cut(part, normal, height, LEAST * narrow)]
        found += parts
    return found
