"""What a laser cuts cleanly in sheet, as multiples of the sheet's thickness.

Cutting shops print such rules for metal sheet. Where they differ, the others are named with the figure that stands
here. They are rules of thumb: the shop that cuts decides.
"""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.verified import MEMORY, ONE_PAGE, TWO_PAGES


@dataclass(frozen=True, slots=True, kw_only=True)
class CutRule:
    """At least `times` the thickness, and never less than `least_mm`."""

    name: str
    text: str
    times: float
    least_mm: float
    source: Source

    def least(self, thickness_mm: float) -> float:
        return max(self.times * thickness_mm, self.least_mm)


def _pages(clause: str, verified: str) -> Source:
    return Source(document="design pages of laser cutting shops", clause=clause, verified=verified)


HOLE = CutRule(
    name="hole width",
    text="a hole or slot is at least as wide as the sheet is thick; drill what is narrower",
    times=1.0,
    least_mm=1.0,
    source=_pages("least hole", f"{TWO_PAGES}, the 1 mm on one of them; other pages say 0.5, 0.7 and 1.5 times"),
)
EDGE = CutRule(
    name="hole to edge",
    text="from the rim of a hole to the edge of the part at least one and a half times the thickness",
    times=1.5,
    least_mm=0.0,
    source=_pages("hole to edge", f"{ONE_PAGE}; another says once the thickness, a rule for punched sheet says twice"),
)
WEB = CutRule(
    name="web",
    text="a web between two cuts is at least as wide as the sheet is thick",
    times=1.0,
    least_mm=0.0,
    source=_pages("least web", f"{ONE_PAGE}; another allows 0.7 times the thickness"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanEdge:
    """The thickest sheet in mm of a metal family that one laser shop cuts without scoring."""

    family: str
    up_to_mm: float
    source: Source


CLEAN = Source(document="resource page of a laser cutting shop", clause="cut quality", verified=ONE_PAGE)

CLEAN_EDGES = (
    CleanEdge(family="stainless", up_to_mm=6.0, source=CLEAN),
    CleanEdge(family="aluminium", up_to_mm=4.0, source=CLEAN),
    CleanEdge(family="steel", up_to_mm=10.0, source=CLEAN),
)

SMALLEST_PART_MM = 25.0
SMALLEST_PART = Source(
    document="resource page of a laser cutting shop",
    clause="least component size",
    verified=f"{ONE_PAGE}; the same page allows 15 mm up to 8 mm thickness, another page 20 mm",
)
"""Smaller pieces tip into the grid of the machine."""

ACCURACY = ((0.5, 0.1), (25.0, 1.1))
ACCURACY_SOURCE = Source(
    document="resource page of a laser cutting shop", clause="general cutting tolerances", verified=ONE_PAGE
)

INNER_CORNER = Source(document="file page of a laser and milling shop", clause="inner radius", verified=ONE_PAGE)
"""A milling cutter leaves its own radius in a corner; that page takes cutters of 3 to 6 mm across."""

CHARRED = Source(document="common practice for insulating parts", verified=MEMORY)
"""A burnt edge of plastic is carbon and leads current along the surface."""


def clean_edge(material: str) -> CleanEdge:
    """The row for a metal by its name ("aluminium 5052", "mild steel"); OutsideTable for any other."""
    for row in CLEAN_EDGES:
        if row.family in material.casefold():
            return row
    raise OutsideTable(f"no row says how thick {material!r} is cut cleanly")


def accuracy_mm(thickness_mm: float) -> float:
    """How far a cut may be off, in mm: the figure of the next thicker end of the range, so never too small.

    OutsideTable above 25 mm.
    """
    for up_to, off in ACCURACY:
        if thickness_mm <= up_to:
            return off
    raise OutsideTable(f"{thickness_mm:g} mm is thicker than the {ACCURACY[-1][0]:g} mm that the table ends with")
