"""Splines in DXF drawings against closed forms: the uniform cubic, the circle as a rational curve, cubics by hand."""

from __future__ import annotations

import math

import ezdxf
import numpy as np
import pytest
from dxf_files import polygon, read, refused
from ezdxf.math import BSpline
from shapely import LineString, Point, Polygon, hausdorff_distance

from fitcheck.geometry.dxf_spline import spline_points

CORNERS = [(0, 0), (100, 0), (120, 40), (50, 80), (-20, 40)]


def spline(space, corners, knots, weights=(), degree=3, flags=0):
    made = space.add_spline()
    made.dxf.degree, made.dxf.flags = degree, flags
    made.control_points, made.knots, made.weights = [(*corner, 0) for corner in corners], knots, weights
    return made


def uniform(corners, pieces=400):
    """The closed uniform cubic of these corners, by the cubic's own formula (any text on B-splines)."""
    u = np.arange(pieces)[:, None] / pieces
    shares = ((1 - u) ** 3, 3 * u**3 - 6 * u**2 + 4, -3 * u**3 + 3 * u**2 + 3 * u + 1, u**3)
    turned = [np.roll(np.array(corners, dtype=float), -number, axis=0) for number in range(len(corners))]
    found = [sum(share * corner for share, corner in zip(shares, four, strict=False)) / 6 for four in turned]
    return Polygon(np.vstack(found))


def test_a_closed_spline_whose_knots_run_on_past_its_ends(tmp_path):
    def draw(space):
        spline(space, CORNERS + CORNERS[:3], range(12), flags=3)

    found, fine = read(tmp_path, draw), uniform(CORNERS)
    assert polygon(found).area == pytest.approx(fine.area, abs=found.free_mm * fine.length)
    assert polygon(found).bounds == pytest.approx(fine.bounds, abs=2e-3)
    assert 0.0 < hausdorff_distance(polygon(found).exterior, fine.exterior) <= found.free_mm + 1e-3
    assert found.free_mm < 0.002
    assert (found.notes, found.holes) == ((), ())


def test_an_open_one_ends_where_the_formula_says(tmp_path):
    error = refused(tmp_path, lambda space: spline(space, CORNERS, range(9)))
    # At a knot the uniform cubic lies at (a + 4 b + c) / 6 of three corners that follow one another.
    assert "(50.000, 66.667) mm; (86.667, 6.667) mm" in error.what


@pytest.mark.parametrize("unit", [1.0, 0.03])
def test_a_circle_as_a_rational_spline(tmp_path, unit):
    """Nine corners of a square, those on the diagonals weighted by the root of a half: exactly a circle."""
    side = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    weights = [1.0 if number % 2 == 0 else math.sqrt(0.5) for number in range(9)]
    corners = [(30 * unit * x, 30 * unit * y) for x, y in side]
    found = read(tmp_path, lambda space: spline(space, corners, [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4], weights, 2))
    for x, y in found.outline:
        assert math.hypot(x, y) == pytest.approx(30 * unit, abs=1e-9)
    assert 0.0 < math.pi * (30 * unit) ** 2 - polygon(found).area < 2 * math.pi * 30 * unit * found.free_mm
    assert Point(0, 0).buffer(30 * unit - found.free_mm, 256).within(polygon(found))


def test_a_curve_through_the_middle_of_its_chord_is_not_taken_for_straight(tmp_path):
    """An S: its middle lies on the chord, and so do those of pieces that are cut evenly."""
    space = ezdxf.new().modelspace()
    made = spline(space, [(0, 0), (10, 60), (20, -60), (30, 0)], [0, 0, 0, 0, 1, 1, 1, 1])
    points = spline_points(tmp_path, made, 1e-3)
    fine = [
        (30 * (u * (1 - u) ** 2 + 2 * u**2 * (1 - u) + u**3), 180 * u * (1 - u) ** 2 - 180 * u**2 * (1 - u))
        for u in np.linspace(0, 1, 4001)
    ]
    assert hausdorff_distance(LineString(points[:, :2]), LineString(fine)) <= 1e-3 + 2e-5
    assert points[[0, -1]].tolist() == [[0, 0, 0], [30, 0, 0]]


def test_the_same_points_by_another_evaluation(tmp_path):
    rng = np.random.default_rng(5)
    corners = [tuple(each) for each in rng.uniform(0, 100, (9, 2)).tolist()]
    knots = [0, 0, 0, 0, 0.1, 0.4, 0.4, 0.6, 0.95, 1, 1, 1, 1]
    weights = rng.uniform(0.5, 3.0, 9).tolist()
    points = spline_points(tmp_path, spline(ezdxf.new().modelspace(), corners, knots, weights), 1e-3)
    other = BSpline([(*corner, 0) for corner in corners], 4, knots, weights)
    fine = LineString([(p.x, p.y) for p in other.points(np.linspace(0, 1, 20_001))])
    assert max(fine.distance(Point(x, y)) for x, y, _ in points) < 1e-4
    assert hausdorff_distance(LineString(points[:, :2]), fine) <= 1e-3 + 1e-4


def test_a_curve_by_points_alone_passes_through_them_and_says_so(tmp_path):
    through = [(0, 0), (120, -10), (140, 70), (40, 95), (-20, 50), (0, 0)]
    found = read(tmp_path, lambda space: space.add_spline(through))
    rim = polygon(found).exterior
    assert max(rim.distance(Point(each)) for each in through) <= found.free_mm
    assert found.notes == (
        "1 curve given by points alone, drawn through them as is usual: compare the shape between them.",
    )


def closed_by_a_mark(space):
    space.add_spline(CORNERS).closed = True


@pytest.mark.parametrize(
    ("draw", "what"),
    [
        (lambda space: spline(space, CORNERS, [0, 0, 0, 0, 0.5, 0.2, 1, 1, 1]), "the knots of SPLINE 2F do not ascend"),
        (lambda space: spline(space, CORNERS, [0, 0, 0, 0, 1]), "SPLINE 2F cannot be read (9 knot values required"),
        (lambda space: spline(space, CORNERS, [0] * 9), "the knots of SPLINE 2F leave no curve between them"),
        (
            lambda space: spline(space, CORNERS, range(9), [1, 1, 0, 1, 1]),
            "a point or weight of SPLINE 2F is no number",
        ),
        (
            lambda space: spline(space, [*CORNERS[:4], (math.inf, 0)], range(9)),
            "a point or weight of SPLINE 2F is no number",
        ),
        (lambda space: spline(space, CORNERS * 2, [0] * 4 + [1] * 6 + [2] * 4), "SPLINE 2F is broken in two at a knot"),
        (
            lambda space: spline(space, CORNERS[:4], [0] * 4 + [1] * 4, [1, 1e30, 1, 1]),
            "the weights of SPLINE 2F differ",
        ),
        (lambda space: spline(space, [(x + 1e15, y) for x, y in CORNERS], range(9)), "it lies too far out"),
        (closed_by_a_mark, "SPLINE 2F is closed, but only by a mark beside its points"),
    ],
)
def test_what_makes_no_curve_is_refused(tmp_path, draw, what):
    error = refused(tmp_path, draw)
    assert what in error.what
    assert "curves as polylines" in error.mend
