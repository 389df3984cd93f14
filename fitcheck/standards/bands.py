"""Look-up in tables whose rows each cover a band of sizes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol, TypeVar

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source


class Band(Protocol):
    """A row for sizes over `over` up to and including `up_to`, in mm."""

    @property
    def over(self) -> float: ...

    @property
    def up_to(self) -> float: ...

    @property
    def source(self) -> Source: ...


BandRow = TypeVar("BandRow", bound=Band)


def band_for(rows: Sequence[BandRow], size_mm: float, what: str) -> BandRow:
    """The row that holds `size_mm`; rows ascend without holes; OutsideTable below the first, above the last."""
    for row in rows:
        if row.over < size_mm <= row.up_to:
            return row
    first, last = rows[0], rows[-1]
    raise OutsideTable(
        f"{what} of {size_mm:g} mm is outside the table, over {first.over:g} up to {last.up_to:g} mm "
        f"({first.source.document}, {first.source.clause})"
    )
