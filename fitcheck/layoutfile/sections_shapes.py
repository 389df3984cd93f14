"""The `shapes` section and the `shape` of a part, as written."""

from __future__ import annotations

from typing import Annotated

from pydantic import ConfigDict, Field, Tag

from fitcheck.layoutfile.fields import LIST, MAPPING, TEXT, AxisWord, Section, Text, by_form
from fitcheck.layoutfile.values import Angle, Corner, PlainDistance, Point2, Size, Sizes

Along = Annotated[AxisWord, Field(description="axis of the shape that its length lies along")]


class CylinderSection(Section):
    """A solid round bar."""

    diameter: Size
    length: Size
    along: Along


class TubeSection(Section):
    """A round bar with a round hole right through; `outside` and `inside` are diameters."""

    outside: Size
    inside: Size
    length: Size
    along: Along


class DrawingSection(Section):
    """An outline with its holes from a DXF drawing; the drawing's x and y are the outline's two axes."""

    dxf: Annotated[Text, Field(description="path from the layout file's folder", examples=["plate.dxf"])]
    layer: Annotated[Text, Field(description="where its lines are, if on several layers", examples=["CUT"])] | None = (
        None
    )
    unit: Annotated[Text, Field(description="unit of a drawing that states none, such as mm or in")] | None = None


Outline = Annotated[
    Annotated[list[Point2], Field(min_length=3), Tag(LIST)] | Annotated[DrawingSection, Tag(MAPPING)],
    by_form(LIST, MAPPING),
    Field(description="corners in order, or a DXF drawing", examples=[{"dxf": "plate.dxf", "layer": "CUT"}]),
]


class PrismSection(Section):
    """A flat outline with holes, drawn out along one axis. Points are [y, z], [x, z], [x, y] for along x, y, z."""

    outline: Outline
    holes: list[Annotated[list[Point2], Field(min_length=3)]] = Field(default_factory=list)
    height: Size
    along: Along


class RimSection(Section):
    """A lip (inward) or flange (outward) at the rim of a tray."""

    width: Size
    thickness: Size


class TraySection(Section):
    """An open-topped metal case, by its hollow."""

    inside: Annotated[Sizes, Field(description="size of the hollow along x, y, z, from the floor to the rim")]
    wall: Size
    floor: Size
    lip: RimSection | None = None
    flange: RimSection | None = None


class FileScaleSection(Section):
    """One size of a mesh file as measured on the real part."""

    along: AxisWord
    length: Size


class MeshSection(Section):
    """A mesh file: STL, OBJ, PLY, OFF, 3MF or GLB; STEP with the extra `step`."""

    file: Annotated[Text, Field(description="path from the layout file's folder")]
    unit: Annotated[Text, Field(description="unit of the numbers in the file, such as mm or in")] | None = None
    file_scale: FileScaleSection | None = None
    tolerance: Annotated[PlainDistance, Field(description="every surface may lie that far off")] | None = None


class TurnSection(Section):
    """One turn about a case axis, by the right-hand rule."""

    model_config = ConfigDict(json_schema_extra={"minProperties": 1, "maxProperties": 1})

    x: Angle | None = None
    y: Angle | None = None
    z: Angle | None = None


Turns = Annotated[
    Annotated[TurnSection, Tag(MAPPING)] | Annotated[list[TurnSection], Tag(LIST)],
    by_form(MAPPING, LIST),
    Field(description="a turn, or a list of turns applied in order, about the case axes", examples=[{"z": "90 ± 0.2"}]),
]


class MemberSection(Section):
    """One shape of a group, turned and then placed by its low corner in the group's own axes."""

    shape: ShapeWords
    low_corner: Corner
    turn: Turns | None = None


class ShapeSection(Section):
    """One shape: exactly one of its keys."""

    model_config = ConfigDict(json_schema_extra={"minProperties": 1, "maxProperties": 1})

    box: Annotated[Sizes, Field(description="sizes along x, y, z", examples=[["410 ± 0.5", 168, 126]])] | None = None
    cylinder: CylinderSection | None = None
    tube: TubeSection | None = None
    prism: PrismSection | None = None
    tray: TraySection | None = None
    mesh: MeshSection | None = None
    group: Annotated[list[MemberSection], Field(min_length=1)] | None = None


ShapeWords = Annotated[
    Annotated[ShapeSection, Tag(MAPPING)] | Annotated[Text, Tag(TEXT)],
    by_form(MAPPING, TEXT),
    Field(description="a shape, or the name of one of `shapes`"),
]

MemberSection.model_rebuild()
ShapeSection.model_rebuild()
