"""Ways through a flat section on small cases worked by hand."""

from __future__ import annotations

import math

import pytest

from fitcheck.geometry.section_paths import Insulator, Leg, Metal, Over, Paths, Section, Way, groove_width, paths

Line = list[tuple[float, float]]

BLOCK: Line = [(-3, 0), (20, 0), (20, -12), (-3, -12)]
A = Metal(points=[(-2, 0), (0, 0)])


def line(*points: tuple[float, float]) -> Metal:
    return Metal(points=points)


def solid(*points: tuple[float, float]) -> Metal:
    return Metal(points=points, solid=True)


def over(*outlines: Line, a: Metal = A, b: Metal, floating: tuple[Metal, ...] = (), x: float = 1.0) -> Paths:
    section = Section(
        insulators=[Insulator(outline=outline) for outline in outlines], a=[a], b=[b], floating=list(floating)
    )
    return paths(section, x, relief=False)


def clearance(found: Paths) -> Way:
    assert found.clearance is not None
    return found.clearance


def creepage(found: Paths) -> Way:
    assert found.creepage is not None
    return found.creepage


def floor_with(*bumps: tuple[float, float]) -> Line:
    return [(-3, 0), *bumps, (20, 0), (20, -12), (-3, -12)]


def test_conductors_that_touch_have_no_way_between_them() -> None:
    found = over(BLOCK, b=line((0, 0), (1, 0)))
    assert (clearance(found).length, creepage(found).length) == (0.0, 0.0)
    assert clearance(found).corners == ()


def test_conductors_that_cross_away_from_their_ends_touch() -> None:
    found = over(BLOCK, a=line((0, 0), (4, 4)), b=line((0, 4), (4, 0)))
    assert clearance(found).legs == ()


def test_floating_metal_that_crosses_a_conductor_is_part_of_it() -> None:
    found = over(BLOCK, b=line((8, 0), (9, 0)), floating=(line((-1, -0.5), (-1, 2), (5, 2)),))
    assert clearance(found).length == pytest.approx(math.hypot(3, 2), abs=1e-12)


def test_a_conductor_within_insulation_has_no_way_through_air() -> None:
    found = over(BLOCK, b=solid((8, -4), (9, -4), (9, -5), (8, -5)))
    assert found.clearance is None
    assert found.creepage is None


def test_a_conductor_in_a_hole_has_none_either_though_the_hole_is_air() -> None:
    body = Insulator(outline=BLOCK, holes=[[(5, -2), (9, -2), (9, -6), (5, -6)]])
    found = paths(Section(insulators=[body], a=[A], b=[line((6, -4), (7, -4))]), 1.0)
    assert (found.clearance, found.creepage) == (None, None)


def test_without_insulation_there_is_only_the_way_through_air() -> None:
    found = over(a=line((0, 0)), b=line((3, 4)))
    assert clearance(found).length == pytest.approx(5.0, abs=1e-12)
    assert found.creepage is None


def test_air_between_metal_narrower_than_x_is_bridged() -> None:
    found = over(a=line((0, 0), (0, 5)), b=line((0.9, 4), (0.9, 9)))
    assert creepage(found).bridged[0][0][0] == pytest.approx(0.0)
    assert creepage(found).length == pytest.approx(0.9, abs=1e-12)
    assert over(a=line((0, 0), (0, 5)), b=line((1.0, 4), (1.0, 9))).creepage is None


def test_clearance_between_slanting_edges_leaves_square() -> None:
    found = clearance(over(a=line((0, 0), (10, 0)), b=line((4, 2), (9, 6))))
    assert found.corners == ((4.0, 0.0), (4.0, 2.0))


def test_clearance_bends_round_a_corner_that_sticks_out() -> None:
    found = clearance(over(floor_with((3, 0), (3, 4), (5, 4), (5, 0)), b=line((8, 0), (10, 0))))
    assert found.corners == ((0.0, 0.0), (3.0, 4.0), (5.0, 4.0), (8.0, 0.0))
    assert found.length == pytest.approx(12.0, abs=1e-12)
    assert {leg.over for leg in found.legs} == {Over.AIR}


def test_a_closed_joint_is_a_way_over_surfaces_and_not_through_air() -> None:
    """A block cut in two under a wall 10 high that is cut too: through the joint 5 + 20 + 4, over the wall far more."""
    left: Line = [(-3, 0), (5, 0), (5, 10), (6, 10), (6, -12), (-3, -12)]
    right: Line = [(6, 10), (7, 10), (7, 0), (20, 0), (20, -12), (6, -12)]
    found = over(left, right, b=line((11, 0), (12, 0)))
    assert clearance(found).length == pytest.approx(math.hypot(5, 10) + 2 + math.hypot(4, 10), abs=1e-9)
    assert creepage(found).length == pytest.approx(5 + 10 + 2 + 10 + 4, abs=1e-9)


def test_the_faces_of_a_joint_carry_a_way_from_a_conductor_within_it() -> None:
    """A foil between two blocks, 3 below the top."""
    left: Line = [(-3, 0), (6, 0), (6, -12), (-3, -12)]
    right: Line = [(6, 0), (20, 0), (20, -12), (6, -12)]
    found = over(left, right, b=line((6, -3), (6, -5)))
    assert found.clearance is None
    assert creepage(found).length == pytest.approx(6 + 3, abs=1e-9)


def test_a_cemented_joint_does_not() -> None:
    left = Insulator(outline=[(-3, 0), (6, 0), (6, -12), (-3, -12)])
    right = Insulator(outline=[(6, 0), (20, 0), (20, -12), (6, -12)])
    section = Section(insulators=[left, right], a=[A], b=[line((6, -3), (6, -5))], cemented=[[0, 1]])
    assert paths(section, 1.0).creepage is None


def test_groups_of_cemented_bodies_that_share_one_are_one() -> None:
    third = [Insulator(outline=[(x, 0), (x + 4, 0), (x + 4, -9), (x, -9)]) for x in (0, 4, 8)]
    ends = {"a": [line((0, 0), (1, 0))], "b": [line((11, -9), (12, -9))]}
    together = paths(Section(insulators=third, **ends, cemented=[[0, 1], [1, 2]]), 1.0).creepage
    apart = paths(Section(insulators=third, **ends), 1.0).creepage
    assert together is not None
    assert apart is not None
    assert together.length == pytest.approx(11 + 9, abs=1e-9)
    assert apart.length == pytest.approx(3 + 9 + 7, abs=1e-9)


def test_floating_metal_is_crossed_for_nothing_and_drawn() -> None:
    found = creepage(over(BLOCK, b=line((9, 0), (10, 0)), floating=(line((3, 0), (5, 0)),)))
    assert found.length == pytest.approx(7.0, abs=1e-12)
    assert found.legs == (
        Leg(Over.SURFACE, (0.0, 0.0), (3.0, 0.0)),
        Leg(Over.METAL, (3.0, 0.0), (5.0, 0.0)),
        Leg(Over.SURFACE, (5.0, 0.0), (9.0, 0.0)),
    )
    assert found.corners == ((0.0, 0.0), (3.0, 0.0), (5.0, 0.0), (9.0, 0.0))


def test_a_square_corner_is_never_cut() -> None:
    """A step up, 0.6 high, at 3: no wall faces another, so nothing is bridged."""
    found = creepage(over(floor_with((3, 0), (3, 0.6)), b=line((8, 0.6 * 12 / 17), (8, 3))))
    assert found.bridged == ()


def test_a_groove_at_its_very_width_counts_from_the_narrow_side() -> None:
    """A V exactly X wide at the top: the link lies on the lips, and the bottom below it is cut off whole."""
    found = creepage(over(floor_with((3, 0), (3.5, -2), (4, 0)), b=line((8, 0), (9, 0))))
    assert found.length == pytest.approx(8.0, abs=1e-9)
    wider = creepage(over(floor_with((3, 0), (3.5, -2), (4.001, 0)), b=line((8, 0), (9, 0))))
    assert 8.0 < wider.length < 8.01


def test_a_blunt_groove_is_followed_to_its_bottom() -> None:
    """Flanks at more than a right angle do not face one another."""
    found = creepage(over(floor_with((3, 0), (3.6, -0.5), (4.2, 0)), b=line((8, 0), (9, 0))))
    assert found.bridged == ()
    assert found.length == pytest.approx(3 + 2 * math.hypot(0.6, 0.5) + 3.8, abs=1e-9)


def test_a_bridge_goes_aslant_from_a_high_lip_to_a_low_one() -> None:
    """0.6 across and 0.4 down: straight from lip to lip."""
    outline: Line = [(-3, 0), (3, 0), (3, -5), (3.6, -5), (3.6, -0.4), (20, -0.4), (20, -12), (-3, -12)]
    found = creepage(over(outline, b=line((8, -0.4), (9, -0.4))))
    assert found.length == pytest.approx(3 + math.hypot(0.6, 0.4) + 4.4, abs=1e-9)


def test_a_bridge_of_length_x_lands_below_a_lip_that_is_too_high() -> None:
    """0.6 across, the far side 2 higher: X long, so 0.8 up, then 1.2 along the wall."""
    outline: Line = [(-3, 0), (3, 0), (3, -5), (3.6, -5), (3.6, 2), (20, 2), (20, -12), (-3, -12)]
    found = creepage(over(outline, b=line((8, 2), (9, 2))))
    assert found.length == pytest.approx(3 + 1 + 1.2 + 4.4, abs=1e-9)


def test_a_bridge_turns_about_a_corner_in_between() -> None:
    """A ridge stands in the mouth of a groove: bridges between its walls touch the top of the ridge.

    The walls lie 0.3 and 0.3 from the ridge. Up on both sides, a bridge bent neither way is the level one: 0.6.
    """
    outline: Line = [(-3, 1), (3, 1), (3, -3), (3.3, -3), (3.3, 0), (3.3001, -3), (3.6, -3), (3.6, 1), (20, 1)]
    found = creepage(
        over([*outline, (20, -12), (-3, -12)], a=line((3, 0.2), (3, -0.2)), b=line((3.6, 0.2), (3.6, -0.2)))
    )
    assert found.length == pytest.approx(0.6, abs=1e-6)


def test_a_wall_beside_metal_is_bridged_square_to_it() -> None:
    """A plate 0.5 from a wall, its top 1 below the lip; X is 0.5001, so that no bridge leans noticeably."""
    outline: Line = [(-6, -3), (0, -3), (0, 0), (20, 0), (20, -12), (-6, -12)]
    found = creepage(over(outline, a=line((-0.5, -2), (-0.5, -1)), b=line((5, 0), (6, 0)), x=0.5001))
    lean = math.sqrt(0.5001**2 - 0.25)
    assert found.length == pytest.approx(0.5001 + 1 - lean + 5, abs=1e-9)


def test_metal_higher_than_the_lip_bridges_straight_to_the_lip() -> None:
    outline: Line = [(-6, -3), (0, -3), (0, 0), (20, 0), (20, -12), (-6, -12)]
    for plate in (line((-0.5, -2), (-0.5, 1)), solid((-0.5, -2), (-0.5, 1), (-2, 1), (-2, -2))):
        found = creepage(over(outline, a=plate, b=line((5, 0), (6, 0))))
        assert found.length == pytest.approx(5.5, abs=1e-9)


def test_a_corner_of_metal_above_a_floor_bridges_aslant() -> None:
    """A slab 0.5 above the floor: from its lower corner, X long, down and along."""
    slab = solid((-4, 0.5), (0, 0.5), (0, 3), (-4, 3))
    found = creepage(over(BLOCK, a=slab, b=line((5, 0), (6, 0))))
    assert found.length == pytest.approx(1 + 5 - math.sqrt(0.75), abs=1e-9)


def test_the_way_is_the_same_for_bodies_that_overlap_a_little() -> None:
    left: Line = [(-3, 0), (6.00005, 0), (6.00005, -12), (-3, -12)]
    right: Line = [(6, 0), (20, 0), (20, -12), (6, -12)]
    assert creepage(over(left, right, b=line((9, 0), (10, 0)))).length == pytest.approx(9.0, abs=1e-9)


def test_a_conductor_that_juts_out_of_insulation_begins_where_it_leaves_it() -> None:
    stud = solid((-1, -2), (0, -2), (0, 2), (-1, 2))
    found = over(BLOCK, a=stud, b=line((5, 0), (6, 0)))
    assert clearance(found).length == pytest.approx(5.0, abs=1e-12)
    assert creepage(found).length == pytest.approx(5.0, abs=1e-12)


def test_a_section_without_one_of_its_conductors_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a piece of metal"):
        Section(insulators=[], a=[], b=[A])


def test_relief_only_lowers_x_and_only_below_3_mm() -> None:
    assert groove_width(1.0, None) == 1.0
    assert groove_width(1.0, 3.0) == 1.0
    assert groove_width(1.0, 2.1) == pytest.approx(0.7, abs=1e-12)
    assert groove_width(0.25, 2.1) == 0.25
