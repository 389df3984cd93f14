"""The `vehicle` section, as written."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, Tag

from fitcheck.layoutfile.fields import MAPPING, TEXT, Count, Name, OneOf, Section, Text, by_form
from fitcheck.layoutfile.sections_parts import InertiaWords
from fitcheck.layoutfile.values import Corner, Mass, Size, SpringRate

Wheels = Annotated[
    str,
    OneOf(
        (
            "front", "rear", "left", "right", "front left", "front right", "rear left", "rear right",
            "front_left", "front_right", "rear_left", "rear_right",
        )
    ),
]  # fmt: skip
Axle = Annotated[str, OneOf(("front", "rear"))]
Weights = Annotated[dict[Wheels, Mass], Field(min_length=2, examples=[{"front": 1460, "rear": 1520}])]


class LimitsSection(Section):
    """What the rating plate allows."""

    front: Mass | None = None
    rear: Mass | None = None
    gross: Mass | None = None


class PayloadSection(Section):
    """A further mass carried, and where, in vehicle axes."""

    mass: Mass
    at: Corner


class RaisedAxleSection(Section):
    """A weighing with one axle lifted."""

    raised: Axle
    lift: Size
    other_axle: Annotated[Mass, Field(description="what the axle on the ground then weighs")]
    wheel_radius: Size


class ClearanceSection(Section):
    """Ground clearance as measured, and the least that is allowed."""

    measured: Size
    at_least: Size | None = None


class PackWeighedSection(Section):
    """The whole pack on the scale, before and after."""

    original: Mass | None = None
    proposed: Mass | None = None


class VehicleSection(Section):
    """The vehicle that the case belongs to."""

    wheelbase: Size
    track: Size | None = None
    weighed: (
        Annotated[
            Weights,
            Field(description="with the original build in: front and rear, also left and right; or four corners"),
        ]
        | None
    ) = None
    weighed_after: Weights | None = None
    weighed_as: Annotated[str, OneOf(("kerb", "laden"))] | None = None
    cg_height: Annotated[Size, Field(description="centre of gravity above ground")] | None = None
    limits: LimitsSection | None = None
    case_low: Annotated[Corner, Field(description="the case datum in vehicle axes")] | None = None
    payload: list[PayloadSection] = Field(default_factory=list)
    springs: Annotated[dict[Axle, SpringRate], Field(description="rate of each axle")] = Field(default_factory=dict)
    ground_clearance: (
        Annotated[
            Annotated[Size, Tag(TEXT)] | Annotated[ClearanceSection, Tag(MAPPING)],
            by_form(TEXT, MAPPING),
        ]
        | None
    ) = None
    raised_axle: RaisedAxleSection | None = None
    pack_weighed: (
        Annotated[
            Annotated[Mass, Tag(TEXT)] | Annotated[PackWeighedSection, Tag(MAPPING)],
            by_form(TEXT, MAPPING),
            Field(description="the original pack, or {original, proposed}"),
        ]
        | None
    ) = None
    steered: Axle | None = None
    frame: (
        Annotated[
            str,
            OneOf(("rearward-right-up", "forward-left-up", "forward-right-down")),
            Field(description="the axes that case_low, payload places and inertia are told in, from the front axle"),
        ]
        | None
    ) = None
    category: Annotated[Text, Field(description="vehicle category, such as N1")] | None = None
    inertia: InertiaWords | None = None
    rule_cards: list[Text] = Field(default_factory=list)
    held_by: Annotated[dict[Name, Count], Field(description="screws that hold the pack, and how many of each")] = Field(
        default_factory=dict
    )
