"""Parts that are not one flat piece: trays, groups, files. How they look built in, and what the shop must know."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from fitcheck.makeable.material import Kind, is_metal, kind_of, named, without_grade
from fitcheck.makeable.one_body import one_body
from fitcheck.makeable.piece import Joined
from fitcheck.makeable.views import three_views
from fitcheck.model.layout import Layout
from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Box, Cylinder, Group, Mesh, Prism, Shape, Tray, Tube
from fitcheck.report.scene import Scene
from fitcheck.standards.sheet_bend import K_LEAST, K_MOST, K_SOURCE, unsure_mm


def joined_of(layout: Layout, part: Part, scene: Scene) -> Joined:
    """The part as it stands in the scene, melted into one body where it closes."""
    material = named(part)
    metal = is_metal(part.material or "")
    why, says = _why(part.shape, kind_of(material, metal))
    if metal and without_grade(material):
        says.append(without_grade(material))
    drawn = scene.by_name[part.name]
    has_file = isinstance(part.shape, Mesh)
    mesh = None if has_file else one_body(drawn.vertices, drawn.faces)
    mesh = mesh or (drawn.vertices, drawn.faces)
    return Joined(
        part=part.name,
        of_parts=(part.name,),
        why=why,
        material=material,
        is_metal=metal,
        vertices=mesh[0] - mesh[0].min(axis=0),
        faces=mesh[1],
        views=three_views(layout, mesh),
        says=tuple(says),
        has_file=has_file,
    )


def counted(parts: Iterable[Joined]) -> tuple[Joined, ...]:
    """Equal parts become one with their number. Those from a file of their own stay apart."""
    kinds: dict[object, Joined] = {}
    for part in parts:
        corners = sorted(map(tuple, part.vertices.round(3).tolist()))
        key = part.part if part.has_file else (tuple(corners), part.views, part.says, part.material.casefold())
        known = kinds.get(key)
        kinds[key] = part if known is None else replace(known, of_parts=(*known.of_parts, *part.of_parts))
    return tuple(kinds.values())


def _why(shape: Shape, kind: Kind) -> tuple[str, list[str]]:
    """Why it is not one flat piece, and its sizes in words."""
    match shape:
        case Tray(inside=inside, wall=wall, floor=floor, lip=lip, flange=flange):
            says = [f"inside {_sizes(inside)}", f"wall {with_band(wall)}, floor {with_band(floor)}"]
            for name, rim in (("lip inward", lip), ("flange outward", flange)):
                if rim is not None:
                    says.append(f"{name} {with_band(rim.width)} wide, {with_band(rim.thickness)} thick")
            return "a tray is folded or welded", [*says, *_no_flat_pattern(shape, kind)]
        case Group(members=members):
            says = [f"shape {number + 1}: {_in_words(member.shape)}" for number, member in enumerate(members)]
            says.append("how they are joined the layout does not say: settle it with the shop")
            return f"made of {len(members)} shapes: cut them, and join them as the views show", says
        case Mesh(written=written):
            return f"its shape is the file {written}: hand that to the shop, or what it was made from", []
    return "it has no parallel faces", []


HOW_JOINED = {
    Kind.PLASTIC: "folded hot, glued, milled or printed",
    Kind.LAMINATE: "glued from plates or milled",
    Kind.SOFT: "cut from a block, glued from sheet or moulded",
    Kind.WOOD: "glued or screwed together",
}
"""How a tray comes about that is not bent from sheet metal."""


def _no_flat_pattern(tray: Tray, kind: Kind) -> Iterator[str]:
    """Why a tray has none, and what takes its place."""
    if kind in HOW_JOINED:
        yield (
            f"no flat pattern is made: whether it is {HOW_JOINED[kind]} is for the shop to say; the solid has its shape"
        )
        return
    thicknesses = [tray.wall, tray.floor, *(rim.thickness for rim in (tray.lip, tray.flange) if rim is not None)]
    if len({round(thickness.nominal, 6) for thickness in thicknesses}) > 1:
        yield "its walls are not all of one thickness: it cannot be folded from one sheet"
        return
    thickness = tray.wall.nominal
    yield (
        "no flat pattern is made: it depends on the inner radius of the bends, on the tools, and on whether the "
        f"corners are folded or welded, which the layout does not say. The range of the K-factor alone, {K_LEAST:g} to "
        f"{K_MOST:g}, moves it by {unsure_mm(thickness):.2f} mm with each bend of {thickness:g} mm sheet [{K_SOURCE}]"
    )
    yield (
        "the shop that bends makes it from this drawing and the solid: the sizes inside count. Tell it the inner "
        "radius that may be there; the layout's corners are sharp, so check that nothing stands in them"
    )


def _in_words(shape: Shape) -> str:
    match shape:
        case Box(size=size):
            return f"box {_sizes(size)}"
        case Cylinder(diameter=diameter, length=length):
            return f"round bar ⌀{with_band(diameter)}, {with_band(length)} long"
        case Tube(outside=outside, inside=inside, length=length):
            return f"tube ⌀{with_band(outside)} / ⌀{with_band(inside)}, {with_band(length)} long"
        case Prism(extent=extent, height=height):
            return f"profile {_sizes(extent)}, {with_band(height)} long"
        case Mesh(written=written):
            return f"the file {written}"
    return "a shape made of others"


def _sizes(values: Sequence[Quantity]) -> str:
    return " × ".join(with_band(value) for value in values)


def with_band(value: Quantity) -> str:
    """The size with its tolerance, whichever it is, in mm."""
    if value.is_exact:
        return f"{value.nominal:g}"
    if abs(value.below - value.above) < 1e-9:
        return f"{value.nominal:g} ± {value.above:g}"
    return f"{value.nominal:g} +{value.above:g}/-{value.below:g}"
