"""STEP files: solids of a drawing program, cut into facets, at their right size.

The cutting is done by cascadio, an extra. It runs in a process of its own: a damaged file can bring such a program down
or make it print, and neither may reach the user. It delivers corners in metres with 32 bits, so they are put back on
the decimal grid that the file's own unit and those bits allow: what was drawn round comes out round.
"""

from __future__ import annotations

import importlib.util
import math
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fitcheck.geometry.glb_scene import Node, nodes_of
from fitcheck.geometry.meshfile_raw import MOST_TRIANGLES, Faces, Piece, Points, RawMesh, joined, unusable
from fitcheck.geometry.step_units import NoUnit, is_curved, units_of, without_remarks

KINDS = ("step", "stp")

FACETS_MM = 0.01
"""Facets are asked to lie no farther than this from the surface that they stand for."""

OFF_MM = 0.03
"""What is allowed for: the facets, as much again because on free-form faces the cutter only estimates it, and as much
again because a part is placed by the bounding box of its facets."""

FACETS_RAD = 0.5
BITS_32 = 6e-8
"""Half the spacing of 32-bit numbers, as a share; a place in an assembly has it too."""

MOST_STEP_BYTES = 200_000_000
MOST_SECONDS = 900.0

_CUT = f"""\
import sys, cascadio
data = open(sys.argv[1], "rb").read()
made = cascadio.load(
    data, file_type="step", tol_linear={FACETS_MM}, tol_angular={FACETS_RAD}, tol_relative=False, use_parallel=False
)
open(sys.argv[2], "wb").write(made)
"""
INSTALL = "install it: pip install 'fitcheck[step]'; or export the part as STL, 3MF or GLB"


def can_read() -> bool:
    """Whether the extra is installed."""
    return importlib.util.find_spec("cascadio") is not None


@dataclass(frozen=True, kw_only=True, eq=False)
class StepFile:
    """What a STEP file holds. `units` are (name, mm) of its spaces; `curved` tells whether anything in it is curved.

    `nodes` are its solids where they stand, corners in metres as they were delivered.
    """

    units: tuple[tuple[str, float], ...]
    curved: bool
    nodes: tuple[Node, ...]


def read_step(path: Path) -> RawMesh:
    """All solids of a STEP file as one mesh, in the file's unit (in mm where its parts have several).

    Raises MeshFileError for what is no STEP file, is damaged, states no unit or holds no solid, and where the extra is
    not installed.
    """
    return raw_of(path, open_step(path))


def open_step(path: Path) -> StepFile:
    """The same with its solids apart."""
    if not can_read():
        raise unusable(path, "STEP files need an extra that is not installed", INSTALL)
    if path.stat().st_size > MOST_STEP_BYTES:
        most = MOST_STEP_BYTES // 10**6
        raise unusable(path, f"a STEP file of more than {most} MB is not read", "export the part alone, or as STL")
    data = without_remarks(path.read_bytes())
    if b"ISO-10303-21" not in data[:4000]:
        raise unusable(path, "it does not begin like a STEP file", "export the file again as STEP (AP203 or AP214)")
    if b"END-ISO-10303-21" not in data[-4000:]:
        raise unusable(path, "it breaks off before its end", "export or copy the file again")
    try:
        units = units_of(data)
    except NoUnit as error:
        raise unusable(
            path,
            "it does not say which unit its lengths are in",
            "export it again from a program that writes the unit, or as STL with unit: stated in the layout",
        ) from error
    curved = is_curved(data)
    del data
    nodes = tuple(_nodes(path))
    if not nodes:
        raise unusable(
            path, "it holds no solid or surface", "export the part itself; a sketch or wire frame was chosen"
        )
    if sum(len(node.faces) for node in nodes) > MOST_TRIANGLES:
        raise unusable(path, f"it makes more than {MOST_TRIANGLES} triangles", "export a simplified part")
    return StepFile(units=units, curved=curved, nodes=nodes)


def _nodes(path: Path) -> list[Node]:
    damaged = "it cannot be read as STEP: it is damaged, or of a kind that is not known"
    with tempfile.TemporaryDirectory(prefix="fitcheck_") as folder:
        made = Path(folder) / "part.glb"
        # The same interpreter that runs this, with a fixed program; only the file's path is the user's.
        command = [sys.executable, "-P", "-c", _CUT, str(path.resolve()), str(made)]
        try:
            done = subprocess.run(command, capture_output=True, timeout=MOST_SECONDS, check=False)  # noqa: S603
        except subprocess.TimeoutExpired as error:
            raise unusable(
                path, f"cutting it into facets took longer than {MOST_SECONDS:.0f} s", "export a simplified part"
            ) from error
        data = made.read_bytes() if done.returncode == 0 and made.exists() else b""
    if not data:
        raise unusable(path, damaged, "export the file again as STEP (AP203 or AP214), or as STL or 3MF")
    try:
        return [node for node in nodes_of(data) if len(node.faces)]
    except (ValueError, KeyError, IndexError, TypeError) as error:
        raise unusable(path, damaged, "export the file again, or as STL or 3MF") from error


def raw_of(path: Path, step: StepFile) -> RawMesh:
    """The solids as one mesh, corners of each merged, those of two solids that touch kept apart."""
    names = " and ".join(name for name, _ in step.units)
    unit_mm = step.units[0][1] if len(step.units) == 1 else 1.0
    digits, left_over = _decimals([node.vertices * (1000.0 / unit_mm) for node in step.nodes])
    off_mm = left_over * unit_mm + (OFF_MM if step.curved else 0.0)
    solids, pieces = [], []
    for node in step.nodes:
        vertices, faces = _merged(np.round(node.vertices * (1000.0 / unit_mm), digits), node.faces)
        if len(faces):
            solids.append((vertices, faces))
            pieces.append(Piece(names=node.names, colour=node.colour, faces=len(faces)))
    if not solids:
        raise unusable(path, "its solids are too small to be told from a point", "export the file again")
    vertices, faces = joined(solids)
    notes = [] if len(step.units) == 1 else [f"Its parts are drawn in {names}; each was read in its own."]
    if step.curved:
        notes.append(
            f"Curved faces are cut into facets; every surface is taken to lie up to {off_mm:.2g} mm off because of it."
        )
    elif off_mm:
        notes.append(f"It has more decimals than can be read: every surface is taken to lie up to {off_mm:.2g} mm off.")
    return RawMesh(
        vertices=vertices,
        faces=faces,
        unit=names,
        unit_mm=unit_mm,
        notes=tuple(notes),
        off_mm=off_mm,
        pieces=tuple(pieces),
        merged=True,
    )


def _decimals(corners: list[Points]) -> tuple[int, float]:
    """Decimals to round to, and how far from what was drawn a coordinate may then still lie; in the file's unit.

    32-bit numbers tell so many decimals apart. Where all coordinates lie on a decimal grid that is wider than their
    own error, they were drawn on it, and rounding gives them back exactly.
    """
    # Three roundings: the corner, the place of its part, and their sum.
    error = max(3.0 * BITS_32 * max(float(np.abs(each).max()) for each in corners), 1e-12)
    drawn = -math.ceil(math.log10(4.0 * error))
    if all(float(np.abs(each - np.round(each, drawn)).max()) <= error for each in corners):
        return drawn, 0.0
    digits = -math.ceil(math.log10(error))
    return digits, 0.5 * 10.0**-digits + error


def _merged(vertices: Points, faces: Faces) -> tuple[Points, Faces]:
    """Equal corners made one, triangles left out that thereby lose their area."""
    whole, group = np.unique(vertices + 0.0, axis=0, return_inverse=True)
    corners = group.reshape(-1)[faces]
    kept = (corners != np.roll(corners, 1, axis=1)).all(axis=1)
    return whole, corners[kept]
