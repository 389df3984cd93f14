"""What IEC 60664-1 asks for between two potentials of a layout: the clearance, and the creepage distance."""

from __future__ import annotations

from dataclasses import replace

from fitcheck.errors import OutsideTable
from fitcheck.model.sections import Electrical
from fitcheck.standards.insulation import Need, clearance, creepage, peak_clearance, rated_impulse

NO_IMPULSE = "no impulse voltage is stated, and no overvoltage category with a supply"
STATE_IMPULSE = "state under electrical impulse: 2.5 kV, or overvoltage_category and supply"
NO_FLOOR = "creepage may not be below the clearance, which is not known: no impulse is stated"


def is_impulse_stated(electrical: Electrical) -> bool:
    by_category = electrical.overvoltage_category is not None and electrical.supply_v is not None
    return electrical.impulse_kv is not None or by_category


def clearance_asked(electrical: Electrical, volts: float) -> Need:
    """The clearance for a voltage; OutsideTable where the impulse is not stated or outside the tables."""
    return clearance(
        _impulse_kv(electrical),
        electrical.pollution_degree,
        insulation=electrical.insulation,
        altitude_m=electrical.altitude_m.high,
        peak_v=_peak(electrical, volts),
    )


def creepage_asked(electrical: Electrical, volts: float, group: str) -> Need:
    """The creepage distance for a voltage and a material group; OutsideTable outside the tables.

    Without an impulse it comes with a doubt, for it may not be below a clearance that is not known; no less than the
    clearance by the peak alone is asked for then.
    """
    stated = is_impulse_stated(electrical)
    need = creepage(
        volts,
        electrical.pollution_degree,
        group,
        insulation=electrical.insulation,
        clearance_mm=clearance_asked(electrical, volts).mm if stated else _by_peak(electrical, volts),
    )
    if stated:
        return need
    return replace(need, doubt="; ".join(filter(None, (NO_FLOOR, need.doubt))), settle=STATE_IMPULSE)


def _impulse_kv(electrical: Electrical) -> float:
    """The largest impulse as stated, or by overvoltage category and supply."""
    if electrical.impulse_kv is not None:
        return electrical.impulse_kv.high
    if electrical.overvoltage_category is None or electrical.supply_v is None:
        raise OutsideTable(NO_IMPULSE)
    return rated_impulse(electrical.supply_v.high, electrical.overvoltage_category).kv


def _peak(electrical: Electrical, volts: float) -> float:
    """The peak in V that comes back again and again: of no pair is it known to be less than the highest stated."""
    recurring = electrical.recurring_peak
    return volts if recurring is None else max(volts, recurring.high)


def _by_peak(electrical: Electrical, volts: float) -> float:
    peak = _peak(electrical, volts)
    return peak_clearance(peak, insulation=electrical.insulation, altitude_m=electrical.altitude_m.high)
