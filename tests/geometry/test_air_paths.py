"""Ways through air in space against closed forms: over walls, round edges, through holes, round a bar, and none."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fitcheck.geometry.air_paths.edges import edges_of
from fitcheck.geometry.air_paths.field import Play
from fitcheck.geometry.air_paths.play import longest
from fitcheck.geometry.air_paths.search import Found, shortest
from fitcheck.geometry.air_paths.shade import blocked
from fitcheck.geometry.air_paths.walls import walls_of
from fitcheck.geometry.polygon import triangles_of
from fitcheck.geometry.solid_facets import bar_facets, box_facets, prism_facets

TURN = Rotation.random(random_state=3).as_matrix()
POINT_MM = 1e-6
"""Conductors as small as a point are cubes of this size, and no way is off by more."""


def box(low, high, turn=TURN):
    low, high = np.array(low, dtype=float), np.array(high, dtype=float)
    drawn = box_facets([*(high - low)])
    return (drawn.vertices - drawn.vertices.min(axis=0) + low) @ turn.T, drawn.faces


def metal(solid):
    return solid[0][solid[1]]


def stud(point, turn=TURN):
    return metal(box(np.array(point) - POINT_MM / 2.0, np.array(point) + POINT_MM / 2.0, turn))


def plate(outline, holes, height, turn=TURN):
    points, triangles = triangles_of(outline, holes)
    drawn = prism_facets(points, triangles, height, 2)
    return drawn.vertices @ turn.T, drawn.faces


def hollow(outer, inner):
    """A box around a hollow."""
    shell, room = box(*outer), box(*inner)
    return np.concatenate([shell[0], room[0]]), np.concatenate([shell[1], room[1][:, ::-1] + len(shell[0])])


def brackets(found: Found, length: float, accuracy: float = 0.005) -> None:
    assert found.low <= length + 1e-5
    assert length - 1e-5 <= found.high <= length * (1.0 + accuracy) + 1e-5
    assert found.low >= (1.0 - accuracy) * found.high
    line = np.linalg.norm(np.diff(found.line, axis=0), axis=1).sum()
    assert line == pytest.approx(found.high, abs=1e-9)


def over(*legs: tuple[float, float]) -> float:
    return math.fsum(math.hypot(*leg) for leg in legs)


WALL = ((0, -50, -40), (2, 50, 8))


def test_open_air_is_straight() -> None:
    brackets(shortest([box(*WALL)], (stud((-3, 0, 9)), stud((5, 0, 10)))), math.hypot(8, 1), 1e-6)


def test_over_a_wall_between_two_points_side_by_side() -> None:
    """Over both edges of its top; unfolded the way is straight."""
    found = shortest([box(*WALL)], (stud((-3, -4, 1)), stud((5, 3, 2))))
    brackets(found, math.hypot(math.hypot(3, 7) + 2 + math.hypot(3, 6), 7))


def test_over_a_wall_between_two_bars() -> None:
    one, other = box((-9, -10, 0), (-3, 10, 5)), box((5, -10, 0), (11, 10, 6))
    brackets(shortest([box(*WALL)], (metal(one), metal(other))), over((3, 3), (2, 0), (3, 2)), 1e-6)


def test_a_bar_that_looks_over_the_wall_sees_the_other() -> None:
    one, other = box((-9, -10, 0), (-3, 10, 9)), box((5, -10, 0), (11, 10, 12))
    brackets(shortest([box(*WALL)], (metal(one), metal(other))), 8.0, 1e-6)


def test_round_the_end_of_a_wall_where_that_is_shorter() -> None:
    found = shortest([box((0, -50, -40), (2, 4, 40))], (stud((-3, 0, 0)), stud((5, 1, 0))))
    brackets(found, over((3, 4), (2, 0), (3, 3)))


def test_over_two_walls() -> None:
    walls = [box((0, -50, -40), (1, 50, 8)), box((4, -50, -40), (5, 50, 6))]
    found = shortest(walls, (stud((-3, 0, 1)), stud((8, 0, 1))))  # clear of the near edge of the lower one
    brackets(found, over((3, 7), (1, 0), (4, 2), (3, 5)))


@pytest.mark.parametrize(
    ("one", "other", "length"),
    [((0, 0, -3), (0, 0, 6), 9.0), ((4, 0, -3), (4, 0, 5), over((3, 3), (2, 0), (3, 3)))],
    ids=["straight through", "in and out over the rim"],
)
def test_through_a_hole_in_a_plate(one, other, length: float) -> None:
    solid = plate([(-30, -30), (30, -30), (30, 30), (-30, 30)], [[(-1, -1), (-1, 1), (1, 1), (1, -1)]], 2.0)
    low = (solid[0] @ TURN)[:, 2].min()
    lifted = [stud((x, y, z + low)) for x, y, z in (one, other)]
    brackets(shortest([solid], (lifted[0], lifted[1])), length)


def test_round_a_bar_of_facets() -> None:
    """Tangents and an arc; 24 facets with their corners on the circle are up to 0.3 % shorter, never longer."""
    points = [(5.0 * math.cos(turn), 5.0 * math.sin(turn)) for turn in np.arange(24) * math.pi / 12.0]
    solid = plate(points, [], 30.0)
    middle = (solid[0] @ TURN)[:, 2].mean()
    found = shortest([solid], (stud((-8, 0, middle)), stud((8, 0, middle))))
    length = 2.0 * math.sqrt(8.0**2 - 5.0**2) + 5.0 * (math.pi - 2.0 * math.acos(5.0 / 8.0))
    assert 0.995 * 0.997 * length <= found.low <= found.high <= length


def test_the_facets_of_a_drawn_bar_hold_its_corners() -> None:
    drawn = bar_facets(10.0, 30.0, 2)
    assert len(edges_of([(drawn.vertices, drawn.faces)])) == 3 * (len(drawn.vertices) - 2) // 2


def test_no_way_out_of_a_closed_box() -> None:
    shell = hollow(((-10, -10, -10), (10, 10, 10)), ((-9, -9, -9), (9, 9, 9)))
    found = shortest([shell], (metal(box((-3, -3, -3), (3, 3, 3))), metal(box((12, -3, -3), (15, 3, 3)))))
    assert math.isinf(found.low)
    assert math.isinf(found.high)
    assert not len(found.line)


def test_within_a_limit_no_way_is_only_known_to_be_no_shorter() -> None:
    shell = hollow(((-10, -10, -10), (10, 10, 10)), ((-9, -9, -9), (9, 9, 9)))
    ends = metal(box((-3, -3, -3), (3, 3, 3))), metal(box((12, -3, -3), (15, 3, 3)))
    found = shortest([shell], ends, limit=12.0)
    assert found.low == 12.0
    assert math.isinf(found.high)


def test_a_joint_is_closed_where_nothing_moves_and_air_where_something_may() -> None:
    """A wall on a base: over it, or under it once it may lift."""
    solids = [box((-30, -50, -20), (30, 50, 0)), box((0, -50, 0), (2, 50, 8))]
    ends = stud((-3, 0, 0.01)), stud((5, 0, 0.01))
    brackets(shortest(solids, ends), over((3, 7.99), (2, 0), (3, 7.99)))
    loose = shortest(solids, ends, play=Play(slack=0.1, margin=0.1), enough=7.0)
    assert 7.0 <= loose.low <= 8.001


def test_play_shortens_the_bound_and_thins_the_walls() -> None:
    ends = metal(box((-9, -10, 0), (-3, 10, 5))), metal(box((5, -10, 0), (11, 10, 6)))
    fixed = shortest([box(*WALL)], ends)
    loose = shortest([box(*WALL)], ends, play=Play(loose=(0.2, 0.1), margin=0.2))
    assert fixed.low - 0.3 - 1e-6 <= loose.low <= fixed.low - 0.3 + 0.005 * fixed.high
    too_loose = shortest([box(*WALL)], ends, play=Play(loose=(1.1, 1.1), margin=1.1))
    assert too_loose.low <= 8.0 - 2.2 + 1e-6, "a wall of 2 mm blocks nothing that moves by 1.1 mm"


def test_a_proof_of_blocking_needs_the_whole_view_to_be_blocked() -> None:
    walls = walls_of([box(*WALL)])
    one = np.array([[(-3.0, -1.0, 0.0), (-3.0, 1.0, 0.0)]]) @ TURN.T
    heights = np.array([[[(5.0, 0.0, 0.0), (5.0, 0.0, top)]] for top in (7.0, 15.9, 16.1, 40.0)])[:, 0] @ TURN.T
    # From a height of 0 at 3 mm before the wall the sight line over its first edge, 8 up at 3 mm, is 21 up at 8 mm.
    assert blocked(walls, np.repeat(one, 4, axis=0), heights, 0.0).tolist() == [True, True, True, False]
    assert blocked(walls, one, heights[:1], 0.9).tolist() == [True]
    assert blocked(walls, one, heights[:1], 1.1).tolist() == [False]


def test_a_line_along_a_face_is_clear_and_one_through_an_edge_is_not() -> None:
    walls = walls_of([box(*WALL)])
    points = np.array([(-3.0, 0, 8), (5, 0, 8), (-3, 0, 7.9), (5, 0, 7.9), (0, 0, 8), (2, 0, -40)]) @ TURN.T
    assert walls.solid_on(points[0], points[1]) == 0.0
    assert walls.solid_on(points[2], points[3]) == pytest.approx(2.0, abs=1e-9)
    assert walls.solid_on(points[4], points[5]) == pytest.approx(math.hypot(2, 48), abs=1e-9)


def test_how_long_a_way_may_become() -> None:
    """Over a wall by edges that may move 0.05 mm: at least as much, and not much more; past a slit that may close."""
    walls = walls_of([box(*WALL)])
    line = np.array([(-3.0, 0, 5), (0, 0, 8), (2, 0, 8), (5, 0, 5)]) @ TURN.T
    length = over((3, 3), (2, 0), (3, 3))
    assert longest(walls, line, 0.0) == pytest.approx(length, abs=1e-9)
    assert length + 0.1 <= longest(walls, line, 0.05) <= length + 1.5
    slit = walls_of([box(*WALL), box((0, -50, 8.05), (2, 50, 20))])
    assert math.isinf(longest(slit, line, 0.05))


def test_only_edges_that_stick_out_count() -> None:
    """An L: of its six upright edges one points inward."""
    solid = plate([(0, 0), (4, 0), (4, 1), (1, 1), (1, 4), (0, 4)], [], 2.0)
    assert len(edges_of([solid])) == 5 + 12
