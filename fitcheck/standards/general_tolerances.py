"""General tolerances of ISO 2768-1:1989 for sizes whose drawing states none.

Three tables, four grades (f fine, m medium, c coarse, v very coarse): linear sizes, outside radii and chamfer heights,
angles by the length of the shorter leg. All half-widths are symmetric. Read on two German reference pages and others
that quote the standard.

In conflict: for linear sizes up to 6 mm one reprint prints 0.15 and 0.2 mm for grade c. It uses the older grade letters
(g, sg) and bands beyond 4000 mm, so it mixes the withdrawn DIN 7168 in; the values here, 0.2 and 0.3 mm, are the larger
ones and stand on two pages.

An empty cell (grade f above 2000 mm, grade v up to 3 mm) and a size below 0.5 mm refuse: the standard asks for a stated
tolerance there.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.bands import band_for
from fitcheck.standards.verified import TWO_PAGES, in_conflict

GRADES = ("f", "m", "c", "v")

_SMALL_COARSE = in_conflict("it prints 0.15 and 0.2 mm for grade c up to 6 mm, the older DIN 7168 values")
_LINEAR = Source(document="ISO 2768-1:1989", clause="table 1", verified=TWO_PAGES)
_LINEAR_SMALL = Source(document="ISO 2768-1:1989", clause="table 1", verified=_SMALL_COARSE)
_RADII = Source(document="ISO 2768-1:1989", clause="table 2", verified=TWO_PAGES)
_ANGULAR = Source(document="ISO 2768-1:1989", clause="table 3", verified=TWO_PAGES)

# "From 0.5 mm" includes 0.5 itself: only sizes below it need a stated tolerance.
_JUST_UNDER_HALF = math.nextafter(0.5, 0.0)

_WRITTEN = re.compile(r"iso\s*2768(?:\s*-\s*1)?\s*[-–\s]\s*([fmcv])", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceRow:
    """Half-widths for sizes over `over` up to `up_to` mm, by grade f, m, c, v; None where the standard has none.

    In mm for linear sizes and radii, in minutes of arc for angles (the size is then the shorter leg).
    """

    over: float
    up_to: float
    half_widths: tuple[float | None, float | None, float | None, float | None]
    source: Source


LINEAR = (
    ToleranceRow(over=_JUST_UNDER_HALF, up_to=3, half_widths=(0.05, 0.1, 0.2, None), source=_LINEAR_SMALL),
    ToleranceRow(over=3, up_to=6, half_widths=(0.05, 0.1, 0.3, 0.5), source=_LINEAR_SMALL),
    ToleranceRow(over=6, up_to=30, half_widths=(0.1, 0.2, 0.5, 1), source=_LINEAR),
    ToleranceRow(over=30, up_to=120, half_widths=(0.15, 0.3, 0.8, 1.5), source=_LINEAR),
    ToleranceRow(over=120, up_to=400, half_widths=(0.2, 0.5, 1.2, 2.5), source=_LINEAR),
    ToleranceRow(over=400, up_to=1000, half_widths=(0.3, 0.8, 2, 4), source=_LINEAR),
    ToleranceRow(over=1000, up_to=2000, half_widths=(0.5, 1.2, 3, 6), source=_LINEAR),
    ToleranceRow(over=2000, up_to=4000, half_widths=(None, 2, 4, 8), source=_LINEAR),
)

RADII = (
    ToleranceRow(over=_JUST_UNDER_HALF, up_to=3, half_widths=(0.2, 0.2, 0.4, 0.4), source=_RADII),
    ToleranceRow(over=3, up_to=6, half_widths=(0.5, 0.5, 1, 1), source=_RADII),
    ToleranceRow(over=6, up_to=math.inf, half_widths=(1, 1, 2, 2), source=_RADII),
)

ANGULAR = (
    ToleranceRow(over=0, up_to=10, half_widths=(60, 60, 90, 180), source=_ANGULAR),
    ToleranceRow(over=10, up_to=50, half_widths=(30, 30, 60, 120), source=_ANGULAR),
    ToleranceRow(over=50, up_to=120, half_widths=(20, 20, 30, 60), source=_ANGULAR),
    ToleranceRow(over=120, up_to=400, half_widths=(10, 10, 15, 30), source=_ANGULAR),
    ToleranceRow(over=400, up_to=math.inf, half_widths=(5, 5, 10, 20), source=_ANGULAR),
)


def parse(text: str) -> str | None:
    """The grade letter of "ISO 2768-m" or "ISO 2768-1 m", in either case; None when it says something else.

    >>> parse("ISO 2768-m")
    'm'
    """
    found = _WRITTEN.fullmatch(text.strip())
    return found[1].lower() if found else None


def linear_pm(size_mm: float, grade: str) -> float:
    """Half-width in mm for a linear size; OutsideTable below 0.5 mm, above 4000 mm and for an empty cell.

    >>> linear_pm(410, "m")
    0.8
    """
    return _cell(LINEAR, size_mm, grade, "a linear size")


def radius_pm(size_mm: float, grade: str) -> float:
    """Half-width in mm for an outside radius or a chamfer height; OutsideTable below 0.5 mm."""
    return _cell(RADII, size_mm, grade, "a radius or chamfer")


def angular_pm_deg(shorter_leg_mm: float, grade: str) -> float:
    """Half-width in degrees for an angle whose shorter leg has that length; OutsideTable for a leg of 0 or less."""
    return _cell(ANGULAR, shorter_leg_mm, grade, "an angle's shorter leg") / 60


def _cell(rows: Sequence[ToleranceRow], size_mm: float, grade: str, what: str) -> float:
    if grade not in GRADES:
        raise OutsideTable(f"ISO 2768-1 has no grade {grade!r}; the grades are {', '.join(GRADES)}")
    row = band_for(rows, size_mm, what)
    half_width = row.half_widths[GRADES.index(grade)]
    if half_width is None:
        raise OutsideTable(f"{what} of {size_mm:g} mm has no tolerance in grade {grade} ({row.source})")
    return half_width
