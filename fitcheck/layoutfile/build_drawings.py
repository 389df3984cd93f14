"""Outlines that a DXF drawing gives instead of a list of corners."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path as FilePath

from fitcheck.errors import MeshFileError
from fitcheck.layoutfile.build_meshes import file_beside
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.sections_shapes import DrawingSection
from fitcheck.layoutfile.tree import Path
from fitcheck.model.shape import Drawn, Ring
from fitcheck.units import BadValue, factor


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """The outline and its holes, mm. `off` is how far the side faces may lie off because straight pieces stand for
    curves, `edge_off` the same for the outermost.
    """

    rings: tuple[Ring, ...]
    off: float
    edge_off: float
    drawn: Drawn


def drawing_of(desk: Desk, written: DrawingSection, path: Path, *, has_holes: bool) -> Drawing | None:
    """The outline of a drawing; None, with the problem noted, where it cannot be used."""
    at = desk.value_at((*path, "dxf"))
    if has_holes:
        what = "holes beside a drawing: the closed contours inside its outline are the holes"
        desk.problem(desk.key_at((*path[:-1], "holes")), what, "leave `holes` out, or write the outline as corners")
        return None
    if FilePath(written.dxf).suffix.lower() != ".dxf":
        desk.problem(at, f"{written.dxf!r} is no DXF drawing", "name a .dxf file; a mesh or STEP file goes under mesh")
        return None
    unit_mm = None
    if written.unit is not None:
        try:
            unit_mm = factor(written.unit, "length")
        except BadValue as error:
            desk.problem(desk.value_at((*path, "unit")), error.what, error.mend)
            return None
    file = file_beside(desk, written.dxf, (*path, "dxf"), (".dxf",))
    if file is None:
        return None
    # The drawing library takes half a second to load; layouts without a drawing need none of it.
    from fitcheck.geometry.dxf_outline import read_outline

    try:
        found = read_outline(file, written.layer, unit_mm)
    except MeshFileError as error:
        desk.problem(at, error.what, error.mend)
        return None
    notes = list(found.notes)
    if found.off_mm:
        notes.insert(0, f"Arcs are cut into straight pieces, at most {found.off_mm:g} mm out into the air.")
    if found.free_mm > 1e-6:
        notes.insert(0, f"Curves and joined ends may lie up to {found.free_mm:.2g} mm off either way.")
    return Drawing(
        rings=(found.outline, *found.holes),
        off=found.off_mm + found.free_mm,
        edge_off=found.free_mm,
        drawn=Drawn(written=written.dxf, notes=tuple(notes)),
    )
