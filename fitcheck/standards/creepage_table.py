"""Creepage distances of IEC 60664-1: table F.5 of the 2020 edition, F.4 of 2007.

The bought standard was not read: each row says on how many public pages that quote it the figures were read. Before any
safety claim the bought standard decides.
"""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.sources import Source
from fitcheck.standards.verified import THREE_PAGES, TWO_PAGES

DOCUMENT = "IEC 60664-1:2020"
TABLE = "table F.5"


@dataclass(frozen=True, slots=True, kw_only=True)
class CreepageRow:
    """Basic creepage distances in mm up to one voltage (V, r.m.s. or d.c.); None where the table has no value.

    `groups` maps a pollution degree and a material group I, II or III (IIIa and IIIb together) to mm, `ribbed` the
    relieved values of pollution degree 3 where a rib is used, `wiring` a pollution degree to mm on printed wiring.
    """

    voltage_v: float
    wiring: dict[int, float | None]
    groups: dict[tuple[int, str], float]
    ribbed: dict[str, float | None]
    source: Source


_GROUPS = ("I", "II", "III")

# V; printed wiring at degree 1 and 2; any group at degree 1; groups I, II, III at degree 2; at degree 3; at degree 3
# with a rib. The rib columns were read on one page only.
_FIGURES: tuple[tuple[float | None, ...], ...] = (
    (10, 0.025, 0.04, 0.08, 0.4, 0.4, 0.4, 1, 1, 1, None, None, None),
    (12.5, 0.025, 0.04, 0.09, 0.42, 0.42, 0.42, 1.05, 1.05, 1.05, None, None, None),
    (16, 0.025, 0.04, 0.1, 0.45, 0.45, 0.45, 1.1, 1.1, 1.1, None, None, None),
    (20, 0.025, 0.04, 0.11, 0.48, 0.48, 0.48, 1.2, 1.2, 1.2, None, None, None),
    (25, 0.025, 0.04, 0.125, 0.5, 0.5, 0.5, 1.25, 1.25, 1.25, None, None, None),
    (32, 0.025, 0.04, 0.14, 0.53, 0.53, 0.53, 1.3, 1.3, 1.3, None, None, None),
    (40, 0.025, 0.04, 0.16, 0.56, 0.8, 1.1, 1.4, 1.6, 1.8, None, None, None),
    (50, 0.025, 0.04, 0.18, 0.6, 0.85, 1.2, 1.5, 1.7, 1.9, None, None, None),
    (63, 0.04, 0.063, 0.2, 0.63, 0.9, 1.25, 1.6, 1.8, 2, None, None, None),
    (80, 0.063, 0.1, 0.22, 0.67, 0.95, 1.3, 1.7, 1.9, 2.1, None, None, None),
    (100, 0.1, 0.16, 0.25, 0.71, 1, 1.4, 1.8, 2, 2.2, None, None, None),
    (125, 0.16, 0.25, 0.28, 0.75, 1.05, 1.5, 1.9, 2.1, 2.4, None, None, None),
    (160, 0.25, 0.4, 0.32, 0.8, 1.1, 1.6, 2, 2.2, 2.5, None, None, None),
    (200, 0.4, 0.63, 0.42, 1, 1.4, 2, 2.5, 2.8, 3.2, None, None, None),
    (250, 0.56, 1, 0.56, 1.25, 1.8, 2.5, 3.2, 3.6, 4, None, None, None),
    (320, 0.75, 1.6, 0.75, 1.6, 2.2, 3.2, 4, 4.5, 5, None, None, None),
    (400, 1, 2, 1, 2, 2.8, 4, 5, 5.6, 6.3, None, None, None),
    (500, 1.3, 2.5, 1.3, 2.5, 3.6, 5, 6.3, 7.1, 8, None, None, 7.9),
    (630, 1.8, 3.2, 1.8, 3.2, 4.5, 6.3, 8, 9, 10, 7.9, 8.4, 9),
    (800, 2.4, 4, 2.4, 4, 5.6, 8, 10, 11, 12.5, 9, 9.6, 10.2),
    (1000, 3.2, 5, 3.2, 5, 7.1, 10, 12.5, 14, 16, 10.2, 11.2, 12.8),
    (1250, None, None, 4.2, 6.3, 9, 12.5, 16, 18, 20, 12.8, 14.4, 16),
    (1600, None, None, 5.6, 8, 11, 16, 20, 22, 25, 16, 17.6, 20),
    (2000, None, None, 7.5, 10, 14, 20, 25, 28, 32, 20, 22.4, 25.6),
    (2500, None, None, 10, 12.5, 18, 25, 32, 36, 40, None, None, None),
    (3200, None, None, 12.5, 16, 22, 32, 40, 45, 50, None, None, None),
    (4000, None, None, 16, 20, 28, 40, 50, 56, 63, None, None, None),
    (5000, None, None, 20, 25, 36, 50, 63, 71, 80, None, None, None),
    (6300, None, None, 25, 32, 45, 63, 80, 90, 100, None, None, None),
    (8000, None, None, 32, 40, 56, 80, 100, 110, 125, None, None, None),
    (10000, None, None, 40, 50, 71, 100, 125, 140, 160, None, None, None),
)  # fmt: skip

_ON_THREE_PAGES = (630.0, 800.0, 1000.0, 1250.0, 1600.0, 2000.0)


def _row(figures: tuple[float | None, ...]) -> CreepageRow:
    voltage, wiring_1, wiring_2, degree_1, *rest = figures
    values = [value or 0.0 for value in (degree_1, degree_1, degree_1, *rest[:6])]
    keys = [(degree, group) for degree in (1, 2, 3) for group in _GROUPS]
    volts = voltage or 0.0
    verified = THREE_PAGES if volts in _ON_THREE_PAGES else TWO_PAGES
    return CreepageRow(
        voltage_v=volts,
        wiring={1: wiring_1, 2: wiring_2},
        groups=dict(zip(keys, values, strict=True)),
        ribbed=dict(zip(_GROUPS, rest[6:], strict=True)),
        source=Source(document=DOCUMENT, clause=f"{TABLE}, row {volts:g} V", verified=verified),
    )


CREEPAGE_ROWS = tuple(_row(figures) for figures in _FIGURES)
