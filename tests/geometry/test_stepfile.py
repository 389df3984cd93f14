"""STEP files written by a script of ours and read back: units, assemblies, names, colours, facets on the safe side.

Sizes and volumes are closed forms. What is cut into facets is compared with the true surface, and the reading with a
second one by another library (the drawing kernel OCCT, through its Python module OCP).
"""

from __future__ import annotations

import importlib.util
import math

import numpy as np
import pytest
from supplier_files import Part, Place, Solid, block, step

from fitcheck.errors import MeshFileError
from fitcheck.geometry import stepfile
from fitcheck.geometry.meshfile import read_mesh

UNITS = {"millimetre": 1.0, "inch": 25.4, "metre": 1000.0}
ANGLE = [(0, 0), (60.96, 0), (60.96, 20.32), (20.32, 20.32), (20.32, 50.8), (0, 50.8)]
ANGLE_AREA = 60.96 * 20.32 + 20.32 * (50.8 - 20.32)
PLATE = Solid(low=0, high=12, outline=[(0, 0), (120, 0), (120, 80), (0, 80)], holes=[(30, 40, 6.5), (80, 40, 20)])
PLATE_VOLUME = 12 * (120 * 80 - math.pi * (6.5**2 + 20**2))


def read(folder, text, name="part.step"):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return read_mesh(path, None)


def angle(unit):
    mm = UNITS[unit]
    outline = [(x / mm, y / mm) for x, y in ANGLE]
    return step([Part(name="angle", solid=Solid(low=0, high=7.62 / mm, outline=outline), unit=unit)])


@pytest.mark.parametrize("unit", UNITS)
def test_one_part_drawn_in_three_units_is_the_same_part(tmp_path, unit):
    model = read(tmp_path, angle(unit))
    assert (model.file_unit, model.unit_mm, model.off_mm) == (unit, UNITS[unit], 0.0)
    assert model.health.extents_mm == pytest.approx((60.96, 50.8, 7.62), abs=1e-6)
    assert model.health.volume_mm3 == pytest.approx(ANGLE_AREA * 7.62, rel=1e-9)
    assert (model.health.triangles, model.health.bodies) == (20, 1)


def test_a_part_in_inches_stated_in_millimetres_is_refused(tmp_path):
    path = tmp_path / "angle.stp"
    path.write_text(angle("inch"), encoding="utf-8")
    with pytest.raises(MeshFileError, match=r"states a unit of 1 mm, the file itself is in inch \(25\.4 mm\)"):
        read_mesh(path, 1.0)
    assert read_mesh(path, 25.4).health.extents_mm[0] == pytest.approx(60.96, abs=1e-6)


def test_more_decimals_than_32_bits_hold_are_allowed_for(tmp_path):
    sizes = (61.234567891, 33.987654321, 7.000000123)
    model = read(tmp_path, step([Part(name="odd", solid=block(sizes))]))
    error = np.abs(np.array(model.health.extents_mm) - sizes).max()
    assert 0.0 < error <= model.off_mm < 2e-4
    assert any("more decimals" in note for note in model.health.notes)


def test_an_assembly_of_parts_used_twice_turned_and_shifted(tmp_path):
    foot = Part(
        name="foot",
        solid=block((40, 20, 10)),
        colour=(1.0, 0.0, 0.0),
        places=[Place(at=(0, 0, 0)), Place(at=(200, 100, 5), x=(0, 1, 0))],
    )
    rail = Part(
        name="rail", solid=block((10, 10, 300)), colour=(0.0, 0.0, 1.0), places=[Place(at=(50, 0, 0), z=(0, 1, 0))]
    )
    model = read(tmp_path, step([foot, rail], assembly="trestle"))
    assert [piece.names for piece in model.pieces] == [("trestle", "foot"), ("trestle", "foot"), ("trestle", "rail")]
    assert [piece.colour for piece in model.pieces] == ["#ff0000", "#ff0000", "#0000ff"]
    boxes = []
    for faces in np.split(model.faces, np.cumsum([piece.faces for piece in model.pieces])[:-1]):
        corners = model.vertices[faces.ravel()]
        boxes.append((corners.min(axis=0).tolist(), corners.max(axis=0).tolist()))
    # The second foot's x points along y and its y against x; the rail's z along y, its y (z cross x) against z.
    assert boxes == [
        ([0, 0, 0], [40, 20, 10]),
        ([180, 100, 5], [200, 140, 15]),
        ([50, 0, -10], [60, 300, 0]),
    ]
    assert model.health.volume_mm3 == pytest.approx(2 * 40 * 20 * 10 + 10 * 10 * 300, rel=1e-9)


def test_parts_in_several_units_are_each_read_in_their_own(tmp_path):
    parts = [
        Part(name="one", solid=block((1, 2, 3)), unit="inch"),
        Part(name="two", solid=block((10, 20, 30)), places=[Place(at=(100, 0, 0))]),
    ]
    model = read(tmp_path, step(parts, assembly="both"))
    assert model.file_unit == "millimetre and inch"
    assert model.health.extents_mm == pytest.approx((110.0, 50.8, 76.2), abs=1e-6)
    assert any("drawn in millimetre and inch" in note for note in model.health.notes)


def test_names_with_quotes_and_letters_beyond_ascii(tmp_path):
    name = "Träger \"A\" 'B'"
    assert read(tmp_path, step([Part(name=name, solid=block((10, 10, 10)))])).pieces[0].names == (name,)


@pytest.mark.parametrize("unit", UNITS)
def test_holes_are_cut_into_facets_within_what_is_allowed_for(tmp_path, unit):
    mm = UNITS[unit]
    holes = [tuple(value / mm for value in hole) for hole in PLATE.holes]
    outline = [(x / mm, y / mm) for x, y in PLATE.outline]
    plate = Solid(low=0, high=12 / mm, outline=outline, holes=holes)
    model = read(tmp_path, step([Part(name="plate", solid=plate, unit=unit)]))
    assert model.off_mm == pytest.approx(stepfile.OFF_MM, abs=2e-4)
    assert model.health.extents_mm == pytest.approx((120, 80, 12), abs=2e-4)
    radius = 20
    ring = model.vertices[np.hypot(model.vertices[:, 0] - 80, model.vertices[:, 1] - 40) < radius + 1]
    reached = np.hypot(ring[:, 0] - 80, ring[:, 1] - 40)
    assert np.abs(reached - radius).max() < 2e-4
    # Chords of a hole lie nearer to its middle than its wall: the material is never taken too small there by more
    # than the volume between chord and arc, and never too large by more than what is allowed for.
    around = np.sort(np.arctan2(ring[ring[:, 2] < 1, 1] - 40, ring[ring[:, 2] < 1, 0] - 80))
    widest = np.diff(np.append(around, around[0] + 2 * math.pi)).max()
    assert 0.0 < radius * (1 - math.cos(widest / 2)) <= stepfile.FACETS_MM
    skin = model.off_mm * 2 * math.pi * (6.5 + 20) * 12
    assert 0.0 < model.health.volume_mm3 - PLATE_VOLUME < skin


def test_a_gap_to_a_round_bar_is_never_said_larger_than_it_is(tmp_path):
    """A bar of radius 9.37 turned by any angle has the closed-form distance to a point; the facets come close to it."""
    model = read(tmp_path, step([Part(name="bar", solid=Solid(low=0, high=50, bar=(0, 0, 9.37)))]))
    points = model.vertices[model.faces]
    for degrees in np.arange(0.0, 360.0, 0.25):
        outward = np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees)), 0.0])
        reach = float((points @ outward).max())  # a wall square to `outward` stands `reach` from the axis
        assert 9.37 - model.off_mm <= reach <= 9.37 + model.off_mm


def test_the_same_solid_by_another_reader(tmp_path, capfd):
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.STEPControl import STEPControl_Reader

    model = read(tmp_path, step([Part(name="plate", solid=PLATE)]))
    reader, properties = STEPControl_Reader(), GProp_GProps()
    reader.ReadFile(str(tmp_path / "part.step"))
    reader.TransferRoots()
    BRepGProp.VolumeProperties_s(reader.OneShape(), properties)
    assert properties.Mass() == pytest.approx(PLATE_VOLUME, rel=1e-9)
    assert model.health.volume_mm3 == pytest.approx(properties.Mass(), rel=1e-3)


GOOD = step([Part(name="cube", solid=block((10, 10, 10)))])


@pytest.mark.parametrize(
    ("text", "what", "mend"),
    [
        ("", "the file is empty", "copy the file again"),
        ("solid cube\nendsolid cube\n", "it does not begin like a STEP file", "export the file again as STEP"),
        (GOOD[: len(GOOD) // 2], "it breaks off before its end", "export or copy the file again"),
        (
            GOOD.replace("GLOBAL_UNIT_ASSIGNED_CONTEXT", "OTHER"),
            "it does not say which unit its lengths are in",
            "export",
        ),
        (GOOD.replace("LENGTH_UNIT()", "MASS_UNIT()"), "it does not say which unit its lengths are in", "unit: stated"),
        (GOOD[: GOOD.index("DATA;")] + "DATA;\nENDSEC;\nEND-ISO-10303-21;\n", "it does not say which unit", "export"),
        (GOOD.replace("MANIFOLD_SOLID_BREP", "NOTHING_OF_THE_KIND"), "it holds no solid or surface", "the part itself"),
        (GOOD.replace("CLOSED_SHELL", "NO_SHELL"), "it holds no solid or surface", "the part itself"),
    ],
)
def test_what_cannot_be_used_is_told_with_what_to_do(tmp_path, text, what, mend):
    with pytest.raises(MeshFileError) as raised:
        read(tmp_path, text)
    assert what in raised.value.what
    assert raised.value.what.startswith("part.step: ")
    assert mend in raised.value.mend


@pytest.mark.parametrize("keep", range(1, 12, 3))
def test_a_file_with_a_piece_missing_is_refused_or_read_as_no_solid(tmp_path, keep):
    """Lines lost in the middle: never a fault, never a sound solid of another size."""
    lines = GOOD.splitlines(keepends=True)
    first = 8 + keep * (len(lines) - 20) // 12
    try:
        model = read(tmp_path, "".join(lines[:first] + lines[first + 4 :]))
    except MeshFileError:
        return
    assert model.health.volume_mm3 is None or model.health.volume_mm3 == pytest.approx(1000.0, rel=1e-9)


@pytest.mark.parametrize(
    "data",
    [
        b"\xef\xbb\xbf" + GOOD.encode(),
        GOOD.encode() + b"\r\n" * 4000,
        GOOD.encode() + b"\0" * 8000,
        GOOD.replace("\n", "\r\n").encode(),
        GOOD.replace("\n", "").encode(),
        GOOD.replace("DATA;", "DATA('one',('AUTOMOTIVE_DESIGN'));").encode(),
        GOOD.replace("'cube'", "'W\N{LATIN SMALL LETTER U WITH DIAERESIS}rfel'").encode("latin-1"),
    ],
)
def test_marks_padding_line_ends_and_other_letters_change_nothing(tmp_path, data):
    path = tmp_path / "cube.stp"
    path.write_bytes(data)
    model = read_mesh(path, None)
    assert model.health.volume_mm3 == pytest.approx(1000.0, rel=1e-9)
    assert model.pieces[0].names in {("cube",), ("W\N{LATIN SMALL LETTER U WITH DIAERESIS}rfel",)}


def test_without_the_extra_the_error_names_it(tmp_path, monkeypatch):
    found = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name, *more: None if name == "cascadio" else found(name, *more)
    )
    with pytest.raises(MeshFileError) as raised:
        read(tmp_path, GOOD)
    assert raised.value.what == "part.step: STEP files need an extra that is not installed"
    assert "pip install 'fitcheck[step]'" in raised.value.mend


def test_a_program_that_is_brought_down_is_told_as_a_damaged_file(tmp_path, monkeypatch):
    monkeypatch.setattr(stepfile, "_CUT", "import os; os.abort()")
    with pytest.raises(MeshFileError, match="it cannot be read as STEP: it is damaged"):
        read(tmp_path, GOOD)
