"""The sections beside the parts, as written: potentials, heights, screws, assembly, cables, ducts, tools, measured."""

from __future__ import annotations

from typing import Annotated

from pydantic import ConfigDict, Field, Tag

from fitcheck.layoutfile.fields import LIST, MAPPING, TEXT, Count, Name, Names, OneOf, Pair, Section, Text, by_form
from fitcheck.layoutfile.values import (
    Altitude,
    Angle,
    Bend,
    Corner,
    Distance,
    Engagement,
    Impulse,
    KnownBy,
    Share,
    Size,
    Torque,
    Voltage,
)
from fitcheck.standards.insulation import ISOLATION_BY_BUS
from fitcheck.standards.spacing_rules import IEC, RULE_SETS
from fitcheck.standards.stock import STOCKS

DIRECTIONS = ("forward", "rearward", "left", "right", "up", "down")
JUDGE_BY = ("worst case", "rss")

Direction = Annotated[str, OneOf(DIRECTIONS)]
JudgeBy = Annotated[str, OneOf(JUDGE_BY)]


class PotentialSection(Section):
    """A potential in another circuit."""

    volts: Voltage
    circuit: Name | None = None


PotentialWords = Annotated[
    Annotated[Voltage, Tag(TEXT)] | Annotated[PotentialSection, Tag(MAPPING)],
    by_form(TEXT, MAPPING),
]


class HouseRuleSection(Section):
    """Distances of one's own between live parts, beside the rule sets."""

    model_config = ConfigDict(json_schema_extra={"anyOf": [{"required": ["clearance"]}, {"required": ["creepage"]}]})

    name: Name
    because: Text
    clearance: Annotated[Size, Field(description="least distance through air")] | None = None
    creepage: Annotated[Size, Field(description="least way over surfaces")] | None = None
    above: Annotated[Voltage, Field(description="of pairs with more than this between them")] | None = None


class ElectricalSection(Section):
    """What the insulation must bear."""

    potentials: dict[Name, PotentialWords]
    chassis: Annotated[list[Text], Field(description="parts bonded to the vehicle: names or every ROLE")] = Field(
        default_factory=list
    )
    system: Annotated[str, OneOf(("isolated", "minus bonded"))] | None = None
    impulse: Impulse | None = None
    recurring_peak: (
        Annotated[Voltage, Field(description="highest peak that comes back again and again, between any two points")]
        | None
    ) = None
    overvoltage_category: Annotated[str, OneOf(("I", "II", "III", "IV"))] | None = None
    supply: Annotated[Voltage, Field(description="supply voltage, with overvoltage_category")] | None = None
    pollution_degree: Annotated[str, OneOf(("1", "2", "3", "4"))] | None = None
    altitude: Altitude | None = None
    insulation: Annotated[str, OneOf(("basic", "supplementary", "reinforced"))] | None = None
    cemented: Annotated[list[Pair], Field(description="pairs of insulators without a joint path")] = Field(
        default_factory=list
    )
    rules: Annotated[
        list[Annotated[str, OneOf(RULE_SETS)]],
        Field(description=f"rule sets judged side by side; {IEC} stands first and always"),
    ] = Field(default_factory=list)
    also: list[HouseRuleSection] = Field(default_factory=list)


StockList = Annotated[list[Size], Field(min_length=1)]
Stock = Annotated[
    Annotated[StockList, Tag(LIST)]
    | Annotated[dict[Size, Count], Tag(MAPPING)]
    | Annotated[str, OneOf(("any", *(row.name for row in STOCKS))), Tag(TEXT)],
    by_form(LIST, MAPPING, TEXT),
    Field(description="thicknesses, thicknesses with counts on hand, the name of a stock list, or any (with step)"),
]


class FindSection(Section):
    """A part whose z size is to be found."""

    stock: Stock
    step: Size | None = None
    at_most_pieces: Count | None = None
    tolerance: Annotated[Distance, Field(description="of the whole found height")] | None = None
    piece_tolerance: Annotated[Distance, Field(description="of each piece")] | None = None
    same_for: Names | None = None


class DemandSection(Section):
    """One thing that the heights must bring about."""

    model_config = ConfigDict(json_schema_extra={"oneOf": [{"required": ["clear_height"]}, {"required": ["level"]}]})

    clear_height: (
        Annotated[Pair, Field(description="from the top of the first to the underside of the second")] | None
    ) = None
    level: Annotated[list[Text], Field(min_length=2, max_length=2, examples=[["disconnect top", "lid top"]])] | None = (
        None
    )
    at_least: Distance | None = None
    at_most: Distance | None = None
    within: Distance | None = None


class FeetSection(Section):
    """Feet that one part stands on together, and how level they must be."""

    under: Name
    feet: Annotated[list[Name], Field(min_length=2)]
    within: Distance
    shims: Annotated[Stock, Field(description="thicknesses of shims, or the name of a list")] | None = None


class HeightsSection(Section):
    """Heights to be found."""

    find: Annotated[dict[Name, FindSection], Field(min_length=1)]
    so_that: list[DemandSection] = Field(default_factory=list)
    level_feet: list[FeetSection] = Field(default_factory=list)
    judge_by: JudgeBy | None = None
    prefer: Annotated[str, OneOf(("least height", "fewest pieces"))] | None = None


class IntoSection(Section):
    """What a screw goes into: a material with a usable depth, or a nut."""

    material: Text | None = None
    usable_depth: Size | None = None
    nut: Text | None = None


class ScrewSection(Section):
    """One kind of screw and where it sits."""

    thread: Text
    head: Annotated[Text, Field(description="standard of the head, such as ISO 4762")] | None = None
    property_class: Text | None = None
    torque: Torque | None = None
    direction: Direction | None = None
    clamps: Annotated[
        list[Text], Field(description="thicknesses, parts or washers", examples=[["washer ISO 7089", 2.0, "pad_1"]])
    ] = Field(default_factory=list)
    into: IntoSection | None = None
    engagement: Engagement | None = None
    spare: Distance | None = None
    length: Size | None = None
    at: list[Corner] = Field(default_factory=list)


class MoveSection(Section):
    """How one part comes in."""

    comes_from: Direction | None = Field(default=None, alias="from")
    tilt: Angle | None = None


class AssemblySection(Section):
    """In which order, and from which side."""

    sequence: Annotated[
        Annotated[Names, Tag(LIST)] | Annotated[str, OneOf(("find",)), Tag(TEXT)],
        by_form(LIST, TEXT),
    ]
    moves: dict[Name, MoveSection] = Field(default_factory=dict)


class CableSection(Section):
    """One cable from end to end."""

    diameter: Size
    bend: Annotated[Bend, Field(description="least inside radius: a length, or a multiple of the diameter (5 x)")]
    ends: Pair
    lug: Size | None = None
    route: Annotated[list[Corner], Field(description="points between the ends")] = Field(default_factory=list)
    slack: Share | None = None


class DuctSection(Section):
    """The clear section of a duct and the share of it that must stay."""

    section: Annotated[list[Size], Field(min_length=2, max_length=2)]
    keep: Share


class ReadingSection(Section):
    """One line of the as-built record."""

    model_config = ConfigDict(
        json_schema_extra={"oneOf": [{"required": [key]} for key in ("of", "gap", "mass", "isolation_resistance")]}
    )

    of: Annotated[Text, Field(description="a part, or a value such as case.inside.x")] | None = None
    size: Annotated[Text, Field(description="x, y, z, or a size of the part's shape")] | None = None
    gap: Pair | None = None
    mass: Name | None = None
    isolation_resistance: Name | None = None
    reading: Annotated[
        Annotated[Text, Tag(TEXT)] | Annotated[list[Text], Tag(LIST)],
        by_form(TEXT, LIST),
        Field(description="one reading, or several of the same thing"),
    ]
    known_by: KnownBy | None = None
    at: Annotated[Voltage, Field(description="test voltage of an isolation resistance")] | None = None
    bus: (
        Annotated[
            str,
            OneOf(tuple(ISOLATION_BY_BUS)),
            Field(description="what the isolation resistance is of: is an ac bus joined to it, and how protected"),
        ]
        | None
    ) = None
