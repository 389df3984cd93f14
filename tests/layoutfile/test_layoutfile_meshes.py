"""Mesh files in a layout: where they may lie, and what their numbers mean."""

from __future__ import annotations

import pytest
from written import layout_text, only, place_of, read


def text_of(mesh: str, extra: str = "low_corner: [0, 0, 0]") -> str:
    return layout_text(f"  duct: {{role: duct, change: retained, shape: {{mesh: {mesh}}}, mass: 1, {extra}}}\n")


@pytest.fixture
def folder(tmp_path):
    """A layout's folder with some files in it, and one beside it."""
    inside, beside = tmp_path / "bay", tmp_path / "supplier"
    for each in (inside / "parts", beside):
        each.mkdir(parents=True)
    for name in ("duct.stl", "DUCT.STL", "duct.3mf", "duct.glb", "duct.obj", "duct.ply", "duct.off", "parts/fan.stl"):
        (inside / name).write_text("read later")
    (beside / "frame.stl").write_text("read later")
    return inside


@pytest.mark.parametrize(
    ("mesh", "unit_mm"),
    [
        ("{file: duct.stl, unit: mm}", 1.0),
        ("{file: DUCT.STL, unit: in}", 25.4),
        ("{file: duct.obj, unit: m}", 1000.0),
        ("{file: duct.ply, unit: cm}", 10.0),
        ("{file: duct.off, unit: ft}", 304.8),
        ("{file: parts/fan.stl, unit: mm}", 1.0),
        ("{file: ./parts/../duct.stl, unit: mm}", 1.0),
        ("{file: duct.3mf}", None),
        ("{file: duct.glb}", None),
        ("{file: duct.3mf, unit: in}", 25.4),
    ],
)
def test_units_of_mesh_files(folder, mesh, unit_mm):
    shape = read(text_of(mesh), folder).by_name["duct"].shape
    assert shape.unit_mm == unit_mm
    assert shape.path.is_file()
    assert shape.written in mesh


@pytest.mark.parametrize("name", ["duct.stl", "DUCT.STL", "duct.obj", "duct.ply", "duct.off"])
def test_a_file_without_a_unit_is_refused(folder, name):
    text = text_of(f"{{file: {name}}}")
    problem = only(text, folder)
    assert problem.what == f"{name} has no unit of its own and none is stated"
    assert "add unit: mm" in problem.mend
    assert (problem.at.line, problem.at.column) == place_of(text, "mesh:")


@pytest.mark.parametrize(
    ("mesh", "what", "mend", "at"),
    [
        ("{file: dcut.stl, unit: mm}", "there is no file dcut.stl", "did you mean 'duct.stl'?", "dcut"),
        ("{file: nowhere/duct.stl, unit: mm}", "there is no file nowhere/duct.stl", "check the path", "nowhere"),
        ("{file: parts, unit: mm}", "no mesh file that fitcheck reads", "STL, OBJ, PLY, OFF, 3MF, GLB", "parts,"),
        ("{file: duct.step, unit: mm}", "there is no file duct.step", "did you mean 'duct.stl'?", "duct.step"),
        ("{file: duct.STP, unit: mm}", "there is no file duct.STP", "did you mean 'duct.stl'?", "duct.STP"),
        ("{file: ../supplier/frame.stl, unit: mm}", "outside the layout's folder", "command line", "../supplier"),
        ("{file: ../bay2/x.stl, unit: mm}", "outside the layout's folder", "command line", "../bay2"),
        ("{file: /etc/frame.stl, unit: mm}", "outside the layout's folder", "command line", "/etc"),
        ("{file: duct.stl, unit: kg}", "'kg' is a unit of mass", "length", "kg"),
        ("{file: duct.stl, unit: mm, tolerance: 0.1 ± 0.1}", "a tolerance on a length", "plain number", "0.1 ±"),
        ("{unit: mm}", "'mesh' has no 'file'", "add file", "mesh:"),
    ],
)
def test_files_that_are_refused(folder, mesh, what, mend, at):
    text = text_of(mesh)
    problem = only(text, folder)
    assert what in problem.what
    assert mend in problem.mend
    assert (problem.at.line, problem.at.column) == place_of(text, at)


def test_a_link_that_leaves_the_folder_is_refused(folder):
    (folder / "link.stl").symlink_to(folder.parent / "supplier" / "frame.stl")
    assert "outside the layout's folder" in only(text_of("{file: link.stl, unit: mm}"), folder).what


def test_an_allowed_folder_is_allowed(folder):
    text = text_of("{file: ../supplier/frame.stl, unit: mm}")
    shape = read(text, folder, allow=(folder.parent / "supplier",)).by_name["duct"].shape
    assert shape.path == (folder.parent / "supplier" / "frame.stl").resolve()


def test_file_scale_and_tolerance(folder):
    text = text_of("{file: duct.stl, unit: mm, file_scale: {along: x, length: 640 ± 2}, tolerance: 0.5 mm}")
    layout = read(text, folder)
    shape = layout.by_name["duct"].shape
    assert shape.file_scale.along == 0
    assert shape.file_scale.length == layout.quantities["duct.file_scale"]
    assert (shape.file_scale.length.nominal, shape.file_scale.length.above) == (640.0, 2.0)
    assert shape.tolerance == 0.5


def test_file_origin(folder):
    text = text_of("{file: duct.stl, unit: mm}", "file_origin: [5, 6 ± 1, 7]")
    layout = read(text, folder)
    part = layout.by_name["duct"]
    assert part.placings == ()
    assert [value.nominal for value in part.file_origin] == [5, 6, 7]
    assert layout.quantities["duct.file_origin.y"].above == 1.0


def test_a_mirror_part_placed_otherwise_leaves_the_file_origin(folder):
    text = text_of("{file: duct.stl, unit: mm}", "file_origin: [5, 6, 7]")
    text += "  duct_2: {like: duct, low_corner: [9, 9, 9]}\n  duct_3: {like: duct}\n"
    layout = read(text, folder)
    assert layout.by_name["duct_2"].file_origin is None
    assert len(layout.by_name["duct_2"].placings) == 3
    assert layout.by_name["duct_3"].file_origin[2].name == "duct_3.file_origin.z"


def test_file_origin_is_for_meshes():
    text = layout_text("  p: {role: duct, change: new, shape: {box: [1, 1, 1]}, mass: 1, file_origin: [0, 0, 0]}\n")
    problem = only(text)
    assert problem.what == "p is no mesh"
    assert (problem.at.line, problem.at.column) == place_of(text, "file_origin")
