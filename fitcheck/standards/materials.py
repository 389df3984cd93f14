"""Materials of battery cases, spacers and covers: density, stiffness, thermal expansion, tracking.

Each figure is a typical value with the range that the sources and usual grades span. Metals, PA66, PC, ABS and POM were
read in a materials textbook's appendix, a plastics table and data pages; foams, the density of PA66-GF30 and most
tracking indices (CTI) are from memory. A data sheet of the grade in hand always goes first.

In conflict: one textbook prints an expansion of 144e-6 a kelvin for PA66 and 122e-6 for PC where two tables give about
81 and 67 (a slip of units is likely, so the smaller stand here); PP spans 80 to 180e-6; FR4 is CTI class 175 on one
sheet and 350 on another; PC runs from 150 V to the 250 V class.

The material group follows from the lowest CTI of the range, the cautious side: grades of PA66, POM, silicone and EPDM
that reach 600 V are group I only when a data sheet says so. A material without a CTI counts as IIIb.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from fitcheck.sources import Source
from fitcheck.standards.verified import MEMORY, ONE_PAGE, TWO_PAGES, in_conflict


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A typical value with its range, `low` <= `typical` <= `high`."""

    typical: float
    low: float
    high: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One material: `density` in kg/m3, `stiffness` (modulus of elasticity) in GPa, `expansion` in 1e-6 per kelvin.

    `cti`, the comparative tracking index in V, and `material_group` (I, II, IIIa, IIIb) are None for metals; an
    insulator without a known index has a group but no `cti`.
    """

    name: str
    is_metal: bool
    density: Figure
    stiffness: Figure
    expansion: Figure
    cti: Figure | None = None
    material_group: str | None = None
    note: str = ""

    @property
    def is_insulator(self) -> bool:
        return not self.is_metal


def _figure(typical: float, low: float, high: float, verified: str) -> Figure:
    source = Source(document="public materials tables", verified=verified)
    return Figure(typical=typical, low=low, high=high, source=source)


_PA66_EXPANSION = in_conflict("a textbook prints 144e-6/K")
_PC_EXPANSION = in_conflict("a textbook prints 122e-6/K")

MATERIALS = (
    Material(
        name="mild steel",
        is_metal=True,
        density=_figure(7850, 7840, 7870, TWO_PAGES),
        stiffness=_figure(207, 200, 210, ONE_PAGE),
        expansion=_figure(11.7, 11.0, 12.5, ONE_PAGE),
        note="grades A36 and 1020; design codes often use 210 GPa and 12e-6/K",
    ),
    Material(
        name="stainless steel 304",
        is_metal=True,
        density=_figure(8000, 7900, 8030, ONE_PAGE),
        stiffness=_figure(193, 190, 200, ONE_PAGE),
        expansion=_figure(17.2, 16.0, 17.3, ONE_PAGE),
    ),
    Material(
        name="aluminium",
        is_metal=True,
        density=_figure(2700, 2670, 2710, "range of 5052 and 6061 together"),
        stiffness=_figure(69, 68, 71, "range of 5052 and 6061 together"),
        expansion=_figure(23.6, 21.0, 24.0, ONE_PAGE),
        note="alloy not stated",
    ),
    Material(
        name="aluminium 5052",
        is_metal=True,
        density=_figure(2680, 2670, 2690, MEMORY),
        stiffness=_figure(70.3, 69, 71, MEMORY),
        expansion=_figure(23.8, 23.1, 24.0, MEMORY),
    ),
    Material(
        name="aluminium 6061",
        is_metal=True,
        density=_figure(2700, 2690, 2710, TWO_PAGES),
        stiffness=_figure(69, 68, 70, MEMORY),
        expansion=_figure(23.6, 23.0, 24.0, ONE_PAGE),
    ),
    Material(
        name="copper",
        is_metal=True,
        density=_figure(8890, 8890, 8940, TWO_PAGES),
        stiffness=_figure(115, 115, 130, MEMORY),
        expansion=_figure(17.0, 16.5, 17.7, TWO_PAGES),
        note="electrolytic copper, C11000",
    ),
    Material(
        name="PA66",
        is_metal=False,
        density=_figure(1140, 1130, 1150, TWO_PAGES),
        stiffness=_figure(2.7, 2.6, 3.3, ONE_PAGE),
        expansion=_figure(81, 70, 100, _PA66_EXPANSION),
        cti=_figure(600, 400, 600, MEMORY),
        material_group="II",
        note="dry; conditioned it has about half the stiffness",
    ),
    Material(
        name="PA66-GF30",
        is_metal=False,
        density=_figure(1370, 1350, 1400, MEMORY),
        stiffness=_figure(9.5, 6.0, 10.5, MEMORY),
        expansion=_figure(30, 20, 70, ONE_PAGE),
        cti=_figure(550, 250, 600, MEMORY),
        material_group="IIIa",
        note="expansion along the flow, 60 to 100e-6/K across; flame-retarded grades can drop to a CTI of 250 V",
    ),
    Material(
        name="PC",
        is_metal=False,
        density=_figure(1200, 1190, 1210, TWO_PAGES),
        stiffness=_figure(2.38, 2.2, 2.4, TWO_PAGES),
        expansion=_figure(67, 65, 70, _PC_EXPANSION),
        cti=_figure(225, 150, 275, in_conflict("150 V, a 175 to 249 V class and the 250 V class were all read")),
        material_group="IIIb",
    ),
    Material(
        name="ABS",
        is_metal=False,
        density=_figure(1050, 1030, 1070, TWO_PAGES),
        stiffness=_figure(1.9, 1.4, 2.5, ONE_PAGE),
        expansion=_figure(90, 72, 108, TWO_PAGES),
        cti=_figure(600, 400, 600, MEMORY),
        material_group="II",
    ),
    Material(
        name="PP",
        is_metal=False,
        density=_figure(905, 900, 910, TWO_PAGES),
        stiffness=_figure(1.1, 1.0, 1.6, ONE_PAGE),
        expansion=_figure(120, 80, 180, in_conflict("sources span 80 to 180e-6/K")),
        cti=_figure(600, 600, 600, MEMORY),
        material_group="I",
    ),
    Material(
        name="FR4",
        is_metal=False,
        density=_figure(1850, 1800, 1950, TWO_PAGES),
        stiffness=_figure(22, 18, 24, TWO_PAGES),
        expansion=_figure(14, 11, 21, in_conflict("14/12, 11/15 and 21e-6/K in the plane were all read")),
        cti=_figure(175, 175, 350, in_conflict("one laminate sheet says class 175, another 350")),
        material_group="IIIa",
        note="in the plane; through the thickness 50 to 70e-6/K below the glass transition",
    ),
    Material(
        name="silicone foam",
        is_metal=False,
        density=_figure(330, 190, 600, MEMORY),
        stiffness=_figure(0.0005, 0.0001, 0.002, MEMORY),
        expansion=_figure(250, 200, 300, "270e-6/K of solid silicone read on one public page; the rest from memory"),
        cti=_figure(600, 500, 600, MEMORY),
        material_group="II",
        note="compressible: use the maker's force and deflection, not the modulus",
    ),
    Material(
        name="EPDM",
        is_metal=False,
        density=_figure(1150, 1000, 1300, MEMORY),
        stiffness=_figure(0.006, 0.002, 0.012, MEMORY),
        expansion=_figure(180, 150, 230, MEMORY),
        cti=_figure(600, 500, 600, MEMORY),
        material_group="II",
        note="solid; sponge weighs 100 to 250 kg/m3",
    ),
    Material(
        name="mica sheet",
        is_metal=False,
        density=_figure(2150, 2050, 2300, MEMORY),
        stiffness=_figure(40, 20, 60, MEMORY),
        expansion=_figure(10, 8, 14, MEMORY),
        material_group="IIIb",
        note="resin bonded; low confidence",
    ),
    Material(
        name="POM",
        is_metal=False,
        density=_figure(1410, 1400, 1430, TWO_PAGES),
        stiffness=_figure(2.8, 2.1, 3.2, ONE_PAGE),
        expansion=_figure(100, 85, 120, TWO_PAGES),
        cti=_figure(600, 500, 600, MEMORY),
        material_group="II",
    ),
    Material(
        name="PBT-GF30",
        is_metal=False,
        density=_figure(1530, 1500, 1680, ONE_PAGE),
        stiffness=_figure(10.3, 8.5, 11, ONE_PAGE),
        expansion=_figure(30, 20, 90, MEMORY),
        cti=_figure(250, 175, 600, MEMORY),
        material_group="IIIa",
        note="flame-retarded grade; density and stiffness of one maker; expansion along the flow",
    ),
)

_OTHER_NAMES = {
    "mild steel": ("steel", "carbon steel", "sheet steel", "A36", "1020", "S235", "S355"),
    "stainless steel 304": ("stainless", "stainless steel", "304", "1.4301", "A2"),
    "aluminium": ("aluminum", "aluminium alloy", "aluminum alloy", "Al"),
    "aluminium 5052": ("aluminum 5052", "5052"),
    "aluminium 6061": ("aluminum 6061", "6061", "6061-T6"),
    "copper": ("Cu", "copper ETP", "Cu-ETP", "C11000"),
    "PA66": ("nylon 66", "polyamide 66", "PA 6.6", "PA66 dry"),
    "PA66-GF30": ("PA66 GF", "nylon 66 GF30", "polyamide 66 GF30", "PA 6.6 GF30"),
    "PC": ("polycarbonate",),
    "PP": ("polypropylene",),
    "FR4": ("FR4 laminate", "glass epoxy"),
    "silicone foam": ("foam silicone", "silicone sponge"),
    "EPDM": ("EPDM solid", "EPDM rubber"),
    "mica sheet": ("mica",),
    "POM": ("acetal", "polyoxymethylene", "POM-C", "POM-H"),
    "PBT-GF30": ("PBT GF30 FR", "PBT-GF30-FR"),
}


def _plain(name: str) -> str:
    return re.sub(r"[\s_\-]+", "", name).casefold()


_BY_PLAIN_NAME = {_plain(material.name): material for material in MATERIALS}
_BY_PLAIN_NAME |= {
    _plain(other): _BY_PLAIN_NAME[_plain(name)] for name, others in _OTHER_NAMES.items() for other in others
}


def find(name: str) -> Material | None:
    """The material of that name or trade name, ignoring case, hyphen, underscore and blanks; None when unknown.

    >>> find("pa66_gf30").name
    'PA66-GF30'
    """
    return _BY_PLAIN_NAME.get(_plain(name))


def names() -> tuple[str, ...]:
    """The first name of every material, in the order of the table."""
    return tuple(material.name for material in MATERIALS)
