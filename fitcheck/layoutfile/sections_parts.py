"""The `parts` section, as written."""

from __future__ import annotations

from typing import Annotated

from pydantic import ConfigDict, Field, Tag

from fitcheck.layoutfile.fields import LIST, TEXT, Name, OneOf, Section, Text, by_form
from fitcheck.layoutfile.sections_shapes import ShapeWords, Turns
from fitcheck.layoutfile.values import Corner, Distance, Inertia, KnownBy, Mass, Share, TrackingIndex
from fitcheck.model.part import ROLES, Change

FACE_WORDS = ("front", "rear", "left", "right", "bottom", "top")
MATERIAL_GROUPS = ("I", "II", "IIIa", "IIIb")

Role = Annotated[str, OneOf(ROLES)]
_FACE = Field(
    description="this face against a face of another part",
    examples=["12 clear of case inside front", "on pad_1", "flush with case", "5 past m1", "5 short of m1"],
)
Face = Annotated[Text, _FACE]


class CentreSection(Section):
    """My middle on a middle: {y: case inside}."""

    x: Text | None = None
    y: Text | None = None
    z: Text | None = None


class PlaceSection(Section):
    """Where a part stands, one face an axis, in words."""

    front: Face | None = None
    rear: Face | None = None
    left: Face | None = None
    right: Face | None = None
    bottom: Face | None = None
    top: Face | None = None
    centre: CentreSection | None = None


class GrowsSection(Section):
    """Growth by the end of life along the shape's own axes, shared by the two sides."""

    x: Share | None = None
    y: Share | None = None
    z: Share | None = None


_SIDES = Field(min_length=2, max_length=2, description="to the low side and to the high side of the axis")
PlayEntry = Annotated[
    Annotated[Distance, Tag(TEXT)] | Annotated[Annotated[list[Distance], _SIDES], Tag(LIST)],
    by_form(TEXT, LIST),
]


class PlaySection(Section):
    """How far the part can move along the case axes as it is held: to either side, or [low side, high side]."""

    x: PlayEntry | None = None
    y: PlayEntry | None = None
    z: PlayEntry | None = None


InertiaRow = Annotated[list[Inertia], Field(min_length=3, max_length=3)]
InertiaEntry = Annotated[
    Annotated[Inertia, Tag(TEXT)] | Annotated[InertiaRow, Tag(LIST)],
    by_form(TEXT, LIST),
]
InertiaWords = Annotated[
    list[InertiaEntry],
    Field(
        min_length=3,
        max_length=3,
        description="kg·m² about the centre of mass, shape axes: three principal values, or three rows of the tensor",
    ),
]


class PartSection(Section):
    """One part. What `like` names gives everything that is not said again here; `place` is taken over axis by axis."""

    model_config = ConfigDict(
        json_schema_extra={"anyOf": [{"required": ["like"]}, {"required": ["role", "change", "shape"]}]}
    )

    like: Name | None = None
    role: Role | None = None
    change: Annotated[str, OneOf(tuple(str(change) for change in Change))] | None = None
    shape: ShapeWords | None = None
    place: PlaceSection | None = None
    low_corner: Annotated[Corner, Field(description="low corner of the turned part's bounding box")] | None = None
    inside_low_corner: Annotated[Corner, Field(description="low corner of a tray's hollow")] | None = None
    file_origin: Annotated[Corner, Field(description="where a mesh file's own origin lies")] | None = None
    turn: Turns | None = None
    mass: Mass | None = None
    material: Text | None = None
    known_by: KnownBy | None = None
    grows: GrowsSection | None = None
    play: PlaySection | None = None
    potential: Name | None = None
    material_group: Annotated[str, OneOf(MATERIAL_GROUPS)] | None = None
    cti: (
        Annotated[TrackingIndex, Field(description="comparative tracking index in V; gives the material group")] | None
    ) = None
    centre_of_mass: (
        Annotated[Corner, Field(description="from the low corner of the unturned shape's bounding box")] | None
    ) = None
    inertia: InertiaWords | None = None
    hull: Annotated[str, OneOf(("allowed",))] | None = None
