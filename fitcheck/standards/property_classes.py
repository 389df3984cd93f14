"""Strength of screws by property class, for threads up to M16.

ISO 898-1 for steel: 8.8 and 10.9 loads were read on two pages, all stresses on one page of which a second shows a part
and agrees (it prints 8.8 for threads above M16). A2-70 of ISO 3506-1 is from memory. Tabulated proof loads are rounded,
so a load computed as stress times area may differ by half a per cent.
"""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.fasteners import Thread
from fitcheck.standards.verified import MEMORY, ONE_PAGE


@dataclass(frozen=True, slots=True, kw_only=True)
class PropertyClass:
    """Least stresses in MPa (N/mm2): proof, yield (or 0.2 % proof) and tensile."""

    name: str
    proof: float
    yields: float
    tensile: float
    source: Source


_STEEL = Source(document="ISO 898-1", clause="table of mechanical properties", verified=ONE_PAGE)
_STAINLESS = Source(document="ISO 3506-1", verified=f"{MEMORY}; proof taken as the 0.2 % proof stress")

# Weakest first.
CLASSES = tuple(
    PropertyClass(name=name, proof=proof, yields=yields, tensile=tensile, source=source)
    for name, proof, yields, tensile, source in (
        ("4.6", 225.0, 240.0, 400.0, _STEEL),
        ("4.8", 310.0, 340.0, 420.0, _STEEL),
        ("5.6", 280.0, 300.0, 500.0, _STEEL),
        ("5.8", 380.0, 420.0, 520.0, _STEEL),
        ("6.8", 440.0, 480.0, 600.0, _STEEL),
        ("A2-70", 450.0, 450.0, 700.0, _STAINLESS),
        ("8.8", 580.0, 640.0, 800.0, _STEEL),
        ("9.8", 650.0, 720.0, 900.0, _STEEL),
        ("10.9", 830.0, 940.0, 1040.0, _STEEL),
        ("12.9", 970.0, 1100.0, 1220.0, _STEEL),
    )
)


def property_class(name: str) -> PropertyClass:
    """The class of that name ("8.8", "A2-70"); OutsideTable for any other."""
    wanted = name.strip().upper()
    for row in CLASSES:
        if row.name == wanted:
            return row
    raise OutsideTable(f"no property class {name!r} in the table, which holds {', '.join(row.name for row in CLASSES)}")


def proof_load_n(thread: Thread, class_name: str) -> float:
    """Proof stress times stress area, in N."""
    return property_class(class_name).proof * thread.stress_area
