"""Blocks, hidden entities, smoothed polylines and what does not lie flat in DXF drawings."""

from __future__ import annotations

import itertools
import math

import ezdxf
import pytest
from dxf_files import SQUARE, polygon, read, refused, square, written

from fitcheck.errors import MeshFileError
from fitcheck.geometry.dxf_blocks import layer_name
from fitcheck.geometry.dxf_drawing import open_dxf
from fitcheck.geometry.dxf_outline import ARC_MM, read_outline


def plate(space, name="PLATE"):
    block = space.doc.blocks.new(name)
    block.add_lwpolyline([(0, 0), (10, 0), (10, 6), (0, 6)], close=True)
    block.add_circle((5, 3), 1)
    return block


def test_a_block_in_a_block_each_with_a_scale_and_one_mirrored(tmp_path):
    def draw(space):
        plate(space)
        space.doc.blocks.new("OUTER").add_blockref("PLATE", (1, 1), dxfattribs={"xscale": 2, "yscale": 2, "zscale": 2})
        mirrored = {"xscale": -5, "yscale": 5, "zscale": 5, "rotation": 90}
        space.add_blockref("OUTER", (7, 7), dxfattribs=mirrored)

    found = read(tmp_path, draw)
    # x' = 7 - 5 (1 + 2 y) and y' = 7 - 5 (1 + 2 x): mirrored in x, then turned a quarter.
    assert polygon(found).bounds == pytest.approx((7 - 65, 7 - 105, 2, 2), abs=1e-9)
    assert 6000 - math.pi * 100 < polygon(found).area < 6000 - math.pi * 100 + ARC_MM * 2 * math.pi * 10


def test_a_block_stretched_more_one_way_makes_its_circles_ellipses(tmp_path):
    def draw(space):
        plate(space)
        space.add_blockref("PLATE", (0, 0), dxfattribs={"xscale": 10, "yscale": 5})

    found = read(tmp_path, draw)
    assert polygon(found).bounds == pytest.approx((0, 0, 100, 30), abs=1e-9)
    assert polygon(found).area == pytest.approx(3000 - math.pi * 10 * 5, rel=1e-4)


def test_a_block_in_rows_and_columns(tmp_path):
    def draw(space):
        square(space)
        space.doc.blocks.new("HOLE").add_circle((0, 0), 3)
        grid = {"row_count": 2, "column_count": 3, "row_spacing": 20, "column_spacing": 25}
        space.add_blockref("HOLE", (20, 20), dxfattribs=grid)

    found = read(tmp_path, draw)
    middles = sorted(
        tuple(round(x, 6) for x in polygon(found).__class__(hole).centroid.coords[0]) for hole in found.holes
    )
    assert middles == [(x, y) for x in (20, 45, 70) for y in (20, 40)]


def in_itself(space):
    square(space)
    plate(space).add_blockref("PLATE", (3, 3))
    space.add_blockref("PLATE", (0, 0))


def missing(space):
    square(space)
    space.add_blockref("GONE", (0, 0))


@pytest.mark.parametrize(
    ("draw", "what", "mend"),
    [
        (in_itself, "the block 'PLATE' holds itself", "take the blocks apart"),
        (missing, "it uses a block 'GONE' that it does not hold", "with its blocks"),
    ],
)
def test_blocks_that_cannot_be_taken_apart_are_refused(tmp_path, draw, what, mend):
    error = refused(tmp_path, draw)
    assert what in error.what
    assert mend in error.mend


def test_what_is_hidden_or_of_another_file_is_no_outline_and_is_told(tmp_path):
    def draw(space):
        square(space)
        space.add_circle((50, 30), 5, dxfattribs={"invisible": 1})
        space.doc.blocks.new("FRAME").block.dxf.flags = 4
        space.doc.blocks.get("FRAME").add_circle((50, 30), 20)
        space.add_blockref("FRAME", (0, 0))

    found = read(tmp_path, draw)
    assert (polygon(found).area, found.holes) == (pytest.approx(6000, rel=1e-12), ())
    assert found.notes == ("Not read as outline: 1 CIRCLE (hidden), 1 INSERT of another file.",)


def test_a_smoothed_polyline_without_the_frame_it_was_made_from(tmp_path):
    smooth = [(10, 5), (90, 5), (95, 30), (90, 55), (10, 55), (5, 30)]

    def draw(space):
        made = space.add_polyline2d(SQUARE, close=True)
        made.dxf.flags |= 4
        for corner in made.vertices:
            corner.dxf.flags = 16
        for place in smooth:
            made.append_vertex(place, dxfattribs={"flags": 8})

    assert read(tmp_path, draw, version="R12", unit_mm=1.0, units=0).outline == tuple(smooth)


@pytest.mark.parametrize("version", ["R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
def test_every_version_says_its_unit(tmp_path, version):
    found = read(tmp_path, square, version=version, units=1)
    assert polygon(found).bounds == pytest.approx((0, 0, 2540, 1524), rel=1e-12)


def test_texts_dimensions_and_hatches_are_named(tmp_path):
    def draw(space):
        square(space)
        space.add_mtext("5 mm")
        space.add_hatch().paths.add_polyline_path(SQUARE)
        space.add_linear_dim((0, -10), (0, 0), (100, 0)).render()
        space.add_point((5, 5))
        space.add_xline((0, 0), (1, 1))

    found = read(tmp_path, draw)
    assert polygon(found).area == pytest.approx(6000, rel=1e-12)
    assert found.notes == ("Not read as outline: 1 DIMENSION, 1 HATCH, 1 MTEXT, 1 POINT, 1 XLINE.",)


def by_hand(folder, head="", more="", end=""):
    """The few lines that the simplest programs write."""
    rows = ""
    for (x, y), (u, v) in zip(SQUARE, [*SQUARE[1:], SQUARE[0]], strict=True):
        rows += f"  0\nLINE\n  8\n0\n 10\n{x}\n 20\n{y}\n 11\n{u}\n 21\n{v}\n"
    path = folder / "plate.dxf"
    path.write_text(f"{head}  0\nSECTION\n  2\nENTITIES\n{rows}{more}  0\nENDSEC\n  0\nEOF\n{end}", encoding="utf-8")
    return path


def head(*rows):
    return "  0\nSECTION\n  2\nHEADER\n" + "".join(f"{row}\n" for row in rows) + "  0\nENDSEC\n"


@pytest.mark.parametrize(
    ("start", "unit", "mm"),
    [
        ("", None, 1.0),
        ("999\nmade by hand\n", None, 1.0),
        (head("  9", "$ACADVER", "  1", "AC1006"), None, 1.0),
        (head("  9", "$ACADVER", "  1", "AC1015"), None, 1.0),
        (head("  9", "$ACADVER", "  1", "AC1009", "  9", "$INSUNITS", " 70", "1"), "inch", 25.4),
        (head("  9", "$ACADVER", "  1", "AC1015", "  9", "$INSUNITS", " 70", "4"), "millimetre", 1.0),
        (head("  9", "$ACADVER", "  1", "AC1032", "  9", "$INSUNITS", " 70", "6"), "metre", 1000.0),
    ],
)
def test_only_a_unit_that_the_file_itself_states_is_one(tmp_path, start, unit, mm):
    path = by_hand(tmp_path, start)
    assert open_dxf(path).unit == unit
    found = read_outline(path, None, mm)
    assert polygon(found).bounds == pytest.approx((0, 0, 100 * mm, 60 * mm), rel=1e-12)
    if unit is None:
        with pytest.raises(MeshFileError, match="the drawing states no unit"):
            read_outline(path, None, None)


def test_a_text_about_the_unit_states_none(tmp_path):
    text = "  0\nTEXT\n  8\n0\n 10\n0\n 20\n0\n 40\n5\n  1\n$INSUNITS\n"
    assert open_dxf(by_hand(tmp_path, more=text)).unit is None


def test_a_binary_drawing_states_its_unit(tmp_path):
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 1
    square(document.modelspace())
    document.saveas(tmp_path / "plate.dxf", fmt="bin")
    found = read_outline(tmp_path / "plate.dxf", None, None)
    assert polygon(found).bounds == pytest.approx((0, 0, 2540, 1524), rel=1e-12)


def test_kinds_that_nobody_knows_and_blank_lines_at_the_end_do_no_harm(tmp_path):
    path = by_hand(tmp_path, more="  0\nSOMETHING\n  8\n0\n", end="\n" * 400)
    found = read_outline(path, None, 1.0)
    assert polygon(found).area == pytest.approx(6000, rel=1e-12)
    assert found.notes == ("Not read as outline: 1 SOMETHING.",)


def cube(space):
    for start in itertools.product((0, 40), repeat=3):
        for axis in range(3):
            end = list(start)
            end[axis] = 40
            if start[axis] == 0:
                space.add_line(start, end)


def sloping(space):
    corners = [(x, y, 0.3 * x) for x, y in SQUARE]
    space.add_polyline3d(corners, close=True)


def sloping_curve(space):
    space.add_spline([(0, 0, 0), (120, -10, 9), (140, 70, 0), (40, 95, 0), (0, 0, 0)])


@pytest.mark.parametrize(
    "draw",
    [
        cube,
        sloping,
        sloping_curve,
        lambda space: space.add_ellipse((0, 0), major_axis=(0, 0, 50), ratio=0.5),
        lambda space: space.add_ellipse((0, 0), (50, 0), 0.5, dxfattribs={"extrusion": (0, 0.6, 0.8)}),
    ],
)
def test_what_does_not_lie_flat_is_refused(tmp_path, draw):
    error = refused(tmp_path, draw)
    assert "is tilted: the drawing is not flat" in error.what
    assert "seen from above" in error.mend


def test_a_layer_that_does_not_lie_flat_leaves_the_others_as_they_are(tmp_path):
    def draw(space):
        square(space, layer="CUT")
        space.add_line((0, 0, 0), (0, 0, 50), dxfattribs={"layer": "AXIS"})

    path = written(tmp_path, draw)
    assert polygon(read_outline(path, "CUT", None)).area == pytest.approx(6000, rel=1e-12)
    assert "it has lines on several layers: AXIS, CUT" in refused(tmp_path, draw).what
    assert "on layer AXIS, LINE 30 is tilted" in refused(tmp_path, draw, layer="AXIS").what


def test_all_at_one_height_is_flat(tmp_path):
    found = read(tmp_path, lambda space: space.add_polyline3d([(x, y, 7) for x, y in SQUARE], close=True))
    assert polygon(found).area == pytest.approx(6000, rel=1e-12)


def test_layer_names_beyond_the_character_set_of_an_older_file(tmp_path):
    assert layer_name(r"Schnitt \U+65e5\U+672C") == "Schnitt 日本"
    found = read(tmp_path, lambda space: square(space, layer="Schnitt 日本"), version="R2000", layer="schnitt 日本")
    assert found.layer == "Schnitt 日本"
