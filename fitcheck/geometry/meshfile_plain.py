"""STL, OBJ, PLY, OFF and GLB files, parsed by trimesh and checked against what the file announces.

trimesh reads a file that was cut short as if it were whole (or as nothing at all), so the number of faces that the file
announces is counted here by itself and compared.
"""

from __future__ import annotations

import io
import json
import re
import struct
from pathlib import Path
from typing import Any

import numpy as np

from fitcheck.geometry.meshfile_raw import (
    BYTE_ORDER_MARK,
    MOST_TRIANGLES,
    Faces,
    Points,
    RawMesh,
    joined,
    placed,
    unusable,
)
from fitcheck.geometry.meshfile_text import plain_text

GLB_UNIT_MM = 1000.0
"""glTF 2.0, coordinate system and units: linear distances are in metres (public text of the specification)."""

HARMLESS = ("KHR_materials_", "KHR_texture_", "KHR_lights_", "EXT_texture_")
"""glTF extensions that leave the triangles as they are."""


def read_plain(path: Path, kind: str) -> RawMesh:
    """The triangles of one file; `kind` is its suffix without the dot. Raises MeshFileError."""
    data = path.read_bytes().removeprefix(BYTE_ORDER_MARK)
    if kind == "glb":
        _check_glb(path, data)
    announced = ANNOUNCED[kind](path, data) if kind in ANNOUNCED else None
    if announced == 0:
        raise unusable(
            path, "it holds no triangles", "export the part again; an assembly or sketch may have been chosen"
        )
    if kind == "stl" and _is_binary_stl(data):
        return _binary_stl(data)
    pieces, mirrored = _parse(path, data, kind)
    if not pieces:
        raise unusable(path, "no triangles could be read from it", "export the file again")
    vertices, faces = joined(pieces)
    if announced is not None and len(faces) < announced:
        raise unusable(
            path,
            f"it announces {announced} faces and only {len(faces)} could be read: it is cut short or damaged",
            "export or copy the file again",
        )
    notes: tuple[str, ...] = ()
    if announced is not None and len(faces) > announced:
        notes = ("Faces with more than three corners were cut into triangles, each from its first corner.",)
    if kind != "glb":
        return RawMesh(vertices=vertices, faces=faces, mirrored=mirrored, notes=notes)
    return RawMesh(
        vertices=vertices,
        faces=faces,
        unit="metre",
        unit_mm=GLB_UNIT_MM,
        mirrored=mirrored,
        notes=notes,
        unit_unsaid="GLB files are always in metres",
    )


def _parse(path: Path, data: bytes, kind: str) -> tuple[list[tuple[Points, Faces]], bool]:
    """Every mesh of the file, placed. Given as bytes, the parser cannot reach for other files."""
    import trimesh

    try:
        text = io.BytesIO(plain_text(kind, data))
        loaded: Any = trimesh.load(text, file_type=kind, process=False, force="scene")
    except Exception as error:
        raise unusable(
            path, f"it cannot be read as {kind.upper()} ({error})", "export the file again, all faces as triangles"
        ) from error
    pieces: list[tuple[Points, Faces]] = []
    mirrored, triangles = False, 0
    for node in loaded.graph.nodes_geometry:
        transform, name = loaded.graph[node]
        mesh = loaded.geometry[name]
        if not isinstance(mesh, trimesh.Trimesh):
            continue
        vertices = np.array(mesh.vertices, dtype=np.float64)
        faces = np.array(mesh.faces, dtype=np.int64).reshape(-1, 3)
        triangles += len(faces)
        if triangles > MOST_TRIANGLES:
            raise unusable(path, f"it places more than {MOST_TRIANGLES} triangles", "export a coarser mesh")
        moved, turned, mirrors = placed(vertices, faces, np.asarray(transform, dtype=np.float64))
        mirrored = mirrored or mirrors
        pieces.append((moved, turned))
    return pieces, mirrored


def _is_binary_stl(data: bytes) -> bool:
    return len(data) >= 84 and len(data) == 84 + 50 * int(struct.unpack_from("<I", data, 80)[0])


def _binary_stl(data: bytes) -> RawMesh:
    """Read in place: a scan of millions of triangles would be copied several times over by the general parser."""
    rows = np.frombuffer(data, dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")], offset=84)
    corners = rows["corners"].astype(np.float32).reshape(-1, 3)
    return RawMesh(vertices=corners, faces=np.arange(len(corners), dtype=np.int64).reshape(-1, 3))


def _faces_of_stl(path: Path, data: bytes) -> int:
    count = int(struct.unpack_from("<I", data, 80)[0]) if len(data) >= 84 else -1
    if _is_binary_stl(data):
        return count
    lowered = data.lower()
    if lowered.lstrip().startswith(b"solid"):
        opened, closed = len(re.findall(rb"^\s*facet\b", lowered, re.MULTILINE)), lowered.count(b"endfacet")
        if opened != closed or b"endsolid" not in lowered:
            raise unusable(path, "the text of this STL file breaks off before its end", "export or copy the file again")
        return closed
    if count < 0:
        raise unusable(path, "it is too short to be an STL file", "export the file again")
    raise unusable(
        path,
        f"its head announces {count} triangles, which take {84 + 50 * count} bytes; the file has {len(data)}",
        "export or copy the file again; it is cut short, damaged, or no STL file",
    )


def _faces_of_obj(path: Path, data: bytes) -> int:
    return len(re.findall(rb"^[ \t]*f[ \t]", data, re.MULTILINE))


def _faces_of_ply(path: Path, data: bytes) -> int:
    head, found, _ = data[:100_000].partition(b"end_header")
    if not head.startswith(b"ply") or not found:
        raise unusable(path, "it does not begin like a PLY file", "export the file again")
    counts = {name: int(count) for name, count in re.findall(rb"element\s+(\w+)\s+(\d+)", head)}
    if b"format ascii" in head:
        lines = sum(1 for line in data[len(head) + len(found) :].splitlines() if line.strip())
        if lines < sum(counts.values()):
            raise unusable(
                path,
                f"its head announces {sum(counts.values())} lines and it has {lines}: it is cut short",
                "export or copy the file again",
            )
    return counts.get(b"face", 0)


def _faces_of_off(path: Path, data: bytes) -> int:
    lines = [line for line in (row.split(b"#")[0].strip() for row in data.splitlines()) if line]
    first = re.match(rb"^\w*OFF\b\s*(.*)$", lines[0]) if lines else None
    if first is None:
        raise unusable(path, "it does not begin like an OFF file", "export the file again")
    rest = ([first[1]] if first[1] else []) + lines[1:]
    counts = rest[0].split() if rest else []
    if len(counts) < 2 or not all(count.isdigit() for count in counts):
        raise unusable(path, "the line of counts is missing or wrong", "export the file again")
    corners, faces = int(counts[0]), int(counts[1])
    if len(rest) - 1 < corners + faces:
        raise unusable(
            path,
            f"it announces {corners} corners and {faces} faces and has {len(rest) - 1} lines: it is cut short",
            "export or copy the file again",
        )
    return faces


def _check_glb(path: Path, data: bytes) -> None:
    """Refuse files whose triangles are packed in a way that the parser does not unpack."""
    if data[:4] != b"glTF" or len(data) < 20:
        raise unusable(path, "it does not begin like a GLB file", "export the file again as binary glTF 2.0")
    length = struct.unpack_from("<I", data, 12)[0]
    try:
        head = json.loads(data[20 : 20 + length])
        needed = head.get("extensionsRequired", [])
        placing = {name for node in head.get("nodes", []) for name in node.get("extensions", {})}
        bends = any("skin" in node for node in head.get("nodes", [])) or any(
            "targets" in each for mesh in head.get("meshes", []) for each in mesh.get("primitives", [])
        )
    except (ValueError, AttributeError, TypeError) as error:
        raise unusable(path, f"its head cannot be read ({error})", "export the file again") from error
    unread = [name for name in (*needed, *sorted(placing)) if not str(name).startswith(HARMLESS)]
    if unread:
        raise unusable(path, f"it needs {', '.join(unread)}, which is not read", "export it again without extensions")
    if bends:
        raise unusable(path, "it bends or morphs its meshes", "export the part as it stands, without animation")


# GLB has no plain count of faces, and its parser itself refuses a file that is cut short.
ANNOUNCED = {"stl": _faces_of_stl, "obj": _faces_of_obj, "ply": _faces_of_ply, "off": _faces_of_off}
