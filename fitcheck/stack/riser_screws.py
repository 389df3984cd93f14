"""Standoff and screw together: which riser length of those sold leaves a preferred screw length inside the window."""

from __future__ import annotations

import math

from fitcheck.errors import OutsideTable
from fitcheck.model.layout import Layout
from fitcheck.stack.grips import clamped_parts
from fitcheck.stack.lengths import Fit, best_length, sold_lengths
from fitcheck.standards.stock import stock

MOST_LISTED = 4


def combinations(
    layout: Layout, fit: Fit, least_heights: dict[str, float], present: dict[str, float]
) -> tuple[tuple[str, float], ...]:
    """(riser and its standoff, screw length) for found heights under this screw, shortest standoff first.

    `least_heights` is the least that would do for each found part, `present` the height each has now; a standoff never
    goes below the least.
    """
    try:
        sizes = stock(f"standoffs {fit.thread.name}").sizes
    except OutsideTable:
        return ()
    sold, _ = sold_lengths(fit.screw, fit.thread)
    rows: list[tuple[str, float]] = []
    for part in clamped_parts(fit.screw):
        if layout.by_name[part].role not in ("riser", "spacer") or part not in least_heights:
            continue
        for size in sizes:
            by = size - present[part]
            if size < least_heights[part] or math.isinf(fit.window.high):
                continue
            length = best_length(sold, fit.window.shifted(by), fit.worst.shifted(by))
            if length is not None:
                rows.append((f"{part} as a standoff {fit.thread.name} of {size:g}", length))
    return tuple(rows[:MOST_LISTED])
