from __future__ import annotations

import math

import numpy as np
import pytest

from fitcheck.makeable.arcs import OFF_MM, curve_sides, radii_of, spans_of
from fitcheck.makeable.blanks import blank_of
from fitcheck.makeable.contour import Loop, Round, contour_of, rectangle
from fitcheck.model.quantity import exact
from fitcheck.model.shape import Drawn, Prism


def bow(centre, radius: float, first: float, last: float, pieces: int, *, around: bool = False):
    """Corners of an arc in degrees; around it the sides touch it, else its corners lie on it."""
    step = math.radians(last - first) / pieces
    start = math.radians(first)
    polar = [(start + step * number, radius) for number in range(pieces + 1)]
    if around:
        inner = [(start + step * (number + 0.5), radius / math.cos(step / 2.0)) for number in range(pieces)]
        polar = [polar[0], *inner, polar[-1]]
    return [(centre[0] + reach * math.cos(angle), centre[1] + reach * math.sin(angle)) for angle, reach in polar]


def loop(*runs, turned: int = 0, digits: int | None = None) -> Loop:
    corners = [corner for run in runs for corner in run]
    if digits is not None:
        corners = [(round(x, digits), round(y, digits)) for x, y in corners]
    corners = list(dict.fromkeys(corners))
    return Loop(corners=tuple(corners[turned:] + corners[:turned]))


STADIUM = (bow((80, 20), 20, -90, 90, 40), bow((20, 20), 20, 90, 270, 40))


@pytest.mark.parametrize("turned", [0, 1, 13, 40, 41, 60])
def test_a_stadium_is_two_arcs_and_two_lines_wherever_the_ring_begins(turned):
    spans = spans_of(loop(*STADIUM, turned=turned))
    assert len(spans) == 4
    arcs = [span for span in spans if span.is_arc]
    assert [math.degrees(span.angle) for span in arcs] == pytest.approx([180.0, 180.0], abs=1e-6)
    assert [span.radius for span in arcs] == pytest.approx([20.0, 20.0], abs=1e-6)
    assert sorted(span.centre[0] for span in arcs) == pytest.approx([20.0, 80.0], abs=1e-6)
    assert sorted(span.middle[0] for span in arcs) == pytest.approx([0.0, 100.0], abs=1e-6)


def test_spans_follow_one_another_and_close():
    spans = spans_of(loop(*STADIUM, turned=7))
    assert [span.end for span in spans] == [*(span.start for span in spans[1:]), spans[0].start]


@pytest.mark.parametrize("digits", [6, 3])
def test_corners_written_to_thousandths_are_on_their_arc(digits):
    arcs = radii_of(loop(*STADIUM, digits=digits))
    assert [round(span.radius, 2) for span in arcs] == [20.0, 20.0]


def test_sides_that_touch_an_arc_from_outside_give_its_own_radius():
    """Steps that differ on both sides of an axis, as outlines are cut: the corners lie on no one circle."""
    run = [*bow((50, 20), 30, 0, 90, 20, around=True)[:-1], *bow((50, 20), 30, 90, 130, 10, around=True)[1:]]
    shape = loop([(0.0, 0.0), (80.0, 0.0)], run, [(0.0, 30.0)])
    (arc,) = radii_of(shape)
    assert arc.radius == pytest.approx(30.0, abs=1e-3)
    assert math.degrees(arc.angle) == pytest.approx(130.0, abs=1e-2)


def test_a_hollow_turns_to_the_right():
    shape = loop([(0.0, 0.0), (100.0, 0.0), (100.0, 50.0)], bow((50, 50), 25, 0, -180, 60), [(0.0, 50.0)])
    (arc,) = radii_of(shape)
    assert arc.bulge == pytest.approx(-1.0, abs=1e-6)
    assert arc.middle == pytest.approx((50.0, 25.0), abs=1e-6)


@pytest.mark.parametrize(
    "shape",
    [rectangle(40, 20), Loop(corners=tuple(bow((0, 0), 20, 0, 360, 6)[:-1])),
     Loop(corners=tuple(bow((0, 0), 20, 0, 360, 11)[:-1])),
     loop(bow((100, 20), 20, -90, 90, 3), bow((20, 20), 20, 90, 270, 3))],
    ids=["rectangle", "hexagon", "eleven sides", "chamfers"],
)  # fmt: skip
def test_few_corners_are_meant_as_drawn(shape):
    assert radii_of(shape) == ()
    assert [span.start for span in spans_of(shape)] == list(shape.corners)


def test_coarse_chords_are_no_arc_for_then_another_shape_would_be_cut_than_was_judged():
    """15 degrees a side at R100 are 0.86 mm off the arc."""
    assert radii_of(loop(bow((100, 100), 100, -90, 90, 12), bow((0, 100), 100, 90, 270, 12))) == ()


def ellipse(a: float, b: float, count: int) -> Loop:
    return Loop(corners=tuple((a * math.cos(2 * math.pi * k / count), b * math.sin(2 * math.pi * k / count))
                              for k in range(count)))  # fmt: skip


@pytest.mark.parametrize(("a", "b"), [(50, 25), (50, 10), (20, 15), (200, 150)])
@pytest.mark.parametrize("count", [128, 512])
def test_an_ellipse_stays_as_it_is_drawn(a, b, count):
    shape = ellipse(a, b, count)
    assert radii_of(shape) == ()
    sides, off = curve_sides(shape)
    assert sides == count
    dense = ellipse(a, b, 4 * count)
    from shapely import MultiPoint, Polygon

    edge = Polygon(shape.corners).exterior
    farthest = max(edge.distance(point) for point in MultiPoint(dense.corners).geoms)
    assert farthest <= 1.3 * off


def test_a_plain_outline_has_no_free_curve():
    assert curve_sides(rectangle(40, 20)) == (0, 0.0)
    assert curve_sides(loop(*STADIUM)) == (0, 0.0)
    assert curve_sides(Round(centre=(0, 0), diameter=5)) == (0, 0.0)


@pytest.mark.parametrize("around", [False, True])
def test_no_arc_leaves_what_was_judged_by_more_than_is_said(around):
    shape = loop(bow((80, 20), 20, -90, 90, 45, around=around), bow((20, 20), 20, 90, 270, 45, around=around))
    from shapely import Point, Polygon

    edge = Polygon(shape.corners).exterior
    arcs = radii_of(shape)
    assert len(arcs) == 2
    for span in arcs:
        first = math.atan2(span.start[1] - span.centre[1], span.start[0] - span.centre[0])
        for share in np.linspace(0.0, 1.0, 500):
            angle = first + share * span.angle
            point = Point(
                span.centre[0] + span.radius * math.cos(angle), span.centre[1] + span.radius * math.sin(angle)
            )
            assert edge.distance(point) <= span.off + 1e-6 <= OFF_MM + 1e-6


def test_a_round_outline_from_a_drawing_has_the_diameter_that_its_sides_touch():
    ring = tuple(bow((20, 20), 20 / math.cos(math.pi / 48), 0, 360, 48)[:-1])
    assert contour_of(ring, around=True).diameter == pytest.approx(40.0, abs=1e-9)
    size = exact("d", 40.0)
    drawn = Drawn(written="disc.dxf", notes=())
    prism = Prism(outline=ring, holes=(), extent=(size, size), height=exact("h", 3.0), along=2, drawn=drawn)
    assert blank_of(prism, None).outline.diameter == pytest.approx(40.0, abs=1e-9)
