"""Cells cut where a narrow opening becomes wide, so that what may leap and what may not are cells of their own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from fitcheck.geometry.surface_paths.cells import Cell, cut
from fitcheck.geometry.surface_paths.claws import claws_of
from fitcheck.geometry.surface_paths.facing import FACING, leaps_among, opening_between
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


def cut_at_links(cells: Sequence[Cell], narrow: float) -> list[Cell]:
    """Facing walls cut where the opening between them is just X wide, and where a leap of X from a lip lands."""
    lines: dict[int, list[tuple[Array, float]]] = {}
    for one, other in leaps_among(cells, narrow).tolist():
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
        yield from _beside_edges(
            np.stack([facing.corners, facing.corners + edges, facing.corners], axis=1), cell, narrow
        )
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


def cut_under_claws(cells: Sequence[Cell], conductors: Sequence[Sequence[Array]], narrow: float) -> list[Cell]:
    """Walls cut where a conductor that leans over them, or ends beside them, is just X away."""
    lines: dict[int, list[tuple[Array, float]]] = {}
    for pieces in conductors:
        for piece in pieces:
            for claw in claws_of([piece], 0, cells, narrow):
                cell = cells[claw.room]
                found = [*_under_faces(piece, cell, narrow), *_beside_edges(piece, cell, narrow)]
                if len(found) <= MOST_LINES:
                    lines.setdefault(claw.room, []).extend(found)
    return _cut(cells, lines, narrow)


def _under_faces(piece: Array, cell: Cell, narrow: float) -> Iterator[tuple[Array, float]]:
    """Where a slanting face of a conductor is X away from a wall, measured square to the wall."""
    normals = np.cross(piece[:, 1] - piece[:, 0], piece[:, 2] - piece[:, 0])
    areas = np.linalg.norm(normals, axis=1)
    faces = np.flatnonzero(areas > TINY)
    normals = normals[faces] / areas[faces, None]
    toward = normals @ cell.normal
    normals[toward > 0.0] *= -1.0
    planes = np.column_stack([normals, np.einsum("ki,ki->k", normals, piece[faces, 0])])
    _, first = np.unique(np.round(planes, 6), axis=0, return_index=True)
    for k in first.tolist():
        opening = opening_between(cell, Cell(piece[faces[k]], normals[k], -1), narrow)
        if opening is not None and abs(toward[k]) > FACING:
            sine = float(np.linalg.norm(np.cross(cell.normal, normals[k])))
            yield opening.up[0], float(opening.apex[0]) + narrow * float(abs(toward[k])) / sine


def _beside_edges(piece: Array, cell: Cell, narrow: float) -> Iterator[tuple[Array, float]]:
    """Where an edge of a conductor stands over a wall, and where it is X away if it runs level."""
    starts = piece.reshape(-1, 3)
    along = np.roll(piece, -1, axis=1).reshape(-1, 3) - starts
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
