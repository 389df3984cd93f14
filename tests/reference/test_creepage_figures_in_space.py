"""Ways over surfaces in space against what is known in closed form or drawn out of the worked figures.

Sources: the worked figures of IEC 60664-1, examples 1 to 10, with our own dimensions (see `test_creepage_figures.py`);
the spider and the fly in a room of 30 x 12 x 12 ft, 40 ft (H. E. Dudeney, 1903, on several public pages); geodesics
of a cylinder from its development into a flat strip (textbook).
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from test_creepage_figures import FIGURES, X_MM, Figure

from fitcheck.geometry.polygon import triangles_of
from fitcheck.geometry.solid_facets import bar_facets, box_facets, prism_facets
from fitcheck.geometry.surface_paths.cells import cells_of
from fitcheck.geometry.surface_paths.search import Found, ground_of, search

REACH = 20.0
"""How far the insulation reaches to either side, and a quarter of it the conductors: no way round the end is
shorter.
"""
ACCURACY = 0.005


def prism(outline, half, turn):
    points, triangles = triangles_of(outline, [])
    drawn = prism_facets(points, triangles, 2.0 * half, 2)
    return (drawn.vertices - np.array([0.0, 0.0, half])) @ turn.T, drawn.faces


def sheets(line, half, turn):
    """A line drawn out into flat strips: a conductor without thickness."""
    found = []
    for (a, b), (c, d) in itertools.pairwise(line):
        corners = np.array([[a, b, -half], [c, d, -half], [c, d, half], [a, b, half]]) @ turn.T
        found.append(np.array([corners[[0, 1, 2]], corners[[0, 2, 3]]]))
    return found


def stud(point, turn, size=1e-4):
    drawn = box_facets([size] * 3)
    return [((drawn.vertices + np.array(point) - size / 2.0) @ turn.T)[drawn.faces]]


def searched(solids, one, other, narrow, accuracy=ACCURACY) -> Found:
    cells, _ = cells_of(solids, narrow)
    return search(ground_of(cells, (one, other), narrow), accuracy=accuracy)


def brackets(found: Found, length: float, off: float = 2e-6) -> None:
    """Bounds on both sides of a length, at most `ACCURACY` apart. off: digits of the length, or a conductor's size."""
    assert found.low <= length + 1e-9
    assert found.high >= length - off
    assert found.low >= (1.0 - ACCURACY) * found.high - 1e-9


def drawn_out(figure: Figure, degree: int, turn) -> Found:
    narrow = min(X_MM[degree], figure.clearance / 3.0) if figure.clearance < 3.0 else X_MM[degree]
    solids = [prism(outline, REACH, turn) for outline in figure.insulators]
    ends = [sheets(line, REACH / 4.0, turn) for line in (figure.a, figure.b)]
    return searched(solids, ends[0], ends[1], narrow)


@pytest.mark.parametrize("figure", [each for each in FIGURES if not each.floating], ids=lambda each: each.name)
def test_a_figure_drawn_out_and_turned_at_random_keeps_its_creepage(figure: Figure) -> None:
    turn = Rotation.random(random_state=len(figure.name)).as_matrix()
    for degree, length in (figure.by_degree or {figure.degree: figure.creepage}).items():
        brackets(drawn_out(figure, degree, turn), length)


@pytest.mark.parametrize("figure", [each for each in FIGURES if each.floating], ids=lambda each: each.name)
def test_a_figure_with_floating_metal_drawn_out_is_the_sum_of_the_ways_to_and_from_it(figure: Figure) -> None:
    turn = Rotation.random(random_state=len(figure.name)).as_matrix()
    solids = [prism(outline, REACH, turn) for outline in figure.insulators]
    one, between, other = (sheets(line, REACH / 4.0, turn) for line in (figure.a, figure.floating[0], figure.b))
    ways = [searched(solids, *ends, X_MM[figure.degree]) for ends in ((one, between), (between, other))]
    assert sum(way.low for way in ways) <= figure.creepage + 1e-9
    assert sum(way.high for way in ways) >= figure.creepage - 2e-6
    assert sum(way.low for way in ways) >= (1.0 - ACCURACY) * sum(way.high for way in ways)


@pytest.mark.parametrize(("degree", "length"), [(1, 11.0), (2, 5.0), (3, 5.0)])
def test_a_narrow_groove_counts_where_dust_is_fine(degree: int, length: float) -> None:
    outline = [(-3, 0), (2, 0), (2, -3), (2.8, -3), (2.8, 0), (8, 0), (8, -12), (-3, -12)]
    turn = Rotation.random(random_state=degree).as_matrix()
    ends = sheets([(-2, 0), (0, 0)], 5.0, turn), sheets([(5, 0), (7, 0)], 5.0, turn)
    brackets(searched([prism(outline, REACH, turn)], *ends, X_MM[degree]), length)


@pytest.mark.parametrize("seed", [0, 1])
def test_the_spider_and_the_fly(seed: int) -> None:
    """From the middle of an end wall 1 below the ceiling to the middle of the other 1 above the floor."""
    turn = Rotation.random(random_state=seed).as_matrix()
    drawn = box_facets([30.0, 12.0, 12.0])
    room = drawn.vertices @ turn.T, drawn.faces
    found = searched([room], stud([0, 6, 11], turn), stud([30, 6, 1], turn), 1.0)
    brackets(found, 40.0, off=3e-4)


def test_round_the_end_where_that_is_shorter() -> None:
    """A groove 2 wide and 30 deep in a block that reaches 1 beyond the conductors. Round the end face: from the end of
    the conductor over the edge, then straight past the bottom of the groove; by symmetry twice the unfolded half.
    """
    outline = [(-3, 0), (2, 0), (2, -30), (4, -30), (4, 0), (9, 0), (9, -40), (-3, -40)]
    turn = Rotation.random(random_state=5).as_matrix()
    ends = sheets([(-2, 0), (0, 0)], 5.0, turn), sheets([(6, 0), (8, 0)], 5.0, turn)
    found = searched([prism(outline, 6.0, turn)], *ends, 1.0)
    half = math.hypot(2.0, 31.0)
    brackets(found, 2.0 * half + 2.0)
    assert found.high < 2.0 * (2.0 + 30.0) + 2.0, "the section alone has 66"


def test_a_quarter_round_a_bar() -> None:
    """Radius 5: a quarter of its girth and 25 along it, unrolled."""
    drawn = bar_facets(10.0, 30.0, 2)
    sides = (len(drawn.vertices) - 2) // 2
    vertices = drawn.vertices * np.array([math.cos(math.pi / sides)] * 2 + [1.0])
    turn = Rotation.random(random_state=9).as_matrix()
    found = searched([(vertices @ turn.T, drawn.faces)], stud([5, 0, 2], turn), stud([0, 5, 27], turn), 1.0, 0.03)
    length = math.hypot(5.0 * math.pi / 2.0, 25.0)
    assert found.low <= length
    assert found.high == pytest.approx(length, rel=5e-3)
    assert found.low >= 0.97 * found.high
