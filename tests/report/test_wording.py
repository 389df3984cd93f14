"""Numbers and names as the reports say them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from made_up import CANNOT, MET, NOT_MET, OVERLAPPING, UNCHECKED, gap

from fitcheck.findings import Band, Status
from fitcheck.report import wording


@pytest.mark.parametrize(
    ("number", "decimals", "said"),
    [(1188.126, 2, "1 188.13"), (-0.0001, 2, "0.00"), (-1.5, 1, "-1.5"), (2.0, 0, "2"), (1234567.0, 1, "1 234 567.0")],
)
def test_plain_numbers(number, decimals, said):
    assert wording.plain(number, decimals) == said


def test_bands_are_rounded_outward_so_that_nothing_looks_better_than_it_is():
    assert wording.floored(1.9999, 2) == "1.99"
    assert wording.raised(2.0001, 2) == "2.01"
    assert wording.floored(-0.001, 2) == "-0.01"


def test_floating_point_dust_does_not_move_a_rounded_band():
    assert wording.floored(1.2499999999, 2) == "1.25"
    assert wording.raised(3.7500000001, 2) == "3.75"


def test_a_narrow_band_gets_a_third_decimal_only_if_it_says_something():
    narrow = gap(("a", "b"), 0.012, 0.020, 0.028, 0.015, Status.CANNOT_TELL)
    assert wording.judged_range(narrow, "worst case") == "0.012 to 0.028 mm"
    assert wording.judged_range(gap(("a", "b"), 2.15, 2.5, 2.85, 2.0, Status.MET), "worst case") == "2.15 to 2.85 mm"


def test_the_judged_band_follows_the_basis():
    assert wording.judged_range(CANNOT, "worst case") == "1.25 to 3.75 mm"
    assert wording.judged_range(CANNOT, "rss") == "1.87 to 3.13 mm"


def test_spare_is_measured_from_the_worse_end():
    assert wording.spare(MET, "worst case") == pytest.approx(0.5, abs=1e-12)
    assert wording.spare(NOT_MET, "worst case") == pytest.approx(-1.3, abs=1e-12)
    assert wording.spare(OVERLAPPING, "worst case") == pytest.approx(-2.5, abs=1e-12)
    assert wording.spare(UNCHECKED, "worst case") is None


def test_worst_first_orders_by_status_and_then_by_what_is_left():
    worse = gap(("m9", "case"), 0.1, 0.2, 0.3, 5.0, Status.NOT_MET)
    assert wording.worst_first([MET, CANNOT, NOT_MET, UNCHECKED, worse], "worst case") == [
        worse, NOT_MET, CANNOT, UNCHECKED, MET,
    ]  # fmt: skip


def test_names_are_listed_as_in_speech():
    assert wording.listed(["m1", "m2", "case"]) == "m1, m2 and case"
    assert wording.subject(NOT_MET) == "gap between m1 and case"
    assert wording.subject(UNCHECKED) == "clearance"


def test_only_a_path_that_bends_has_a_straight_length_of_its_own():
    ends = ((0.0, 0.0, 0.0), (3.0, 0.0, 0.0))
    finding = replace(MET, points=ends)
    assert wording.straight_across(finding) == ""
    assert wording.straight_across(replace(finding, way=ends)) == ""
    assert wording.straight_across(replace(finding, way=(ends[0], (1.0, 0.0, 0.0), ends[1]))) == ""
    assert wording.straight_across(replace(finding, way=(ends[0], (1.0, 2.0, 0.0), ends[1]))) == "3.00 mm"


def test_so_has_one_that_crosses_metal_for_nothing():
    line = ((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (2.0, 0.0, 0.0), (3.0, 0.0, 0.0))
    band = Band(value=2.0, low=2.0, high=2.0, rss_low=2.0, rss_high=2.0)
    assert wording.straight_across(replace(MET, points=(line[0], line[-1]), way=line, band=band)) == "3.00 mm"


def test_a_value_of_the_layout_is_not_rounded_away():
    assert [wording.as_stated(number) for number in (0.015, 0.0, 12.0, 1234.5, -0.5)] == [
        "0.015", "0", "12", "1 234.5", "-0.5",
    ]  # fmt: skip


def test_a_value_of_parts_that_moved_in_their_play_is_not_called_as_drawn():
    assert wording.as_found(MET) == "as drawn"
    assert wording.as_found(replace(MET, in_play=True)) == "where the play is worst"


@pytest.mark.parametrize(
    ("name", "accuracy", "act"),
    [
        ("case.inside.x", " to ± 0.91 mm", "measure the inside length (x) of case"),
        ("m1.z", " to ± 0.1 mm", "measure the height (z) of m1"),
        ("lid.outline.y", " to ± 1 mm", "measure the overall width (y) of lid"),
        ("box.2.x", " to ± 1 mm", "measure the length (x) of piece 2 of box"),
        ("case.wall", " to ± 0.2 mm", "measure the wall thickness of case"),
        ("m5.place.left", " to ± 0.5 mm", "measure where the left side of m5 lies"),
        ("duct.low_corner.z", " to ± 2 mm", "measure where duct lies along z"),
        ("m1.turn.z", " to ± 0.1 deg", "measure the angle about z of m1"),
        ("m1.mass", " to ± 0.5 kg", "weigh m1"),
    ],
)
def test_what_settles_is_said_as_something_to_do_with_the_layouts_own_name_behind(name, accuracy, act):
    assert wording.settling(replace(CANNOT, settle_by=name + accuracy)) == f"{act}{accuracy} (in the layout: {name})"
    assert wording.settling(replace(CANNOT, settle_by=f"measure {name}")) == f"{act} (in the layout: {name})"


@pytest.mark.parametrize(
    ("settle_by", "words"),
    [
        ("duct.file_scale to ± 0.01", "find out duct.file_scale to ± 0.01"),
        *((text, text) for text in ("no single value settles it", "measure how far the thread runs", "weigh m1", "")),
        *((text, text) for text in ("find out how they are plated: friction 0.1 to 0.16", "measure duct.file_scale")),
    ],
)  # fmt: skip
def test_what_names_no_value_that_has_words_is_said_as_it_is(settle_by, words):
    assert wording.settling(replace(CANNOT, settle_by=settle_by)) == words


@pytest.mark.parametrize(
    ("mend", "words"),
    [
        ("move m5 left by 7.8 mm (m5.place.left: 18 -> 10.2; m5_plus, link_56 follow)",
         "move m5 left by 7.8 mm, with m5_plus and link_56 (in the layout: m5.place.left 18 → 10.2)"),
        ("move p by 1 mm (p.low_corner.x: 4 -> -3e-05); or a rib 2 mm thick (low corner 15, 23, 0)",
         "move p by 1 mm (in the layout: p.low_corner.x 4 → -3e-05); or a rib 2 mm thick (low corner 15, 23, 0)"),
        ("no change of a single placing number mends this without making another finding worse",
         "no single move of one part mends this without making another finding worse"),
        ("", ""),
    ],
)  # fmt: skip
def test_a_move_is_said_in_millimetres_with_the_numbers_of_the_layout_behind(mend, words):
    assert wording.mending(replace(NOT_MET, mend=mend)) == words


def test_a_hint_that_nothing_was_found_is_no_act():
    assert wording.is_act("move m1 rear by 1.3 mm")
    for text in ("", "no single move was found", "none of the 8 smallest changes mends this", "not sought: too many"):
        assert not wording.is_act(text)
