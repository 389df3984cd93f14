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
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from fitcheck.geometry.glb_scene import Node, nodes_of
from fitcheck.geometry.looked import counted, plain
from fitcheck.geometry.meshfile_raw import MOST_TRIANGLES, Faces, Piece, Points, RawMesh, joined, unusable
from fitcheck.geometry.step_curved import curved
from fitcheck.geometry.step_names import StepNames
from fitcheck.geometry.step_text import StepText, step_text
from fitcheck.geometry.step_units import NoUnit, in_plain_units, units_of

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
MOST_NAMED = 5
PADDING = b" \t\r\n\0\x1a"
"""What some programs fill up the end of a file with."""

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
    """What a STEP file holds. `units` are (name, mm) of its spaces; `curved` is "faces" or "edges" where these may be
    curved, else "". `notes` are plain sentences.

    `nodes` are its solids where they stand, corners in metres as they were delivered.
    """

    units: tuple[tuple[str, float], ...]
    curved: str
    nodes: tuple[Node, ...]
    notes: tuple[str, ...]


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
    data = path.read_bytes().rstrip(PADDING)
    if b"ISO-10303-21" not in data[:4000]:
        raise unusable(path, "it does not begin like a STEP file", "export the file again as STEP (AP203 or AP214)")
    if b"END-ISO-10303-21" not in data[-4000:]:
        raise unusable(path, "it breaks off before its end", "export or copy the file again")
    text = step_text(data)
    try:
        units = units_of(text)
    except NoUnit as error:
        raise unusable(
            path,
            "it does not say which unit its lengths are in",
            "export it again from a program that writes the unit, or as STL with unit: stated in the layout",
        ) from error
    names = StepNames(text)
    nodes = tuple(replace(node, names=names.of(node.names)) for node in _nodes(path, in_plain_units(text, units)))
    if not nodes:
        raise unusable(
            path, "it holds no solid or surface", "export the part itself; a sketch or wire frame was chosen"
        )
    if sum(len(node.faces) for node in nodes) > MOST_TRIANGLES:
        raise unusable(path, f"it makes more than {MOST_TRIANGLES} triangles", "export a simplified part")
    notes = tuple(_notes(text, names.without_solid()))
    return StepFile(units=units.used, curved=curved(text.words), nodes=nodes, notes=notes)


def _notes(text: StepText, empty: tuple[str, ...]) -> Iterator[str]:
    if empty:
        named = ", ".join(plain(name) or "(no name)" for name in empty[:MOST_NAMED])
        more = f" and {len(empty) - MOST_NAMED} more" if len(empty) > MOST_NAMED else ""
        hold = "holds" if len(empty) == 1 else "hold"
        yield f"{counted(len(empty), 'part')} of the file {hold} no solid: {named}{more}."
    if b"INVISIBILITY" in text.words:
        yield "The file hides some of what it holds; solids that it hides were read like the others."


def _nodes(path: Path, data: bytes) -> list[Node]:
    damaged = "it cannot be read as STEP: it is damaged, or of a kind that is not known"
    with tempfile.TemporaryDirectory(prefix="fitcheck_") as folder:
        given, made = Path(folder) / "part.step", Path(folder) / "part.glb"
        given.write_bytes(data)
        # The same interpreter that runs this, with a fixed program.
        command = [sys.executable, "-P", "-c", _CUT, str(given), str(made)]
        try:
            done = subprocess.run(command, capture_output=True, timeout=MOST_SECONDS, check=False)  # noqa: S603
        except subprocess.TimeoutExpired as error:
            raise unusable(
                path, f"cutting it into facets took longer than {MOST_SECONDS:.0f} s", "export a simplified part"
            ) from error
        delivered = made.read_bytes() if done.returncode == 0 and made.exists() else b""
    if not delivered:
        raise unusable(path, damaged, "export the file again as STEP (AP203 or AP214), or as STL or 3MF")
    try:
        return [node for node in nodes_of(delivered) if len(node.faces)]
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
    notes = list(step.notes)
    if len(step.units) > 1:
        notes.append(f"Its parts are drawn in {names}; each was read in its own.")
    if step.curved:
        cut = (
            "Curved faces are cut into facets"
            if step.curved == "faces"
            else "Curved edges are cut into straight pieces"
        )
        notes.append(f"{cut}; every surface is taken to lie up to {off_mm:.2g} mm off because of it.")
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
