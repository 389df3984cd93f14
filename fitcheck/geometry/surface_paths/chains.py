"""Leaps that follow one another without a rim in between.

A way may land in the middle of a wall and leave it again by another leap before it reaches the wall's rim. So any two
cells that hang together by leaps get a leap of their own, whose ways are never shorter than the straight line; where
all
of them lie in two planes that taper towards each other, never shorter than over one link between those planes either,
for of a way to and fro between two planes only one crossing can save anything.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from fitcheck.geometry.surface_paths.cells import SAME_MM, Cell
from fitcheck.geometry.surface_paths.facing import Opening, opening_between
from fitcheck.geometry.surface_paths.net import Index

MOST_LEAPS = 6000
"""Surfaces that hang together by more leaps than this are not searched."""


class TooFine(Exception):
    """More cells face each other within X than can be searched."""


def chained(cells: Sequence[Cell], direct: Index, narrow: float) -> tuple[Index, list[Opening | None]]:
    """All leaps, the direct ones first, and the opening that each crosses where that is one between two planes.

    narrow: how wide an opening may be, all that may move included. Raises TooFine.
    """
    leaps = [tuple(pair) for pair in np.sort(direct, axis=1).tolist()]
    known = set(leaps)
    openings: dict[tuple[int, int], Opening | None] = {}
    for group in check_size(len(cells), direct):
        planes = _planes([cells[room] for room in group])
        two = len(set(planes)) == 2
        for (one, plane), (other, facing) in combinations(zip(group, planes, strict=True), 2):
            pair = (min(one, other), max(one, other))
            crosses = two and plane != facing
            openings[pair] = opening_between(cells[pair[0]], cells[pair[1]], narrow) if crosses else None
            if pair not in known and not _walks(cells[one], cells[other]):
                leaps.append(pair)
    return np.array(leaps, dtype=np.intp).reshape(-1, 2), [openings[pair] for pair in leaps]


def check_size(count: int, direct: Index) -> list[list[int]]:
    """Groups of cells that hang together by leaps. Raises TooFine where they do so in more ways than are searched."""
    groups = _together(count, direct)
    if sum(len(group) * (len(group) - 1) // 2 for group in groups) > MOST_LEAPS:
        raise TooFine
    return groups


def _together(count: int, direct: Index) -> list[list[int]]:
    """Groups of cells that hang together by leaps."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    joined = coo_matrix((np.ones(len(direct)), (direct[:, 0], direct[:, 1])), shape=(count, count))
    _, label = connected_components(joined, directed=False)
    groups: dict[int, list[int]] = {}
    for room in np.unique(direct).tolist():
        groups.setdefault(int(label[room]), []).append(room)
    return list(groups.values())


def _planes(cells: Sequence[Cell]) -> list[int]:
    """A number for the plane of each cell; those told apart by rounding count as different ones."""
    found: list[Cell] = []
    numbers = []
    for cell in cells:
        same = (
            number
            for number, other in enumerate(found)
            if cell.normal @ other.normal > 1.0 - 1e-12
            and np.abs(cell.corners @ other.normal - other.offset).max() < SAME_MM / 10.0
        )
        number = next(same, len(found))
        if number == len(found):
            found.append(cell)
        numbers.append(number)
    return numbers


def _walks(one: Cell, other: Cell) -> bool:
    """Whether the straight line between any points of two cells runs over one face, so that walking is no longer."""
    from shapely import MultiPoint

    face = one.face
    if face is None or face is not other.face:
        return False
    hull = MultiPoint(face.flat(np.concatenate([one.corners, other.corners]))).convex_hull
    return bool(face.outline.buffer(SAME_MM / 100.0).covers(hull))
