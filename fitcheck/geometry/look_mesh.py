"""A mesh or STEP file described: size, unit, bodies, leaks, the parts that it names, and how a layout would use it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from fitcheck.geometry import solids
from fitcheck.geometry.looked import Looked, columns, counted, plain, quoted
from fitcheck.geometry.mesh_blocks import LARGE
from fitcheck.geometry.meshfile import WITHOUT_UNIT, MeshModel, describe, describe_numbers, read_mesh
from fitcheck.geometry.meshfile_raw import Piece

MOST_PARTS = 60
"""Parts named one by one."""

LONGEST_NAME = 80
"""Letters of a name in the table; programs get all of them."""


def look_at_mesh(path: Path, stated_unit_mm: float | None) -> Looked:
    """Raises MeshFileError for a file that cannot be used."""
    kind = path.suffix.lower().lstrip(".")
    unknown = stated_unit_mm is None and kind in WITHOUT_UNIT
    model = read_mesh(path, 1.0 if unknown else stated_unit_mm)
    said = describe_numbers(model) if unknown else describe(model)
    corner = ", ".join(f"{round(value, 3) + 0.0:.3f}" for value in _low_corner(model))
    zero = f"Its low corner lies at ({corner}){'' if unknown else ' mm'} from the file's own zero."
    use = (f"  {line}" for line in _use(path, model, unknown))
    lines = (said[0], zero, *said[1:], *_part_lines(model), "In a layout:", *use)
    return Looked(lines=lines, data=_data(path, kind, model, unknown))


def _part_lines(model: MeshModel) -> Iterator[str]:
    if not model.pieces:
        return
    yield f"The file names {counted(len(model.pieces), 'part')}:"
    rows = [
        [
            _name(piece),
            " x ".join(f"{side:.3f}" for side in size) + " mm",
            counted(piece.faces, "triangle"),
            f"colour {piece.colour}" if piece.colour else "no colour",
        ]
        for piece, size in zip(model.pieces[:MOST_PARTS], _sizes(model), strict=False)
    ]
    yield from (f"  {row}" for row in columns(rows))
    if len(model.pieces) > MOST_PARTS:
        yield f"  and {len(model.pieces) - MOST_PARTS} more"


def _name(piece: Piece) -> str:
    whole = plain(" / ".join(name for name in piece.names if name)) or "(no name)"
    half = LONGEST_NAME // 2
    return whole if len(whole) <= LONGEST_NAME else f"{whole[:half].rstrip()} … {whole[-half:].lstrip()}"


def _sizes(model: MeshModel) -> list[list[float]]:
    ends = np.cumsum([piece.faces for piece in model.pieces])[:-1]
    return [np.ptp(model.vertices[own.ravel()], axis=0).tolist() for own in np.split(model.faces, ends)]


def _low_corner(model: MeshModel) -> list[float]:
    used = np.zeros(len(model.vertices), dtype=bool)
    used[model.faces] = True
    low: list[float] = (model.vertices[used].min(axis=0) + 0.0).tolist()
    return low


def _use(path: Path, model: MeshModel, unknown: bool) -> Iterator[str]:
    unit = "" if model.file_unit else f", unit: {_WORDS.get(model.unit_mm, '…')}"
    yield f"shape: {{mesh: {{file: {quoted(path.name)}{unit}}}}}" + ("   (or whichever unit it is)" if unknown else "")
    if not model.file_unit:
        yield "file_scale compares one of its sizes with the real part, so that a wrong unit is found."
    if model.health.is_solid:
        yield "Gaps, overlaps, volume and centre of mass can be told from it."
    else:
        yield "Gaps can be told from it, and overlaps where a corner of one part lies in the other."
        yield "Its mass and centre of mass have to be stated, or `hull: allowed` takes its convex hull."
    if len(model.pieces) > 1 or model.health.bodies > 1:
        yield "All of it is one part; for parts that move or are removed apart, export them apart."
    if len(model.faces) >= LARGE:
        yield "It is large: beside each neighbour only what lies near is looked at in full. That changes no answer."
    if model.off_mm:
        yield f"Its surfaces get a tolerance of {model.off_mm:.2g} mm for the facets, besides the one that is stated."


_WORDS = {1.0: "mm", 10.0: "cm", 1000.0: "m", 25.4: "in", 304.8: "ft"}


def _data(path: Path, kind: str, model: MeshModel, unknown: bool) -> dict[str, object]:
    health = model.health
    numbers = "in_file_numbers" if unknown else "mm"
    return {
        "file": path.name,
        "kind": kind,
        "unit": None if unknown else {"name": model.file_unit, "mm": model.unit_mm, "from": _origin(model)},
        f"size_{numbers}": list(health.extents_mm),
        f"low_corner_{numbers}": _low_corner(model),
        "triangles": health.triangles,
        "bodies": health.bodies,
        "closed": health.closed,
        "open_edges": health.leaks,
        "is_solid": health.is_solid,
        f"volume_{numbers}3" if not unknown else "volume_in_file_numbers": health.volume_mm3,
        f"surface_{numbers}2" if not unknown else "surface_in_file_numbers": solids.surface_of(
            model.vertices, model.faces
        ),
        "facets_may_lie_off_mm": model.off_mm,
        "by_local_detail": len(model.faces) >= LARGE,
        "parts": [
            {
                "names": [plain(name) for name in piece.names],
                "colour": piece.colour,
                "size_mm": size,
                "triangles": piece.faces,
            }
            for piece, size in zip(model.pieces, _sizes(model), strict=False)
        ],
        "notes": list(health.notes),
    }


def _origin(model: MeshModel) -> str:
    if model.unit_unsaid:
        return "format"
    return "file" if model.file_unit else "stated"
