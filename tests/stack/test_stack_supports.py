from __future__ import annotations

import pytest
from engine_layouts import findings, study
from hypothesis import given
from hypothesis import strategies as st
from stacks import answered

from fitcheck.findings import Status
from fitcheck.stack.shims import shim_pack
from fitcheck.stack.solve import solve

FLOOR = """
    parts:
      floor: {role: enclosure, change: retained, shape: {box: [900, 300, 5]}, low_corner: [0, 0, -5]}
      p1:
        {role: spacer, change: new, shape: {box: [30, 30, 10 ± 0.2]},
         place: {front: flush with floor, left: flush with floor, bottom: on floor top}}
      p2: {like: p1, place: {front: 400 short of floor}}
      p3: {like: p1, place: {front: 800 short of floor}}
      m1:
        {role: module, change: new, shape: {box: [30, 30, 40]},
         place: {front: flush with p1, left: flush with p1, bottom: on p1}}
      m2: {like: m1, place: {front: flush with p2, bottom: on p2}}
      m3: {like: m1, place: {front: flush with p3, bottom: on p3}}
"""
THREE_HEIGHTS = (
    FLOOR
    + """
    heights:
      find:
        p1: {stock: [1], at_most_pieces: 40, tolerance: 0}
        p2: {stock: [1], at_most_pieces: 40, tolerance: 0}
        p3: {stock: [1], at_most_pieces: 40, tolerance: 0}
      so_that:
        - {clear_height: [floor, m1], at_least: 10}
        - {clear_height: [floor, m1], at_most: 12}
        - {clear_height: [floor, m2], at_least: 12}
        - {clear_height: [floor, m3], at_least: LEAST}
        - {clear_height: [floor, m3], at_most: MOST}
"""
)


def supports(least: int, most: int) -> tuple[str, ...]:
    text = THREE_HEIGHTS.replace("LEAST", str(least)).replace("MOST", str(most))
    assert sorted(pick.height for pick in solve(study(text)).picks.values()) == sorted((10.0, 12.0, float(least)))
    return answered(study(text)).heights.supports


def test_three_heights_become_one_where_their_ranges_meet():
    """10 to 12, from 12 and 11 to 13 meet at 12: 2 + 0 + 1 mm more."""
    (said,) = supports(11, 13)
    assert said.startswith("1 different height would do instead of 3: 12 (")
    assert said.endswith("for p1, p2, p3; 3 mm more in all")


def test_three_heights_become_two_where_one_range_stands_apart():
    """From 15 nothing meets 10 to 12; p2 may go with either, and the lower sum counts: p1 at 12."""
    (said,) = supports(15, 16)
    assert said.startswith("2 different heights would do instead of 3: ")


FEET = (
    FLOOR.replace("p2: {like: p1, place", "p2: {like: p1, shape: {box: [30, 30, 9.3 ± 0.2]}, place")
    + """
    heights:
      find: {p1: {stock: [10], tolerance: 0.2}}
      level_feet: [{under: m1, feet: [p1, p2, p3], within: WITHIN, shims: [0.1, 0.2, 0.5]}]
"""
)


def feet(least: int, most: int, level_feet: str):
    text = THREE_HEIGHTS.replace("LEAST", str(least)).replace("MOST", str(most))
    return answered(study(text + f"      level_feet: [{{under: m1, feet: [p1, p2, p3], {level_feet}}}]\n"))


def level_of(answer):
    (found,) = [each for each in answer.findings if len(each.parts) == 3]
    return found


def test_the_levelling_limit_of_found_feet_is_a_demand_on_the_choice():
    """Least heights 10, 12 and 12 would be 2 out of level; 12 under all keeps every demand and the limit."""
    answer = feet(12, 12, "within: 0.2")
    assert [row.height_mm for row in answer.heights.found] == [12.0, 12.0, 12.0]
    assert level_of(answer).status is Status.MET
    assert answer.heights.found[0].decided_by == "feet under m1 level within 0.2: p1, p2, p3 (0.20 mm to spare)"


def test_a_levelling_limit_with_room_leaves_the_lower_feet_lower():
    assert [row.height_mm for row in feet(13, 13, "within: 1").heights.found] == [12.0, 12.0, 13.0]


def test_feet_that_no_heights_level_contradict_the_demands():
    """p1 may be 12 at most and p3 must be 15: in pieces of 1, either gives way by 3, the limit itself by 2.8."""
    answer = feet(15, 16, "within: 0.2")
    assert not answer.heights.solved
    rows = {row.what: row.by for row in answer.heights.conflict}
    assert rows == {
        "clear height floor - m1 at most 12": pytest.approx(3.0, abs=1e-5),
        "clear height floor - m3 at least 15": pytest.approx(3.0, abs=1e-5),
        "feet under m1 level within 0.2: p1, p2, p3": pytest.approx(2.8, abs=1e-5),
    }
    assert level_of(answer).status is Status.NOT_MET


def test_feet_that_no_heights_level_are_left_to_the_shims_on_the_shelf():
    answer = feet(15, 16, "within: 0.2, shims: [0.5, 1]")
    assert [row.height_mm for row in answer.heights.found] == [10.0, 12.0, 15.0]
    assert level_of(answer).status is Status.NOT_MET
    said = answer.heights.supports
    assert any(one.startswith("no heights from stock keep feet under m1 level within 0.2") for one in said)
    assert "shim pack on p1: 5 x 1 for 5.00 mm; 0.00 mm is left" in said


def test_feet_of_which_one_stands_still_are_levelled_to_it():
    """p2 is not to be found and is 9.3: of 9, 9.5 and 10 the first is the least that is level within 0.35."""
    text = (
        FLOOR.replace("p2: {like: p1, place", "p2: {like: p1, shape: {box: [30, 30, 9.3]}, place")
        + """
    heights:
      find: {p1: {stock: any, step: 0.5, tolerance: 0.04, same_for: [p3]}}
      level_feet: [{under: m1, feet: [p1, p2, p3], within: 0.35}]
"""
    )
    assert [row.height_mm for row in answered(study(text)).heights.found] == [9.0, 9.0]


def test_the_fewest_heights_are_found_for_many_supports():
    """Fourteen pads, from 5, 6, ... 18 up to 4 more: a height of 9, one of 14 and one of 18 reach them all."""
    pads = "".join(
        f"""
      q{k}:
        {{role: spacer, change: new, shape: {{box: [10, 10, 5]}},
         place: {{front: {20 * k} past floor, left: flush with floor, bottom: on floor top}}}}
      n{k}:
        {{role: module, change: new, shape: {{box: [10, 10, 4]}},
         place: {{front: flush with q{k}, left: flush with q{k}, bottom: on q{k}}}}}"""
        for k in range(5, 19)
    )
    heights = "".join(f"\n        q{k}: {{stock: any, step: 1, tolerance: 0}}" for k in range(5, 19))
    demands = "".join(
        f"\n        - {{clear_height: [floor, n{k}], at_least: {k}, at_most: {k + 4}}}" for k in range(5, 19)
    )
    text = f"""
    parts:
      floor: {{role: enclosure, change: retained, shape: {{box: [900, 300, 5]}}, low_corner: [0, 0, -5]}}{pads}
    heights:
      find:{heights}
      so_that:{demands}
"""
    (said,) = answered(study(text)).heights.supports
    assert said.startswith("3 different heights would do instead of 14: ")


def test_feet_are_as_far_out_of_level_as_their_tops():
    """10 ± 0.2 against 9.3 ± 0.2: 0.7 in the drawing, 1.1 at worst, over 400 mm."""
    (finding,) = findings(FEET.replace("WITHIN", "1"), "level")
    assert finding.band is not None
    assert (finding.band.value, finding.band.high) == pytest.approx((0.7, 1.1), abs=1e-9)
    assert finding.status is Status.CANNOT_TELL
    assert findings(FEET.replace("WITHIN", "1.2"), "level")[0].status is Status.MET
    assert findings(FEET.replace("WITHIN", "0.2"), "level")[0].status is Status.NOT_MET


def test_shim_packs_are_named_for_the_low_feet():
    said = answered(study(FEET.replace("WITHIN", "0.2"))).heights.supports
    assert "shim pack on p2: 0.5 + 0.2 for 0.70 mm; 0.00 mm is left" in said
    assert any("at worst by 1.10 mm (2.8 mm in a metre)" in one for one in said)
    assert not any(one.startswith("shim pack on p1") for one in said)


@given(st.integers(0, 60), st.lists(st.sampled_from([1, 2, 3, 5, 7, 12]), min_size=1, max_size=3, unique=True))
def test_no_pack_comes_nearer_with_fewer_shims(gap, sizes):
    """Against a search over all packs, in tenths of a millimetre."""
    fewest = {0: 0}
    for total in range(1, gap + max(sizes) + 1):
        before = [fewest[total - size] for size in sizes if total - size in fewest]
        if before:
            fewest[total] = min(before) + 1
    off = min(abs(total - gap) for total in fewest)
    pieces, lacks = shim_pack(gap / 10, [(size / 10, None) for size in sizes])
    assert abs(lacks) == pytest.approx(off / 10, abs=1e-9)
    assert len(pieces) == min(number for total, number in fewest.items() if abs(total - gap) == off)


SHELF = (
    FLOOR
    + """
    heights:
      find:
        p1: {stock: {5: 4, 8: 2}, tolerance: 0.1, same_for: [p2]}
        p3: {stock: {5: 4, 8: LAST}, tolerance: 0.1}
      so_that: []
"""
)


def test_equal_counted_stocks_are_one_shelf_and_that_is_said():
    said = answered(study(SHELF.replace("LAST", "2"))).heights.supports
    assert said[0] == "shelf 4 of 5, 2 of 8: counted once for p1, p2, p3 together"
    assert not any("shelves" in one for one in said)


def test_counted_stocks_that_differ_in_one_entry_are_two_shelves_and_that_is_said():
    said = answered(study(SHELF.replace("LAST", "3"))).heights.supports
    assert said[:2] == (
        "shelf 4 of 5, 2 of 8: counted once for p1, p2 together",
        "shelf 4 of 5, 3 of 8: for p3 alone",
    )
    assert said[2].startswith("these are 2 shelves, each with pieces of its own")


AGED = (
    FLOOR.replace("role: module, change: new,", "role: module, change: new, grows: {z: 2 %},")
    + """
      roof: {role: lid, change: retained, shape: {box: [900, 300, 2]}, low_corner: [0, 0, 90]}
    heights:
      find: {p1: {stock: any, step: 1, tolerance: 0}}
      so_that:
        - {clear_height: [floor, m1], at_least: 10}
        - {clear_height: [floor, m1], at_most: 20}
        - {clear_height: [m1, roof], at_least: 5}
        - {clear_height: [p1, m1], at_least: 0}
"""
)


def test_a_stack_that_is_the_same_at_both_ages_comes_once_with_all_that_is_asked_of_it():
    """What grows upward on its feet changes the clear height above it alone."""
    stacks = answered(study(AGED)).heights.stacks
    assert [(stack.title, stack.state) for stack in stacks] == [
        ("clear height floor - m1", ""),
        ("clear height m1 - roof", "beginning of life"),
        ("clear height m1 - roof", "end of life"),
        ("clear height p1 - m1", ""),
    ]
    assert stacks[0].required == (("at least", 10.0), ("at most", 20.0))
    assert stacks[3].links == ()
