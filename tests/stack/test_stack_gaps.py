"""Gap rules that the heights must keep: above one another, and beside one another where heights can mend them."""

from __future__ import annotations

import pytest
from engine_layouts import study
from stacks import answered

from fitcheck.findings import Status
from fitcheck.stack.solve import solve

DUCT = """
    parts:
      floor: {role: enclosure, change: retained, shape: {box: [300, 300, 5]}, low_corner: [0, 0, -5]}
      duct: {role: duct, change: retained, shape: {box: [40, 300, 30 ± 0.5]}, low_corner: [104, 0, 0]}
      pad: {role: spacer, change: new, shape: {box: [100, 80, 5]}, low_corner: [0, 20, 0]}
      m1:
        {role: module, change: new, shape: {box: [100, 80, 40 ± 0.3]},
         place: {front: flush with pad, left: flush with pad, bottom: on pad}}
      MORE
    gaps:
      - {between: [m1, duct], at_least: 10}
      - {between: [every module, every lid], at_least: 3}
    heights:
      find:
        pad: FIND
      so_that: [{clear_height: [floor, m1], at_least: 4}]
      JUDGED
"""
"""A module 4 beside a duct, of which 10 are asked for. From a rise of the square root of 100 - 16 above the duct it is
clear of it."""

OVER = 84.0**0.5


def duct(find: str, *, more: str = "", judged: str = "judge_by: worst case"):
    return study(DUCT.replace("FIND", find).replace("MORE", more).replace("JUDGED", judged))


def test_a_higher_spacer_clears_what_stands_beside():
    """30.5 of duct, 9.165 above it and 0.2 of the spacer's own tolerance: 39.865 at worst."""
    found = solve(duct("{stock: [5, 10], at_most_pieces: 8, tolerance: 0.2}"))
    assert found.picks["pad"].height == 40.0
    assert found.least["worst case"] == {"pad": pytest.approx(30.5 + OVER + 0.2, abs=1e-5)}
    assert found.least["nominal"] == {"pad": pytest.approx(30.0 + OVER, abs=1e-5)}
    assert found.binding("pad").startswith("gap duct - m1 at least 10 ")


def test_the_least_step_over_it_is_met_and_the_one_before_is_not():
    answer = answered(duct("{stock: any, step: 0.05, tolerance: 0.2}"))
    assert answer.heights.found[0].height_mm == pytest.approx(39.9)
    (gap,) = [each for each in answer.findings if each.check == "gap"]
    assert gap.status is Status.MET
    assert gap.band.low - 10.0 == pytest.approx(0.0319, abs=1e-3)


def test_by_root_sum_square_less_is_enough():
    found = solve(duct("{stock: any, step: 0.05, tolerance: 0.2}", judged="judge_by: rss"))
    assert found.picks["pad"].height == pytest.approx(39.75)


@pytest.mark.parametrize(
    ("find", "more", "against"),
    [
        ("{stock: [5, 10], at_most_pieces: 2, tolerance: 0.2}", "", "at most 2 pieces in pad"),
        (
            "{stock: [5, 10], at_most_pieces: 8, tolerance: 0.2}",
            "lid: {role: lid, change: retained, shape: {box: [300, 300, 2]}, low_corner: [0, 0, 70]}",
            "gap m1 - lid at least 3",
        ),
    ],
    ids=["too little stock", "a lid above"],
)
def test_where_no_height_helps_the_gap_stays_a_finding(find, more, against):
    """The rest is solved, the gap is not met, and it is said that heights do not mend it."""
    answer = answered(duct(find, more=more))
    assert answer.heights.found[0].height_mm == 5.0
    (gap,) = [each for each in answer.findings if each.check == "gap" and "duct" in each.parts]
    assert gap.status is Status.NOT_MET
    (said,) = answer.heights.supports
    assert said.startswith(f"no heights keep gap duct - m1 at least 10 together with: {against}. ")


SHELF = (
    DUCT.replace("[40, 300, 30 ± 0.5]}, low_corner: [104, 0, 0]", "[40, 300, 5]}, low_corner: [104, 0, 60]")
    .replace("box: [100, 80, 40 ± 0.3]", "box: [100, 80, 30]")
    .replace("MORE", "")
    .replace("JUDGED", "prefer: fewest pieces")
)
"""The module may be drawn at any height; the shelf beside it hangs from 60 to 65."""


def shelf(find: str, least: float):
    return solve(study(SHELF.replace("FIND", find).replace("at_least: 4}", f"at_least: {least}}}")))


def test_a_lower_spacer_clears_what_hangs_beside():
    """30 of module on 40 of spacer is beside the shelf; on 20 it is the root of 416 away."""
    found = shelf("{stock: [40, 20], at_most_pieces: 1, tolerance: 0}", 19.5)
    assert found.picks["pad"].height == 20.0


def test_what_hangs_above_is_kept_off_and_not_climbed_over():
    """20.8 and 30 of module are 9.2 below the shelf, just enough; from 20.9 the demand and the gap contradict."""
    steps = "{stock: any, step: 0.1, tolerance: 0}"
    assert shelf(steps, 20.8).picks["pad"].height == pytest.approx(20.8)
    found = shelf(steps, 20.9)
    assert [row.what for row in found.conflict] == [
        "clear height floor - m1 at least 20.9",
        "gap duct - m1 at least 10",
    ]


def test_the_wall_of_the_case_is_not_climbed():
    """A module 2.7 from the wall, of which 5 are asked for: no pad lifts it over the rim."""
    text = """
    parts:
      case:
        {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
         shape: {tray: {inside: [105.4, 100, 50], wall: 2, floor: 2}}}
      pad: {role: spacer, change: new, shape: {box: [60, 60, 5]}, low_corner: [20, 20, 0]}
      m1:
        {role: module, change: new, shape: {box: [100, 60, 30]},
         place: {centre: {x: case inside, y: case inside}, bottom: on pad}}
    gaps:
      - {between: [every module, every enclosure], at_least: 5}
    heights:
      find: {pad: {stock: any, step: 1}}
      so_that: [{clear_height: [pad, m1], at_least: 0}]
"""
    found = solve(study(text))
    assert found.picks["pad"].height == 5.0
    assert found.binding("pad").startswith("gap case - m1 at least 5 ")
    assert not found.beyond


PIECES = """
    parts:
      base: {role: enclosure, change: retained, shape: {box: [100, 100, 5]}, low_corner: [0, 0, -5]}
      frame: {role: frame, change: new, shape: {box: [100, 100, 25]}, low_corner: [0, 0, 0]}
      m1: {role: module, change: new, shape: {box: [60, 60, 20]}, low_corner: [200, 0, 0]}
      lid:
        {role: lid, change: retained, shape: {box: [400, 100, 2]},
         place: {front: flush with frame, left: flush with frame, bottom: on frame}}
    gaps:
      - {between: [m1, lid], at_least: 4}
    heights:
      find:
        frame: {stock: [2, 4, 24.5, 27], at_most_pieces: 20, piece_tolerance: 0.3}
      so_that: []
      judge_by: JUDGED
"""


@pytest.mark.parametrize(
    ("judged", "pieces"),
    [("worst case", (24.5,)), ("rss", (24.5,))],
)
def test_a_gap_met_with_fewer_pieces_is_not_judged_by_the_tolerance_of_more(judged, pieces):
    """24 of six pieces lacks 1.8 of the 4; 24.5 in one piece lacks nothing, and less than 25.8 is enough for it."""
    found = solve(study(f"    judge_by: {judged}\n" + PIECES.replace("JUDGED", judged)))
    assert found.picks["frame"].pieces == pieces


def test_a_gap_in_a_contradiction_gives_way_by_what_was_measured():
    """At least 4 under the lid takes 24.3 of one piece, at most 23 allows 22.7. With 22 the gap lacks 2.3; for the gap
    it takes two pieces of 20, 40.6 at worst."""
    text = PIECES.replace("so_that: []", "so_that: [{clear_height: [base, lid], at_most: 23}]")
    text = text.replace("JUDGED", "worst case").replace("[2, 4, 24.5, 27]", "[20, 22]")
    found = solve(study(text))
    assert found.placed is None
    assert {row.what: row.by for row in found.conflict} == {
        "clear height base - lid at most 23": pytest.approx(17.6, abs=1e-3),
        "gap m1 - lid at least 4": pytest.approx(2.3, abs=1e-6),
    }
    assert found.is_smallest


def test_a_gap_that_no_height_mends_at_either_age_is_said_once():
    text = (
        DUCT.replace("FIND", "{stock: [5], at_most_pieces: 2, tolerance: 0.2}")
        .replace("MORE", "")
        .replace("JUDGED", "")
    )
    text = text.replace("role: module, change: new,", "role: module, change: new, grows: {y: 2 %},")
    (said,) = answered(study(text)).heights.supports
    assert said.startswith("no heights keep gap duct - m1 at least 10, both ages together with: ")
