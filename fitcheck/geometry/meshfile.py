"""Mesh files: read in the unit they are in, examined, and described; never mended.

STL, OBJ, PLY and OFF state no unit, so the layout has to; 3MF and STEP state one and GLB is in metres. Corners that
are equal are merged, since STL repeats each corner in every triangle. Where the mesh then leaks, and corners no farther
apart than the rounding of the file close it, these are merged too, and a note says so. All else stays as it is in the
file.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from fitcheck.geometry.meshfile_3mf import read_3mf
from fitcheck.geometry.meshfile_health import MeshHealth, examine, has_repeated_corner
from fitcheck.geometry.meshfile_merge import merge_close, merge_equal
from fitcheck.geometry.meshfile_plain import read_plain
from fitcheck.geometry.meshfile_raw import MOST_BYTES, Faces, Piece, Points, RawMesh, unusable
from fitcheck.geometry.stepfile import KINDS as STEP_KINDS
from fitcheck.geometry.stepfile import read_step

WITHOUT_UNIT = ("stl", "obj", "ply", "off")
KINDS = (*WITHOUT_UNIT, "3mf", "glb", *STEP_KINDS)

SMALL_MM, LARGE_MM = 10.0, 10_000.0
"""Below and above these sizes a battery part is unusual, and a wrong unit is the usual cause."""

FARTHEST_MM = 1e9
"""Farther out, double precision no longer holds a micrometre; such numbers are damage, not geometry."""


@dataclass(frozen=True, kw_only=True, eq=False)
class MeshModel:
    """A mesh in mm, in the axes and about the origin of its file.

    vertices (V, 3), faces (F, 3). `file_unit` is what the file itself says or its format settles, None where it has no
    unit; `unit_unsaid` is why it holds where the file does not say so. `unit_mm` is the unit that was used. `off_mm`:
    how far any surface may lie off because facets stand for a curved one. `pieces` are the objects that the file names,
    in the order of the faces.
    """

    vertices: Points
    faces: Faces
    file_unit: str | None
    unit_mm: float
    health: MeshHealth
    off_mm: float = 0.0
    pieces: tuple[Piece, ...] = ()
    unit_unsaid: str = ""

    @cached_property
    def solid_faces(self) -> Faces | None:
        """Faces of a sound solid wound outward, without triangles that name a corner twice; None if it is not sound."""
        if not self.health.is_solid:
            return None
        empty = has_repeated_corner(self.faces)
        whole = self.faces[~empty] if empty.any() else self.faces
        return whole[:, ::-1] if self.health.inverted else whole


def read_mesh(path: Path, stated_unit_mm: float | None) -> MeshModel:
    """Read a mesh file; `stated_unit_mm` is the unit that the layout states, in mm (25.4 for inches).

    Raises MeshFileError, in plain words with what to do, for a file that is missing, empty, cut short, too large, of
    another kind, without triangles or with coordinates that are no numbers; also where no unit is known, and where the
    stated unit and the file's own differ.
    """
    kind = path.suffix.lower().lstrip(".")
    if kind not in KINDS:
        raise unusable(
            path, f'"{path.suffix}" is not a kind of mesh file that is read', f"use one of {', '.join(KINDS)}"
        )
    _check_size(path)
    try:
        raw = _read(path, kind)
    except OSError as error:
        raise unusable(
            path, f"it cannot be opened ({error.strerror})", "check the path and who may read the file"
        ) from error
    _check_triangles(path, raw)
    unit_mm = _unit(path, raw, stated_unit_mm)
    _check_numbers(path, raw, unit_mm)
    own, faces = (raw.vertices, raw.faces) if raw.merged else merge_equal(raw.vertices, raw.faces)
    vertices, faces, merging = merge_close(own.astype(np.float64) * unit_mm, faces)
    notes = [*raw.notes, *merging]
    if raw.mirrored:
        notes.append("The file places a mesh mirrored; it was measured mirrored.")
    health = examine(vertices, faces, mirrored=raw.mirrored, notes=tuple(notes + _odd_size(vertices, faces)))
    return MeshModel(
        vertices=vertices,
        faces=faces,
        file_unit=raw.unit,
        unit_mm=unit_mm,
        health=health,
        off_mm=raw.off_mm,
        pieces=raw.pieces,
        unit_unsaid=raw.unit_unsaid,
    )


def _read(path: Path, kind: str) -> RawMesh:
    if kind in STEP_KINDS:
        return read_step(path)
    return read_3mf(path) if kind == "3mf" else read_plain(path, kind)


def _check_size(path: Path) -> None:
    try:
        size = path.stat().st_size
    except OSError as error:
        raise unusable(
            path, f"it cannot be opened ({error.strerror})", "check the path, which starts at the layout's folder"
        ) from error
    if not path.is_file():
        raise unusable(path, "this is a folder, not a file", "name the mesh file itself")
    if size == 0:
        raise unusable(path, "the file is empty", "export or copy the file again")
    if size > MOST_BYTES:
        raise unusable(
            path,
            f"it has {size // 10**6} MB; up to {MOST_BYTES // 10**6} MB are read",
            "export a coarser or binary mesh",
        )


def _check_triangles(path: Path, raw: RawMesh) -> None:
    if not len(raw.faces):
        raise unusable(
            path, "it holds no triangles", "export the part again; an assembly or sketch may have been chosen"
        )
    if raw.faces.min() < 0 or raw.faces.max() >= len(raw.vertices):
        raise unusable(path, "a triangle names a corner that does not exist", "export the file again")


def _check_numbers(path: Path, raw: RawMesh, unit_mm: float) -> None:
    if not np.isfinite(raw.vertices).all():
        raise unusable(path, "a coordinate is not a number or is infinite", "export the file again")
    far = float(np.abs(raw.vertices).max())
    if far * unit_mm > FARTHEST_MM:
        raise unusable(path, f"a coordinate of {far:.3g} is too far from the origin", "export the file again near it")
    if np.ptp(raw.vertices[raw.faces.ravel()], axis=0).max() == 0.0:
        raise unusable(path, "all its corners are one point", "export the file again")


def _unit(path: Path, raw: RawMesh, stated_unit_mm: float | None) -> float:
    if raw.unit_mm is None:
        if stated_unit_mm is not None:
            return stated_unit_mm
        raise unusable(
            path,
            f"{path.suffix.upper().lstrip('.')} files have no unit of their own, and none is stated",
            "state the unit it was drawn in beside the file: unit: mm",
        )
    if stated_unit_mm is not None and abs(stated_unit_mm - raw.unit_mm) > 1e-9 * raw.unit_mm:
        why = f": {raw.unit_unsaid}" if raw.unit_unsaid else ""
        raise unusable(
            path,
            f"the layout states a unit of {stated_unit_mm:g} mm, the file itself is in {raw.unit} ({raw.unit_mm:g} mm)"
            f"{why}",
            "leave the unit out of the layout if the file is right, else export the file again in the right unit",
        )
    return raw.unit_mm


def _odd_size(vertices: Points, faces: Faces) -> list[str]:
    size = float(np.ptp(vertices[faces.ravel()], axis=0).max())
    if SMALL_MM <= size <= LARGE_MM:
        return []
    return [f"Its largest size is {size:.4g} mm, unusual for such a part: check the unit."]


def describe(model: MeshModel) -> list[str]:
    """The mesh in plain sentences: size, unit, triangles, bodies, whether it is a solid, and what was noticed."""
    said = f"the file says {model.file_unit}" if model.file_unit else f"as stated, one unit is {model.unit_mm:g} mm"
    unit = model.unit_unsaid or said
    health = model.health
    volume = "" if health.volume_mm3 is None else f"Closed, with a volume of {health.volume_mm3:.1f} mm3."
    return [f"{_size(model, 1.0)} mm ({unit}).", *_body(model, volume), *health.notes]


def describe_numbers(model: MeshModel) -> list[str]:
    """The same for a file without a unit, read as if one unit were 1 mm: what each likely unit would make of it."""
    health = model.health
    volume = "" if health.volume_mm3 is None else f"Closed, with a volume of {health.volume_mm3:.6g} cubic units."
    doubts = _odd_size(model.vertices, model.faces)
    return [
        f"{_size(model, 1.0)} in the file's own numbers; this kind of file has no unit.",
        f"Drawn in millimetres it is {_size(model, 1.0)} mm; in inches {_size(model, 25.4)} mm.",
        "A layout has to state which: unit: mm. Compare one size with the real part.",
        *_body(model, volume),
        *(note for note in health.notes if note not in doubts),
    ]


def _size(model: MeshModel, factor: float) -> str:
    x, y, z = (extent * factor for extent in model.health.extents_mm)
    return f"{x:.3f} x {y:.3f} x {z:.3f}"


def _body(model: MeshModel, volume: str) -> list[str]:
    health = model.health
    bodies = "one body" if health.bodies == 1 else f"{health.bodies} bodies"
    said = [f"{health.triangles} triangles in {bodies}."]
    if volume:
        said.append(volume)
    if health.degenerate_faces:
        count = health.degenerate_faces
        said.append(f"{count} {'triangle has' if count == 1 else 'triangles have'} no area; this does no harm.")
    return said
