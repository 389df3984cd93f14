"""Curved or not: judged by the kinds of surface and edge, for files of another program and of our own."""

from __future__ import annotations

import pytest
from occt_files import occt_assembly, occt_box, occt_disc
from supplier_files import Part, Solid, block, step

from fitcheck.geometry.meshfile import read_mesh
from fitcheck.geometry.step_curved import curved
from fitcheck.geometry.step_text import step_text
from fitcheck.geometry.stepfile import OFF_MM


def of(text):
    return curved(step_text(text.encode()).words)


def test_a_box_with_curves_of_parameters_on_its_planes_is_straight(tmp_path, capfd):
    path = occt_box(tmp_path / "box.step", "MM")
    assert b"PCURVE" in path.read_bytes()
    model = read_mesh(path, None)
    assert (model.off_mm, model.health.notes) == (0.0, ())
    assert model.health.extents_mm == pytest.approx((50.8, 25.4, 12.7), abs=1e-9)


def test_round_studs_are_curved(tmp_path, capfd):
    model = read_mesh(occt_assembly(tmp_path / "frame.step", "MM"), None)
    assert model.off_mm >= OFF_MM
    assert any(note.startswith("Curved faces are cut into facets") for note in model.health.notes)


def test_a_flat_sheet_with_a_round_rim_is_cut_along_its_rim_and_says_so(tmp_path, capfd):
    path = occt_disc(tmp_path / "disc.step")
    assert b"CYLINDRICAL" not in path.read_bytes()
    model = read_mesh(path, None)
    assert model.off_mm >= OFF_MM
    assert any(note.startswith("Curved edges are cut into straight pieces") for note in model.health.notes)


def test_our_own_writer():
    assert of(step([Part(name="block", solid=block((10, 10, 10)), colour=(1, 0, 0))])) == ""
    assert of(step([Part(name="bar", solid=Solid(low=0, high=9, bar=(0, 0, 4)))])) == "faces"


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("PLANE LINE PCURVE SURFACE_CURVE SEAM_CURVE EDGE_CURVE TRIMMED_CURVE RECTANGULAR_TRIMMED_SURFACE", ""),
        ("SURFACE_STYLE_USAGE SHELL_BASED_SURFACE_MODEL MANIFOLD_SURFACE_SHAPE_REPRESENTATION CURVE_STYLE_FONT", ""),
        ("SURFACE_STYLE_RENDERING SURFACE_RENDERING_PROPERTIES GEOMETRIC_CURVE_SET FILL_AREA_STYLE_COLOUR", ""),
        ("CYLINDRICAL_SURFACE CIRCLE", "faces"),
        ("SURFACE_OF_REVOLUTION", "faces"),
        ("BOUNDED_SURFACE B_SPLINE_SURFACE", "faces"),
        ("OFFSET_SURFACE", "faces"),
        ("RIGHT_CIRCULAR_CONE", "faces"),
        ("REVOLVED_AREA_SOLID", "faces"),
        ("SOME_LATER_SURFACE", "faces"),
        ("PLANE CIRCLE", "edges"),
        ("PLANE BOUNDED_CURVE B_SPLINE_CURVE_WITH_KNOTS", "edges"),
        ("PLANE SOME_LATER_CURVE", "edges"),
    ],
)
def test_kinds(words, what):
    assert curved({word.encode() for word in words.split()}) == what
