"""Accelerations that a battery's holding parts must bear, in multiples of g.

Two different things: the Australian conversion code's static figures, and the least plateaus of the shock pulses of UN
R100. Neither is an approval, and both are to be read in the original before a claim. R100 figures were read once, in a
machine-read copy; of the conversion code only the forward 20 g was read (in a supplier's summary). The New Zealand
standard LVV 75-00 treats the same subject; its figures were not visible.
"""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.verified import MEMORY, ONE_PAGE

STANDARD_GRAVITY = 9.80665
"""In m/s2."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Restraint:
    """Acceleration along one direction of the vehicle: "front", "rear", "side" or "vertical"."""

    direction: str
    g: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class ShockPlateau:
    """Least plateau of the R100 shock pulse (between 50 and 65 ms) for these vehicle categories."""

    categories: tuple[str, ...]
    longitudinal_g: float
    transverse_g: float
    source: Source


CONVERSION_CODE = tuple(
    Restraint(
        direction=direction,
        g=g,
        source=Source(document="VSB 14 / NCOP14 (Australia)", clause="battery restraint", verified=verified),
    )
    for direction, g, verified in (
        ("front", 20.0, ONE_PAGE),
        ("side", 15.0, MEMORY),
        ("rear", 10.0, MEMORY),
        ("vertical", 10.0, MEMORY),
    )
)

_R100 = Source(document="UN R100, 03 series, annex 9C", clause="tables 1 to 3", verified=ONE_PAGE)

SHOCK_PLATEAUS = (
    ShockPlateau(categories=("M1", "N1"), longitudinal_g=20.0, transverse_g=8.0, source=_R100),
    ShockPlateau(categories=("M2", "N2"), longitudinal_g=10.0, transverse_g=5.0, source=_R100),
    ShockPlateau(categories=("M3", "N3"), longitudinal_g=6.6, transverse_g=5.0, source=_R100),
)


def restraint(direction: str) -> Restraint:
    """The conversion code's figure for "front", "rear", "side" or "vertical"; OutsideTable for another direction."""
    for row in CONVERSION_CODE:
        if row.direction == direction:
            return row
    raise OutsideTable(
        f"no restraint for {direction!r}; known are {', '.join(row.direction for row in CONVERSION_CODE)}"
    )


def shock_plateau(category: str) -> ShockPlateau:
    """The R100 plateau for a vehicle category M1 to M3 or N1 to N3; OutsideTable for any other (L, O, T ...)."""
    wanted = category.strip().upper()
    for row in SHOCK_PLATEAUS:
        if wanted in row.categories:
            return row
    raise OutsideTable(f"UN R100 gives no shock pulse for category {category!r}; it does for M1 to M3 and N1 to N3")


def force_n(mass_kg: float, g: float) -> float:
    """Force in N that holds a mass at an acceleration given in g.

    >>> round(force_n(250, 20), 2)
    49033.25
    """
    return mass_kg * g * STANDARD_GRAVITY
