"""Make the mesh files of these scenarios again, byte for byte: python demo_geometry/make_meshes.py

01_crew_shuttle/duct.stl        an air duct, binary STL, drawn in mm (an STL file cannot say so)
02_harbour_launch/blower.3mf    a blower housing, 3MF, drawn in inches (the file says so)

The standard library is enough for it. All solids are closed, with outward faces.
"""

from __future__ import annotations

import struct
import zipfile
from collections.abc import Sequence
from pathlib import Path

HERE = Path(__file__).parent

Point = tuple[float, float, float]
Corners = tuple[int, int, int]
Solid = tuple[list[Point], list[Corners]]

# A zip entry carries a time; a fixed one keeps the bytes the same.
FIXED_TIME = (2020, 1, 1, 0, 0, 0)


def pipe(stations: Sequence[tuple[float, float, float]], wall: float) -> Solid:
    """A rectangular pipe along x, open at both ends: stations are (x, outside width y, outside height z).

    The low corner of the widest and highest station is at y = z = 0; all stations share the middle line.
    """
    wide, high = max(y for _, y, _ in stations), max(z for _, _, z in stations)
    points: list[Point] = []
    for x, width, height in stations:
        for inset in (0.0, wall):
            half_y, half_z = width / 2 - inset, height / 2 - inset
            points += [
                (x, wide / 2 + side_y * half_y, high / 2 + side_z * half_z)
                for side_y, side_z in ((-1, -1), (1, -1), (1, 1), (-1, 1))
            ]
    faces: list[Corners] = []
    for station in range(len(stations) - 1):
        here, there = 8 * station, 8 * (station + 1)
        for k in range(4):
            n = (k + 1) % 4
            faces += quad(here + k, here + n, there + n, there + k, outward=True)
            faces += quad(here + 4 + k, here + 4 + n, there + 4 + n, there + 4 + k, outward=False)
    last = 8 * (len(stations) - 1)
    for k in range(4):
        n = (k + 1) % 4
        faces += quad(k, n, 4 + n, 4 + k, outward=False)
        faces += quad(last + k, last + n, last + 4 + n, last + 4 + k, outward=True)
    return points, faces


def stepped(outline: Sequence[tuple[float, float]], depth: float) -> Solid:
    """A convex outline in x and z (counter-clockwise seen from -y), drawn out along y."""
    count = len(outline)
    points = [(x, 0.0, z) for x, z in outline] + [(x, depth, z) for x, z in outline]
    faces: list[Corners] = []
    for k in range(count):
        n = (k + 1) % count
        faces += quad(k, n, count + n, count + k, outward=False)
    for k in range(1, count - 1):
        faces += [(0, k, k + 1), (count, count + k + 1, count + k)]
    return points, faces


def quad(a: int, b: int, c: int, d: int, *, outward: bool) -> list[Corners]:
    """Two triangles of a four-cornered face, the other way round unless `outward`."""
    return [(a, b, c), (a, c, d)] if outward else [(a, c, b), (a, d, c)]


def volume(solid: Solid) -> float:
    """Enclosed volume; negative if the faces look inward."""
    points, faces = solid
    return sum(determinant(*(points[corner] for corner in face)) for face in faces) / 6


def determinant(a: Point, b: Point, c: Point) -> float:
    return (
        a[0] * (b[1] * c[2] - b[2] * c[1])
        + a[1] * (b[2] * c[0] - b[0] * c[2])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
    )  # fmt: skip


def write_stl(path: Path, solid: Solid) -> None:
    """Binary STL; normals are left at zero, readers take them from the corners."""
    points, faces = solid
    body = [bytes(80), struct.pack("<I", len(faces))]
    for face in faces:
        body.append(struct.pack("<3f", 0, 0, 0))
        body += [struct.pack("<3f", *points[corner]) for corner in face]
        body.append(struct.pack("<H", 0))
    path.write_bytes(b"".join(body))


def write_3mf(path: Path, solid: Solid, unit: str) -> None:
    """The least that a 3MF file must hold: content types, one relation, one object."""
    points, faces = solid
    vertices = "".join(f'<vertex x="{x:.6g}" y="{y:.6g}" z="{z:.6g}"/>' for x, y, z in points)
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in faces)
    core = "http://schemas.microsoft.com/3dmanufacturing"
    package = "http://schemas.openxmlformats.org/package/2006"
    head = '<?xml version="1.0" encoding="UTF-8"?>\n'
    model = (
        f'{head}<model unit="{unit}" xml:lang="en-US" xmlns="{core}/core/2015/02"><resources>'
        f'<object id="1" type="model"><mesh><vertices>{vertices}</vertices><triangles>{triangles}</triangles></mesh>'
        '</object></resources><build><item objectid="1"/></build></model>\n'
    )
    types = (
        f'{head}<Types xmlns="{package}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>\n'
    )
    relations = (
        f'{head}<Relationships xmlns="{package}/relationships">'
        f'<Relationship Target="/3D/3dmodel.model" Id="rel0" Type="{core}/2013/01/3dmodel"/></Relationships>\n'
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        for name, text in (("[Content_Types].xml", types), ("_rels/.rels", relations), ("3D/3dmodel.model", model)):
            entry = zipfile.ZipInfo(name, FIXED_TIME)
            entry.create_system = 3
            archive.writestr(entry, text)


def duct() -> Solid:
    """560 long, walls 2: a flat mouth 44 wide and 96 high that narrows to a square end 44 x 60 from x = 300 to 380."""
    return pipe([(0, 44, 96), (300, 44, 96), (380, 44, 60), (560, 44, 60)], wall=2)


def blower() -> Solid:
    """A housing 5 in wide and 4 in high with two chamfered upper edges, 3 in deep; drawn in inches."""
    return stepped([(0, 0), (5, 0), (5, 3), (4, 4), (1, 4), (0, 3)], depth=3)


def make(folder: Path = HERE) -> None:
    """Write every mesh file below that folder."""
    for solid in (duct(), blower()):
        if volume(solid) <= 0:
            raise ValueError("a solid is inside out")
    write_stl(folder / "01_crew_shuttle" / "duct.stl", duct())
    write_3mf(folder / "02_harbour_launch" / "blower.3mf", blower(), unit="inch")


if __name__ == "__main__":
    make()
