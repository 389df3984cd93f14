"""The nodes of a plain GLB file: names, places, colours and triangles, as far as an exporter of solids writes them.

Only what such a file holds is read: float corners, whole-number indices, matrices, flat colours. For GLB files of other
origin see `meshfile_plain`.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from fitcheck.geometry.meshfile_raw import Faces, Points

KINDS = {5121: "<u1", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
"""glTF 2.0, accessor component types (public text of the specification)."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Node:
    """One mesh where it stands: vertices (V, 3) in metres, faces (F, 3), and the names from the top down to it.

    `colour` is "#rrggbb", None where none is given.
    """

    names: tuple[str, ...]
    vertices: Points
    faces: Faces
    colour: str | None


def nodes_of(data: bytes) -> Iterator[Node]:
    """Every mesh of the file's scene, in file order. Raises ValueError, KeyError or IndexError for another content."""
    if data[:4] != b"glTF":
        raise ValueError("no GLB file")
    length = struct.unpack_from("<I", data, 12)[0]
    head = json.loads(data[20 : 20 + length])
    binary = memoryview(data)[28 + length :]
    for top in head["scenes"][head.get("scene", 0)].get("nodes", ()):
        yield from _below(head, binary, top, np.eye(4), ())


def _below(
    head: dict[str, Any], binary: memoryview, number: int, place: Points, above: tuple[str, ...]
) -> Iterator[Node]:
    node = head["nodes"][number]
    names = (*above, str(node.get("name", "")))
    own = np.array(node["matrix"], dtype=np.float64).reshape(4, 4).T if "matrix" in node else np.eye(4)
    place = place @ own
    if "mesh" in node:
        mesh = head["meshes"][node["mesh"]]
        pieces = [_primitive(head, binary, each) for each in mesh["primitives"] if each.get("mode", 4) == 4]
        if pieces:
            starts = np.cumsum([0] + [len(vertices) for vertices, _, _ in pieces[:-1]])
            vertices = np.vstack([vertices for vertices, _, _ in pieces])
            colours = {colour for _, _, colour in pieces}
            yield Node(
                names=names,
                vertices=vertices @ place[:3, :3].T + place[:3, 3],
                faces=np.vstack([faces + start for (_, faces, _), start in zip(pieces, starts, strict=True)]),
                colour=colours.pop() if len(colours) == 1 else None,
            )
    for child in node.get("children", ()):
        yield from _below(head, binary, child, place, names)


def _primitive(head: dict[str, Any], binary: memoryview, primitive: dict[str, Any]) -> tuple[Points, Faces, str | None]:
    vertices = _values(head, binary, primitive["attributes"]["POSITION"], 3).astype(np.float64)
    faces = _values(head, binary, primitive["indices"], 1).astype(np.int64).reshape(-1, 3)
    material = head.get("materials", ())[primitive["material"]] if "material" in primitive else {}
    shade = material.get("pbrMetallicRoughness", {}).get("baseColorFactor")
    return vertices, faces, None if shade is None else "#" + "".join(f"{_byte(each):02x}" for each in shade[:3])


def _values(head: dict[str, Any], binary: memoryview, number: int, width: int) -> Any:
    accessor = head["accessors"][number]
    view = head["bufferViews"][accessor["bufferView"]]
    kind = np.dtype(KINDS[accessor["componentType"]])
    start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
    stride = view.get("byteStride", width * kind.itemsize)
    rows = np.ndarray((accessor["count"], width), kind, buffer=binary, offset=start, strides=(stride, kind.itemsize))
    return rows.copy()


def _byte(linear: float) -> int:
    """A linear share of light as the usual colour byte (IEC 61966-2-1, its public formula)."""
    share = 12.92 * linear if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055
    return round(255 * min(max(share, 0.0), 1.0))
