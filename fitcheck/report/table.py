"""A table as plain rows, for every kind of spreadsheet file."""

from __future__ import annotations

from dataclasses import dataclass

Cell = str | int | float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """`name` is that of a CSV file without its ending, `sheet` that of a sheet in a workbook. Units stand in `head`;
    the first `keys` columns say what a row is about. `none` says in a sentence's end why there may be no rows.
    """

    name: str
    sheet: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    keys: int = 1
    none: str = ""
