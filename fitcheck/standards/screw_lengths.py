"""Which screw lengths are sold, and how far the length of one screw may be off; all in mm.

The first-choice lengths of ISO 888 were read on two public pages up to 80 mm, on one above. The range that each head
standard makes of them is from memory. In conflict: a manual also lists 75, 170 and 190 mm as stocked, and a page of
ISO 1207 advises against 55, 65 and 75 mm; the first-choice list stands, and `AVOIDED` names the others.

Length tolerance of product grade A (ISO 4759-1): js15 up to 150 mm, js17 above, read on one page; the js values were
read on two. One sheet prints IT15 of 120 to 180 mm as 1.80 mm; half of the right 1.60 mm is the 0.80 given here.
"""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.bands import band_for
from fitcheck.standards.verified import MEMORY, ONE_PAGE, TWO_PAGES, in_conflict

PREFERRED = (
    5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 80.0, 90.0,
    100.0, 110.0, 120.0, 130.0, 140.0, 150.0, 160.0, 180.0, 200.0,
)  # fmt: skip

PREFERRED_SOURCE = Source(document="ISO 888", verified=f"up to 80 mm {TWO_PAGES}, above {ONE_PAGE}")

AVOIDED = (14.0, 55.0, 65.0, 75.0)
AVOIDED_SOURCE = Source(document="ISO 1207", verified=ONE_PAGE)

JS17_ABOVE_MM = 150.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthRange:
    """The shortest and the longest screw of one head standard and thread."""

    standard: str
    thread: str
    shortest: float
    longest: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthTolerance:
    """Half-widths for lengths over `over` up to `up_to`."""

    over: float
    up_to: float
    js15: float
    js17: float
    source: Source


RANGES = tuple(
    LengthRange(
        standard=standard,
        thread=thread,
        shortest=shortest,
        longest=longest,
        source=Source(document=standard, verified=ONE_PAGE if standard == "ISO 1207" else MEMORY),
    )
    for standard, thread, shortest, longest in (
        ("ISO 4762", "M3", 5.0, 30.0),
        ("ISO 4762", "M4", 6.0, 40.0),
        ("ISO 4762", "M5", 8.0, 50.0),
        ("ISO 4762", "M6", 10.0, 60.0),
        ("ISO 4762", "M8", 12.0, 80.0),
        ("ISO 4762", "M10", 16.0, 100.0),
        ("ISO 4762", "M12", 20.0, 120.0),
        ("ISO 4017", "M3", 6.0, 30.0),
        ("ISO 4017", "M4", 8.0, 40.0),
        ("ISO 4017", "M5", 10.0, 50.0),
        ("ISO 4017", "M6", 12.0, 60.0),
        ("ISO 4017", "M8", 16.0, 80.0),
        ("ISO 4017", "M10", 20.0, 100.0),
        ("ISO 4017", "M12", 25.0, 120.0),
        ("ISO 4014", "M3", 20.0, 30.0),
        ("ISO 4014", "M4", 25.0, 40.0),
        ("ISO 4014", "M5", 25.0, 50.0),
        ("ISO 4014", "M6", 30.0, 60.0),
        ("ISO 4014", "M8", 40.0, 80.0),
        ("ISO 4014", "M10", 45.0, 100.0),
        ("ISO 4014", "M12", 50.0, 120.0),
        ("ISO 1207", "M4", 5.0, 40.0),
        ("ISO 1207", "M5", 6.0, 50.0),
        ("ISO 1207", "M6", 8.0, 60.0),
        ("ISO 1207", "M8", 10.0, 80.0),
        ("ISO 1207", "M10", 12.0, 80.0),
    )
)

_JS = Source(document="ISO 286-1, as used by ISO 4759-1", clause="js15, js17", verified=TWO_PAGES)
_JS_CONFLICT = Source(
    document="ISO 286-1, as used by ISO 4759-1",
    clause="js15, js17",
    verified=in_conflict("it prints 1.80 mm for IT15, twice this js15 value should be 1.60"),
)

TOLERANCES = tuple(
    LengthTolerance(over=over, up_to=up_to, js15=js15, js17=js17, source=source)
    for over, up_to, js15, js17, source in (
        (3.0, 6.0, 0.24, 0.6, _JS),
        (6.0, 10.0, 0.29, 0.75, _JS),
        (10.0, 18.0, 0.35, 0.9, _JS),
        (18.0, 30.0, 0.42, 1.05, _JS),
        (30.0, 50.0, 0.5, 1.25, _JS),
        (50.0, 80.0, 0.6, 1.5, _JS),
        (80.0, 120.0, 0.7, 1.75, _JS),
        (120.0, 180.0, 0.8, 2.0, _JS_CONFLICT),
        (180.0, 250.0, 0.925, 2.3, _JS),
    )
)


def length_range(standard: str, thread: str) -> LengthRange:
    """The range of that head standard and thread; OutsideTable when the table holds none."""
    wanted = (_plain(standard), _plain(thread))
    for row in RANGES:
        if (_plain(row.standard), row.thread) == wanted:
            return row
    held = ", ".join(sorted({row.standard for row in RANGES}))
    raise OutsideTable(f"no lengths of {standard} {thread} in the table, which holds {held}")


def lengths(standard: str, thread: str) -> tuple[float, ...]:
    """The first-choice lengths that the standard makes in that thread, ascending; OutsideTable as `length_range`.

    >>> lengths("ISO 4762", "M4")
    (6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0)
    """
    made = length_range(standard, thread)
    return tuple(length for length in PREFERRED if made.shortest <= length <= made.longest)


def length_pm(length: float) -> float:
    """Half-width of a screw's own length, product grade A; OutsideTable up to 3 mm and above 250 mm."""
    row = band_for(TOLERANCES, length, "a screw length")
    return row.js17 if length > JS17_ABOVE_MM else row.js15


def _plain(text: str) -> str:
    return "".join(text.split()).upper()
