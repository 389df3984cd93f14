"""The mass ledger as a table for a spreadsheet: one row a part."""

from __future__ import annotations

from fitcheck.report import as_csv
from fitcheck.report.table import Cell, Table
from fitcheck.result import Balance, LedgerRow, MomentRow

HEAD = (
    "part", "change", "mass_kg", "mass_low_kg", "mass_high_kg", "mass_from",
    "case_x_mm", "case_y_mm", "case_z_mm", "case_x_half_mm", "case_y_half_mm", "case_z_half_mm",
    "vehicle_x_mm", "vehicle_y_mm", "vehicle_z_mm", "moment_front_axle_kg_m", "moment_half_kg_m", "moment_rss_kg_m",
    "reason",
)  # fmt: skip

_Three = tuple[Cell, Cell, Cell]
_UNKNOWN: _Three = (None, None, None)


def render(balance: Balance) -> str:
    """Comma separated, decimal points, a header row; empty where nothing is known. Halves are worst case."""
    return as_csv.text(table(balance))


def table(balance: Balance | None) -> Table:
    """The ledger as rows; none without a balance.

    The moment is the part's own, about the front axle, also where the part is removed.
    """
    moments = {row.part: row for row in (balance.vehicle.moments if balance and balance.vehicle else ())}
    ledger = balance.ledger if balance else ()
    rows = tuple(_cells(row, moments.get(row.part)) for row in ledger)
    return Table(name="ledger", sheet="Ledger", head=HEAD, rows=rows, none="nothing was weighed")


def _cells(row: LedgerRow, moment: MomentRow | None) -> tuple[Cell, ...]:
    mass, centre, halves, arm, turning = (_UNKNOWN,) * 5
    if row.mass is not None:
        mass = (row.mass.nominal, row.mass.low, row.mass.high)
    if row.centre is not None:
        centre, halves = row.centre, row.centre_band
    if moment is not None and moment.arm_mm is not None:
        arm = moment.arm_mm
    if moment is not None and moment.moment_kg_m is not None:
        turning = (moment.moment_kg_m, moment.moment_half_kg_m, moment.moment_rss_kg_m)
    return (row.part, row.change, *mass, row.source, *centre, *halves, *arm, *turning, row.reason)
