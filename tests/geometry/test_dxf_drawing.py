"""DXF outlines: units, arcs and free curves on the safe side, holes, layers, blocks, and drawings that are refused.

Drawings are written by ezdxf; areas are closed forms, and contours are compared with ezdxf's own flattening in shapely.
"""

from __future__ import annotations

import math

import ezdxf
import pytest
from dxf_files import MM, SQUARE, polygon, read, refused, square, written
from ezdxf import path as ezpath
from shapely import Point, Polygon, hausdorff_distance

from fitcheck.errors import MeshFileError
from fitcheck.geometry.dxf_outline import ARC_MM, read_outline

INCH, METRE = 1, 6


@pytest.mark.parametrize(("units", "mm"), [(MM, 1.0), (INCH, 25.4), (METRE, 1000.0), (5, 10.0), (2, 304.8)])
def test_a_plate_in_the_unit_of_its_drawing(tmp_path, units, mm):
    found = read(tmp_path, square, units=units)
    assert polygon(found).bounds == pytest.approx((0, 0, 100 * mm, 60 * mm), rel=1e-12)
    assert polygon(found).area == pytest.approx(6000 * mm**2, rel=1e-12)
    assert (found.unit_mm, found.off_mm, found.free_mm, found.holes) == (mm, 0.0, 0.0, ())


def test_a_drawing_without_a_unit_needs_one_beside_it(tmp_path):
    error = refused(tmp_path, square, units=0)
    assert error.what == "plate.dxf: the drawing states no unit, and none is stated beside it"
    assert "unit: mm" in error.mend
    assert polygon(read(tmp_path, square, units=0, unit_mm=25.4)).area == pytest.approx(6000 * 25.4**2, rel=1e-12)


def test_a_stated_unit_that_differs_from_the_drawing_is_refused(tmp_path):
    assert "the drawing itself is in inch" in refused(tmp_path, square, units=INCH, unit_mm=1.0).what
    assert "its unit code 20 is none" in refused(tmp_path, square, units=20).what


def slot(space):
    """100 between the middles, radius 20, by bulges; a round hole of radius 12, one of lines and an arc."""
    space.add_lwpolyline([(0, 0, 0), (100, 0, 1), (100, 40, 0), (0, 40, 1)], format="xyb", close=True)
    space.add_circle((100, 20), 12)
    space.add_arc((0, 20), 8, 0, 180)
    space.add_line((-8, 20), (8, 20))


def test_arcs_stand_out_into_the_air_and_never_into_the_part(tmp_path):
    found = read(tmp_path, slot)
    true_outline = Point(0, 20).buffer(20, 2048).union(Point(100, 20).buffer(20, 2048)).convex_hull
    outline, holes = Polygon(found.outline), sorted((Polygon(hole) for hole in found.holes), key=lambda hole: hole.area)
    assert outline.buffer(1e-9).covers(true_outline)
    assert true_outline.buffer(ARC_MM + 1e-4).covers(outline)
    closed_form = 100 * 40 + math.pi * 20**2
    assert closed_form < outline.area < closed_form + ARC_MM * 2 * math.pi * 20
    assert outline.bounds == pytest.approx((-20, 0, 120, 40), abs=1e-9)
    for hole, true_area, around in zip(holes, (math.pi * 32, math.pi * 144), (8 * math.pi, 24 * math.pi), strict=True):
        assert true_area - ARC_MM * around < hole.area < true_area
    assert Point(100, 20).buffer(12, 4096).buffer(1e-5).covers(holes[1])
    assert (found.off_mm, found.free_mm) == (ARC_MM, pytest.approx(0.0, abs=1e-12))


def test_an_inward_arc_is_cut_by_chords(tmp_path):
    """A bite of radius 15 out of the upper edge: the material lies outside the arc."""

    def bitten(space):
        space.add_lwpolyline(
            [(0, 0, 0), (100, 0, 0), (100, 60, 0), (65, 60, -1), (35, 60, 0), (0, 60, 0)], format="xyb", close=True
        )

    found = polygon(read(tmp_path, bitten))
    exact = 6000 - math.pi * 15**2 / 2
    assert exact < found.area < exact + ARC_MM * math.pi * 15
    assert found.buffer(1e-9).covers(Polygon(SQUARE).difference(Point(50, 60).buffer(15, 4096).buffer(1e-5)))


@pytest.mark.parametrize("kind", ["spline", "ellipse"])
def test_free_curves_may_lie_off_no_more_than_is_said(tmp_path, kind):
    def draw(space):
        if kind == "spline":
            space.add_spline([(0, 0), (120, -10), (140, 70), (40, 95), (-20, 50), (0, 0)])
        else:
            space.add_ellipse((10, 20), major_axis=(80, 30), ratio=0.4)

    file = written(tmp_path, draw)
    found = read_outline(file, None, None)
    spline = next(iter(ezdxf.readfile(file).modelspace()))
    if kind == "spline":
        points = [(p.x, p.y) for p in ezpath.make_path(spline).flattening(1e-5, 64)]
    else:  # middle + major axis cos t + minor axis sin t
        turns = [2 * math.pi * k / 20_000 for k in range(20_000)]
        points = [(10 + 80 * math.cos(t) - 12 * math.sin(t), 20 + 30 * math.cos(t) + 32 * math.sin(t)) for t in turns]
    fine = Polygon(points)
    assert 0.0 < found.free_mm < 0.01
    assert hausdorff_distance(Polygon(found.outline).exterior, fine.exterior) <= found.free_mm + 2e-5
    assert found.off_mm == 0.0


def test_lines_and_arcs_in_any_order_and_direction(tmp_path):
    def draw(space):
        space.add_line((100, 60), (100, 10))
        space.add_arc((90, 10), 10, 270, 360)
        space.add_line((0, 60), (100, 60))
        space.add_line((0, 0), (90, 0))
        space.add_line((0, 0), (0, 60))

    area = polygon(read(tmp_path, draw)).area
    exact = 6000 - (100 - math.pi * 100 / 4)
    assert exact < area < exact + ARC_MM * math.pi * 5


def test_ends_within_the_rounding_of_a_drawing_are_joined_and_said(tmp_path):
    def draw(space, gap):
        for start, end in zip(SQUARE, [*SQUARE[1:], (0, gap)], strict=True):
            space.add_line(start, end)

    found = read(tmp_path, lambda space: draw(space, 0.015))
    assert found.free_mm == pytest.approx(0.015, abs=1e-9)
    assert "Ends up to 0.015 mm apart were joined." in found.notes
    error = refused(tmp_path, lambda space: draw(space, 0.03))
    assert "on layer 0, 2 ends meet no other: (0.000, 0.000) mm; (0.000, 0.030) mm" in error.what
    assert "close the contour there" in error.mend


def test_an_open_contour_is_refused_with_its_place_in_mm(tmp_path):
    error = refused(tmp_path, lambda space: space.add_lwpolyline([(1, 1), (2, 1), (2, 2)]), units=INCH)
    assert "2 ends meet no other: (25.400, 25.400) mm; (50.800, 50.800) mm" in error.what


def test_a_contour_that_crosses_itself_is_refused_with_its_place(tmp_path):
    bow_tie = [(0, 0), (100, 60), (100, 0), (0, 60)]
    error = refused(tmp_path, lambda space: space.add_lwpolyline(bow_tie, close=True))
    assert error.what == "plate.dxf: a contour crosses itself (self-intersection at (50.000, 30.000) mm)"


def test_lines_that_branch_are_refused_with_their_place(tmp_path):
    def draw(space):
        square(space)
        space.add_line((100, 60), (130, 60))
        space.add_line((130, 60), (100, 0))

    error = refused(tmp_path, draw)
    assert "more than two lines meet at (100.000, 0.000) mm; (100.000, 60.000) mm" in error.what


def both(space, second):
    square(space)
    space.add_lwpolyline(second, close=True)


def test_several_closed_contours_are_an_outline_and_its_holes_or_refused(tmp_path):
    def box(x, y, wide, high):
        return [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]

    found = read(tmp_path, lambda space: both(space, box(10, 10, 20, 30)))
    assert (polygon(found).area, len(found.holes)) == (pytest.approx(5400, rel=1e-12), 1)
    beside = refused(tmp_path, lambda space: both(space, box(200, 0, 20, 20)))
    assert "several outlines: another part is drawn near (210.000, 10.000) mm" in beside.what
    assert "crosses the outline" in refused(tmp_path, lambda space: both(space, box(90, 10, 20, 20))).what

    def island(space):
        both(space, box(10, 10, 40, 40))
        space.add_lwpolyline(box(20, 20, 10, 10), close=True)

    assert "a hole near" in refused(tmp_path, island).what


def test_the_layer_is_chosen_where_several_have_lines(tmp_path):
    def draw(space):
        square(space, layer="CUT")
        space.add_line((0, 0), (100, 60), dxfattribs={"layer": "BEND"})
        space.add_text("5 mm steel", dxfattribs={"layer": "CUT"})

    error = refused(tmp_path, draw)
    assert error.what == "plate.dxf: it has lines on several layers: BEND, CUT"
    found = read(tmp_path, draw, layer="cut")
    assert (found.layer, polygon(found).area) == ("CUT", pytest.approx(6000, rel=1e-12))
    assert found.notes == ("Not read as outline: 1 TEXT.",)
    assert "it has no lines on a layer 'FOLD'" in refused(tmp_path, draw, layer="FOLD").what
    assert "2 ends meet no other" in refused(tmp_path, draw, layer="BEND").what


def test_a_line_drawn_twice_counts_once(tmp_path):
    def draw(space):
        square(space)
        space.add_line((100, 0), (0, 0))

    found = read(tmp_path, draw)
    assert polygon(found).area == pytest.approx(6000, rel=1e-12)
    assert found.notes == ("1 line drawn twice, one on the other, counted once.",)


def test_a_block_scaled_turned_and_mirrored(tmp_path):
    def draw(space):
        block = space.doc.blocks.new("PLATE")
        block.add_lwpolyline([(0, 0, 0), (10, 0, 0.4), (10, 6, 0), (0, 6, 0)], format="xyb", close=True)
        space.add_blockref("PLATE", (50, 50), dxfattribs={"xscale": -2, "yscale": 2, "rotation": 90, "layer": "CUT"})

    found = read(tmp_path, draw)
    # A bulge of 0.4 over a chord of 6: an arc of 4 atan(0.4), its segment by the circle's own formula.
    angle = 4 * math.atan(0.4)
    radius = 3 / math.sin(angle / 2)
    exact = 4 * (60 + radius**2 / 2 * (angle - math.sin(angle)))
    assert exact < polygon(found).area < exact + ARC_MM * 2 * radius * angle
    assert found.layer == "CUT"


def test_old_polylines_and_arcs_seen_from_behind(tmp_path):
    def draw(space):
        space.add_polyline2d([(0, 0, 0), (100, 0, 1), (100, 40, 0), (0, 40, 1)], format="xyb").close(True)
        space.add_circle((-50, 20), 10, dxfattribs={"extrusion": (0, 0, -1)})

    found = read(tmp_path, draw, version="R12", unit_mm=1.0, units=0)
    assert Polygon(found.holes[0]).centroid.coords[0] == pytest.approx((50, 20), abs=1e-6)
    exact = 4000 + math.pi * 400 - math.pi * 100
    assert exact < polygon(found).area < exact + ARC_MM * 2 * math.pi * 30


def test_a_tilted_arc_is_refused(tmp_path):
    error = refused(tmp_path, lambda space: space.add_circle((0, 0), 5, dxfattribs={"extrusion": (0, 0.6, 0.8)}))
    assert "is tilted: the drawing is not flat" in error.what


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "the file is empty"),
        (b"not a drawing at all\n", "it is no DXF file, or breaks off before its end"),
        (b"  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n", "it is no DXF file, or breaks off before its end"),
        (b"garbage\n EOF\n", "it cannot be read as DXF"),
    ],
)
def test_files_that_are_no_drawings(tmp_path, data, what):
    path = tmp_path / "plate.dxf"
    path.write_bytes(data)
    with pytest.raises(MeshFileError) as raised:
        read_outline(path, None, 1.0)
    assert raised.value.what.startswith("plate.dxf: ")
    assert what in raised.value.what


def test_a_drawing_cut_short_and_one_without_lines(tmp_path):
    path = written(tmp_path, square)
    data = path.read_bytes()
    path.write_bytes(data[: len(data) * 2 // 3])
    with pytest.raises(MeshFileError, match="breaks off before its end"):
        read_outline(path, None, None)
    assert "it holds no lines or arcs" in refused(tmp_path, lambda space: space.add_text("later")).what
    with pytest.raises(MeshFileError, match="cannot be opened"):
        read_outline(tmp_path / "missing.dxf", None, None)
