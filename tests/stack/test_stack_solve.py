from __future__ import annotations

import pytest
from engine_layouts import layout, study
from stacks import FRAME, answered, frame, solved

from fitcheck.checks import clear_height
from fitcheck.errors import LayoutErrors, UsageError
from fitcheck.findings import Status
from fitcheck.stack.solve import found_rows, solve

AT_LEAST_8 = "[{clear_height: [m1, lid], at_least: 8}]"


def test_the_least_height_is_that_of_a_hand_calculation():
    """50 + h - 48 - (0.5 + 0.5 + 0.2) >= 8 gives 7.2 at worst; the root of the squares is 0.734847."""
    (row,) = found_rows(solved("{stock: [3, 5, 8], at_most_pieces: 4, tolerance: 0.2}", AT_LEAST_8))
    assert dict(row.least_by) == {
        "nominal": pytest.approx(6.0, abs=1e-6),
        "worst case": pytest.approx(7.2, abs=1e-6),
        "rss": pytest.approx(6.0 + (0.25 + 0.25 + 0.04) ** 0.5, abs=1e-6),
    }
    assert row.least_nominal_mm == pytest.approx(7.2, abs=1e-6)
    assert (row.height_mm, row.pieces) == (8.0, (8.0,))


def test_least_height_and_fewest_pieces_differ_where_they_must():
    find = "{stock: [2.5, 9], at_most_pieces: 4, tolerance: 0.2}"
    assert solved(find, AT_LEAST_8).picks["frame"].pieces == (2.5, 2.5, 2.5)
    assert solved(find, AT_LEAST_8, prefer="prefer: fewest pieces").picks["frame"].pieces == (9.0,)


def test_a_tolerance_of_each_piece_adds_up():
    """With 0.3 a piece, 3 x 2.5 reaches 50 + 7.5 - 48 - 1.0 - 0.9 = 7.6 only; 9 reaches 9.7."""
    find = "{stock: [2.5, 9], at_most_pieces: 4, piece_tolerance: 0.3}"
    assert solved(find, AT_LEAST_8).picks["frame"].pieces == (9.0,)


def test_a_tolerance_of_each_piece_under_rss():
    """3 x 2.5: 9.5 less the root of 0.25 + 0.25 + (3 x 0.4)^2 is 8.11, enough; at worst it would be 7.3."""
    find = "{stock: [2.5, 9], at_most_pieces: 4, piece_tolerance: 0.4}"
    assert solved(find, AT_LEAST_8, prefer="judge_by: rss").picks["frame"].pieces == (2.5, 2.5, 2.5)
    assert solved(find, AT_LEAST_8).picks["frame"].pieces == (9.0,)
    find = "{stock: [2.5, 9], at_most_pieces: 4, piece_tolerance: 0.5}"
    assert solved(find, AT_LEAST_8, prefer="judge_by: rss").picks["frame"].pieces == (9.0,)


def test_any_height_comes_in_whole_steps():
    assert solved("{stock: any, step: 0.5, tolerance: 0.2}", AT_LEAST_8).picks["frame"].pieces == (7.5,)
    assert solved("{stock: any, step: 0.1, tolerance: 0.2}", AT_LEAST_8).picks["frame"].height == pytest.approx(7.2)


def test_counts_on_hand_are_kept_to():
    assert solved("{stock: {4: 1, 5: 2}, tolerance: 0.2}", AT_LEAST_8).picks["frame"].pieces == (5.0, 4.0)
    assert solved("{stock: {4: 2, 5: 2}, tolerance: 0.2}", AT_LEAST_8).picks["frame"].pieces == (4.0, 4.0)


def test_a_named_stock_list_brings_its_sizes_and_its_makers_tolerance():
    """Standoffs M4 of 8 have ± 0.13: 50 + 8 - 48 - 1.0 - 0.13 keeps 8."""
    (row,) = found_rows(solved("{stock: standoffs M4, at_most_pieces: 1}", AT_LEAST_8))
    assert (row.pieces, row.above_mm) == ((8.0,), pytest.approx(0.13))


def test_a_module_that_swells_is_met_at_the_end_of_its_life_too():
    """2 % of 48 is 0.96, all of it upward for what stands on the floor."""
    (row,) = found_rows(solved("{stock: any, step: 0.01, tolerance: 0.2}", AT_LEAST_8, grows="grows: {z: 2 %},"))
    assert row.least_nominal_mm == pytest.approx(7.2 + 0.96 + 0.02 * 0.5, abs=1e-6)


def test_an_upright_gap_rule_counts_without_being_asked_for():
    placed = frame(
        "{stock: any, step: 0.1, tolerance: 0.2}",
        "[]",
        more="\n    gaps:\n      - {between: [every module, every lid], at_least: 10}\n",
    )
    found = solve(placed)
    assert found.picks["frame"].height == pytest.approx(9.2)
    assert found.binding("frame").startswith("gap lid - m1 at least 10")


def test_contradicting_demands_are_named_with_what_they_lack():
    """At least 8 takes 7.2 at worst, at most 9 allows 5.8: 5 lacks 2.2 of the first, 8 is 2.2 above the second."""
    found = solved(
        "{stock: [3, 5, 8], at_most_pieces: 4, tolerance: 0.2}",
        "[{clear_height: [m1, lid], at_least: 8}, {clear_height: [m1, lid], at_most: 9}]",
    )
    assert found.placed is None
    assert [(row.what.split()[-1], row.by) for row in found.conflict] == [
        ("8", pytest.approx(2.2, abs=1e-5)),
        ("9", pytest.approx(2.2, abs=1e-5)),
    ]


def test_a_limit_on_pieces_can_be_what_contradicts():
    found = solved("{stock: [3], at_most_pieces: 2, tolerance: 0.2}", AT_LEAST_8)
    assert [(row.what, row.unit) for row in found.conflict] == [
        ("clear height m1 - lid at least 8", "mm"),
        ("at most 2 pieces in frame", "pieces"),
    ]
    assert [row.by for row in found.conflict] == [pytest.approx(1.2, abs=1e-5), pytest.approx(1.0)]


def test_what_does_not_matter_is_not_in_the_contradiction():
    found = solved(
        "{stock: [3, 5], at_most_pieces: 1, tolerance: 0.2}",
        "[{clear_height: [m1, lid], at_least: 1}, {clear_height: [m1, lid], at_least: 20}]",
    )
    assert [row.what for row in found.conflict] == [
        "clear height m1 - lid at least 20",
        "at most 1 piece in frame",
    ]


def test_no_solution_is_not_met():
    answer = answered(frame("{stock: [3], at_most_pieces: 1, tolerance: 0.2}", AT_LEAST_8))
    (finding,) = (one for one in answer.findings if one.check == "clear height")
    assert finding.status is Status.NOT_MET
    assert "at most 1 piece in frame" in finding.reason


def test_tied_parts_share_a_height_and_a_shelf():
    """Three pads of two fives each need six of them."""
    pads = """
    parts:
      floor: {role: enclosure, change: retained, shape: {box: [100, 100, 5]}, low_corner: [0, 0, -5]}
      p1:
        {role: spacer, change: new, shape: {box: [10, 10, 1]},
         place: {front: flush with floor, left: flush with floor, bottom: on floor top}}
      p2: {like: p1, place: {front: 10 past floor}}
      p3: {like: p1, place: {front: 20 past floor}}
      m1:
        {role: module, change: new, shape: {box: [60, 60, 40]},
         place: {front: flush with floor, left: flush with floor, bottom: on p1}}
      roof: {role: lid, change: retained, shape: {box: [100, 100, 2]}, low_corner: [0, 0, 60]}
    heights:
      find:
        p1: {stock: {5: COUNT}, tolerance: 0.1, same_for: [p2, p3]}
      so_that:
        - {clear_height: [floor, m1], at_least: 9}
    """
    enough = solve(study(pads.replace("COUNT", "6")))
    assert {row.part: row.pieces for row in found_rows(enough)} == dict.fromkeys(("p1", "p2", "p3"), (5.0, 5.0))
    short = solve(study(pads.replace("COUNT", "5")))
    assert "5 pieces of 5 on hand for p1, p2, p3" in {row.what for row in short.conflict}


def test_the_solved_layout_has_the_margins_that_were_promised():
    found = solved("{stock: [3, 5, 8], at_most_pieces: 4, piece_tolerance: 0.1}", AT_LEAST_8)
    assert found.placed is not None
    (finding,) = clear_height.check(found.placed)
    margin, _ = found.margins()[0]
    assert finding.band is not None
    assert finding.band.low - 8.0 == pytest.approx(margin, abs=1e-9)
    assert finding.status is Status.MET


@pytest.mark.parametrize(
    "shape",
    ["{cylinder: {diameter: 10, length: 50, along: x}}", "{tray: {inside: [10, 10, 5], wall: 1, floor: 1}}"],
)
def test_a_part_without_one_upright_size_is_refused_at_its_place(shape):
    text = FRAME.replace("{box: [104, 104, 6]}", shape).replace("FIND", "{stock: [3]}").replace("SO_THAT", "[]")
    with pytest.raises(LayoutErrors, match=r"bay\.yaml:\d+:\d+: the height of 'frame' cannot be found"):
        solve(study(text.replace("GROWS", "").replace("PREFER", "")))


def test_faces_that_look_two_ways_cannot_be_level():
    with pytest.raises(LayoutErrors, match="do not look along one axis"):
        solved("{stock: [3]}", "[{level: [m1 front, lid top], within: 1}]")


def test_a_layout_without_heights_is_wrong_usage():
    with pytest.raises(UsageError, match="no `heights` section"):
        solve(
            study(layout("parts:\n  m1: {role: module, change: new, shape: {box: [1, 1, 1]}, low_corner: [0, 0, 0]}"))
        )


@pytest.mark.parametrize(("find", "demand"), [("old", "[pad, lid]"), ("pad", "[old, lid]")], ids=["found", "asked of"])
def test_a_part_that_is_taken_out_is_refused(find, demand):
    text = f"""
    parts:
      pad: {{role: spacer, change: new, shape: {{box: [50, 50, 5]}}, low_corner: [0, 0, 0]}}
      old: {{role: spacer, change: removed, shape: {{box: [50, 50, 5]}}, low_corner: [0, 0, 0]}}
      lid: {{role: lid, change: retained, shape: {{box: [50, 50, 2]}}, low_corner: [0, 0, 40]}}
    heights:
      find: {{{find}: {{stock: [5]}}}}
      so_that: [{{clear_height: {demand}, at_least: 8}}]
    """
    with pytest.raises(LayoutErrors, match="removed and not in the proposed build"):
        solve(study(text))
