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


def test_feet_that_are_not_level_are_told_the_one_height_that_would_do():
    """Least heights 10 and 12 leave the feet 2 out of level; 12 under both keeps every demand."""
    text = THREE_HEIGHTS.replace("LEAST", "12").replace("MOST", "12")
    level_feet = "      level_feet: [{under: m1, feet: [p1, p2, p3], within: 0.2}]\n"
    (found,) = [each for each in answered(study(text + level_feet)).findings if len(each.parts) == 3]
    assert found.status is Status.NOT_MET
    ones = " + ".join(["1"] * 12)
    assert found.mend == f"one height of 12 ({ones}) for p1, p2, p3 would do: tie them by same_for"


def test_no_one_height_is_named_where_none_keeps_the_demands():
    text = THREE_HEIGHTS.replace("LEAST", "15").replace("MOST", "16")
    level_feet = "      level_feet: [{under: m1, feet: [p1, p2, p3], within: 0.2}]\n"
    (found,) = [each for each in answered(study(text + level_feet)).findings if len(each.parts) == 3]
    assert (found.status, found.mend) == (Status.NOT_MET, "")


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
