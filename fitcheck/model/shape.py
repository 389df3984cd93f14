"""The shapes of the layout format, each size a toleranced value.

Shapes are drawn in their own axes, parallel to the case axes before any turn. Their place is not theirs: the placed
part's bounding box is what the layout places. Every list of sizes is in mm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path
from typing import TypeVar

from fitcheck.errors import NOWHERE, Mark
from fitcheck.model.quantity import Quantity

Point2 = tuple[float, float]
Ring = tuple[Point2, ...]
Triple = tuple[Quantity, Quantity, Quantity]


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """A turn about one case axis, by the right-hand rule; `angle` in degrees."""

    axis: int
    angle: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A solid box; `size` along x, y, z."""

    size: Triple


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder:
    """A solid round bar; `along` is the axis index 0, 1 or 2."""

    diameter: Quantity
    length: Quantity
    along: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """A round bar with a round hole right through."""

    outside: Quantity
    inside: Quantity
    length: Quantity
    along: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """The drawing that an outline comes from, as written, and what was noticed about it in plain sentences."""

    written: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Prism:
    """A flat outline with holes, drawn out along one axis.

    Outline coordinates are [y, z], [x, z] or [x, y] for `along` 0, 1, 2, nominal, as written (either way round).
    `extent` holds the two overall sizes of the outline; when one deviates, all coordinates deviate in proportion.
    Inside the overall sizes each coordinate has a band of its own: every side face may lie `surface_tolerance` off, the
    outermost ones `edge_tolerance`.
    """

    outline: Ring
    holes: tuple[Ring, ...]
    extent: tuple[Quantity, Quantity]
    height: Quantity
    along: int
    surface_tolerance: float = 0.0
    edge_tolerance: float = 0.0
    drawn: Drawn | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rim:
    """A lip (pointing inward) or a flange (pointing outward) of a tray; its top is flush with the tray's top."""

    width: Quantity
    thickness: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Tray:
    """An open-topped metal case: `inside` is the hollow, from the floor's upper face to the rim."""

    inside: Triple
    wall: Quantity
    floor: Quantity
    lip: Rim | None = None
    flange: Rim | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FileScale:
    """One size of a mesh file as measured on the real part; `along` is an axis index of the file."""

    along: int
    length: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """A mesh file. `unit_mm` is the stated unit in mm, None where the file's own unit is to be used.

    `tolerance` (mm, the same each way): every surface may lie that far from where the placed model shows it.
    """

    path: Path
    written: str
    unit_mm: float | None
    file_scale: FileScale | None = None
    tolerance: float = 0.0
    at: Mark = NOWHERE


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One shape of a group, turned about its own bounding box and then placed by its low corner in group axes."""

    shape: Shape
    low_corner: Triple
    turns: tuple[Turn, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Several shapes that make one part."""

    members: tuple[Member, ...]


Shape = Box | Cylinder | Tube | Prism | Tray | Mesh | Group


def with_sizes(shape: Shape, change: Callable[[Quantity], Quantity]) -> Shape:
    """The shape with every toleranced value passed through `change`."""
    return _changed(shape, change)


def sizes_of(shape: Shape) -> tuple[Quantity, ...]:
    """Every toleranced value of a shape, in the order in which the shape is written."""
    found: list[Quantity] = []

    def note(value: Quantity) -> Quantity:
        found.append(value)
        return value

    with_sizes(shape, note)
    return tuple(found)


Node = TypeVar("Node")


def _changed(node: Node, change: Callable[[Quantity], Quantity]) -> Node:
    if isinstance(node, Quantity):
        return change(node)  # type: ignore[return-value]
    if isinstance(node, tuple):
        return tuple(_changed(item, change) for item in node)  # type: ignore[return-value]
    if is_dataclass(node) and not isinstance(node, type | Mark):
        held = {field.name: _changed(getattr(node, field.name), change) for field in fields(node)}
        return replace(node, **held)
    return node


def drawings_of(shape: Shape) -> list[Drawn]:
    """The drawings that outlines in a shape come from, those of a group's members too."""
    if isinstance(shape, Group):
        return [drawn for member in shape.members for drawn in drawings_of(member.shape)]
    return [shape.drawn] if isinstance(shape, Prism) and shape.drawn is not None else []


def meshes_of(shape: Shape) -> list[Mesh]:
    """The mesh files in a shape, those of a group's members too."""
    if isinstance(shape, Group):
        return [mesh for member in shape.members for mesh in meshes_of(member.shape)]
    return [shape] if isinstance(shape, Mesh) else []
