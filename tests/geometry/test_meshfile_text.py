"""Mesh files as other programs write them: objects, groups, corners counted from the end, faces of many corners."""

from __future__ import annotations

import struct

import pytest
from mesh_writers import SIDES, binary_stl, brick, glb, off, text_stl

from fitcheck.errors import MeshFileError
from fitcheck.geometry.meshfile import read_mesh

CORNERS, _ = brick((40.0, 30.0, 20.0))
QUADS = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
ANGLE = [(40, 10), (10, 10), (10, 30), (0, 30), (0, 0), (40, 0)]
"""An L, its inner corner second: not all of it is seen from its first corner."""


def read(folder, data, name):
    path = folder / name
    path.write_bytes(data)
    return read_mesh(path, None if name.endswith("glb") else 1.0)


def rows(shift=0.0):
    return [f"v {x + shift} {y} {z}" for x, y, z in CORNERS.tolist()]


def lines(*parts):
    return "\n".join([line for part in parts for line in part] + [""]).encode()


def faces(counted):
    return ["f " + " ".join(counted(corner) for corner in quad) for quad in QUADS]


OBJ = {
    "groups": lines(["mtllib x.mtl", "o A"], rows(), ["g one", "usemtl red", "s 1"], faces(lambda k: f"{k + 1}")),
    "textures": lines(rows(), ["vt 0 0", "vn 0 0 1"], faces(lambda k: f"{k + 1}/1/1")),
    "normals": lines(rows(), ["vn 0 0 1"], faces(lambda k: f"{k + 1}//1")),
    "colours": lines([row + " 1 0 0" for row in rows()], faces(lambda k: f"{k + 1}")),
    "tabs": lines(rows(), faces(lambda k: f"{k + 1}")).replace(b" ", b"\t"),
    "line ends": lines(rows(), faces(lambda k: f"{k + 1}")).replace(b"\n", b"\r\n"),
    "mark": b"\xef\xbb\xbf" + lines(rows(), faces(lambda k: f"{k + 1}")),
    "carried on": lines(rows(), faces(lambda k: f"{k + 1}")).replace(b"f 1 2", b"f 1 2 \\\n "),
    "remark with a path": lines(["# C:\\parts\\"], rows(), faces(lambda k: f"{k + 1}")),
    "from the end": lines(rows(), ["# v 9 9 9"], faces(lambda k: f"{k - 8}")),
    "all from the end": lines(rows(), ["vt 0 0", "vn 0 0 1"], faces(lambda k: f"{k - 8}/-1/-1")),
    "some from the end": lines(rows(), ["vn 0 0 1"], faces(lambda k: f"{k + 1}//-1")),
}


@pytest.mark.parametrize("way", OBJ)
def test_a_brick_however_an_obj_file_writes_it(tmp_path, way):
    health = read(tmp_path, OBJ[way], "brick.obj").health
    assert health.extents_mm == pytest.approx((40, 30, 20), rel=1e-12)
    assert (health.triangles, health.bodies) == (12, 1)
    assert health.volume_mm3 == pytest.approx(24000, rel=1e-12)


@pytest.mark.parametrize("second", ["from the end", "from the start"])
def test_two_objects_each_with_its_own_corners(tmp_path, second):
    other = faces(lambda k: f"{k - 8}" if second == "from the end" else f"{k + 9}")
    data = lines(["o A"], rows(), faces(lambda k: f"{k - 8}"), ["o B"], rows(100.0), other)
    health = read(tmp_path, data, "two.obj").health
    assert health.extents_mm == pytest.approx((140, 30, 20), rel=1e-12)
    assert (health.triangles, health.bodies) == (24, 2)
    assert health.volume_mm3 == pytest.approx(48000, rel=1e-12)


def prism():
    count = len(ANGLE)
    corners = [(x, y, z) for z in (0, 5) for x, y in ANGLE]
    sides = [[k, k + count, (k + 1) % count + count, (k + 1) % count] for k in range(count)]
    return corners, [list(range(count)), [k + count for k in range(count)][::-1], *sides]


@pytest.mark.parametrize("name", ["angle.off", "angle.obj", "angle.ply"])
def test_faces_of_many_corners(tmp_path, name):
    corners, around = prism()
    if name.endswith("obj"):
        text = [f"v {x} {y} {z}" for x, y, z in corners] + ["f " + " ".join(str(k + 1) for k in one) for one in around]
    else:
        head = [f"OFF {len(corners)} {len(around)} 0"]
        if name.endswith("ply"):
            head = ["ply", "format ascii 1.0", f"element vertex {len(corners)}"]
            head += [f"property float {axis}" for axis in "xyz"] + [f"element face {len(around)}"]
            head += ["property list uchar int vertex_indices", "end_header"]
        text = [*head, *(f"{x} {y} {z}" for x, y, z in corners)]
        text += [" ".join(str(k) for k in (len(one), *one)) for one in around]
    health = read(tmp_path, lines(text), name).health
    assert health.extents_mm == pytest.approx((40, 30, 5), rel=1e-12)
    assert health.triangles == 2 * 4 + 6 * 2
    assert health.volume_mm3 == pytest.approx((40 * 10 + 10 * 20) * 5, rel=1e-9)
    assert "Faces with more than three corners were cut into triangles, each from its first corner." in health.notes


@pytest.mark.parametrize(
    "change",
    [
        (b"8 12 0", b"8 12 0 # counts\n\n# more"),
        (b"3 0 1 3", b"3 0 1 3 200 0 0 # red"),
        (b"OFF\n", b"COFF\n"),
        (b"OFF\n# made for a test\n", b"OFF "),
    ],
)
def test_an_off_file_with_remarks_colours_and_counts_on_its_first_line(tmp_path, change):
    data = off(CORNERS, SIDES)
    assert change[0] in data
    health = read(tmp_path, data.replace(*change), "brick.off").health
    assert health.extents_mm == pytest.approx((40, 30, 20), rel=1e-12)
    assert (health.triangles, health.volume_mm3) == (12, pytest.approx(24000, rel=1e-12))


@pytest.mark.parametrize(("word", "order"), [("big", ">"), ("little", "<")])
@pytest.mark.parametrize(("number", "letter"), [("float", "f"), ("double", "d")])
def test_a_binary_ply_file_in_either_order_with_colours(tmp_path, word, order, number, letter):
    head = f"ply\nformat binary_{word}_endian 1.0\ncomment made\nelement vertex 8\n"
    head += "".join(f"property {number} {axis}\n" for axis in "xyz") + "property uchar red\n"
    head += "element face 12\nproperty list uchar int vertex_index\nend_header\n"
    data = head.encode()
    data += b"".join(struct.pack(f"{order}3{letter}B", *corner, 200) for corner in CORNERS.tolist())
    data += b"".join(struct.pack(f"{order}B3i", 3, *side) for side in SIDES.tolist())
    health = read(tmp_path, data, "brick.ply").health
    assert health.extents_mm == pytest.approx((40, 30, 20), rel=1e-12)
    assert (health.triangles, health.volume_mm3) == (12, pytest.approx(24000, rel=1e-12))
    with pytest.raises(MeshFileError, match=r"cannot be read as PLY .*\n.*all faces as triangles"):
        read(tmp_path, data[:-30], "cut.ply")


@pytest.mark.parametrize(
    "data",
    [
        text_stl(CORNERS, SIDES).replace(b"solid made", 'solid Träger 1 "a b"'.encode()),
        text_stl(CORNERS, SIDES).replace(b"\n", b"\r\n"),
        text_stl(CORNERS, SIDES).upper(),
        b"\xef\xbb\xbf" + text_stl(CORNERS, SIDES),
        b"solid, but not text".ljust(80) + binary_stl(CORNERS, SIDES)[80:],
    ],
)
def test_an_stl_file_with_names_line_ends_and_a_misleading_head(tmp_path, data):
    health = read(tmp_path, data, "brick.stl").health
    assert health.extents_mm == pytest.approx((40, 30, 20), rel=1e-6)
    assert (health.triangles, health.volume_mm3) == (12, pytest.approx(24000, rel=1e-6))


def test_glb_nodes_one_in_the_other(tmp_path):
    """A quarter turn about z and 0.5 m along x inside; twice the size and 1 m along x outside."""
    turned = [0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 0.5, 0, 0, 1]
    nodes = [{"children": [1], "scale": [2, 2, 2], "translation": [1, 0, 0]}, {"mesh": 0, "matrix": turned}]
    model = read(tmp_path, glb(CORNERS / 1000, SIDES, nodes=nodes, scenes=[{"nodes": [0]}]), "brick.glb")
    assert model.vertices.min(axis=0) == pytest.approx([1940, 0, 0], abs=1e-3)
    assert model.vertices.max(axis=0) == pytest.approx([2000, 80, 40], abs=1e-3)


@pytest.mark.parametrize(
    ("more", "what"),
    [
        ({"nodes": [{"mesh": 0, "extensions": {"EXT_mesh_gpu_instancing": {}}}]}, "needs EXT_mesh_gpu_instancing"),
        ({"nodes": [{"mesh": 0, "skin": 0}], "skins": [{"joints": [0]}]}, "bends or morphs its meshes"),
        (
            {"meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "targets": [{"POSITION": 0}]}]}]},
            "bends or morphs its meshes",
        ),
        ({"extensionsRequired": ["KHR_mesh_quantization"]}, "needs KHR_mesh_quantization"),
        ({"meshes": 5}, "its head cannot be read"),
    ],
)
def test_glb_files_that_place_or_shape_their_meshes_in_other_ways_are_refused(tmp_path, more, what):
    with pytest.raises(MeshFileError, match=what) as caught:
        read(tmp_path, glb(CORNERS / 1000, SIDES, **more), "brick.glb")
    assert "export" in caught.value.mend
