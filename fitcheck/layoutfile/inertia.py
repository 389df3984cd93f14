"""An inertia tensor as written: three principal values, or three rows."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.tree import Path
from fitcheck.units import INERTIA, Written, inside

Matrix = tuple[tuple[float, float, float], ...]


def inertia_of(
    desk: Desk, written: Sequence[Written | list[Written]], path: Path
) -> tuple[Matrix, Matrix | None] | None:
    """The tensor in kg m2 and how far each entry may be off (None: no entry states a tolerance); None, with the problem
    noted, where it is none of a real body.
    """
    rows, halves = (
        [
            [read(desk, entry) for entry in row]
            if isinstance(row, list)
            else [read(desk, row) if k == number else 0.0 for k in range(3)]
            for number, row in enumerate(written)
        ]
        for read in (_number, _half)
    )
    wrong = _without_unit(desk, written) or _problem(written, rows)
    if wrong is not None:
        desk.problem(desk.value_at(path), *wrong)
        return None
    if not any(half for row in halves for half in row):
        return _matrix(rows), None
    # The two of a product of inertia are one value, however each of them is written.
    return _matrix(rows), _matrix([[max(halves[i][j], halves[j][i]) for j in range(3)] for i in range(3)])


def _matrix(rows: list[list[float]]) -> Matrix:
    return tuple((row[0], row[1], row[2]) for row in rows)


def _without_unit(desk: Desk, written: Sequence[Written | list[Written]]) -> tuple[str, str] | None:
    """A bare number means kg m2 in a metric layout; in any other it would be taken for pounds and inches."""
    entries = [entry for row in written for entry in (row if isinstance(row, list) else [row])]
    bare = [entry.number for entry in entries if entry.unit is None and entry.number != 0.0]
    if desk.is_metric or not bare:
        return None
    what = f"{bare[0]:g} has no unit, and this layout's units are not mm and kg"
    return what, f"write the inertia with its unit, such as {INERTIA.example}"


def _number(desk: Desk, written: Written) -> float:
    return inside(written, INERTIA, desk.units).nominal


def _half(desk: Desk, written: Written) -> float:
    return max(inside(written, INERTIA, desk.units).widths or (0.0, 0.0))


def _problem(written: Sequence[Written | list[Written]], rows: list[list[float]]) -> tuple[str, str] | None:
    if len({isinstance(row, list) for row in written}) > 1:
        return "an inertia of numbers and rows mixed", "write [ixx, iyy, izz], or three rows of three"
    if any(rows[i][j] != rows[j][i] for i in range(3) for j in range(i)):
        return "an inertia tensor that is not symmetric", "write each product of inertia twice, as -sum(m x y)"
    diagonal = [rows[k][k] for k in range(3)]
    if min(diagonal) < 0 or 2 * max(diagonal) > sum(diagonal) * (1 + 1e-9):
        # No body has one moment larger than the other two together; rounding of a thin plate's values is let pass.
        return "no body has such moments of inertia", "each must be positive and at most the sum of the other two"
    return None
