"""A table as CSV for a spreadsheet: comma separated, decimal points, a header row with the units."""

from __future__ import annotations

import csv
from io import StringIO

from fitcheck.report.table import Cell, Table

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def render(table: Table) -> bytes:
    """The file. UTF-8 with a byte order mark: without one the common spreadsheet programs take the file for their own
    old code page, and every "±" and foreign letter is spoilt. Programs read the JSON result instead.
    """
    return text(table).encode("utf-8-sig")


def text(table: Table) -> str:
    """What stands in the file."""
    written = StringIO()
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow(table.head)
    writer.writerows([_cell(cell) for cell in row] for row in table.rows)
    return written.getvalue()


def _cell(cell: Cell) -> str:
    if cell is None:
        return ""
    return inert(cell) if isinstance(cell, str) else number_text(cell)


def inert(text: str) -> str:
    """A spreadsheet runs what looks like a formula; a leading apostrophe makes it text."""
    return f"'{text}" if text.lstrip(" ").startswith(_FORMULA_STARTS) else text


def number_text(value: float) -> str:
    """Six decimals at most, never "-0"."""
    return f"{round(value, 6) + 0.0:.12g}"
