"""The solid pieces of a shape, in the shape's own axes, every size an affine form.

The origin of a shape's axes is: the middle of a box, bar, tube or prism; the low corner of a tray's hollow; the
group's own zero; the mesh file's own origin.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.meshfile import MeshModel
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Box, Cylinder, Group, Member, Mesh, Point2, Prism, Rim, Ring, Shape, Tray, Tube
from fitcheck.placing.forms import Extra, Form, constant, dot, form_of
from fitcheck.placing.rotation import IDENTITY, Rotation, Row, about, in_order, product

Forms3 = tuple[Form, Form, Form]
ORIGIN: Forms3 = (constant(0.0), constant(0.0), constant(0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxSolid:
    half: Forms3


@dataclass(frozen=True, slots=True, kw_only=True)
class BarSolid:
    """A round bar; `bore` is the radius of a hole right through, None for a solid bar."""

    along: int
    radius: Form
    half_length: Form
    bore: Form | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PrismSolid:
    """An outline about its middle. `across` scales it: overall sizes along the two outline axes, as forms.

    `rings` are the outline and its holes in outline axes, relative to the middle of the outline's bounding box. `skin`
    is how far the side faces may lie off along the two outline axes, each as a helper value, `edge` (mm) how far the
    outermost may.
    """

    along: int
    across: tuple[Form, Form]
    half_height: Form
    rings: tuple[Ring, ...]
    nominal: tuple[float, float]
    skin: tuple[Form, Form] = (constant(0.0), constant(0.0))
    edge: float = 0.0

    def point(self, uv: Point2, top: bool) -> Forms3:
        """One corner as forms, in the shape's axes."""
        first, second = outline_axes(self.along)
        forms = [constant(0.0)] * 3
        forms[first] = self.across[0] * (uv[0] / self.nominal[0])
        forms[second] = self.across[1] * (uv[1] / self.nominal[1])
        forms[self.along] = self.half_height if top else -self.half_height
        return (forms[0], forms[1], forms[2])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeshSolid:
    """A mesh in its file's axes. `stretch` scales it about the middle of its bounding box (growth)."""

    model: MeshModel
    vertices: NDArray[np.float64]
    tolerance: float


Solid = BoxSolid | BarSolid | PrismSolid | MeshSolid


@dataclass(frozen=True, slots=True, kw_only=True)
class Local:
    """One piece: `centre` of the solid in shape axes, and how it is turned there. `label` names it in reports."""

    label: str
    centre: Forms3
    solid: Solid
    rotation: Rotation = IDENTITY


def outline_axes(along: int) -> tuple[int, int]:
    """The shape axes of an outline's two coordinates: [y, z], [x, z], [x, y] for along x, y, z."""
    first, second = (axis for axis in range(3) if axis != along)
    return first, second


MeshSource = Callable[[Mesh], MeshModel]


def pieces_of(shape: Shape, meshes: MeshSource, extra: Extra, name: str) -> tuple[Local, ...]:
    """The pieces of a shape as drawn; `name` tells helper values apart."""
    match shape:
        case Box(size=size):
            half = tuple(form_of(side) * 0.5 for side in size)
            return (Local(label="", centre=ORIGIN, solid=BoxSolid(half=(half[0], half[1], half[2]))),)
        case Cylinder(diameter=diameter, length=length, along=along):
            return (Local(label="", centre=ORIGIN, solid=_bar(along, diameter, length, None)),)
        case Tube(outside=outside, inside=inside, length=length, along=along):
            return (Local(label="", centre=ORIGIN, solid=_bar(along, outside, length, inside)),)
        case Prism():
            return (Local(label="", centre=ORIGIN, solid=_prism(shape, extra, name)),)
        case Tray():
            return tuple(_tray(shape))
        case Mesh():
            model = meshes(shape)
            return (
                Local(
                    label="",
                    centre=ORIGIN,
                    solid=MeshSolid(model=model, vertices=model.vertices, tolerance=shape.tolerance + model.off_mm),
                ),
            )
        case Group(members=members):
            found: list[Local] = []
            for number, member in enumerate(members, 1):
                found.extend(_member(member, number, meshes, extra, name))
            return tuple(found)


def _bar(along: int, diameter: Quantity, length: Quantity, inside: Quantity | None) -> BarSolid:
    return BarSolid(
        along=along,
        radius=form_of(diameter) * 0.5,
        half_length=form_of(length) * 0.5,
        bore=None if inside is None else form_of(inside) * 0.5,
    )


def _prism(shape: Prism, extra: Extra, name: str) -> PrismSolid:
    lows = [min(point[k] for point in shape.outline) for k in (0, 1)]
    highs = [max(point[k] for point in shape.outline) for k in (0, 1)]
    middle = [(low + high) / 2 for low, high in zip(lows, highs, strict=True)]
    rings = tuple(
        tuple((point[0] - middle[0], point[1] - middle[1]) for point in ring) for ring in (shape.outline, *shape.holes)
    )
    return PrismSolid(
        along=shape.along,
        across=(form_of(shape.extent[0]), form_of(shape.extent[1])),
        half_height=form_of(shape.height) * 0.5,
        rings=rings,
        nominal=(highs[0] - lows[0], highs[1] - lows[1]),
        skin=(
            extra.loose(shape.surface_tolerance, f"{name}/skin 0"),
            extra.loose(shape.surface_tolerance, f"{name}/skin 1"),
        ),
        edge=shape.edge_tolerance,
    )


def _between(label: str, low: Sequence[Form], high: Sequence[Form]) -> Local:
    """A box piece from its low and high corners."""
    centre = [(a + b) * 0.5 for a, b in zip(low, high, strict=True)]
    half = [(b - a) * 0.5 for a, b in zip(low, high, strict=True)]
    return Local(
        label=label,
        centre=(centre[0], centre[1], centre[2]),
        solid=BoxSolid(half=(half[0], half[1], half[2])),
    )


SIDES = ((0, False), (0, True), (1, False), (1, True))
"""The four walls of a tray: (axis, at the high end)."""


def wall_label(axis: int, high: bool) -> str:
    return f"wall {'high' if high else 'low'} {'xyz'[axis]}"


def _tray(shape: Tray) -> list[Local]:
    """Floor, four walls, and the lip and flange in four strips each; corners belong to more than one piece."""
    inside = [form_of(side) for side in shape.inside]
    wall, floor, zero = form_of(shape.wall), form_of(shape.floor), constant(0.0)
    outer_low = [-wall, -wall, -floor]
    outer_high = [inside[0] + wall, inside[1] + wall, inside[2]]
    pieces = [_between("floor", outer_low, [outer_high[0], outer_high[1], zero])]
    for axis, high in SIDES:
        low_corner, high_corner = [outer_low[0], outer_low[1], zero], list(outer_high)
        if high:
            low_corner[axis] = inside[axis]
        else:
            high_corner[axis] = zero
        pieces.append(_between(wall_label(axis, high), low_corner, high_corner))
    for kind, rim in (("lip", shape.lip), ("flange", shape.flange)):
        if rim is not None:
            pieces += [_strip(kind, rim, axis, high, inside, wall) for axis, high in SIDES]
    return pieces


def _strip(kind: str, rim: Rim, axis: int, high: bool, inside: list[Form], wall: Form) -> Local:
    """One side of a lip (inward from the inner wall face) or a flange (outward from the outer one)."""
    width, top = form_of(rim.width), inside[2]
    outward = wall + width if kind == "flange" else constant(0.0)
    low_corner = [-outward, -outward, top - form_of(rim.thickness)]
    high_corner = [inside[0] + outward, inside[1] + outward, top]
    if kind == "lip":
        if high:
            low_corner[axis] = inside[axis] - width
        else:
            high_corner[axis] = width
    elif high:
        low_corner[axis] = inside[axis] + wall
    else:
        high_corner[axis] = -wall
    return _between(f"{kind} {'high' if high else 'low'} {'xyz'[axis]}", low_corner, high_corner)


def _member(member: Member, number: int, meshes: MeshSource, extra: Extra, name: str) -> list[Local]:
    """The pieces of one group member, turned about its own bounding box and placed by its low corner."""
    rotation = in_order(about(turn.axis, turn.angle.nominal) for turn in member.turns)
    own = pieces_of(member.shape, meshes, extra, f"{name}/member {number}")
    lows = [
        bounds_along(own, row, extra, f"{name}/member {number}/along {axis}")[0] for axis, row in enumerate(rotation)
    ]
    shift = [form_of(corner) - low for corner, low in zip(member.low_corner, lows, strict=True)]
    placed = []
    for piece in own:
        centre = [dot(row, piece.centre) + move for row, move in zip(rotation, shift, strict=True)]
        placed.append(
            replace(
                piece,
                label=f"{number} {piece.label}".strip(),
                centre=(centre[0], centre[1], centre[2]),
                rotation=product(rotation, piece.rotation),
            )
        )
    return placed


def bounds_along(pieces: Sequence[Local], row: Row, extra: Extra, name: str) -> tuple[Form, Form]:
    """How far the pieces reach along one direction from the shape's origin, low and high, as forms.

    `row` is a unit direction in shape axes. Where several pieces or corners compete, the form is that of the nominal
    winner with a helper value for the others.
    """
    lows: list[Form] = []
    highs: list[Form] = []
    for number, piece in enumerate(pieces):
        middle = dot(row, piece.centre)
        own: Row = _turned_back(piece.rotation, row)
        below, above = reach_along(piece.solid, own, extra, f"{name}/{number}")
        lows.append(middle + below)
        highs.append(middle + above)
    return extra.smallest(lows, f"{name}/low"), extra.largest(highs, f"{name}/high")


def _turned_back(rotation: Rotation, row: Row) -> Row:
    one, two, three = (sum(row[i] * rotation[i][j] for i in range(3)) for j in range(3))
    return (one, two, three)


def reach_along(solid: Solid, row: Row, extra: Extra, name: str) -> tuple[Form, Form]:
    """How far a solid reaches from its centre along one direction of its own axes."""
    match solid:
        case BoxSolid(half=half):
            span = dot([abs(share) for share in row], half)
            return -span, span
        case BarSolid(along=along, radius=radius, half_length=half_length):
            lengthwise = min(1.0, abs(row[along]))
            span = radius * math.sqrt(max(0.0, 1.0 - lengthwise * lengthwise)) + half_length * lengthwise
            return -span, span
        case PrismSolid(rings=rings, along=along):
            ends = (
                [dot(row, solid.point(point, top)) for point in _corners(rings[0]) for top in (False, True)]
                if row[along]
                else [dot(row, solid.point(point, True)) for point in _corners(rings[0])]
            )
            first, second = outline_axes(along)
            # The outermost faces may lie off, each by itself.
            off = solid.edge * (abs(row[first]) + abs(row[second]))
            below, above = extra.loose(off, f"{name}/skin low"), extra.loose(off, f"{name}/skin high")
            return extra.smallest(ends, f"{name}/low") + below, extra.largest(ends, f"{name}/high") + above
        case MeshSolid(vertices=vertices):
            along_row = vertices @ np.asarray(row)
            return constant(float(along_row.min())), constant(float(along_row.max()))


def _corners(ring: Ring) -> list[Point2]:
    """The corners of a ring that can be outermost in some direction: those of its convex hull."""
    ordered = sorted(set(ring))

    def half(points: list[Point2]) -> list[Point2]:
        kept: list[Point2] = []
        for point in points:
            while len(kept) > 1 and _turns_right(kept[-2], kept[-1], point):
                kept.pop()
            kept.append(point)
        return kept[:-1]

    return half(ordered) + half(ordered[::-1])


def _turns_right(a: Point2, b: Point2, c: Point2) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) <= 0
