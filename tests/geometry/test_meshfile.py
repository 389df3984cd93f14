"""Reading mesh files: formats, units, refusals, and what is said about their health."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from mesh_writers import SIDES, binary_stl, both, brick, glb, obj, off, ply, text_stl

from fitcheck.errors import MeshFileError
from fitcheck.geometry.meshfile import MOST_BYTES, describe, read_mesh
from fitcheck.geometry.solids import mesh

BRICK = brick((40.0, 30.0, 20.0), (5.0, -6.0, 7.0))


def read(folder: Path, data: bytes, name: str = "part.stl", unit: float | None = 1.0):
    path = folder / name
    path.write_bytes(data)
    return read_mesh(path, unit)


def said(model) -> str:
    return " ".join(describe(model))


@pytest.mark.parametrize(
    ("name", "write"),
    [("a.stl", binary_stl), ("a.STL", text_stl), ("a.obj", obj), ("a.Ply", ply), ("a.off", off)],
)
def test_every_format_without_a_unit_takes_the_stated_one(tmp_path, name, write):
    model = read(tmp_path, write(*BRICK), name, 25.4)
    assert model.file_unit is None
    assert model.unit_mm == 25.4
    assert model.health.extents_mm == pytest.approx((1016.0, 762.0, 508.0), rel=1e-7)
    assert model.health.volume_mm3 == pytest.approx(24000.0 * 25.4**3, rel=1e-6)
    assert (len(model.vertices), model.health.triangles, model.health.bodies) == (8, 12, 1)
    assert model.vertices.min(axis=0) == pytest.approx([127.0, -152.4, 177.8], rel=1e-6)
    assert model.health.notes == ()


@pytest.mark.parametrize("name", ["a.stl", "a.obj", "a.ply", "a.off"])
def test_no_unit_known_is_refused_with_the_words_to_write(tmp_path, name):
    write = {"stl": binary_stl, "obj": obj, "ply": ply, "off": off}[name[-3:]]
    with pytest.raises(MeshFileError, match=r"no unit of their own, and none is stated\n.*unit: mm"):
        read(tmp_path, write(*BRICK), name, None)


def test_glb_is_in_metres(tmp_path):
    model = read(tmp_path, glb(*brick((0.04, 0.03, 0.02))), "part.glb", None)
    assert (model.file_unit, model.unit_mm) == ("metre", 1000.0)
    assert describe(model)[0] == "40.000 x 30.000 x 20.000 mm (GLB files are always in metres)."
    assert model.health.extents_mm == pytest.approx((40.0, 30.0, 20.0), rel=1e-6)


def test_glb_with_another_unit_stated_is_refused_naming_both(tmp_path):
    with pytest.raises(MeshFileError, match=r"unit of 1 mm, the file itself is in metre \(1000 mm\)"):
        read(tmp_path, glb(*brick((0.04, 0.03, 0.02))), "part.glb", 1.0)


def test_glb_placed_twice_once_mirrored(tmp_path):
    nodes = [{"mesh": 0}, {"mesh": 0, "scale": [-1.0, 1.0, 1.0], "translation": [-0.1, 0.0, 0.0]}]
    model = read(tmp_path, glb(*brick((0.04, 0.03, 0.02)), nodes=nodes), "part.glb", None)
    assert model.health.extents_mm == pytest.approx((180.0, 30.0, 20.0), rel=1e-6)
    assert model.health.mirrored
    assert model.health.bodies == 2
    assert model.health.volume_mm3 == pytest.approx(48000.0, rel=1e-6)
    assert "places a mesh mirrored" in said(model)


def test_glb_with_packed_triangles_is_refused(tmp_path):
    packed = glb(*brick((1.0, 1.0, 1.0)), extensionsRequired=["KHR_draco_mesh_compression"])
    with pytest.raises(MeshFileError, match="KHR_draco_mesh_compression, which is not read"):
        read(tmp_path, packed, "part.glb", None)


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("a.stl", b"", "the file is empty"),
        ("a.stl", b"solid Empty\nendsolid Empty", "holds no triangles"),
        ("a.stl", binary_stl(*BRICK)[:-60], "announces 12 triangles, which take 684 bytes; the file has 624"),
        ("a.stl", text_stl(*BRICK)[:-90], "breaks off before its end"),
        ("a.stl", text_stl(*BRICK).replace(b"vertex 5.0", b"vertex 5,0"), "cannot be read as STL"),
        ("a.stl", b"hello", "too short"),
        ("a.ply", ply(*BRICK)[:-40], "cut short"),
        ("a.ply", b"no ply at all", "does not begin like a PLY file"),
        ("a.off", off(*BRICK)[:-20], "cut short"),
        ("a.off", b"OFF\nmany few\n", "line of counts"),
        ("a.obj", b"v 0 0 0\nv 1 0 0\n", "holds no triangles"),
        ("a.obj", obj(BRICK[0], [[0, 1, 99]]), "cannot be read as OBJ"),
        ("a.ply", ply(BRICK[0], np.array([[0, 1, 99]])), "corner that does not exist"),
        ("a.obj", b"v 0 0 0\nv 1 0 nan\nv 0 1 0\nf 1 2 3\n", "not a number"),
        ("a.obj", b"v 0 0 0\nv 1 0 inf\nv 0 1 0\nf 1 2 3\n", "not a number or is infinite"),
        ("a.obj", b"v 0 0 0\nv 1 0 1e30\nv 0 1 0\nf 1 2 3\n", "too far from the origin"),
        ("a.obj", b"v 1 1 1\nv 1 1 1\nv 1 1 1\nf 1 2 3\n", "all its corners are one point"),
        ("a.glb", b"glTF but no more than that", "head cannot be read"),
        ("a.glb", glb(*BRICK)[:-30], "cannot be read as GLB"),
        ("a.step", b"ISO-10303-21;", "it breaks off before its end"),
        ("a.3mf", b"not a zip", "not a 3MF file"),
    ],
)
def test_unusable_files_are_refused_in_plain_words_with_a_mend(tmp_path, name, data, words):
    with pytest.raises(MeshFileError, match=words) as caught:
        read(tmp_path, data, name, None if name.endswith(("glb", "3mf")) else 1.0)
    assert str(caught.value).startswith(f"{name}: ")
    assert "\n    mend: " in str(caught.value)


def test_missing_file_and_folder(tmp_path):
    with pytest.raises(MeshFileError, match=r"gone\.stl: it cannot be opened \(No such file"):
        read_mesh(tmp_path / "gone.stl", 1.0)
    (tmp_path / "folder.stl").mkdir()
    with pytest.raises(MeshFileError, match="a folder, not a file"):
        read_mesh(tmp_path / "folder.stl", 1.0)


def test_too_large_a_file_is_refused_unread(tmp_path):
    path = tmp_path / "huge.stl"
    with path.open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    with pytest.raises(MeshFileError, match="600 MB are read"):
        read_mesh(path, 1.0)


def test_quads_are_cut_and_said_so(tmp_path):
    quads = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
    model = read(tmp_path, obj(BRICK[0], quads), "a.obj")
    assert model.health.triangles == 12
    assert model.health.volume_mm3 == pytest.approx(24000.0, rel=1e-12)
    assert "cut into triangles" in said(model)


def test_leak_is_counted_and_nothing_mended(tmp_path):
    model = read(tmp_path, binary_stl(BRICK[0], BRICK[1][1:]))
    health = model.health
    assert (health.closed, health.leaks, health.triangles, health.volume_mm3) == (False, 3, 11, None)
    assert model.solid_faces is None
    assert "open along 3 edges" in said(model)
    assert "volume and centroid cannot be told" in said(model)


def test_inside_out_is_said_and_measured_turned(tmp_path):
    model = read(tmp_path, binary_stl(BRICK[0], BRICK[1][:, ::-1]))
    assert model.health.inverted
    assert model.health.volume_mm3 == pytest.approx(24000.0, rel=1e-6)
    assert "inside out" in said(model)
    assert mesh(model.vertices, model.faces[:, ::-1]).volume == pytest.approx(24000.0, rel=1e-6)
    assert mesh(model.vertices, model.solid_faces).volume == pytest.approx(24000.0, rel=1e-6)


def test_mixed_winding_has_no_volume(tmp_path):
    faces = BRICK[1].copy()
    faces[0] = faces[0, ::-1]
    health = read(tmp_path, binary_stl(BRICK[0], faces)).health
    assert (health.closed, health.mixed_winding, health.volume_mm3) == (True, True, None)


def test_doubled_triangle(tmp_path):
    model = read(tmp_path, binary_stl(BRICK[0], np.vstack([BRICK[1], BRICK[1][:1]])))
    assert (model.health.duplicate_faces, model.health.closed, model.health.volume_mm3) == (1, False, None)
    assert "1 triangle is there more than once" in said(model)
    assert "3 edges are shared by more than two triangles" in said(model)


def test_empty_triangles_are_counted_and_do_no_harm(tmp_path):
    faces = np.vstack([BRICK[1], [[0, 0, 1]]])
    model = read(tmp_path, binary_stl(BRICK[0], faces))
    assert (model.health.degenerate_faces, model.health.closed) == (1, True)
    assert model.health.volume_mm3 == pytest.approx(24000.0, rel=1e-6)
    assert len(model.solid_faces) == 12
    assert "1 triangle has no area" in said(model)


def test_two_bodies_apart(tmp_path):
    model = read(tmp_path, binary_stl(*both(brick((10, 10, 10)), brick((20, 10, 10), (15, 0, 0)))))
    assert model.health.bodies == 2
    assert model.health.volume_mm3 == pytest.approx(3000.0, rel=1e-9)
    assert "24 triangles in 2 bodies" in said(model)


def test_bodies_that_overlap_have_no_volume(tmp_path):
    model = read(tmp_path, binary_stl(*both(brick((10, 10, 10)), brick((10, 10, 10), (5, 1, 1)))))
    assert (model.health.closed, model.health.volume_mm3) == (True, None)
    assert "run into one another" in said(model)


def test_bodies_whose_boxes_alone_overlap_have_a_volume(tmp_path):
    wedge = np.array([[0.0, 0, 0], [10, 0, 0], [0, 10, 0], [0, 0, 10]])
    sides = np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]])
    other = (np.array([9.0, 9.0, 9.0]) - wedge * 0.5, sides[:, ::-1])
    model = read(tmp_path, binary_stl(*both((wedge, sides), other)))
    assert model.health.volume_mm3 == pytest.approx(1000 / 6 * (1 + 1 / 8), rel=1e-6)


@pytest.mark.parametrize("turned", [False, True])
def test_hollow_is_taken_off_also_when_all_is_inside_out(tmp_path, turned):
    outer, inner = brick((20, 20, 20)), brick((10, 10, 10), (5, 5, 5))
    vertices, faces = both(outer, (inner[0], inner[1][:, ::-1]))
    model = read(tmp_path, binary_stl(vertices, faces[:, ::-1] if turned else faces))
    assert model.health.inverted is turned
    assert model.health.volume_mm3 == pytest.approx(7000.0, rel=1e-9)
    assert "taken as hollows" in said(model)


def test_one_of_two_bodies_inside_out_has_no_volume(tmp_path):
    outer, other = brick((20, 20, 20)), brick((10, 10, 10), (30, 0, 0))
    model = read(tmp_path, binary_stl(*both(outer, (other[0], other[1][:, ::-1]))))
    assert (model.health.inverted, model.health.volume_mm3) == (True, None)
    assert "1 of 2 bodies is inside out" in said(model)


def test_cracks_of_rounding_are_merged_and_said(tmp_path):
    vertices, faces = brick((400.0, 30.0, 20.0))
    apart = vertices[faces.ravel()] + np.linspace(-2e-4, 2e-4, 36)[:, None]
    model = read(tmp_path, obj(apart, np.arange(36).reshape(-1, 3)), "a.obj")
    assert model.health.closed
    assert model.health.volume_mm3 == pytest.approx(240000.0, rel=1e-4)
    assert "corners within 0.0008 mm are taken as one" in said(model)


def test_wide_cracks_stay(tmp_path):
    vertices, faces = brick((400.0, 30.0, 20.0))
    apart = vertices[faces.ravel()] + np.linspace(-0.1, 0.1, 36)[:, None]
    model = read(tmp_path, obj(apart, np.arange(36).reshape(-1, 3)), "a.obj")
    assert (model.health.closed, model.health.bodies, model.health.leaks) == (False, 12, 36)


def test_flat_closed_sheet_encloses_nothing(tmp_path):
    vertices = np.array([[0.0, 0, 0], [50, 0, 0], [50, 50, 0], [0, 50, 0]])
    there_and_back = [[0, 1, 2], [0, 2, 3], [1, 0, 3], [1, 3, 2]]
    model = read(tmp_path, obj(vertices, there_and_back), "a.obj")
    assert model.health.volume_mm3 is None
    assert "encloses no volume" in said(model)


@pytest.mark.parametrize(("size", "odd"), [(2.0, True), (200.0, False), (20000.0, True)])
def test_odd_sizes_ask_for_a_look_at_the_unit(tmp_path, size, odd):
    assert ("check the unit" in said(read(tmp_path, binary_stl(*brick((size, size, size)))))) is odd


def test_text_stl_of_several_solids_is_one_part(tmp_path):
    data = text_stl(*brick((10, 10, 10))) + text_stl(*brick((10, 10, 10), (20, 0, 0)))
    model = read(tmp_path, data)
    assert (model.health.triangles, model.health.bodies) == (24, 2)
    assert model.health.volume_mm3 == pytest.approx(2000.0, rel=1e-9)


def test_description_gives_size_unit_and_volume(tmp_path):
    assert describe(read(tmp_path, binary_stl(*BRICK), unit=10.0)) == [
        "400.000 x 300.000 x 200.000 mm (as stated, one unit is 10 mm).",
        "12 triangles in one body.",
        "Closed, with a volume of 24000000.0 mm3.",
    ]


def test_sides_of_the_made_up_brick_face_outward():
    vertices, _ = brick((1, 1, 1))
    normals = np.cross(vertices[SIDES[:, 1]] - vertices[SIDES[:, 0]], vertices[SIDES[:, 2]] - vertices[SIDES[:, 0]])
    assert (np.einsum("ij,ij->i", normals, vertices[SIDES].mean(axis=1) - 0.5) > 0).all()
