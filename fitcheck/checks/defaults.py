"""Which default bands a layout relies on, in words and with their sources."""

from __future__ import annotations

from collections import Counter

from fitcheck.model.layout import Layout
from fitcheck.model.quantity import PLAY
from fitcheck.result import Default
from fitcheck.standards import general_tolerances, instruments

INSTRUMENT = "default for "


def defaults_of(layout: Layout) -> tuple[Default, ...]:
    """One row for each default that at least one value takes, the most used first."""
    counts = Counter(value.basis for value in layout.quantities.values())
    rows = [_row(basis, count) for basis, count in counts.items() if basis not in ("exact", "stated", PLAY)]
    return tuple(sorted(rows, key=lambda row: (-row.count, row.basis)))


def _row(basis: str, count: int) -> Default:
    if basis.startswith(INSTRUMENT):
        known = instruments.instrument(basis.removeprefix(INSTRUMENT))
        return Default(basis=basis, count=count, says=known.says, source=str(known.source))
    return Default(
        basis=basis,
        count=count,
        says="the general tolerance for drawing sizes, by size",
        source=str(general_tolerances.LINEAR[-1].source),
    )
