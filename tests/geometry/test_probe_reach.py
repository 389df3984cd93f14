"""Probes at the openings of a closed box with one piece of live metal in it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.geometry.probe_close import may_touch_closely
from fitcheck.geometry.probe_matter import Block, Grid, Matter, Skin, distances, near
from fitcheck.geometry.probe_opening import middle_placing
from fitcheck.geometry.probe_reach import Entered, Probe, grid_over, may_enter, may_touch
from fitcheck.geometry.probe_straight import straight_placing
from fitcheck.geometry.solid_facets import box_facets

FINGER = Probe(radius=6.0, length=80.0, stop_radius=10.0, tip_radius=4.0, tip_length=8.0)
WIRE = Probe(radius=0.5, length=100.0, stop_radius=17.5, tip_radius=0.5, tip_length=0.0)
INSIDE = (60.0, 50.0, 40.0)
WALL = 2.0
Hole = tuple[float, float] | None


def block(low: tuple[float, ...], high: tuple[float, ...], slack: float = 0.0) -> Block:
    first, last = np.array(low), np.array(high)
    return Block(middle=(first + last) / 2.0, rotation=np.eye(3), half=(last - first) / 2.0, slack=slack)


def closed_box(hole: Hole = None, slack: float = 0.0, wall: float = WALL) -> list[Matter]:
    """Floor, four walls, and a lid with a hole in its middle, all touching; inside from zero to INSIDE."""
    x, y, z = INSIDE
    sides = [
        ((-wall, -wall, -wall), (x + wall, y + wall, 0.0)),
        ((-wall, -wall, 0.0), (0.0, y + wall, z)),
        ((x, -wall, 0.0), (x + wall, y + wall, z)),
        ((0.0, -wall, 0.0), (x, 0.0, z)),
        ((0.0, y, 0.0), (x, y + wall, z)),
    ]
    low, high = (-wall, -wall, z), (x + wall, y + wall, z + wall)
    if hole is None:
        sides.append((low, high))
    else:
        left, right = x / 2.0 - hole[0] / 2.0, x / 2.0 + hole[0] / 2.0
        front, rear = y / 2.0 - hole[1] / 2.0, y / 2.0 + hole[1] / 2.0
        sides += [
            (low, (left, high[1], high[2])),
            ((right, low[1], low[2]), high),
            ((left, low[1], low[2]), (right, front, high[2])),
            ((left, rear, low[2]), (right, high[1], high[2])),
        ]
    return [block(first, last, slack) for first, last in sides]


def live(top: float) -> list[Matter]:
    return [block((25.0, 20.0, top - 10.0), (35.0, 30.0, top))]


def as_skins(matter: list[Matter]) -> list[Matter]:
    skins: list[Matter] = []
    for piece in matter:
        assert isinstance(piece, Block)
        facets = box_facets(list(2.0 * piece.half))
        skins.append(Skin(triangles=(facets.vertices + piece.middle - piece.half)[facets.faces], slack=piece.slack))
    return skins


def looked_at(matter: list[Matter], target: list[Matter], probe: Probe) -> tuple[Grid, Entered]:
    grid = grid_over([*matter, *target], probe.stop_radius, 4_000_000, 2.5)
    field = distances(grid, matter, probe.stop_radius + 1.0)
    return grid, may_enter(grid, field, probe, target)


def reached(matter: list[Matter], target: list[Matter], probe: Probe) -> bool:
    grid, entered = looked_at(matter, target, probe)
    return may_touch(grid, entered, probe, target)


def test_a_finger_cannot_get_into_a_closed_box() -> None:
    assert not reached(closed_box(), live(20.0), FINGER)
    assert straight_placing(live(20.0), closed_box(), FINGER) is None


def test_nor_into_one_of_triangles() -> None:
    assert not reached(as_skins(closed_box()), live(20.0), FINGER)


def test_a_finger_gets_through_a_hole_that_is_wider_and_the_placing_is_clear() -> None:
    matter, target = closed_box((13.0, 13.0)), live(20.0)
    assert reached(matter, target, FINGER)
    placing = straight_placing(target, matter, FINGER)
    assert placing is not None
    axis = np.linspace(0.0, 1.0, 400)[:, None] * (placing.stop - placing.touched) + placing.touched
    way = (placing.stop - placing.touched) / np.linalg.norm(placing.stop - placing.touched)
    body = axis[(axis - placing.touched) @ way <= FINGER.length][6 * 4 :]
    assert (
        min(float(piece.distance(body).min()) for piece in matter if isinstance(piece, Block)) >= FINGER.radius - 1e-9
    )
    assert min(float(piece.distance(placing.touched[None])[0]) for piece in target if isinstance(piece, Block)) <= 1e-9


def test_a_placing_is_found_past_triangles_too() -> None:
    matter, target = closed_box((16.0, 16.0)), live(20.0)
    assert straight_placing(as_skins(target), as_skins(matter), FINGER) is not None
    assert straight_placing(target, as_skins(closed_box()), FINGER) is None


def beside(right: float) -> list[Matter]:
    """Live metal that ends at `right`, where the middle of a hole in the lid is at 30."""
    return [block((right - 10.0, 20.0, 10.0), (right, 30.0, 20.0))]


@pytest.mark.parametrize("probe", [FINGER, WIRE])
@pytest.mark.parametrize("right", [31.7, 38.3])
def test_the_middle_of_a_slot_is_found_that_is_hardly_wider_than_the_probe(probe: Probe, right: float) -> None:
    """No point of the rough search lies in the middle; the placing found keeps clear of both sides by the hair left."""
    matter = closed_box((2.0 * probe.radius + 0.02, 40.0))
    for target, others in ((beside(right), matter), (as_skins(beside(right)), as_skins(matter))):
        placing = straight_placing(target, others, probe)
        assert placing is not None
        assert placing.stop[0] == pytest.approx(30.0, abs=0.011)
        assert placing.touched[2] == pytest.approx(20.0, abs=1e-9)
        assert placing.stop[2] > 40.0
    assert straight_placing(beside(right), closed_box((2.0 * probe.radius - 0.02, 40.0)), probe) is None


def test_a_shelf_far_above_the_slot_stops_the_stop_and_not_the_middle_search() -> None:
    """A plate 300 mm above with a hole that lets the finger through but not its stop: nobody gets in from there."""
    plate = [block((-90.0, -90.0, 300.0), (18.0, 140.0, 302.0)), block((42.0, -90.0, 300.0), (150.0, 140.0, 302.0))]
    plate += [block((18.0, -90.0, 300.0), (42.0, 13.0, 302.0)), block((18.0, 37.0, 300.0), (42.0, 140.0, 302.0))]
    slot = closed_box((12.02, 40.0))
    assert middle_placing(beside(31.7), slot, replace(FINGER, stop_radius=27.0)) is not None
    assert middle_placing(beside(31.7), [*slot, *plate], replace(FINGER, stop_radius=27.0)) is None
    found = middle_placing(beside(31.7), [*slot, *plate], replace(FINGER, stop_radius=11.0))
    assert found is not None
    assert found.stop[2] == pytest.approx(20.0 + FINGER.length + 11.0, abs=1e-9)


def test_the_rounded_end_touches_what_stands_just_beside_the_way() -> None:
    """The end of a finger, rounded by 2 mm, strikes what ends 0.5 mm short of its axis, and not what ends 2.5 short."""
    matter = closed_box((12.1, 40.0))
    placing = straight_placing(beside(29.5), matter, FINGER)
    assert placing is not None
    assert placing.touched[0] <= 29.5
    assert placing.stop[0] == pytest.approx(30.0, abs=0.051)
    assert straight_placing(beside(27.5), matter, FINGER) is None


def test_a_finger_is_too_thick_for_a_narrow_slot() -> None:
    assert not reached(closed_box((5.0, 40.0)), live(20.0), FINGER)


def test_the_thin_end_reaches_what_lies_just_below_a_hole_of_10() -> None:
    assert reached(closed_box((10.0, 10.0)), live(37.0), FINGER)
    assert straight_placing(live(37.0), closed_box((10.0, 10.0)), FINGER) is None


def test_a_finger_is_too_short_for_a_deep_shaft() -> None:
    """Live metal 150 below the mouth of a shaft 16 wide, into which the stop cannot follow; and its top 50 below."""
    shaft: list[Matter] = [
        block((-40.0, -40.0, 0.0), (-8.0, 40.0, 150.0)),
        block((8.0, -40.0, 0.0), (40.0, 40.0, 150.0)),
        block((-8.0, -40.0, 0.0), (8.0, -8.0, 150.0)),
        block((-8.0, 8.0, 0.0), (8.0, 40.0, 150.0)),
        block((-40.0, -40.0, -5.0), (40.0, 40.0, 0.0)),
    ]
    deep: list[Matter] = [block((-2.0, -2.0, 0.0), (2.0, 2.0, 2.0))]
    high: list[Matter] = [block((-2.0, -2.0, 0.0), (2.0, 2.0, 100.0))]
    assert not reached(shaft, deep, FINGER)
    assert reached(shaft, high, FINGER)


def test_slack_of_the_walls_opens_what_was_closed() -> None:
    """Pieces that may each recede by 4 leave gaps of 8: more than the end of a finger needs."""
    assert not reached(closed_box(slack=1.0), live(34.0), FINGER)
    assert reached(closed_box(slack=4.0), live(34.0), FINGER)


def test_a_coarse_grid_cannot_clear_a_wire_and_a_closer_look_can() -> None:
    matter, target = closed_box(), live(20.0)
    grid, entered = looked_at(matter, target, WIRE)
    assert may_touch(grid, entered, WIRE, target)
    assert may_touch_closely(grid, entered, matter, WIRE, [target], 5000) == [False]


def test_a_closer_look_finds_a_pinhole_and_says_so_for_each_target() -> None:
    """A wall parts the box; the hole of 1.5 is left of it."""
    parted = [*closed_box((1.5, 1.5)), block((40.0, 0.0, 0.0), (42.0, 50.0, 40.0))]
    hidden: list[Matter] = [block((50.0, 20.0, 10.0), (55.0, 25.0, 20.0))]
    grid, entered = looked_at(parted, [*live(20.0), *hidden], WIRE)
    assert may_touch_closely(grid, entered, parted, WIRE, [live(20.0), hidden], 5000) == [True, False]


def test_a_closer_look_declines_what_is_too_much() -> None:
    matter, target = closed_box(), live(20.0)
    grid, entered = looked_at(matter, target, WIRE)
    assert may_touch_closely(grid, entered, matter, WIRE, [target], 3) is None


def test_distances_are_true_for_boxes_and_never_too_small_for_triangles() -> None:
    turned = np.array([[0.6, -0.8, 0.0], [0.8, 0.6, 0.0], [0.0, 0.0, 1.0]])
    piece = Block(middle=np.array([5.0, 4.0, 3.0]), rotation=turned, half=np.array([4.0, 2.0, 1.0]), slack=0.25)
    facets = box_facets([8.0, 4.0, 2.0])
    skin = Skin(triangles=((facets.vertices - piece.half) @ turned.T + piece.middle)[facets.faces], slack=0.25)
    grid = Grid(low=np.array([-5.0, -5.0, -3.0]), cell=1.0, shape=(20, 18, 12))
    centres = grid.centres(np.argwhere(np.ones(grid.shape)))
    true = piece.distance(centres).reshape(grid.shape) + 0.25
    exact, sampled = distances(grid, [piece], 50.0), distances(grid, [skin], 50.0)
    assert np.abs(exact - true).max() <= 2e-3
    outside = true > 0.25
    assert (sampled[outside] >= true[outside] - 1e-4).all()
    assert (sampled[outside] <= true[outside] + grid.cell / 2.0 + 2e-3).all()


def test_a_square_box_is_measured_like_a_turned_one() -> None:
    square = block((0.0, 1.0, 2.0), (3.0, 5.0, 4.0))
    grid = Grid(low=np.array([-4.0, -4.0, -4.0]), cell=0.7, shape=(18, 20, 19))
    found = distances(grid, [square], 30.0)
    centres = grid.centres(np.argwhere(np.ones(grid.shape)))
    assert found.reshape(-1) == pytest.approx(square.distance(centres) + 1e-3, abs=1e-5)


def test_only_near_matter_is_kept() -> None:
    low, high = np.zeros(3), np.ones(3)
    far, close = block((5.0, 5.0, 5.0), (6.0, 6.0, 6.0)), block((0.5, 0.5, 0.5), (6.0, 6.0, 6.0))
    assert near([far, close], low, high) == [close]
    (skin,) = near(as_skins([close]), low, high)
    assert isinstance(skin, Skin)
    assert 0 < len(skin.triangles) < 12
