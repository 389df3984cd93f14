"""What can be bought by thickness or length: sheet, shim rings, hexagon standoffs, preferred numbers; all in mm.

The metric sheet and standoff lists are from memory: ask the supplier. Of DIN 988 the shim rings in tenths up to 2.0 mm
were read on one page; the twentieths below 0.5 mm and the support rings are from memory. Preferred numbers (ISO 3) were
read on two pages and recomputed; the list of preferred metric sizes is that of one university's design notes.
"""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.verified import COMPUTED, MEMORY, ONE_PAGE, TWO_PAGES


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Sizes of one kind of stock in mm, ascending; `pm` is the half-width of one piece where a maker states it."""

    name: str
    sizes: tuple[float, ...]
    source: Source
    pm: float | None = None


_RINGS_READ = f"tenths {ONE_PAGE}; 0.12, 0.15, 0.25, 0.35 and 0.45 {MEMORY}"
_STANDOFF = Source(document="spacer makers' lists", verified=f"lengths {MEMORY}; tolerance up to 100 mm {ONE_PAGE}")
_STANDOFF_PM = 0.13
_SHEET = Source(document="sheet metal dealers' lists", verified=MEMORY)
_SERIES = Source(document="ISO 3:1973", verified=f"{TWO_PAGES}; {COMPUTED} as powers of ten")

STOCKS = (
    Stock(
        name="steel sheet",
        sizes=(0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0),
        source=_SHEET,
    ),
    Stock(
        name="aluminium sheet",
        sizes=(0.5, 0.8, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0),
        source=_SHEET,
    ),
    Stock(
        name="shim rings DIN 988",
        sizes=(
            0.1, 0.12, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9,
            2.0,
        ),
        source=Source(document="DIN 988:1990", clause="shim rings", verified=_RINGS_READ),
    ),
    Stock(
        name="support rings DIN 988",
        sizes=(1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 3.5),
        source=Source(document="DIN 988:1990", clause="support rings", verified=MEMORY),
    ),
    Stock(
        name="standoffs M3",
        sizes=(5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 18.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0),
        source=_STANDOFF,
        pm=_STANDOFF_PM,
    ),
    Stock(
        name="standoffs M4",
        sizes=(8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0),
        source=_STANDOFF,
        pm=_STANDOFF_PM,
    ),
    Stock(
        name="standoffs M5",
        sizes=(10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0),
        source=_STANDOFF,
        pm=_STANDOFF_PM,
    ),
    Stock(
        name="standoffs M6",
        sizes=(10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0),
        source=_STANDOFF,
        pm=_STANDOFF_PM,
    ),
    Stock(
        name="standoffs M8",
        sizes=(15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0),
        source=_STANDOFF,
        pm=_STANDOFF_PM,
    ),
    Stock(name="R5", sizes=(1.0, 1.6, 2.5, 4.0, 6.3), source=_SERIES),
    Stock(name="R10", sizes=(1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0), source=_SERIES),
    Stock(
        name="R20",
        sizes=(
            1.0, 1.12, 1.25, 1.4, 1.6, 1.8, 2.0, 2.24, 2.5, 2.8, 3.15, 3.55, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1, 8.0, 9.0,
        ),
        source=_SERIES,
    ),
    Stock(
        name="preferred metric sizes",
        sizes=(
            0.05, 0.06, 0.08, 0.1, 0.12, 0.16, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.4, 1.5,
            1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 6.5, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 14.0,
            16.0, 18.0, 20.0, 22.0, 25.0, 28.0, 30.0, 32.0, 35.0, 40.0, 45.0, 50.0, 60.0, 80.0, 100.0, 120.0, 140.0,
            160.0,
            180.0, 200.0, 250.0, 300.0,
        ),
        source=Source(document="university design notes on preferred metric sizes, 1999", verified=ONE_PAGE),
    ),
)  # fmt: skip


def stock(name: str) -> Stock:
    """The stock of that name ("aluminium sheet", "standoffs M4"), ignoring case and blanks; else OutsideTable."""
    wanted = _plain(name)
    for row in STOCKS:
        if _plain(row.name) == wanted:
            return row
    raise OutsideTable(f"no stock is called {name!r}; known are {', '.join(row.name for row in STOCKS)}")


def _plain(text: str) -> str:
    return "".join(text.split()).casefold()
