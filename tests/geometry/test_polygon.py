"""Outlines: what is wrong with them, triangles and convex parts."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Polygon
from shapely.ops import unary_union

from fitcheck.geometry.polygon import check_outline, convex_parts, is_convex, triangles_of

SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]
ELL = [(0, 0), (30, 0), (30, 10), (10, 10), (10, 40), (0, 40)]
WINDOW = [(2, 2), (2, 5), (6, 5), (6, 2)]
STAR = [
    (float(r * np.cos(k * np.pi / 7)), float(r * np.sin(k * np.pi / 7)))
    for k in range(14)
    for r in [20 if k % 2 else 8]
]


@pytest.mark.parametrize(
    ("outline", "holes", "words"),
    [
        ([(0, 0), (1, 0)], [], "the outline has fewer than three different points"),
        ([(0, 0), (1, 0), (1, 0), (0, 0)], [], "the outline has fewer than three different points"),
        ([(0, 0), (5, 5), (9, 9)], [], "encloses no area: all its points are on one line"),
        ([(0, 0), (10, 10), (10, 0), (0, 10)], [], "the outline crosses or touches itself near [5, 5]"),
        (SQUARE, [[(20, 20), (21, 20), (21, 21)]], "hole 1 is not wholly inside the outline"),
        (SQUARE, [WINDOW, [(7, 5), (12, 5), (12, 6)]], "hole 2 is not wholly inside the outline"),
        (SQUARE, [WINDOW, [(5, 4), (8, 4), (8, 8)]], "holes 1 and 2 overlap"),
        (SQUARE, [WINDOW, [(3, 3), (4, 3), (4, 4)]], "holes 1 and 2 overlap"),
        (SQUARE, [[(0, 2), (3, 2), (3, 4), (0, 4)]], "hole 1 runs along the outline"),
        (SQUARE, [WINDOW, [(6, 2), (8, 2), (8, 5), (6, 5)]], "holes 1 and 2 share a side"),
        (SQUARE, [[(2, 2), (5, 5), (5, 2), (2, 5)]], "hole 1 crosses or touches itself"),
        (SQUARE, [[(0, 5), (5, 0), (10, 5), (5, 10)]], "hang together only at points"),
    ],
)
def test_problems_in_plain_words(outline, holes, words):
    problems = check_outline(outline, holes)
    assert len(problems) == 1
    assert words in problems[0]
    with pytest.raises(ValueError, match=r"outline|hole"):
        triangles_of(outline, holes)


def test_sound_outlines_have_no_problem_either_way_round_or_closed_again():
    for outline in (SQUARE, ELL, STAR):
        assert check_outline(outline, []) == []
        assert check_outline([*outline[::-1], outline[-1]], []) == []
    assert check_outline(SQUARE, [WINDOW]) == []


@pytest.mark.parametrize(
    ("outline", "convex"),
    [
        (SQUARE, True),
        (SQUARE[::-1], True),
        ([(0, 0), (5, 0), (10, 0), (10, 10), (0, 10), (0, 0)], True),
        (ELL, False),
        (STAR, False),
        ([(0, 0), (10, 10), (10, 0), (0, 10)], False),
        (SQUARE + SQUARE, False),
        ([(0, 0), (4, 0)], False),
        ([(0, 0), (4, 0), (8, 0)], False),
    ],
)
def test_convex(outline, convex):
    assert is_convex(outline) is convex


CASES = [(SQUARE, []), (ELL, []), (ELL[::-1], []), (STAR, []), (SQUARE, [WINDOW]), (SQUARE, [WINDOW[::-1]])]
CASES += [(SQUARE, [WINDOW, [(7, 7), (9, 7), (9, 9), (7, 9)]]), ([(0, 0), (5, 0), (10, 0), (10, 10), (0, 10)], [])]


@pytest.mark.parametrize(("outline", "holes"), CASES)
def test_triangles_cover_exactly_without_new_points(outline, holes):
    points, triangles = triangles_of(outline, holes)
    assert {tuple(point) for point in points} == {point for ring in (outline, *holes) for point in ring}
    pieces = [Polygon(points[triangle]) for triangle in triangles]
    assert all(piece.exterior.is_ccw for piece in pieces)
    assert sum(piece.area for piece in pieces) == pytest.approx(Polygon(outline, holes).area, rel=1e-12)
    assert unary_union(pieces).symmetric_difference(Polygon(outline, holes)).area == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("outline", "holes"), CASES)
def test_convex_parts_cover_exactly_and_do_not_overlap(outline, holes):
    parts = convex_parts(outline, holes)
    pieces = [Polygon(part) for part in parts]
    assert all(is_convex(part) for part in parts)
    assert all(piece.exterior.is_ccw for piece in pieces)
    assert sum(piece.area for piece in pieces) == pytest.approx(Polygon(outline, holes).area, rel=1e-12)
    assert unary_union(pieces).symmetric_difference(Polygon(outline, holes)).area == pytest.approx(0.0, abs=1e-9)


def test_few_parts():
    assert len(convex_parts(SQUARE, [])) == 1
    assert len(convex_parts(ELL, [])) == 2
    assert len(convex_parts(SQUARE, [WINDOW])) <= 5
    assert len(convex_parts(STAR, [])) <= 8
