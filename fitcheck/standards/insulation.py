"""What insulation must keep apart: creepage and clearance by the tables of IEC 60664-1, isolation by UN R100.

Figures were read on public pages that quote the standard, never in the standard itself; every answer names its rows and
how they were checked, and the bought standard decides. Nothing is extrapolated: above the last row a look-up refuses.
Below the first row of a table its first row is asked for, which is more than is needed.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeVar

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.clearance_table import (
    ALTITUDE_ROWS,
    CLEARANCE_ROWS,
    IMPULSE_ROWS,
    PEAK_ROWS,
    AltitudeRow,
    ClearanceRow,
    PeakRow,
)
from fitcheck.standards.creepage_table import CREEPAGE_ROWS, DOCUMENT, CreepageRow
from fitcheck.standards.verified import MEMORY, ONE_PAGE, THREE_PAGES

INSULATIONS = ("basic", "supplementary", "reinforced")
MATERIAL_GROUPS = ("I", "II", "IIIa", "IIIb")
"""From the best to the worst."""
BOUGHT_STANDARD = "the bought standard decides"

REINFORCED_CREEPAGE = 2.0
"""Times the basic creepage (read on three public pages on IEC 60950-1)."""
REINFORCED_IMPULSE = 1.6
"""Times the basic impulse where it is none of the preferred ones, or the last of them; from memory, unverified."""
LAST_PREFERRED_KV = 12.0
DEGREE_4_FLOOR_MM = 1.6
"""Least clearance at pollution degree 4 (read on one public page, a railway operator's table)."""
GROOVE_MM = {1: 0.25, 2: 1.0, 3: 1.5, 4: 2.5}
"""X: narrower air than this counts as bridged, by pollution degree. Read on three public pages; degree 4 comes from
product standards."""

_CTI_FROM = ((600.0, "I"), (400.0, "II"), (175.0, "IIIa"), (100.0, "IIIb"))

GROUP_SOURCE = Source(document=DOCUMENT, clause="material groups by CTI", verified=THREE_PAGES)

IIIB_DIRTY_TO_V = 630.0
IIIB_DIRTY_SOURCE = Source(document="IEC 61439-1", clause="table 2", verified=ONE_PAGE)
"""Above this voltage group IIIb is not recommended at pollution degree 3."""

Row = TypeVar("Row")


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """A distance asked for, in mm. `between_rows` is the figure before any rounding; `text` names how it came about.
    `doubt` says why a way that long is still not known to be enough, and `settle` what would settle that."""

    mm: float
    between_rows: float
    text: str
    source: Source
    doubt: str = ""
    settle: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedImpulse:
    """An impulse voltage in kV and where it was read."""

    kv: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class IsolationLimit:
    """Least isolation resistance in ohm per volt of the working voltage."""

    bus: str
    ohm_per_volt: float
    source: Source


_R100 = Source(document="UN R100, 02 and 03 series", clause="5.1.3", verified=THREE_PAGES)

ISOLATION_DC = IsolationLimit(bus="dc bus", ohm_per_volt=100.0, source=_R100)
ISOLATION_COMBINED = IsolationLimit(bus="ac bus, or dc and ac joined", ohm_per_volt=500.0, source=_R100)
ISOLATION_PROTECTED = IsolationLimit(bus="dc and ac joined, the ac side protected", ohm_per_volt=100.0, source=_R100)
"""Protected by two layers of solid insulation or barriers, or in robust enclosures."""
ISOLATION_BY_BUS = MappingProxyType(
    {"dc": ISOLATION_DC, "dc and ac": ISOLATION_COMBINED, "dc and protected ac": ISOLATION_PROTECTED}
)
"""By what a layout may call the bus."""


def material_group(cti: float) -> str:
    """The group of a comparative tracking index in V; OutsideTable below 100.

    >>> material_group(250)
    'IIIa'
    """
    for least, group in _CTI_FROM:
        if cti >= least:
            return group
    raise OutsideTable(f"a CTI of {cti:g} V is in no material group, they begin at 100 V ({GROUP_SOURCE})")


def creepage(
    voltage_v: float,
    pollution_degree: int,
    group: str,
    *,
    insulation: str = "basic",
    clearance_mm: float = 0.0,
    interpolate: bool = True,
    with_rib: bool = False,
    printed_wiring: bool = False,
) -> Need:
    """The creepage distance for a long-term voltage (V, r.m.s. or d.c.), never below the clearance it belongs to.

    `group` is I, II, IIIa, IIIb or III; it does not matter at pollution degree 1. Between rows linear, rounded up to
    0.1 mm but not beyond the next row, which serves as it stands; with `interpolate` off the next row. `with_rib` takes
    the relieved values of degree 3, `printed_wiring` those of printed wiring. At degree 3 above 630 V group IIIb, which
    is not recommended there, comes with a doubt. OutsideTable above the last row, for 0 V and less, for degree 4, and
    where the table has no such value.

    >>> creepage(450, 3, "IIIa").mm
    7.2
    """
    column = _creepage_column(pollution_degree, group, with_rib=with_rib, printed_wiring=printed_wiring)
    low, high, share = _between(CREEPAGE_ROWS, lambda row: row.voltage_v, voltage_v, "V", "creepage")
    if not interpolate:
        low, share = high, 0.0
    first, last = column(low), column(high)
    exact = first + (last - first) * share
    basic = min(last, _up_to_a_tenth(exact)) if 0.0 < share < 1.0 else exact
    times = REINFORCED_CREEPAGE if _is_reinforced(insulation) else 1.0
    asked = basic * times
    text = f"IEC 60664-1 table F.5, {_rows_text(low.voltage_v, high.voltage_v, 'V', share)}, "
    text += f"pollution degree {pollution_degree}, material group {group}: {basic:g} mm"
    if times > 1.0:
        text += f", doubled for reinforced insulation: {asked:g} mm"
    if clearance_mm > asked:
        text += f"; the clearance of the same way asks for more: {clearance_mm:g} mm"
    need = Need(mm=max(asked, clearance_mm), between_rows=exact * times, text=text, source=high.source)
    if pollution_degree == 3 and group == MATERIAL_GROUPS[-1] and voltage_v > IIIB_DIRTY_TO_V:
        doubt = f"group IIIb is not recommended at pollution degree 3 above {IIIB_DIRTY_TO_V:g} V: {IIIB_DIRTY_SOURCE}"
        return replace(need, doubt=doubt, settle="insulation of a known better group: state its material_group or cti")
    return need


def clearance(
    impulse_kv: float,
    pollution_degree: int,
    *,
    insulation: str = "basic",
    altitude_m: float = 0.0,
    peak_v: float | None = None,
    homogeneous: bool = False,
) -> Need:
    """The clearance for an impulse withstand voltage in kV, not below that for a periodic peak in V.

    Case A (any field) unless `homogeneous`, which needs an impulse test. Between rows linear. Altitude multiplies what
    results. OutsideTable above the last row and for 0 and less.

    >>> round(clearance(2.5, 2, altitude_m=3000).mm, 2)
    1.71
    """
    _known_degree(pollution_degree)
    times, chosen = 1.0, impulse_kv
    if _is_reinforced(insulation):
        chosen, times = reinforced_impulse(impulse_kv), REINFORCED_IMPULSE
    column = _clearance_column(pollution_degree, homogeneous=homogeneous)
    low, high, share = _between(CLEARANCE_ROWS, lambda row: row.impulse_kv, chosen, "kV", "clearance")
    mm = column(low) + (column(high) - column(low)) * share
    case = "B" if homogeneous else "A"
    text = f"IEC 60664-1 table F.2 case {case}, {_rows_text(low.impulse_kv, high.impulse_kv, 'kV', share)}, "
    text += f"pollution degree {pollution_degree}: {mm:g} mm"
    source = high.source
    if peak_v is not None:
        peak = _peak_clearance(peak_v * times / 1000.0, homogeneous=homogeneous)
        if peak.mm > mm:
            mm, text, source = peak.mm, peak.text, peak.source
    if times > 1.0:
        text += f"; sized for {chosen:g} kV instead of {impulse_kv:g} kV as reinforced insulation ({REINFORCED_SOURCE})"
    factor = altitude_factor(altitude_m)
    if factor > 1.0:
        text += f"; x {factor:g} at {altitude_m:g} m (table A.2)"
    return Need(mm=mm * factor, between_rows=mm * factor, text=text, source=source)


def peak_clearance(peak_v: float, *, insulation: str = "basic", altitude_m: float = 0.0) -> float:
    """The clearance in mm for a lasting or recurring peak in V alone (table F.8, any field): none may be less, whatever
    the impulse. OutsideTable as for `clearance`.

    >>> peak_clearance(400)
    0.02
    """
    times = REINFORCED_IMPULSE if _is_reinforced(insulation) else 1.0
    return _peak_clearance(peak_v * times / 1000.0, homogeneous=False).mm * altitude_factor(altitude_m)


def rated_impulse(line_to_neutral_v: float, category: str) -> RatedImpulse:
    """The impulse that a supply of that voltage and overvoltage category (I to IV) may bring; steps, no interpolation.

    >>> rated_impulse(300, "II").kv
    2.5
    """
    if category not in ("I", "II", "III", "IV"):
        raise OutsideTable(f"there is no overvoltage category {category!r}; there are I to IV")
    if line_to_neutral_v > 0.0:
        for row in IMPULSE_ROWS:
            if line_to_neutral_v <= row.up_to_v:
                return RatedImpulse(kv=row.by_category[category] / 1000.0, source=row.source)
    last = IMPULSE_ROWS[-1].up_to_v
    raise OutsideTable(f"a supply of {line_to_neutral_v:g} V is outside table F.1 of {DOCUMENT}, above 0 to {last:g} V")


def reinforced_impulse(basic_kv: float) -> float:
    """The impulse in kV that reinforced insulation is sized for: the next preferred one, or 1.6 times the basic one."""
    preferred = [row.impulse_kv for row in CLEARANCE_ROWS if row.is_preferred]
    if basic_kv in preferred and basic_kv < LAST_PREFERRED_KV:
        return preferred[preferred.index(basic_kv) + 1]
    return basic_kv * REINFORCED_IMPULSE


def altitude_factor(altitude_m: float) -> float:
    """What a clearance is multiplied with; 1 to 2000 m, linear between rows, OutsideTable above 20 000 m.

    >>> round(altitude_factor(2500), 3)
    1.07
    """
    if altitude_m <= ALTITUDE_ROWS[0].altitude_m:
        return 1.0
    low, high, share = _between(ALTITUDE_ROWS, _altitude, altitude_m, "m", "altitude factor")
    return low.factor + (high.factor - low.factor) * share


REINFORCED_SOURCE = Source(
    document=DOCUMENT,
    clause="reinforced clearance",
    verified=f"next preferred impulse {ONE_PAGE}; 1.6 times other impulses {MEMORY}",
)


def _altitude(row: AltitudeRow) -> float:
    return row.altitude_m


def _peak_clearance(peak_kv: float, *, homogeneous: bool) -> Need:
    """By table F.8."""

    def column(row: PeakRow) -> float:
        return row.homogeneous if homogeneous else row.inhomogeneous

    low, high, share = _between(PEAK_ROWS, lambda row: row.peak_kv, peak_kv, "kV", "clearance by peak voltage")
    mm = column(low) + (column(high) - column(low)) * share
    text = f"IEC 60664-1 table F.8, {_rows_text(low.peak_kv, high.peak_kv, 'kV', share)}: {mm:g} mm"
    return Need(mm=mm, between_rows=mm, text=text, source=high.source)


def _clearance_column(degree: int, *, homogeneous: bool) -> Callable[[ClearanceRow], float]:
    def column(row: ClearanceRow) -> float:
        figures = row.homogeneous if homogeneous else row.inhomogeneous
        return max(figures[2], DEGREE_4_FLOOR_MM) if degree == 4 else figures[degree - 1]

    return column


def _creepage_column(
    degree: int, group: str, *, with_rib: bool, printed_wiring: bool
) -> Callable[[CreepageRow], float]:
    _known_degree(degree)
    if degree == 4:
        raise OutsideTable(
            f"{DOCUMENT} gives no creepage distance at pollution degree 4: conductive dirt that stays must be kept out"
        )
    if group not in (*MATERIAL_GROUPS, "III"):
        raise OutsideTable(f"there is no material group {group!r}; there are {', '.join(MATERIAL_GROUPS)}")
    letters = group.rstrip("ab")

    def column(row: CreepageRow) -> float:
        value: float | None = row.groups[degree, letters]
        if printed_wiring:
            value = None if (degree, group) == (2, "IIIb") else row.wiring.get(degree)
        elif with_rib:
            value = row.ribbed[letters] if degree == 3 else None
        if value is None:
            raise OutsideTable(f"{row.source.clause} has no such value at degree {degree}, group {group}")
        return value

    return column


def _between(
    rows: Sequence[Row], key: Callable[[Row], float], value: float, unit: str, what: str
) -> tuple[Row, Row, float]:
    """The rows below and above, and how far between them; the first row for anything smaller."""
    keys = [key(row) for row in rows]
    if not 0.0 < value <= keys[-1]:
        raise OutsideTable(
            f"{what}: {value:g} {unit} is outside the table of {DOCUMENT}, above 0 to {keys[-1]:g} {unit}"
        )
    above = bisect_left(keys, value)
    if above == 0 or keys[above] == value:
        return rows[above], rows[above], 0.0
    return rows[above - 1], rows[above], (value - keys[above - 1]) / (keys[above] - keys[above - 1])


def _rows_text(low: float, high: float, unit: str, share: float) -> str:
    return f"rows {low:g} and {high:g} {unit}" if 0.0 < share < 1.0 else f"row {high:g} {unit}"


def _up_to_a_tenth(mm: float) -> float:
    return math.ceil(mm * 10.0 - 1e-9) / 10.0


def _is_reinforced(insulation: str) -> bool:
    if insulation not in INSULATIONS:
        raise OutsideTable(f"insulation is {', '.join(INSULATIONS)}, not {insulation!r}")
    return insulation == "reinforced"


def _known_degree(degree: int) -> None:
    if degree not in GROOVE_MM:
        raise OutsideTable(f"there is no pollution degree {degree}; there are 1 to 4")
