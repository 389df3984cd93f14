"""The tables of a study as one workbook: a sheet each, and one that says what it is about."""

from __future__ import annotations

import datetime
import math
import textwrap
from collections.abc import Sequence
from io import BytesIO
from typing import TYPE_CHECKING, Any

from fitcheck.report.as_csv import inert
from fitcheck.report.table import Cell, Table

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

_WRITTEN = datetime.datetime(2000, 1, 1)
"""The file's own stamp says nothing; the About sheet has the date."""

_WIDEST = 60
_NARROWEST = 9
_MOST_CHARACTERS = 32_767
"""What one cell of a workbook holds."""

_LINE = 13.5
"""Height of a line of text, in points."""

_TALLEST = 400.0
"""A row may be 409 points tall at the most."""

_PAGE = 170.0
"""How wide a printed page is, in characters, before its letters get too small to read."""

_ABOUT_WIDTHS = (22, 100)


def render(tables: Sequence[Table], about: Sequence[tuple[str, str]]) -> bytes:
    """The workbook: a sheet for each table, then "About" with its pairs of words. The same tables, the same bytes.

    Text is written as text whatever it begins with, numbers as numbers; an empty table keeps its header row and
    says under it why it is empty.
    """
    from xlsxwriter.workbook import Workbook

    file = BytesIO()
    # In memory: otherwise each part of the package carries the time at which it was written.
    book: Workbook = Workbook(file, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": dict(about).get("title", ""), "created": _WRITTEN})
    looks = _Looks(book)
    for table in tables:
        _sheet(book.add_worksheet(table.sheet), table, looks)
    _about(book.add_worksheet("About"), about, looks)
    book.close()
    return file.getvalue()


class _Looks:
    """The few styles of the workbook."""

    def __init__(self, book: Workbook) -> None:
        base: dict[str, Any] = {"valign": "top", "font_size": 10}
        # Indented: otherwise a text touches the number in the column before it.
        wrapped = base | {"text_wrap": True, "align": "left", "indent": 1}
        self.head: Format = book.add_format(wrapped | {"bold": True, "bottom": 2, "bg_color": "#eceae4"})
        self.head_of_numbers: Format = book.add_format(
            base | {"bold": True, "bottom": 2, "bg_color": "#eceae4", "align": "right"}
        )
        self.text: Format = book.add_format(wrapped)
        # Also after somebody has edited the cell, it stays text.
        self.inert: Format = book.add_format(wrapped | {"quote_prefix": True})
        # Points stand beneath one another; the cell itself holds every decimal.
        self.number: Format = book.add_format(base | {"num_format": "0.000"})
        self.whole: Format = book.add_format(base | {"num_format": "0"})
        self.quiet: Format = book.add_format(base | {"italic": True})
        self.label: Format = book.add_format(wrapped | {"bold": True})


def _sheet(sheet: Worksheet, table: Table, looks: _Looks) -> None:
    widths = [_width(name, [row[column] for row in table.rows]) for column, name in enumerate(table.head)]
    for column, (name, width) in enumerate(zip(table.head, widths, strict=True)):
        is_text = any(isinstance(row[column], str) for row in table.rows)
        sheet.write_string(0, column, name, looks.head if is_text or not table.rows else looks.head_of_numbers)
        sheet.set_column(column, column, width)
    sheet.set_row(0, _height(table.head, widths))
    for number, row in enumerate(table.rows, 1):
        # Not every program works the height of wrapped text out by itself.
        sheet.set_row(number, _height(row, widths))
        for column, cell in enumerate(row):
            _write(sheet, number, column, cell, looks)
    if not table.rows and table.none:
        sheet.write_string(1, 0, f"none: {table.none}", looks.quiet)
    sheet.freeze_panes(1, table.keys)
    sheet.autofilter(0, 0, max(1, len(table.rows)), len(table.head) - 1)
    sheet.ignore_errors({"number_stored_as_text": "A1:XFD1048576"})
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(math.ceil(sum(widths) / _PAGE), 0)
    sheet.print_across()
    sheet.repeat_rows(0)
    sheet.repeat_columns(0, table.keys - 1)
    sheet.set_footer("&L&A&R&P of &N")


def _write(sheet: Worksheet, row: int, column: int, cell: Cell, looks: _Looks) -> None:
    if isinstance(cell, str):
        if cell:
            look = looks.text if inert(cell) == cell else looks.inert
            sheet.write_string(row, column, cell[:_MOST_CHARACTERS], look)
    elif cell is not None:
        look = looks.whole if isinstance(cell, int) else looks.number
        sheet.write_number(row, column, round(cell, 6) + 0, look)


def _width(name: str, cells: Sequence[Cell]) -> float:
    """Wide enough for most of the column; longer texts are wrapped."""
    lengths = [len(cell) if isinstance(cell, str) else 9 for cell in cells if cell is not None]
    return max(_NARROWEST, min(_WIDEST, max([*lengths, min(len(name), 14)]) + 3))


def _height(cells: Sequence[Cell], widths: Sequence[float]) -> float:
    """Of a row, in points: as many lines as its longest text is wrapped into."""
    lines = [
        sum(max(1, len(textwrap.wrap(line, max(4, int(width) - 3)))) for line in cell.splitlines())
        for cell, width in zip(cells, widths, strict=True)
        if isinstance(cell, str)
    ]
    return min(_TALLEST, _LINE * max([1, *lines]) + 1.5)


def _about(sheet: Worksheet, about: Sequence[tuple[str, str]], looks: _Looks) -> None:
    for column, width in enumerate(_ABOUT_WIDTHS):
        sheet.set_column(column, column, width)
    for row, (label, text) in enumerate(about):
        sheet.set_row(row, _height((label, text), _ABOUT_WIDTHS))
        sheet.write_string(row, 0, label, looks.label)
        sheet.write_string(row, 1, text[:_MOST_CHARACTERS], looks.text if inert(text) == text else looks.inert)
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 0)
