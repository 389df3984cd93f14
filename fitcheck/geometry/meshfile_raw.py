"""What a mesh file holds, before any unit or judgement: vertices, triangles, and what the file says about itself."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import MeshFileError

Points = NDArray[np.float64]
Faces = NDArray[np.int64]

MOST_BYTES = 600_000_000
"""Larger files, packed or unpacked, are refused: reading takes some ten times their size in memory."""

BYTE_ORDER_MARK = b"\xef\xbb\xbf"
"""What some editors put before UTF-8 text."""

MOST_TRIANGLES = 12_000_000
"""As many as a binary STL of MOST_BYTES holds; a 3MF or GLB file can place one mesh many times over."""


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One object of a file that names its objects: the names from the top down to it, "#rrggbb" or None, and how many
    triangles of the mesh are its own; pieces follow one another in the order of the triangles.
    """

    names: tuple[str, ...]
    colour: str | None
    faces: int


@dataclass(frozen=True, kw_only=True, eq=False)
class RawMesh:
    """Vertices (V, 3) in the file's unit and faces (F, 3), every placement inside the file carried out. Numbers that
    the file has in 32 bits may stay so: of a large scan, each corner is there six times before they are merged.

    `unit` and `unit_mm` are the unit that the file states (None where its format has none). `mirrored` tells that a
    placement inside the file mirrors a mesh; the order of the corners is then turned round, as both formats that can
    do this ask for. `notes` are plain sentences. `off_mm`: how far any surface may lie off because facets stand for it.
    `merged` tells that equal corners are one already, within each of `pieces`. `unit_unsaid` tells in words why a unit
    holds that the file itself does not write down, "" where it does.
    """

    vertices: Points | NDArray[np.float32]
    faces: Faces
    unit: str | None = None
    unit_mm: float | None = None
    mirrored: bool = False
    notes: tuple[str, ...] = ()
    off_mm: float = 0.0
    pieces: tuple[Piece, ...] = ()
    merged: bool = False
    unit_unsaid: str = ""


def unusable(path: Path, what: str, mend: str) -> MeshFileError:
    """The error to raise: it names the file, says what is wrong with it and what to do."""
    return MeshFileError(f"{path.name}: {what}", mend)


def placed(vertices: Points, faces: Faces, transform: Points) -> tuple[Points, Faces, bool]:
    """A mesh under a 4 x 4 transform (column vectors); the third value tells whether it mirrors."""
    with np.errstate(invalid="ignore", over="ignore"):  # coordinates are screened once all are placed
        moved = vertices @ transform[:3, :3].T + transform[:3, 3]
    mirrors = bool(np.linalg.det(transform[:3, :3]) < 0.0)
    return moved, faces[:, ::-1] if mirrors else faces, mirrors


def joined(pieces: list[tuple[Points, Faces]]) -> tuple[Points, Faces]:
    """Several meshes as one, corners and triangles kept in order."""
    starts = np.cumsum([0] + [len(vertices) for vertices, _ in pieces[:-1]])
    return (
        np.vstack([vertices for vertices, _ in pieces]),
        np.vstack([faces + start for (_, faces), start in zip(pieces, starts, strict=True)]),
    )
