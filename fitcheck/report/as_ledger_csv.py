"""The mass ledger as a table for a spreadsheet: one row a part."""

from __future__ import annotations

import csv
from io import StringIO

from fitcheck.result import Balance, LedgerRow, MomentRow

HEAD = (
    "part", "change", "mass_kg", "mass_low_kg", "mass_high_kg", "mass_from",
    "case_x_mm", "case_y_mm", "case_z_mm", "case_x_half_mm", "case_y_half_mm", "case_z_half_mm",
    "vehicle_x_mm", "vehicle_y_mm", "vehicle_z_mm", "moment_front_axle_kg_m", "moment_half_kg_m", "moment_rss_kg_m",
    "reason",
)  # fmt: skip

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def render(balance: Balance) -> str:
    """Comma separated, decimal points, a header row; empty where nothing is known. Halves are worst case.

    The moment is the part's own, about the front axle, also where the part is removed.
    """
    text = StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(HEAD)
    moments = {} if balance.vehicle is None else {row.part: row for row in balance.vehicle.moments}
    for row in balance.ledger:
        writer.writerow(_cells(row, moments.get(row.part)))
    return text.getvalue()


def _cells(row: LedgerRow, moment: MomentRow | None) -> list[str]:
    mass = row.mass
    weights = ("", "", "") if mass is None else tuple(_number(kg) for kg in (mass.nominal, mass.low, mass.high))
    centre = ("",) * 3 if row.centre is None else tuple(_number(at) for at in row.centre)
    halves = ("",) * 3 if row.centre is None else tuple(_number(half) for half in row.centre_band)
    arm: tuple[str, ...] = ("",) * 3
    turning = ("", "", "")
    if moment is not None and moment.arm_mm is not None:
        arm = tuple(_number(at) for at in moment.arm_mm)
    if moment is not None and moment.moment_kg_m is not None:
        turning = (
            _number(moment.moment_kg_m),
            _number(moment.moment_half_kg_m),
            _number(moment.moment_rss_kg_m),
        )
    return [
        _plain(row.part), row.change, *weights, _plain(row.source), *centre, *halves, *arm, *turning, _plain(row.reason)
    ]  # fmt: skip


def _number(value: float) -> str:
    return f"{round(value, 6) + 0.0:.12g}"


def _plain(text: str) -> str:
    """A spreadsheet runs what looks like a formula; a leading apostrophe makes it text."""
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text
