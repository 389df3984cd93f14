"""The whole layout as written. The same definitions validate a layout and make its JSON Schema."""

from __future__ import annotations

from typing import Annotated

from pydantic import ConfigDict, Field

from fitcheck.layoutfile.fields import Name, OneOf, Pair, Section, Text
from fitcheck.layoutfile.sections_parts import PartSection
from fitcheck.layoutfile.sections_shapes import ShapeSection
from fitcheck.layoutfile.sections_studies import (
    DIRECTIONS,
    AssemblySection,
    CableSection,
    DuctSection,
    ElectricalSection,
    HeightsSection,
    JudgeBy,
    ReadingSection,
    ScrewSection,
)
from fitcheck.layoutfile.sections_vehicle import VehicleSection
from fitcheck.layoutfile.values import Angle, Distance, KnownBy, Length, Size

CHECKS = (
    "gap", "containment", "overlap", "clearance", "creepage", "level", "clear height", "file scale", "weighed mass",
    "axle load", "gross mass", "screw length", "torque", "hoist path", "tool swing", "bend", "cable length",
    "duct area", "cable separation", "isolation resistance", "ground clearance",
)  # fmt: skip

MOST_PARTS = 5_000
"""A pack has some dozens of parts; a thousand is the largest that was tried with."""

Direction = Annotated[str, OneOf(DIRECTIONS)]


class UnitsSection(Section):
    """What a bare number means."""

    length: Annotated[Text, Field(examples=["mm"])] | None = None
    mass: Annotated[Text, Field(examples=["kg"])] | None = None
    angle: Annotated[Text, Field(examples=["deg"])] | None = None


class AxesSection(Section):
    """Where the case axes point in the vehicle; right-handed."""

    x: Direction
    y: Direction
    z: Direction


class DefaultsSection(Section):
    """What holds unless a part says otherwise."""

    known_by: KnownBy | None = None


class GapSection(Section):
    """The least gap between two kinds of parts."""

    between: Annotated[
        list[Text],
        Field(min_length=2, max_length=2, description="each a part, every ROLE, or anything"),
    ]
    at_least: Distance
    because: Text | None = None


class ConcessionSection(Section):
    """A signed allowance for one check of one pair of parts."""

    check: Annotated[str, OneOf(CHECKS)]
    parts: Annotated[list[Name], Field(min_length=1)]
    down_to: Length
    because: Text
    signed: Text
    date: Text


class ToolSection(Section):
    """A hand tool and its sizes, each a length."""

    model_config = ConfigDict(extra="allow")

    across_flats: Size | None = None
    swing: Annotated[Angle, Field(description="least angle that it must swing")] | None = None
    __pydantic_extra__: dict[str, Size]


class Document(Section):
    """A fitcheck layout: parts in a case, and what is asked of them."""

    model_config = ConfigDict(title="fitcheck layout")

    fitcheck: Annotated[str, OneOf(("1",)), Field(description="version of the format")]
    title: Text | None = None
    units: UnitsSection | None = None
    axes: AxesSection | None = None
    datum: Text | None = None
    general_tolerance: Annotated[Text, Field(examples=["ISO 2768-m"])] | None = None
    defaults: DefaultsSection | None = None
    judge_by: JudgeBy | None = None
    shapes: dict[Name, ShapeSection] = Field(default_factory=dict)
    parts: Annotated[dict[Name, PartSection], Field(min_length=1, max_length=MOST_PARTS)]
    gaps: list[GapSection] = Field(default_factory=list)
    contacts: Annotated[list[Pair], Field(description="pairs that may touch anywhere")] = Field(default_factory=list)
    concessions: list[ConcessionSection] = Field(default_factory=list)
    list_within: Distance | None = None
    electrical: ElectricalSection | None = None
    heights: HeightsSection | None = None
    screws: dict[Name, ScrewSection] = Field(default_factory=dict)
    vehicle: VehicleSection | None = None
    assembly: AssemblySection | None = None
    cables: dict[Name, CableSection] = Field(default_factory=dict)
    ducts: dict[Name, DuctSection] = Field(default_factory=dict)
    tools: dict[Name, ToolSection] = Field(default_factory=dict)
    measured: list[ReadingSection] = Field(default_factory=list)
