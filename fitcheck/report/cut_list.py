"""The cut list: which pieces to cut for which part, as CSV for the bench and the store."""

from __future__ import annotations

import csv
import io
from collections import Counter

from fitcheck.result_heights import FoundRow

HEAD = ("part", "piece_mm", "pieces", "stack_height_mm", "tolerance_below_mm", "tolerance_above_mm")


def render(found: tuple[FoundRow, ...]) -> str:
    """One line for each thickness of each part, thickest first, and one for all parts together; "" without any."""
    rows: list[tuple[str, ...]] = []
    whole: Counter[float] = Counter()
    for row in found:
        counts = Counter(row.pieces)
        whole += counts
        for size, number in counts.items():
            height = "" if row.height_mm is None else f"{row.height_mm:g}"
            rows.append((row.part, f"{size:g}", str(number), height, f"{row.below_mm:g}", f"{row.above_mm:g}"))
    if not rows:
        return ""
    rows += [
        ("all parts", f"{size:g}", str(number), "", "", "") for size, number in sorted(whole.items(), reverse=True)
    ]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerows((HEAD, *rows))
    return text.getvalue()
