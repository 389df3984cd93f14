"""Mesh files as written to the model: where the file is, what its numbers mean. The file itself is read later."""

from __future__ import annotations

import importlib.util
from pathlib import Path as FilePath

from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.fields import AXES, nearest
from fitcheck.layoutfile.sections_shapes import MeshSection
from fitcheck.layoutfile.tree import Path
from fitcheck.model.shape import FileScale, Mesh
from fitcheck.units import BadValue, factor

WITHOUT_UNIT = (".stl", ".obj", ".ply", ".off")
WITH_UNIT = (".3mf", ".glb")
STEP = (".step", ".stp")
READ = (*WITHOUT_UNIT, *WITH_UNIT, *STEP)
INSTALL_STEP = (
    "install it: pip install 'fitcheck[step]'; or export the part as STL, 3MF or GLB from the program that wrote it"
)


def mesh_of(desk: Desk, written: MeshSection, name: str, path: Path, known_by: str) -> Mesh | None:
    """The mesh; None, with the problem noted, where the file cannot be used."""
    file = _file(desk, written.file, (*path, "file"))
    unit_mm = _unit_mm(desk, written, path)
    scale = written.file_scale
    file_scale = None
    if scale is not None:
        length = desk.size(scale.length, f"{name}.file_scale", (*path, "file_scale", "length"), known_by)
        file_scale = FileScale(along=AXES.index(scale.along), length=length)
    if file is None:
        return None
    return Mesh(
        path=file,
        written=written.file,
        unit_mm=unit_mm,
        file_scale=file_scale,
        tolerance=desk.plain_length(written.tolerance) if written.tolerance is not None else 0.0,
        at=desk.key_at(path),
    )


def _unit_mm(desk: Desk, written: MeshSection, path: Path) -> float | None:
    if written.unit is not None:
        try:
            return factor(written.unit, "length")
        except BadValue as error:
            desk.problem(desk.value_at((*path, "unit")), error.what, error.mend)
            return None
    kind = FilePath(written.file).suffix.lower()
    if kind in WITHOUT_UNIT and not desk.is_damaged((*path, "unit")):
        what = f"{written.file} has no unit of its own and none is stated"
        desk.problem(desk.key_at(path), what, "add unit: mm (or in, m, …), and check it with file_scale")
    return None


def _file(desk: Desk, written: str, path: Path) -> FilePath | None:
    at = desk.value_at(path)
    kind = FilePath(written).suffix.lower()
    if kind in STEP and importlib.util.find_spec("cascadio") is None:
        desk.problem(at, f"{written}: STEP files need an extra that is not installed", INSTALL_STEP)
        return None
    if kind not in READ:
        known = ", ".join(word[1:].upper() for word in (*WITHOUT_UNIT, *WITH_UNIT, "STEP"))
        mend = f"use one of {known}"
        if kind == ".dxf":
            mend = "a flat outline is a prism: prism: {outline: {dxf: plate.dxf}, height: 8, along: z}"
        desk.problem(at, f"{written!r} is no mesh file that fitcheck reads", mend)
        return None
    return file_beside(desk, written, path, READ)


def file_beside(desk: Desk, written: str, path: Path, kinds: tuple[str, ...]) -> FilePath | None:
    """A file named from the layout's folder; None, with the problem noted, where it is not there or not allowed.

    `kinds` are the endings among which a near miss is looked for.
    """
    at = desk.value_at(path)
    try:
        found = (desk.folders[0] / written).resolve()
        inside = any(found.is_relative_to(folder.resolve()) for folder in desk.folders)
        exists = inside and found.is_file()
    except (OSError, ValueError) as error:
        desk.problem(at, f"{written!r} is no path to a file ({error})", "write a path from the layout file's folder")
        return None
    if not inside:
        desk.problem(
            at,
            f"{written} lies outside the layout's folder",
            "move it there, or allow its folder on the command line",
        )
        return None
    if not exists:
        beside = [each.name for each in found.parent.iterdir()] if found.parent.is_dir() else []
        alike = [each for each in beside if FilePath(each).suffix.lower() in kinds]
        desk.problem(at, f"there is no file {written}", nearest(found.name, alike) if alike else "check the path")
        return None
    return found
