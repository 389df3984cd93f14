"""Default uncertainties by the way a value is known, where a layout states no tolerance.

A half-width bounds the error; it is no standard deviation. Shares are added, not combined by squares. Apart from the
errors of tape and rule all figures are cautious workshop practice without a public source: a stated tolerance always
goes first. Each word speaks only for what such an instrument or paper tells; for anything else there is no default.

"drawing" has no figure of its own (the general tolerance of the layout speaks for drawing sizes) and "guess" has none.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.verified import OUR_CHOICE

_HalfWidth = Callable[[float], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """One way of knowing a value: half-width against size, by kind of value.

    Kinds and their units: "length" mm, "mass" kg, "angle" deg, "voltage" V, "resistance" ohm.
    """

    known_by: str
    says: str
    source: Source
    half_widths: Mapping[str, _HalfWidth]


def _metres_begun(length_mm: float) -> int:
    return math.ceil(length_mm / 1000)


def _plus(fixed: float, share: float) -> _HalfWidth:
    return lambda value: fixed + share * value


def _instrument(known_by: str, says: str, source: Source, **half_widths: _HalfWidth) -> Instrument:
    return Instrument(known_by=known_by, says=says, source=source, half_widths=MappingProxyType(half_widths))


_OURS = Source(document="common practice", verified=OUR_CHOICE)
_MI_008 = Source(
    document="2014/32/EU annex X (MI-008)",
    clause="chapter I, table 1",
    verified="error of the measure read in a public law text and on two other pages; reading share our choice",
)
_NONE = Source(document="no default", verified="has no figure of its own")

INSTRUMENTS = (
    _instrument(
        "tape",
        "class II tape, 0.3 mm + 0.2 mm for each metre begun, and half a 1 mm graduation at each end",
        _MI_008,
        length=lambda value: 1.3 + 0.2 * _metres_begun(value),
    ),
    _instrument(
        "steel rule",
        "class I rule, 0.1 mm + 0.1 mm for each metre begun, and half a 0.5 mm graduation at each end",
        _MI_008,
        length=lambda value: 0.6 + 0.1 * _metres_begun(value),
    ),
    _instrument(
        "caliper",
        "0.05 mm of the instrument and 0.05 mm of tilt and touch, + 0.1 mm a metre",
        _OURS,
        length=_plus(0.1, 0.1e-3),
    ),
    _instrument(
        "feeler",
        "blades in steps of 0.05 mm, one going in and the next not, + 1 % for a pack of blades",
        _OURS,
        length=_plus(0.05, 0.01),
    ),
    _instrument("weighing", "platform or wheel scale, 0.1 kg + 1 %", _OURS, mass=_plus(0.1, 0.01)),
    _instrument(
        "meter",
        "multimeter 0.1 V + 1 %; insulation tester or milliohm meter 0.01 ohm + 5 %",
        _OURS,
        voltage=_plus(0.1, 0.01),
        resistance=_plus(0.01, 0.05),
    ),
    _instrument(
        "scan",
        "hand-held scanner, 0.5 mm + 1 mm a metre; 0.5 deg",
        _OURS,
        length=_plus(0.5, 1e-3),
        angle=_plus(0.5, 0),
    ),
    _instrument(
        "data sheet",
        "outline sizes 0.5 mm + 0.2 %, mass 3 %, voltage 1 %",
        _OURS,
        length=_plus(0.5, 0.002),
        mass=_plus(0, 0.03),
        voltage=_plus(0, 0.01),
    ),
    _instrument("rating plate", "mass 3 %, voltage 1 %", _OURS, mass=_plus(0, 0.03), voltage=_plus(0, 0.01)),
    _instrument(
        "supplier file",
        "0.5 mm + 1 mm a metre and 1 deg, nowhere tighter than ISO 2768-m; mass 5 %",
        _OURS,
        length=_plus(0.5, 1e-3),
        mass=_plus(0, 0.05),
        angle=_plus(1, 0),
    ),
    _instrument("drawing", "the general tolerance of the layout", _NONE),
    _instrument("guess", "needs a stated tolerance", _NONE),
)

_BY_WORD = {instrument.known_by: instrument for instrument in INSTRUMENTS}

KNOWN_BY = tuple(_BY_WORD)


def instrument(known_by: str) -> Instrument:
    """The instrument of that word; OutsideTable when it is none of KNOWN_BY."""
    if known_by not in _BY_WORD:
        raise OutsideTable(f"no instrument is called {known_by!r}; known are {', '.join(KNOWN_BY)}")
    return _BY_WORD[known_by]


def half_width(known_by: str, kind: str, value: float) -> float | None:
    """Default half-width of a value known that way, in the unit of its kind (mm, kg, deg, V, ohm); None where the
    instrument does not speak for that kind. The sign of `value` does not matter.

    >>> round(half_width("tape", "length", 1310), 3)
    1.7
    >>> half_width("tape", "mass", 12) is None
    True
    """
    found = instrument(known_by).half_widths.get(kind)
    return None if found is None else found(abs(value))
