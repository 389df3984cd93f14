"""The cut list: which pieces to cut for which part, as CSV for the bench and the store."""

from __future__ import annotations

from collections import Counter

from fitcheck.report import as_csv
from fitcheck.report.table import Cell, Table
from fitcheck.result_heights import FoundRow

HEAD = ("part", "piece_mm", "pieces", "stack_height_mm", "tolerance_below_mm", "tolerance_above_mm")


def render(found: tuple[FoundRow, ...]) -> str:
    """One line for each thickness of each part, thickest first, and one for all parts together; "" without any."""
    rows: list[tuple[Cell, ...]] = []
    whole: Counter[float] = Counter()
    for row in found:
        counts = Counter(row.pieces)
        whole += counts
        rows += [(row.part, size, number, row.height_mm, row.below_mm, row.above_mm) for size, number in counts.items()]
    if not rows:
        return ""
    rows += [("all parts", size, number, None, None, None) for size, number in sorted(whole.items(), reverse=True)]
    return as_csv.text(Table(name="cut_list", sheet="Cut list", head=HEAD, rows=tuple(rows)))
