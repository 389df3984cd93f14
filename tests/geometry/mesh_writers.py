"""Small hand-made meshes and writers for each file format, so that the reader is not tested by its own library."""

from __future__ import annotations

import json
import struct
import zipfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np

CORNERS = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=np.float64)
SIDES = np.array(
    [
        [0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
        [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3],
    ]
)  # fmt: skip


def brick(size: Sequence[float], low: Sequence[float] = (0.0, 0.0, 0.0)) -> tuple[np.ndarray, np.ndarray]:
    """A box as 8 corners and 12 triangles wound outward."""
    return CORNERS * np.array(size) + np.array(low), SIDES.copy()


def both(*meshes: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """Several meshes in one."""
    starts = np.cumsum([0, *(len(vertices) for vertices, _ in meshes)])
    return np.vstack([v for v, _ in meshes]), np.vstack([f + s for (_, f), s in zip(meshes, starts, strict=False)])


def binary_stl(vertices: np.ndarray, faces: np.ndarray) -> bytes:
    rows = [
        struct.pack("<12fH", 0.0, 0.0, 0.0, *(float(x) for corner in face for x in vertices[corner]), 0)
        for face in faces
    ]
    return b"made for a test".ljust(80) + struct.pack("<I", len(faces)) + b"".join(rows)


def text_stl(vertices: np.ndarray, faces: np.ndarray, digits: int = 6) -> bytes:
    lines = ["solid made"]
    for face in faces:
        corners = [" ".join(f"{x:.{digits}e}" for x in vertices[corner]) for corner in face]
        lines += [
            "facet normal 0 0 0",
            "outer loop",
            *(f"vertex {corner}" for corner in corners),
            "endloop",
            "endfacet",
        ]
    return "\n".join([*lines, "endsolid made", ""]).encode()


def obj(vertices: np.ndarray, faces: Sequence[Sequence[int]]) -> bytes:
    rows = [f"v {x!r} {y!r} {z!r}" for x, y, z in vertices.tolist()]
    rows += ["f " + " ".join(str(corner + 1) for corner in face) for face in faces]
    return "\n".join(["mtllib elsewhere.mtl", *rows, ""]).encode()


def ply(vertices: np.ndarray, faces: np.ndarray) -> bytes:
    head = ["ply", "format ascii 1.0", f"element vertex {len(vertices)}", *(f"property double {x}" for x in "xyz")]
    head += [f"element face {len(faces)}", "property list uchar int vertex_indices", "end_header"]
    rows = [" ".join(repr(x) for x in row) for row in vertices.tolist()]
    rows += [" ".join(str(x) for x in (3, *face)) for face in faces.tolist()]
    return "\n".join([*head, *rows, ""]).encode()


def off(vertices: np.ndarray, faces: np.ndarray) -> bytes:
    rows = [" ".join(repr(x) for x in row) for row in vertices.tolist()]
    rows += [" ".join(str(x) for x in (3, *face)) for face in faces.tolist()]
    return "\n".join(["OFF", "# made for a test", f"{len(vertices)} {len(faces)} 0", *rows, ""]).encode()


def glb(
    vertices: np.ndarray, faces: np.ndarray, nodes: Sequence[dict[str, object]] = ({"mesh": 0},), **more: object
) -> bytes:
    """Vertices in metres; `nodes` is a flat list, all of them in the scene."""
    points, corners = vertices.astype("<f4").tobytes(), faces.astype("<u4").tobytes()
    head = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": list(range(len(nodes)))}],
        "nodes": list(nodes),
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": len(vertices), "type": "VEC3",
             "min": vertices.min(axis=0).tolist(), "max": vertices.max(axis=0).tolist()},
            {"bufferView": 1, "componentType": 5125, "count": faces.size, "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": len(points)},
            {"buffer": 0, "byteOffset": len(points), "byteLength": len(corners)},
        ],
        "buffers": [{"byteLength": len(points) + len(corners)}],
        **more,
    }  # fmt: skip
    text = json.dumps(head).encode()
    text += b" " * (-len(text) % 4)
    binary = points + corners
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", len(binary), 0x004E4942) + binary
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def mesh_xml(vertices: np.ndarray, faces: np.ndarray) -> str:
    points = "".join(f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>' for x, y, z in vertices.tolist())
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in faces.tolist())
    return f"<mesh><vertices>{points}</vertices><triangles>{triangles}</triangles></mesh>"


CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"


def model_xml(objects: str, build: str, head: str = 'unit="millimeter"') -> str:
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><model xmlns="{CORE}" xmlns:p="{PRODUCTION}" {head}>'
        f"<resources>{objects}</resources><build>{build}</build></model>"
    )


def write_3mf(path: Path, models: dict[str, str]) -> Path:
    """A 3MF package; the first model is the one that the package points to."""
    kind = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "_rels/.rels",
            '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
            f'<Relationship Id="r" Type="{kind}" Target="/{next(iter(models))}"/></Relationships>',
        )
        for name, text in models.items():
            archive.writestr(name, text)
    return path
