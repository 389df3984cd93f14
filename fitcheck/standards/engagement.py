"""How much thread a screw needs in a tapped hole, in thread diameters, by what it is screwed into.

Trial values, all for coarse thread: a maker's sheet (two copies read; it holds for M6 to M16 and prints a second,
bracketed value for most rows, kept here as the cautious one), a machine-elements sheet (one page, columns partly put in
order by machine) and a workshop rule (two pages).

In conflict: for steel 1.0, 1.2 and 1.5 diameters were read, for aluminium 1.5 to 3.0; nut strength and screw class
explain part of it. `engagement` gives the whole span of the rows that speak; its high end is the cautious one. Where
a class has no row, the next stronger class with rows speaks for it, and a stronger class never gets less than a weaker
one. Dynamic load asks for 20 % more (one page).
"""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.materials import find
from fitcheck.standards.property_classes import CLASSES
from fitcheck.standards.property_classes import property_class as class_of
from fitcheck.standards.verified import ONE_PAGE, TWO_PAGES


@dataclass(frozen=True, slots=True, kw_only=True)
class EngagementRow:
    """One published row: `family` is what it is looked up by, `into` the material as published.

    `x_d` and `bracketed_x_d` are thread diameters.
    """

    family: str
    into: str
    property_class: str
    x_d: float
    bracketed_x_d: float | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Engagement:
    """The span of published values, in thread diameters; `high_x_d` is the cautious one, `rows` what both rest on."""

    low_x_d: float
    high_x_d: float
    rows: tuple[EngagementRow, ...]


_MAKER = Source(document="fastener maker's sheet F.039 on thread engagement", verified=TWO_PAGES)
_MAKER_ONCE = Source(document="fastener maker's sheet F.039 on thread engagement", verified=ONE_PAGE)
_SHEET = Source(document="machine-elements formula sheet", verified=f"{ONE_PAGE}, columns partly reordered")
_INSERTS = Source(document="wire insert maker's example", verified=ONE_PAGE)
_RULE = Source(document="workshop rule", verified=TWO_PAGES)

_STEEL, _STRONG_STEEL, _HARD_STEEL = "steel", "steel of 500 MPa", "heat-treated steel"
_ALUMINIUM, _HARD_ALUMINIUM = "aluminium", "hardened aluminium"
_IRON, _ALUMINIUM_INSERT = "cast iron", "aluminium with wire insert"
_COPPER, _BRASS, _ZINC, _PLASTIC = "copper", "brass", "zinc", "plastic"

ROWS = tuple(
    EngagementRow(family=family, into=into, property_class=class_name, x_d=x_d, bracketed_x_d=bracketed, source=source)
    for family, into, class_name, x_d, bracketed, source in (
        (_STEEL, "S235, C15, at least 360 MPa", "8.8", 1.0, 1.5, _MAKER),
        (_STEEL, "S235, C15, at least 360 MPa", "10.9", 1.25, 1.8, _MAKER),
        (_STEEL, "S235, C15, at least 360 MPa", "12.9", 1.4, 2.1, _MAKER),
        (_STEEL, "steel up to 400 MPa", "4.6", 0.8, None, _SHEET),
        (_STEEL, "steel up to 400 MPa", "6.8", 1.2, None, _SHEET),
        (_STEEL, "steel", "8.8", 1.0, None, _RULE),
        (_STRONG_STEEL, "S355, E285, C35, at least 500 MPa", "8.8", 0.9, 1.3, _MAKER),
        (_STRONG_STEEL, "S355, E285, C35, at least 500 MPa", "10.9", 1.0, 1.6, _MAKER),
        (_STRONG_STEEL, "S355, E285, C35, at least 500 MPa", "12.9", 1.2, 1.8, _MAKER),
        (_STRONG_STEEL, "steel of 400 to 600 MPa", "8.8", 1.2, None, _SHEET),
        (_STRONG_STEEL, "steel of 600 to 800 MPa", "10.9", 1.2, None, _SHEET),
        (_HARD_STEEL, "C45, 34CrMo4, 42CrMo4, at least 800 MPa", "8.8", 0.8, 0.9, _MAKER),
        (_HARD_STEEL, "C45, 34CrMo4, 42CrMo4, at least 800 MPa", "10.9", 0.9, 1.1, _MAKER),
        (_HARD_STEEL, "C45, 34CrMo4, 42CrMo4, at least 800 MPa", "12.9", 1.0, 1.2, _MAKER),
        (_HARD_STEEL, "steel above 800 MPa", "8.8", 1.0, None, _SHEET),
        (_HARD_STEEL, "steel above 800 MPa", "10.9", 1.0, None, _SHEET),
        (_IRON, "GJL-250, at least 220 MPa", "8.8", 1.0, 1.3, _MAKER),
        (_IRON, "GJL-250, at least 220 MPa", "10.9", 1.25, 1.6, _MAKER),
        (_IRON, "GJL-250, at least 220 MPa", "12.9", 1.4, 1.8, _MAKER),
        (_IRON, "cast iron", "8.8", 1.5, None, _SHEET),
        (_IRON, "cast iron", "8.8", 1.5, None, _RULE),
        (_ALUMINIUM, "Al 99.5, at least 180 MPa", "8.8", 2.0, None, _MAKER_ONCE),
        (_ALUMINIUM, "Al 99.5, at least 180 MPa", "10.9", 2.5, None, _MAKER_ONCE),
        (_ALUMINIUM, "AlMg3, at least 180 MPa", "8.8", 2.0, 3.0, _MAKER_ONCE),
        (_ALUMINIUM, "aluminium alloy, not hardened", "6.8", 1.6, None, _SHEET),
        (_ALUMINIUM, "cast aluminium alloys", "6.8", 2.2, None, _SHEET),
        (_ALUMINIUM, "aluminium", "8.8", 2.0, None, _RULE),
        (_ALUMINIUM, "aluminium of 250 to 270 MPa, M8", "10.9", 2.0, None, _INSERTS),
        (_ALUMINIUM_INSERT, "aluminium of 250 to 270 MPa with wire insert, M8", "10.9", 1.5, None, _INSERTS),
        (_HARD_ALUMINIUM, "aluminium alloy, hardened", "8.8", 1.6, None, _SHEET),
        (_COPPER, "copper alloys", "6.8", 1.3, None, _SHEET),
        (_BRASS, "brass, bronze", "8.8", 1.5, None, _RULE),
        (_ZINC, "zinc; one page asks for up to 2.5", "8.8", 2.0, 2.5, _RULE),
        (_PLASTIC, "soft metals and plastics", "4.6", 2.5, None, _SHEET),
    )
)

FAMILIES = tuple(dict.fromkeys(row.family for row in ROWS))

_FAMILY_OF_MATERIAL = {
    "mild steel": _STEEL,
    # No row for stainless nut threads; the weakest steel is the cautious stand-in.
    "stainless steel 304": _STEEL,
    "aluminium": _ALUMINIUM,
    "aluminium 5052": _ALUMINIUM,
    "aluminium 6061": _ALUMINIUM,
    "copper": _COPPER,
    **dict.fromkeys(("PA66", "PA66-GF30", "PC", "ABS", "PP", "POM", "PBT-GF30"), _PLASTIC),
}

_TENSILE = {row.name: row.tensile for row in CLASSES}


def engagement(into: str, class_name: str) -> Engagement:
    """The thread that a screw of that property class needs in that material, in thread diameters.

    `into` is one of FAMILIES or a material by any of its names; solid plastics count as plastic.
    OutsideTable for a material without rows and for a class stronger than any row of it.

    >>> engagement("S235", "8.8").high_x_d
    1.5
    """
    family = _family(into)
    wanted = class_of(class_name).tensile
    rows = tuple(row for row in ROWS if row.family == family)
    if all(_strength(row) < wanted for row in rows):
        raise OutsideTable(f"no published engagement for class {class_name} in {family}: state one, such as 2.5 d")
    nearest = min(strength for strength in map(_strength, rows) if strength >= wanted)
    speaking = tuple(row for row in rows if _strength(row) <= nearest)
    return Engagement(
        low_x_d=min(row.x_d for row in speaking if _strength(row) == nearest),
        high_x_d=max(row.bracketed_x_d or row.x_d for row in speaking),
        rows=speaking,
    )


def _strength(row: EngagementRow) -> float:
    return _TENSILE[row.property_class]


def _family(into: str) -> str:
    for family in FAMILIES:
        if family.casefold() == into.strip().casefold():
            return family
    material = find(into)
    if material is None or material.name not in _FAMILY_OF_MATERIAL:
        raise OutsideTable(f"no published engagement for {into!r}; there is one for {', '.join(FAMILIES)}")
    return _FAMILY_OF_MATERIAL[material.name]
