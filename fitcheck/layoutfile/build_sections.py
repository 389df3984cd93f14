"""The sections beside the parts, as written, to the model."""

from __future__ import annotations

from fitcheck.layoutfile import build_electrical, build_heights, build_measured, build_screws, build_vehicle
from fitcheck.layoutfile.build_shapes import corner_of
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.sections import Document, ToolSection
from fitcheck.layoutfile.tree import Path
from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import Assembly, Cable, Duct, Move, Sections, Tool
from fitcheck.units import ANGLE, IN_TIMES, LENGTH, SHARE


def build_sections(desk: Desk, document: Document, parts: tuple[Part, ...]) -> Sections:
    """Every section that the layout has; None or empty for the others."""
    return Sections(
        electrical=build_electrical.electrical(desk, document, parts),
        heights=build_heights.heights(desk, document),
        screws=build_screws.screws(desk, document),
        vehicle=build_vehicle.vehicle(desk, document),
        assembly=_assembly(desk, document),
        cables=_cables(desk, document),
        ducts=_ducts(desk, document),
        tools=tuple(_tool(desk, name, tool) for name, tool in document.tools.items()),
        measured=build_measured.measured(desk, document, parts),
    )


def _assembly(desk: Desk, document: Document) -> Assembly | None:
    written = document.assembly
    if written is None:
        return None
    sequence: tuple[str, ...] = ()
    if isinstance(written.sequence, list):
        path: Path = ("assembly", "sequence")
        sequence = tuple(desk.part(name, (*path, k)) for k, name in enumerate(written.sequence))
        for k, name in enumerate(sequence):
            if name in sequence[:k]:
                desk.problem(desk.value_at((*path, k)), f"{name!r} stands twice in the sequence", "keep one of the two")
    moves = []
    for name, move in written.moves.items():
        where: Path = ("assembly", "moves", name)
        tilt = None
        if move.tilt is not None:
            tilt = desk.exact(move.tilt, ANGLE, f"assembly.moves.{name}.tilt", (*where, "tilt"))
        moves.append(Move(part=desk.part_key(name, where), comes_from=move.comes_from or "up", tilt=tilt))
    return Assembly(sequence=sequence, moves=tuple(moves), at=desk.key_at(("assembly",)))


def _cables(desk: Desk, document: Document) -> tuple[Cable, ...]:
    found = []
    for name, written in document.cables.items():
        path: Path = ("cables", name)
        called = f"cables.{name}"
        one, other = (desk.part(end, (*path, "ends", k)) for k, end in enumerate(written.ends))
        found.append(
            Cable(
                name=name,
                diameter=desk.exact(written.diameter, LENGTH, f"{called}.diameter", (*path, "diameter")),
                bend=desk.exact(written.bend, IN_TIMES, f"{called}.bend", (*path, "bend")),
                ends=(one, other),
                lug=desk.maybe(written.lug, LENGTH, f"{called}.lug", (*path, "lug")),
                route=tuple(
                    corner_of(desk, point, f"{called}.route.{k + 1}", (*path, "route", k))
                    for k, point in enumerate(written.route)
                ),
                slack=desk.maybe(written.slack, SHARE, f"{called}.slack", (*path, "slack")),
                at=desk.key_at(path),
            )
        )
    return tuple(found)


def _ducts(desk: Desk, document: Document) -> tuple[Duct, ...]:
    found = []
    for name, written in document.ducts.items():
        path: Path = ("ducts", name)
        one, other = (
            desk.exact(size, LENGTH, f"ducts.{name}.section.{k + 1}", (*path, "section", k))
            for k, size in enumerate(written.section)
        )
        keep = desk.exact(written.keep, SHARE, f"ducts.{name}.keep", (*path, "keep"))
        if keep.nominal > 1:
            desk.problem(keep.at, "more than the whole section is to be kept", "write at most 100 %")
        found.append(Duct(part=desk.part_key(name, path), section=(one, other), keep=keep, at=desk.key_at(path)))
    return tuple(found)


def _tool(desk: Desk, name: str, written: ToolSection) -> Tool:
    path: Path = ("tools", name)
    sizes: list[tuple[str, Quantity]] = []
    if written.swing is not None:
        sizes.append(("swing", desk.exact(written.swing, ANGLE, f"tools.{name}.swing", (*path, "swing"))))
    for key, size in (written.model_extra or {}).items():
        sizes.append((key, desk.exact(size, LENGTH, f"tools.{name}.{key}", (*path, key))))
    across = desk.maybe(written.across_flats, LENGTH, f"tools.{name}.across_flats", (*path, "across_flats"))
    return Tool(name=name, sizes=tuple(sizes), across_flats=across, at=desk.key_at(path))
