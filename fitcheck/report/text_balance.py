"""Mass, centre of gravity and inertia in words: both builds side by side, and the parts they are made of."""

from __future__ import annotations

import math
from collections.abc import Callable

from fitcheck.report.look import Look
from fitcheck.report.wording import listed, places, plain, raised
from fitcheck.result import Balance, LedgerRow, MassSummary

_AXES = "xyz"
_TENSOR = ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))


def section(balance: Balance, look: Look, *, ledger: bool) -> list[str]:
    """Both builds and the change between them; with `ledger` also every part's share."""
    lines = look.heading("Mass and centre of gravity, both builds side by side")
    rows = [_row("mass [kg]", balance, _mass)]
    rows += [_row(f"centre {_AXES[axis]} [mm]", balance, _centre(axis)) for axis in range(3)]
    if any(build.inertia_kg_m2 for build in (balance.original, balance.proposed)):
        rows += [_row(f"inertia {_AXES[i]}{_AXES[j]} [kg m²]", balance, _inertia(i, j)) for i, j in _TENSOR]
    lines += look.table(("", "original build", "proposed build", "change"), rows, left=1)
    lines += look.paragraph(
        "Behind each ± stands the worst case, in brackets the root-sum-square. Centres in case axes from the case "
        "datum; inertia about each build's own centre of gravity, off-diagonal terms with the minus sign; its worst "
        "case, and that of every change, is loose: never exceeded, not always reached. A part whose inertia is not "
        "stated is taken as filled evenly.",
        indent="  ",
    )
    for name, build in (("original", balance.original), ("proposed", balance.proposed)):
        if build.missing:
            lack = "lacks" if len(build.missing) == 1 else "lack"
            lines += look.paragraph(
                f"The {name} build cannot be summed up: {listed(build.missing)} {lack} a mass or a centre. "
                f"The parts that are known come to {plain(build.known_kg, 2)} kg.",
                indent="  ",
            )
    return lines + (_ledger(balance, look) if ledger else [])


_Cell = Callable[[MassSummary], str]


def _row(label: str, balance: Balance, cell: _Cell) -> tuple[str, ...]:
    cells = [cell(build) for build in (balance.original, balance.proposed)]
    change = cell(balance.change) if balance.change else "unknown"
    # Zero carries no sign, a fall already has its own.
    rises = change[0].isdigit() and float(change.split(" ")[0]) != 0.0
    return (label, *cells, f"+{change}" if rises else change)


def _with_band(value: float, worst: float, rss: float, decimals: int) -> str:
    if max(worst, rss) < 10.0 ** -(decimals + 3):
        return plain(value, decimals)
    return f"{plain(value, decimals)} ± {raised(worst, decimals)} ({raised(rss, decimals)})"


def _mass(build: MassSummary) -> str:
    if build.mass_kg is None:
        return "unknown"
    return _with_band(build.mass_kg, build.mass_worst, build.mass_rss, 2)


def _centre(axis: int) -> _Cell:
    def cell(build: MassSummary) -> str:
        if build.cg_mm is None:
            return "unknown"
        return _with_band(build.cg_mm[axis], build.cg_worst[axis], build.cg_rss[axis], 1)

    return cell


def _inertia(row: int, column: int) -> _Cell:
    def cell(build: MassSummary) -> str:
        if build.inertia_kg_m2 is None:
            return "unknown"
        worst, rss = (each[row][column] if each else 0.0 for each in (build.inertia_worst, build.inertia_rss))
        return _with_band(build.inertia_kg_m2[row][column], worst, rss, 3)

    return cell


def _ledger(balance: Balance, look: Look) -> list[str]:
    lines = look.heading("What each part adds")
    rows = [(row.part, row.source, row.change, _ledger_mass(row), *_ledger_centre(row)) for row in balance.ledger]
    lines += look.table(("part", "mass from", "change", "mass [kg]", "x [mm]", "y [mm]", "z [mm]"), rows, left=2)
    for row in balance.ledger:
        if row.reason:
            lines += look.paragraph(f"{row.part}: {row.reason}", indent="  ", hang="      ")
    return lines


def _ledger_mass(row: LedgerRow) -> str:
    if row.mass is None:
        return "unknown"
    decimals = max(places("kg", (), row.mass.high - row.mass.low), _told_places(row.mass.nominal))
    value = plain(row.mass.nominal, decimals)
    if row.mass.is_exact:
        return value
    return f"{value} ± {raised(max(row.mass.below, row.mass.above), decimals)}"


def _told_places(mass: float) -> int:
    """Decimals that leave two figures of a light part, down to a tenth of a gram."""
    return 0 if mass == 0.0 else min(4, 1 - math.floor(math.log10(abs(mass))))


def _ledger_centre(row: LedgerRow) -> tuple[str, str, str]:
    if row.centre is None:
        return ("unknown",) * 3
    x, y, z = (
        plain(value, 1) + (f" ± {raised(half, 1)}" if half >= 1e-4 else "")
        for value, half in zip(row.centre, row.centre_band, strict=True)
    )
    return (x, y, z)
