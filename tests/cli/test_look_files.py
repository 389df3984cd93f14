"""`fitcheck look` on every kind of supplier file, and what a user sees when one of them cannot be used."""

from __future__ import annotations

import importlib.util
import json
import zipfile

import ezdxf
import numpy as np
import pytest
import yaml
from supplier_files import DEMO, Part, Place, Solid, block, script, step

from fitcheck.__main__ import main
from fitcheck.geometry import mesh_blocks

CORNERS = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=np.float64)
SIDES = [
    (0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1),
    (2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3),
]  # fmt: skip


def off_file(path, size, left_out=0):
    faces = SIDES[left_out:]
    rows = [" ".join(str(value) for value in corner) for corner in (CORNERS * size).tolist()]
    rows += [f"3 {a} {b} {c}" for a, b, c in faces]
    path.write_text("\n".join([f"OFF\n8 {len(faces)} 0", *rows, ""]), encoding="utf-8")
    return path


def look(capsys, path, *options):
    status = main(["look", str(path), *options])
    streams = capsys.readouterr()
    return status, streams.out, streams.err


def data_of(capsys, path, *options):
    status, said, _ = look(capsys, path, "--json", *options)
    assert status == 0
    return json.loads(said)


def test_an_assembly_in_step(tmp_path, capsys):
    path = tmp_path / "trestle.step"
    foot = Part(
        name="foot", solid=block((40, 20, 10)), colour=(1, 0, 0), places=[Place(), Place(at=(200, 0, 0), x=(0, 1, 0))]
    )
    path.write_text(step([foot, Part(name="pin", solid=Solid(low=20, high=50, bar=(10, 10, 4)))], assembly="trestle"))
    status, said, _ = look(capsys, path)
    assert status == 0
    assert said.splitlines()[1:8] == [
        "  200.000 x 40.000 x 50.000 mm (the file says millimetre).",
        "  Its low corner lies at (0.000, 0.000, 0.000) mm from the file's own zero.",
        *said.splitlines()[3:5],
        "  Curved faces are cut into facets; every surface is taken to lie up to 0.03 mm off because of it.",
        "  The file names 3 parts:",
        *said.splitlines()[7:8],
    ]
    assert "trestle / foot  40.000 x 20.000 x 10.000 mm  12 triangles" in said
    assert "trestle / foot  20.000 x 40.000 x 10.000 mm  12 triangles" in said
    assert "colour #ff0000" in said
    assert "no colour" in said
    assert 'shape: {mesh: {file: "trestle.step"}}' in said
    assert "All of it is one part" in said
    found = data_of(capsys, path)
    assert found["unit"] == {"name": "millimetre", "mm": 1.0, "from": "file"}
    assert [part["names"] for part in found["parts"]] == [["trestle", "foot"], ["trestle", "foot"], ["trestle", "pin"]]
    assert [part["colour"] for part in found["parts"]] == ["#ff0000", "#ff0000", None]
    assert found["parts"][1]["size_mm"] == pytest.approx([20, 40, 10], abs=1e-6)
    assert (found["bodies"], found["closed"], found["open_edges"]) == (3, True, 0)


def test_a_solid_without_a_unit(tmp_path, capsys):
    path = off_file(tmp_path / "block.off", (5, 2.5, 1))
    _, said, _ = look(capsys, path)
    assert "in inches 127.000 x 63.500 x 25.400 mm" in said
    assert 'shape: {mesh: {file: "block.off", unit: mm}}   (or whichever unit it is)' in said
    found = data_of(capsys, path)
    assert found["unit"] is None
    assert found["size_in_file_numbers"] == [5.0, 2.5, 1.0]
    assert found["volume_in_file_numbers"] == pytest.approx(12.5)
    stated = data_of(capsys, path, "--unit", "in")
    assert stated["unit"] == {"name": None, "mm": 25.4, "from": "stated"}
    assert stated["size_mm"] == pytest.approx([127.0, 63.5, 25.4])
    assert stated["volume_mm3"] == pytest.approx(12.5 * 25.4**3)
    assert "unit: in}}" in look(capsys, path, "--unit", "in")[1]


def test_a_mesh_with_a_hole_in_it(tmp_path, capsys):
    path = off_file(tmp_path / "open.off", (50, 40, 30), left_out=2)
    _, said, _ = look(capsys, path, "--unit", "mm")
    assert "The surface is open along 4 edges." in said
    assert "`hull: allowed`" in said
    found = data_of(capsys, path, "--unit", "mm")
    assert (found["closed"], found["open_edges"], found["volume_mm3"], found["is_solid"]) == (False, 4, None, False)
    assert found["surface_mm2"] == pytest.approx(2 * (50 * 40 + 50 * 30 + 40 * 30) - 40 * 30)


def test_a_large_mesh_says_that_it_is_looked_at_by_local_detail(tmp_path, capsys, monkeypatch):
    from fitcheck.geometry import look_mesh

    path = off_file(tmp_path / "block.off", (50, 40, 30))
    assert "beside each neighbour" not in look(capsys, path, "--unit", "mm")[1]
    monkeypatch.setattr(look_mesh, "LARGE", 12)
    assert "beside each neighbour only what lies near is looked at in full" in look(capsys, path, "--unit", "mm")[1]
    assert mesh_blocks.LARGE == 100_000


def drawing(path, units=4):
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = units
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True, dxfattribs={"layer": "CUT"})
    space.add_lwpolyline([(10, 10), (30, 10), (30, 40), (10, 40)], close=True, dxfattribs={"layer": "CUT"})
    space.add_line((0, 5), (100, 5), dxfattribs={"layer": "FOLD"})
    document.saveas(path)
    return path


def test_a_drawing_layer_by_layer(tmp_path, capsys):
    status, said, _ = look(capsys, drawing(tmp_path / "plate.dxf"))
    assert status == 0
    assert "The file says millimetre" in said
    assert "Layer CUT: 2 LWPOLYLINE." in said
    assert "An outline 100.000 x 60.000 mm, 1 hole, area 5400.0 mm2." in said
    assert "No outline: on layer FOLD, 2 ends meet no other: (0.000, 5.000) mm; (100.000, 5.000) mm" in said
    assert 'shape: {prism: {outline: {dxf: "plate.dxf", layer: CUT}, height: …, along: z}}' in said
    found = data_of(capsys, tmp_path / "plate.dxf")
    cut, fold = found["layers"]
    assert (cut["size_mm"], cut["holes"], cut["area_mm2"], cut["hindrance"]) == ([100.0, 60.0], 1, 5400.0, None)
    assert "meet no other" in fold["hindrance"]


def test_a_drawing_without_a_unit(tmp_path, capsys):
    path = drawing(tmp_path / "plate.dxf", units=0)
    said = look(capsys, path)[1]
    assert "The drawing states no unit; a layout has to" in said
    assert "in inches 2540.000 x 1524.000 mm" in said
    assert data_of(capsys, path)["layers"][0]["size_in_file_numbers"] == [100.0, 60.0]
    assert data_of(capsys, path, "--unit", "in")["layers"][0]["size_mm"] == pytest.approx([2540.0, 1524.0])


def test_a_drawing_with_nothing_in_its_model_space(tmp_path, capsys):
    document = ezdxf.new("R2010")
    document.layout("Layout1").add_line((0, 0), (1, 1))
    document.saveas(tmp_path / "sheet.dxf")
    status, said, _ = look(capsys, tmp_path / "sheet.dxf")
    assert status == 0
    assert "Its model space holds nothing; sheets (layouts) are not read: export the part itself." in said
    assert "It cannot be used as an outline yet." in said


NAMES = (
    ("CUT", "CUT"),
    ("0", "0"),
    ("yes", "no"),
    ("Schnitt 2, außen", "Blech 2, außen"),
    ("{cut} # [1]", 'a "b": {c} # d'),
    ("tab'", "back\\slash"),
)


@pytest.mark.parametrize(("layer", "name"), NAMES)
def test_the_shape_that_is_proposed_names_file_and_layer_as_they_are(tmp_path, capsys, layer, name):
    """The line is read back as YAML 1.1, the stricter of the two about which words are text."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 4
    for each in (layer, "other"):
        corners = [(0, 0), (100, 0), (100, 60), (0, 60)]
        document.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": each})
    path = tmp_path / f"{name}.dxf"
    document.saveas(path)
    said = look(capsys, path)[1]
    shapes = [yaml.safe_load(line.replace("…", "3"))["shape"] for line in said.splitlines() if "shape: " in line]
    outlines = [shape["prism"]["outline"] for shape in shapes]
    assert {"dxf": path.name, "layer": layer} in outlines
    mesh = off_file(tmp_path / f"{name}.off", (50, 40, 30))
    proposed = next(line for line in look(capsys, mesh, "--unit", "mm")[1].splitlines() if "shape: " in line)
    assert yaml.safe_load(proposed)["shape"]["mesh"] == {"file": mesh.name, "unit": "mm"}


def test_very_long_names_are_shortened_for_people_and_kept_for_programs(tmp_path, capsys):
    name = "very long name " * 20 + "end"
    path = tmp_path / "part.step"
    path.write_text(step([Part(name=name, solid=block((10, 10, 10)))]), encoding="utf-8")
    said = look(capsys, path)[1]
    assert max(len(line) for line in said.splitlines()) < 150
    assert "very long name very long name very long … " in said
    assert data_of(capsys, path)["parts"][0]["names"] == [name]


def test_a_unit_that_the_format_settles_is_told_as_such(tmp_path, capsys):
    corners = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in (CORNERS * (50, 40, 30)).tolist())
    sides = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in SIDES)
    mesh = f"<mesh><vertices>{corners}</vertices><triangles>{sides}</triangles></mesh>"
    model = '<model%s xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources><object id="1">'
    model += f'{mesh}</object></resources><build><item objectid="1"/></build></model>'
    relation = '<Relationship Id="r" Type="http://x/3dmodel" Target="/m.model"/>'
    for unit, said, origin in (
        ("", "50.000 x 40.000 x 30.000 mm (the file says no unit; 3MF then means millimetre).", "format"),
        (' unit="inch"', "1270.000 x 1016.000 x 762.000 mm (the file says inch).", "file"),
    ):
        path = tmp_path / "block.3mf"
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("_rels/.rels", f"<Relationships>{relation}</Relationships>")
            archive.writestr("m.model", model % unit)
        assert said in look(capsys, path)[1]
        assert data_of(capsys, path)["unit"]["from"] == origin


def test_names_that_would_act_on_a_terminal_are_shown_harmless(tmp_path, capsys):
    path = tmp_path / "part.step"
    path.write_text(step([Part(name="red\x1b[31m", solid=block((10, 10, 10)))]), encoding="utf-8")
    assert "\x1b" not in look(capsys, path)[1]
    assert "\\u001b" not in look(capsys, path, "--json")[1]


@pytest.mark.parametrize(
    ("name", "data", "what"),
    [
        ("part.step", b"ISO-10303-21;\nHEADER;\n", "part.step: it breaks off before its end"),
        ("part.stp", b"solid\n", "part.stp: it does not begin like a STEP file"),
        ("part.step", b"", "part.step: the file is empty"),
        ("plate.dxf", b"0\nSECTION\n", "plate.dxf: it is no DXF file, or breaks off before its end"),
        ("plate.dxf", b"", "plate.dxf: the file is empty"),
        ("part.igs", b"x", 'part.igs: ".igs" is not a kind of mesh file that is read'),
    ],
)
def test_what_cannot_be_used_is_refused_without_a_traceback(tmp_path, capsys, name, data, what):
    (tmp_path / name).write_bytes(data)
    status, said, complaint = look(capsys, tmp_path / name)
    assert (status, said) == (2, "")
    assert what in complaint
    assert "mend: " in complaint
    assert "Traceback" not in complaint


LAYOUT = """\
fitcheck: 1
title: supplier files
units: {length: mm, mass: kg}
axes: {x: rearward, y: right, z: up}
datum: corner
parts:
  part:
    role: bracket
    change: retained
    shape: %s
    low_corner: [0, 0, 0]
"""


@pytest.mark.parametrize(
    ("shape", "where", "what"),
    [
        ("{mesh: {file: cut.step}}", "10:13", "cut.step: it breaks off before its end"),
        ("{mesh: {file: inch.step, unit: mm}}", "10:13", "the file itself is in inch"),
        ("{prism: {outline: {dxf: open.dxf, layer: FOLD}, height: 3, along: z}}", "10:36", "2 ends meet no other"),
        ("{prism: {outline: {dxf: open.dxf}, height: 3, along: z}}", "10:36", "lines on several layers: CUT, FOLD"),
    ],
)
def test_in_a_layout_the_place_is_told(tmp_path, capsys, shape, where, what):
    (tmp_path / "cut.step").write_text("ISO-10303-21;\nHEADER;\n", encoding="utf-8")
    (tmp_path / "inch.step").write_text(
        step([Part(name="cube", solid=block((1, 1, 1)), unit="inch")]), encoding="utf-8"
    )
    drawing(tmp_path / "open.dxf")
    layout = tmp_path / "layout.yaml"
    layout.write_text(LAYOUT % shape, encoding="utf-8")
    assert main(["check", str(layout), "--quiet"]) == 2
    complaint = capsys.readouterr().err
    assert f"layout.yaml:{where}: " in complaint
    assert what in complaint
    assert "Traceback" not in complaint


def test_in_a_layout_the_missing_extra_is_named(tmp_path, capsys, monkeypatch):
    found = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name, *more: None if name == "cascadio" else found(name, *more)
    )
    (tmp_path / "cube.step").write_text(step([Part(name="cube", solid=block((1, 1, 1)))]), encoding="utf-8")
    layout = tmp_path / "layout.yaml"
    layout.write_text(LAYOUT % "{mesh: {file: cube.step}}", encoding="utf-8")
    assert main(["check", str(layout), "--quiet"]) == 2
    complaint = capsys.readouterr().err
    assert "layout.yaml:10:26: cube.step: STEP files need an extra that is not installed" in complaint
    assert "pip install 'fitcheck[step]'" in complaint


def test_the_supplier_files_of_the_scenario_are_what_the_script_makes(tmp_path):
    script("make_supplier_files").make(tmp_path)
    made = sorted(path.name for path in tmp_path.iterdir())
    assert made == ["angle.step", "shelf.dxf", "trestle.step"]
    for name in made:
        assert (tmp_path / name).read_bytes() == (DEMO / "11_supplier_files" / name).read_bytes()
