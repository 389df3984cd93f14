"""Metric coarse threads M3 to M12, their holes, heads, nuts and washers; all lengths in mm.

Threads after ISO 261/262 with the stress area of ISO 898-1, clearance holes after ISO 273, heads after ISO 4762 and
ISO 4014/4017, nuts after ISO 4032, washers after ISO 7089. M4 to M12 were read on two or more dimension pages unless
the row says other; M3 is from memory, with pitch, drill, medium hole and hexagon seen on one page.

In conflict, both kept: hexagons to the withdrawn DIN 931/933/934 are 17 mm (M10) and 19 mm (M12) across flats where the
ISO parts have 16 and 18 mm, and DIN nuts are lower; a donor case may hold either. One hole chart prints 6.5 mm for M6
medium and 14/15 mm for M12 medium/coarse; two others have the 6.6, 13.5 and 14.5 mm given here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.verified import COMPUTED, MEMORY, ONE_PAGE, TWO_PAGES, in_conflict


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """A metric coarse thread; the stress area is in mm2, `holes` are the fine, medium and coarse holes of ISO 273."""

    name: str
    diameter: float
    pitch: float
    stress_area: float
    tap_drill: float
    holes: tuple[float, float, float]
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """A screw head at its largest: `width` is its diameter or its width across corners, `height` that of the head.

    `key` is the size across flats of the wrench or key, `socket_depth` the least depth of the key's socket (None for a
    hexagon), `thread_length` the length with thread of a screw up to 125 mm long (None: thread up to the head).
    """

    standard: str
    thread: str
    width: float
    height: float
    key: float
    socket_depth: float | None
    thread_length: float | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Nut:
    """A hexagon nut; `height_min`, what the screw's thread is sure to find, is None where no figure was at hand."""

    standard: str
    thread: str
    key: float
    height_max: float
    height_min: float | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Washer:
    """A flat washer; its thickness tolerance is symmetric."""

    standard: str
    thread: str
    inside: float
    outside: float
    thickness: float
    thickness_pm: float
    source: Source


_HOLES = in_conflict("one chart prints other clearance holes")
_READ = f"{TWO_PAGES}; tapping drill on one page"
_READ_OTHER_HOLES = f"{_READ}; holes {_HOLES}"
_M3_THREAD = f"{ONE_PAGE}: pitch, drill and medium hole; the rest {MEMORY}"

_THREADS = (
    ("M3", 3.0, 0.5, 5.03, 2.5, (3.2, 3.4, 3.6), _M3_THREAD),
    ("M4", 4.0, 0.7, 8.78, 3.3, (4.3, 4.5, 4.8), _READ),
    ("M5", 5.0, 0.8, 14.2, 4.2, (5.3, 5.5, 5.8), _READ),
    ("M6", 6.0, 1.0, 20.1, 5.0, (6.4, 6.6, 7.0), _READ_OTHER_HOLES),
    ("M8", 8.0, 1.25, 36.6, 6.8, (8.4, 9.0, 10.0), _READ),
    ("M10", 10.0, 1.5, 58.0, 8.5, (10.5, 11.0, 12.0), _READ),
    ("M12", 12.0, 1.75, 84.3, 10.2, (13.0, 13.5, 14.5), _READ_OTHER_HOLES),
)

THREADS = tuple(
    Thread(
        name=name,
        diameter=diameter,
        pitch=pitch,
        stress_area=stress_area,
        tap_drill=tap_drill,
        holes=holes,
        source=Source(document="ISO 261, ISO 898-1, ISO 273", verified=checked),
    )
    for name, diameter, pitch, stress_area, tap_drill, holes, checked in _THREADS
)

# Thread, head diameter, head height, key, least socket depth, thread length, how checked.
_SOCKET_HEADS = (
    ("M3", 5.5, 3.0, 2.5, 1.3, 18.0, MEMORY),
    ("M4", 7.0, 4.0, 3.0, 2.0, 20.0, TWO_PAGES),
    ("M5", 8.5, 5.0, 4.0, 2.5, 22.0, TWO_PAGES),
    ("M6", 10.0, 6.0, 5.0, 3.0, 24.0, TWO_PAGES),
    ("M8", 13.0, 8.0, 6.0, 4.0, 28.0, TWO_PAGES),
    ("M10", 16.0, 10.0, 8.0, 5.0, 32.0, TWO_PAGES),
    ("M12", 18.0, 12.0, 10.0, 6.0, 36.0, TWO_PAGES),
)

_ISO_HEXAGON = ("ISO 4014", "ISO 4017")
_DIN_HEXAGON = ("DIN 931", "DIN 933")
_THREAD_TO_THE_HEAD = ("ISO 4017", "DIN 933")
_HEX_M3 = f"{ONE_PAGE}: flats; the rest {MEMORY}"
_HEX_SMALL = f"{TWO_PAGES}; flats on one page"
_HEX_LARGE = f"thread length {TWO_PAGES}; flats on one page; greatest height {MEMORY}"
_HEX_DIN = "across flats in conflict with the ISO part, both read; greatest height taken as that of the ISO part"

# Standards, thread, across flats, greatest head height, thread length where it does not run to the head, how checked.
_HEXAGON_HEADS = (
    (_ISO_HEXAGON, "M3", 5.5, 2.125, 12.0, _HEX_M3),
    (_ISO_HEXAGON, "M4", 7.0, 2.925, 14.0, _HEX_SMALL),
    (_ISO_HEXAGON, "M5", 8.0, 3.65, 16.0, _HEX_SMALL),
    (_ISO_HEXAGON, "M6", 10.0, 4.15, 18.0, _HEX_SMALL),
    (_ISO_HEXAGON, "M8", 13.0, 5.45, 22.0, _HEX_LARGE),
    (_ISO_HEXAGON, "M10", 16.0, 6.58, 26.0, _HEX_LARGE),
    (_ISO_HEXAGON, "M12", 18.0, 7.68, 30.0, _HEX_LARGE),
    (_DIN_HEXAGON, "M10", 17.0, 6.58, 26.0, _HEX_DIN),
    (_DIN_HEXAGON, "M12", 19.0, 7.68, 30.0, _HEX_DIN),
)


def _across_corners(across_flats: float) -> float:
    """Sharp corners, the largest that a hexagon can be; real ones are a little rounded."""
    return across_flats * 2 / math.sqrt(3)


HEADS = tuple(
    Head(
        standard="ISO 4762",
        thread=name,
        width=width,
        height=height,
        key=key,
        socket_depth=depth,
        thread_length=length,
        source=Source(document="ISO 4762", verified=checked),
    )
    for name, width, height, key, depth, length, checked in _SOCKET_HEADS
) + tuple(
    Head(
        standard=standard,
        thread=name,
        width=_across_corners(flats),
        height=height,
        key=flats,
        socket_depth=None,
        thread_length=None if standard in _THREAD_TO_THE_HEAD else length,
        source=Source(document=standard, verified=f"{checked}; width across sharp corners {COMPUTED}"),
    )
    for standards, name, flats, height, length, checked in _HEXAGON_HEADS
    for standard in standards
)

_DIN_NUT = in_conflict("one page gives these heights as ISO 4032; least height not at hand")

# Standard, thread, across flats, greatest height, least height, how checked.
_NUTS = (
    ("ISO 4032", "M3", 5.5, 2.4, 2.15, MEMORY),
    ("ISO 4032", "M4", 7.0, 3.2, 2.9, TWO_PAGES),
    ("ISO 4032", "M5", 8.0, 4.7, 4.4, TWO_PAGES),
    ("ISO 4032", "M6", 10.0, 5.2, 4.9, TWO_PAGES),
    ("ISO 4032", "M8", 13.0, 6.8, 6.44, TWO_PAGES),
    ("ISO 4032", "M10", 16.0, 8.4, 8.04, TWO_PAGES),
    ("ISO 4032", "M12", 18.0, 10.8, 10.37, TWO_PAGES),
    ("DIN 934", "M5", 8.0, 4.0, None, _DIN_NUT),
    ("DIN 934", "M6", 10.0, 5.0, None, _DIN_NUT),
    ("DIN 934", "M8", 13.0, 6.5, None, _DIN_NUT),
    ("DIN 934", "M10", 17.0, 8.0, None, _DIN_NUT),
    ("DIN 934", "M12", 19.0, 10.0, None, _DIN_NUT),
)

NUTS = tuple(
    Nut(
        standard=standard,
        thread=name,
        key=flats,
        height_max=height_max,
        height_min=height_min,
        source=Source(document=standard, verified=checked),
    )
    for standard, name, flats, height_max, height_min, checked in _NUTS
)

_WASHER = f"{TWO_PAGES}; thickness tolerance {MEMORY}"

# Thread, inside, outside, thickness, its tolerance, how checked.
_WASHERS = (
    ("M3", 3.2, 7.0, 0.5, 0.05, MEMORY),
    ("M4", 4.3, 9.0, 0.8, 0.1, _WASHER),
    ("M5", 5.3, 10.0, 1.0, 0.1, _WASHER),
    ("M6", 6.4, 12.0, 1.6, 0.2, _WASHER),
    ("M8", 8.4, 16.0, 1.6, 0.2, _WASHER),
    ("M10", 10.5, 20.0, 2.0, 0.2, f"{TWO_PAGES}; thickness tolerance {ONE_PAGE}"),
    ("M12", 13.0, 24.0, 2.5, 0.2, _WASHER),
)

WASHERS = tuple(
    Washer(
        standard="ISO 7089",
        thread=name,
        inside=inside,
        outside=outside,
        thickness=thickness,
        thickness_pm=thickness_pm,
        source=Source(document="ISO 7089", verified=checked),
    )
    for name, inside, outside, thickness, thickness_pm, checked in _WASHERS
)


class _Standardised(Protocol):
    @property
    def standard(self) -> str: ...

    @property
    def thread(self) -> str: ...


_Row = TypeVar("_Row", bound=_Standardised)


def thread(name: str) -> Thread:
    """The coarse thread of that name ("M8"); OutsideTable for any other thread."""
    wanted = _plain(name)
    for row in THREADS:
        if row.name == wanted:
            return row
    raise OutsideTable(
        f"no thread {name!r} in the table, which holds {', '.join(row.name for row in THREADS)} (coarse)"
    )


def head(standard: str, thread_name: str) -> Head:
    """The head of that standard ("ISO 4762", "ISO 4014", "ISO 4017", "DIN 931", "DIN 933") and thread."""
    return _row(HEADS, standard, thread_name, "head")


def nut(standard: str, thread_name: str) -> Nut:
    """The nut of that standard ("ISO 4032", "DIN 934") and thread."""
    return _row(NUTS, standard, thread_name, "nut")


def washer(standard: str, thread_name: str) -> Washer:
    """The washer of that standard ("ISO 7089") and thread."""
    return _row(WASHERS, standard, thread_name, "washer")


def _row(rows: Sequence[_Row], standard: str, thread_name: str, what: str) -> _Row:
    wanted = (_plain(standard), _plain(thread_name))
    for row in rows:
        if (_plain(row.standard), _plain(row.thread)) == wanted:
            return row
    held = ", ".join(sorted({row.standard for row in rows}))
    raise OutsideTable(f"no {what} {standard} {thread_name} in the table, which holds {held} for M3 to M12")


def _plain(text: str) -> str:
    return "".join(text.split()).upper()
