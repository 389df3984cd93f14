"""Rotation matrices as plain tuples; quarter turns are exact."""

from __future__ import annotations

import math
from collections.abc import Iterable

Row = tuple[float, float, float]
Rotation = tuple[Row, Row, Row]

IDENTITY: Rotation = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))

_QUARTERS = {0: (1.0, 0.0), 1: (0.0, 1.0), 2: (-1.0, 0.0), 3: (0.0, -1.0)}


def about(axis: int, degrees: float) -> Rotation:
    """Right-hand turn about case axis 0, 1 or 2."""
    quarters = degrees / 90.0
    if quarters == round(quarters):
        cosine, sine = _QUARTERS[round(quarters) % 4]
    else:
        cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    one, two = (axis + 1) % 3, (axis + 2) % 3
    rows = [[0.0] * 3 for _ in range(3)]
    rows[axis][axis] = 1.0
    rows[one][one] = rows[two][two] = cosine
    rows[one][two], rows[two][one] = -sine, sine
    return _frozen(rows)


def product(left: Rotation, right: Rotation) -> Rotation:
    """The turn `right`, then the turn `left`."""
    return _frozen([[sum(left[i][k] * right[k][j] for k in range(3)) for j in range(3)] for i in range(3)])


def in_order(turns: Iterable[Rotation]) -> Rotation:
    """Turns about the case axes, one after another."""
    total = IDENTITY
    for turn in turns:
        total = product(turn, total)
    return total


def is_quarter(rotation: Rotation) -> bool:
    """Whether every case axis lies along one of the turned axes."""
    return all(entry in (0.0, 1.0, -1.0) for row in rotation for entry in row)


def _frozen(rows: list[list[float]]) -> Rotation:
    one, two, three = ((row[0] + 0.0, row[1] + 0.0, row[2] + 0.0) for row in rows)
    return (one, two, three)
