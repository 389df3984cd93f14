"""3MF files: a zip archive with one or more XML models, in a unit of their own.

Read here and not by a library, because what matters is what a library leaves out: the unit, mirrored placements, the
build list (an object that no build item places is not part of the product) and the extensions a file may require.
"""

from __future__ import annotations

import lzma
import posixpath
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.errors import MeshFileError
from fitcheck.geometry.meshfile_raw import (
    MOST_BYTES,
    MOST_TRIANGLES,
    Faces,
    Points,
    RawMesh,
    joined,
    placed,
    unusable,
)

if TYPE_CHECKING:
    from lxml.etree import _Element

UNIT_MM = {"micron": 0.001, "millimeter": 1.0, "centimeter": 10.0, "inch": 25.4, "foot": 304.8, "meter": 1000.0}
"""Units of the 3MF core specification (read in its public text); a file that states none is in millimetres."""

HARMLESS = ("3dmanufacturing/production/", "3dmanufacturing/material/")
"""Extensions that leave the triangles as they are: parts in several files (read here), colours and materials."""

PRODUCTION = "{http://schemas.microsoft.com/3dmanufacturing/production/2015/06}"
AGAIN = "export the file again, without extensions, or as STL with its unit stated in the layout"
DEEPEST = 32
_UNREADABLE = (
    zipfile.BadZipFile, KeyError, NotImplementedError, RuntimeError, EOFError, OSError, zlib.error, lzma.LZMAError
)  # fmt: skip
"""What taking one file out of an archive raises: of the archive itself, a lock, the way of packing, its data."""


@dataclass(frozen=True, kw_only=True, eq=False)
class _Object:
    """A mesh, or a list of other objects with their transforms."""

    vertices: Points
    faces: Faces
    components: tuple[tuple[tuple[str, str], Points], ...]
    kind: str


@dataclass(kw_only=True, eq=False)
class _Package:
    """The objects read so far, by (model file, object id)."""

    path: Path
    archive: zipfile.ZipFile
    unit: str = ""
    objects: dict[tuple[str, str], _Object] = field(default_factory=dict)
    read: set[str] = field(default_factory=set)


def read_3mf(path: Path) -> RawMesh:
    """The product that the file's build list places, in the file's own unit.

    Raises MeshFileError for what is not a 3MF file, is damaged, places nothing, or needs an extension that changes the
    shape.
    """
    try:
        archive = zipfile.ZipFile(path)
    except zipfile.BadZipFile as error:
        raise _damaged(path, error) from error
    with archive:
        return _read(_Package(path=path, archive=archive))


def _damaged(path: Path, error: Exception) -> MeshFileError:
    return unusable(path, f"this is not a 3MF file, or it is damaged ({error})", "export the file again")


def _read(package: _Package) -> RawMesh:
    root_name = _root_model(package)
    root = _load_model(package, root_name)
    pieces: list[tuple[Points, Faces]] = []
    mirrored, support = False, False
    triangles = 0
    for item in _children(root, "build", "item"):
        key = _reference(package, item, root_name)
        for vertices, faces, transform, kind in _expand(package, key, _transform(package, item), 0):
            triangles += len(faces)
            if triangles > MOST_TRIANGLES:
                raise unusable(package.path, f"it places more than {MOST_TRIANGLES} triangles", "export a coarser mesh")
            moved, turned, mirrors = placed(vertices, faces, transform)
            mirrored, support = mirrored or mirrors, support or "support" in kind
            pieces.append((moved, turned))
    if not pieces:
        raise unusable(
            package.path, "its build list places no part", "export the file again with the part in the build"
        )
    vertices, faces = joined(pieces)
    notes = ("The file holds support structures for printing; they are measured like the part.",) if support else ()
    return RawMesh(
        vertices=vertices,
        faces=faces,
        unit=package.unit,
        unit_mm=UNIT_MM[package.unit],
        unit_unsaid="" if root.get("unit") else "the file says no unit; 3MF then means millimetre",
        mirrored=mirrored,
        notes=notes,
    )


def _root_model(package: _Package) -> str:
    """The name of the model that the package's relations point to."""
    relations = _parse(package, "_rels/.rels")
    for relation in relations:
        if str(relation.get("Type", "")).endswith("/3dmodel"):
            return str(relation.get("Target", "")).lstrip("/")
    raise unusable(package.path, "the archive names no 3D model", "export the file again as 3MF")


def _parse(package: _Package, name: str) -> _Element:
    from lxml import etree

    data = _unpacked(package, name)
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, remove_comments=True)
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        raise unusable(package.path, f"{name} inside it cannot be read: {error}", "export the file again") from error
    if root.getroottree().docinfo.doctype:
        # The format forbids it, and it could hold entities that swell.
        raise unusable(package.path, f"{name} inside it declares a document type", "export the file again")
    return root


def _unpacked(package: _Package, name: str) -> bytes:
    """One file of the archive. Missing, locked, cut short or packed in an unknown way, each is told as damage."""
    try:
        size = package.archive.getinfo(name).file_size
        data = package.archive.read(name) if size <= MOST_BYTES else None
    except _UNREADABLE as error:
        raise _damaged(package.path, error) from error
    if data is None:
        raise unusable(package.path, f"{name} unpacks to more than {MOST_BYTES // 10**6} MB", "export a coarser mesh")
    return data


def _load_model(package: _Package, name: str) -> _Element:
    """Read one model file's objects into the package; the first one sets the unit."""
    root = _parse(package, name)
    unit = str(root.get("unit", "millimeter"))
    package.unit = package.unit or unit
    if unit not in UNIT_MM:
        raise unusable(package.path, f'"{unit}" is no unit of 3MF', f"one of {', '.join(UNIT_MM)}")
    if unit != package.unit:
        raise unusable(package.path, f"it mixes {package.unit} and {unit}", "export the file again in one unit")
    for prefix in str(root.get("requiredextensions", "")).split():
        meaning = str(root.nsmap.get(prefix, prefix))
        if not any(known in meaning for known in HARMLESS):
            raise unusable(package.path, f"it needs the extension {meaning}, which is not read", AGAIN)
    package.read.add(name)
    for element in _children(root, "resources", "object"):
        package.objects[name, str(element.get("id"))] = _object(package, element, name)
    return root


def _object(package: _Package, element: _Element, name: str) -> _Object:
    components = tuple(
        (_reference(package, component, name), _transform(package, component))
        for component in _children(element, "components", "component")
    )
    vertices = np.array(_numbers(package, element, "vertices", ("x", "y", "z")), dtype=np.float64).reshape(-1, 3)
    corners = _numbers(package, element, "triangles", ("v1", "v2", "v3"))
    faces = np.array(corners, dtype=np.float64).astype(np.int64).reshape(-1, 3)
    if len(faces) and (faces.min() < 0 or faces.max() >= len(vertices)):
        raise unusable(package.path, "a triangle names a corner that does not exist", "export the file again")
    return _Object(vertices=vertices, faces=faces, components=components, kind=str(element.get("type", "model")))


def _numbers(package: _Package, element: _Element, group: str, names: tuple[str, str, str]) -> list[list[float]]:
    mesh = element.find("{*}mesh")
    rows = None if mesh is None else mesh.find(f"{{*}}{group}")
    if rows is None:
        return []
    try:
        return [[float(row.attrib[name]) for name in names] for row in rows if isinstance(row.tag, str)]
    except (KeyError, ValueError) as error:
        raise unusable(
            package.path, f"a number is missing or wrong in its {group} ({error})", "export the file again"
        ) from error


def _children(element: _Element, group: str, kind: str) -> Iterator[_Element]:
    for found in element.findall(f"{{*}}{group}"):
        yield from found.findall(f"{{*}}{kind}")


def _reference(package: _Package, element: _Element, name: str) -> tuple[str, str]:
    """The (model file, object id) that a build item or component names."""
    other = element.get(f"{PRODUCTION}path")
    return (posixpath.normpath(str(other)).lstrip("/") if other else name, str(element.get("objectid")))


def _transform(package: _Package, element: _Element) -> Points:
    """A 3MF transform is twelve numbers, for row vectors; returned as 4 x 4 for column vectors."""
    matrix = np.eye(4)
    words = str(element.get("transform", "")).split()
    if not words:
        return matrix
    try:
        matrix[:3, :4] = np.array([float(word) for word in words]).reshape(4, 3).T
    except ValueError as error:
        what = f'"{" ".join(words)}" is not a transform of twelve numbers'
        raise unusable(package.path, what, "export the file again") from error
    return matrix


def _expand(
    package: _Package, key: tuple[str, str], transform: Points, depth: int
) -> Iterator[tuple[Points, Faces, Points, str]]:
    """Every mesh of an object, with where it stands."""
    if depth > DEEPEST:
        raise unusable(
            package.path, f"objects are nested more than {DEEPEST} deep, or in a circle", "export the file again"
        )
    if key[0] not in package.read:
        _load_model(package, key[0])
    if key not in package.objects:
        raise unusable(package.path, f"it names the object {key[1]}, which it does not hold", "export the file again")
    found = package.objects[key]
    if len(found.faces):
        yield found.vertices, found.faces, transform, found.kind
    for child, place in found.components:
        yield from _expand(package, child, transform @ place, depth + 1)
