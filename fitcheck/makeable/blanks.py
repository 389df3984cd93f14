"""A shape of the layout seen as a blank with parallel faces: its contours, its thickness, and which way it lies."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.makeable.contour import Contour, Loop, Round, box_of, contour_of, moved
from fitcheck.model.layout import Layout
from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Box, Cylinder, Prism, Shape, Tube
from fitcheck.placing.local import outline_axes
from fitcheck.placing.rotation import Rotation, about, in_order


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """`along` is the shape axis of the thickness; contours count from the datum corner."""

    along: int
    outline: Contour
    openings: tuple[Contour, ...]
    thickness: Quantity
    width: Quantity
    height: Quantity

    @property
    def is_flat(self) -> bool:
        """Not longer than it is wide: cut from sheet rather than sawn from bar."""
        return self.thickness.nominal <= min(self.width.nominal, self.height.nominal)


def blank_of(shape: Shape, upright: int | None) -> Blank | None:
    """The blank of a box, prism, bar or tube; None for any other shape.

    A box's thickness is its size along the axis `upright`, or its least size where that is None.
    """
    match shape:
        case Box(size=size):
            along = upright if upright is not None else min((2, 1, 0), key=lambda axis: size[axis].nominal)
            first, second = outline_axes(along)
            width, height = size[first], size[second]
            corners = ((0.0, 0.0), (width.nominal, 0.0), (width.nominal, height.nominal), (0.0, height.nominal))
            return Blank(
                along=along,
                outline=Loop(corners=corners),
                openings=(),
                thickness=size[along],
                width=width,
                height=height,
            )
        case Prism(outline=outline, holes=holes, extent=extent, height=height, along=along, drawn=drawn):
            # Arcs of a drawing are cut into straight pieces on the side where there is no material.
            rings = [contour_of(outline, around=drawn is not None), *(contour_of(ring) for ring in holes)]
            low = box_of(rings[0])[0]
            whole, *openings = (moved(ring, (-low[0], -low[1])) for ring in rings)
            return Blank(
                along=along,
                outline=whole,
                openings=tuple(openings),
                thickness=height,
                width=extent[0],
                height=extent[1],
            )
        case Cylinder(diameter=diameter, length=length, along=along):
            return _bar(along, diameter, length, ())
        case Tube(outside=outside, inside=inside, length=length, along=along):
            return _bar(along, outside, length, (inside.nominal,))
    return None


def _bar(along: int, diameter: Quantity, length: Quantity, bores: tuple[float, ...]) -> Blank:
    middle = (diameter.nominal / 2.0, diameter.nominal / 2.0)
    return Blank(
        along=along,
        outline=Round(centre=middle, diameter=diameter.nominal),
        openings=tuple(Round(centre=middle, diameter=bore) for bore in bores),
        thickness=length,
        width=diameter,
        height=diameter,
    )


def rotation_of(part: Part) -> Rotation:
    """The part's turns at nominal; columns are the shape's axes in case axes."""
    return in_order(about(turn.axis, turn.angle.nominal) for turn in part.turns)


def case_axis(rotation: Rotation, axis: int) -> tuple[int, int] | None:
    """(case axis, sign) that a shape axis points along; None where it is askew."""
    for row in range(3):
        if abs(abs(rotation[row][axis]) - 1.0) < 1e-9:
            return row, 1 if rotation[row][axis] > 0.0 else -1
    return None


def way(layout: Layout, rotation: Rotation, axis: int) -> str:
    """The vehicle direction that a shape axis points in, such as "rearward"; "" where it is askew."""
    found = case_axis(rotation, axis)
    if found is None:
        return ""
    words = ("forward", "rearward", "left", "right", "up", "down")
    return next((word for word in words if layout.direction(word) == found), "")
