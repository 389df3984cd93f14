"""The text report, line by line where it matters."""

from __future__ import annotations

from dataclasses import replace

import pytest
from made_up import BALANCE, CANNOT, CONCEDED, MET, MET_END, NOT_MET, OVERLAPPING, UNCHECKED, gap, result

from fitcheck.findings import Band, Status
from fitcheck.report.as_text import render, verdict_line
from fitcheck.report.look import Look


def order(text, *words):
    places = [text.index(word) for word in words]
    assert places == sorted(places), words


def test_the_verdict_comes_first_and_the_findings_worst_first():
    order(
        render(result()),
        "VERDICT: DOES NOT FIT",
        "What decides it",
        "What the verdict does not speak of",
        "What it rests on",
        "[X] NOT MET  overlap of m3 and duct",
        "[X] NOT MET  gap between m1 and case",
        "[?] CANNOT TELL  gap between m2 and case",
        "[C] UNDER CONCESSION",
        "[-] clearance",
        "[=] gap between m1 and m2",
        "Mass and centre of gravity",
        "Room left",
        "Before anybody picks up a tool",
        "not an approval",
    )


@pytest.mark.parametrize("look", [Look(), Look(ascii_only=True)])
def test_no_line_is_wider_than_a_hundred_columns(look):
    assert max(len(line) for line in render(result(), look).splitlines()) <= 100


def test_a_plain_screen_gets_ascii_only():
    assert render(result(), Look(ascii_only=True)).isascii()


def test_no_colour_unless_asked_and_the_words_stay_when_it_is():
    assert "\x1b" not in render(result())
    painted = render(result(), Look(colour=True))
    assert "\x1b[" in painted
    assert "[X] NOT MET" in painted


def test_a_finding_says_what_was_found_required_and_what_to_do():
    text = render(result(CANNOT))
    assert "found      1.25 to 3.75 mm by worst case; 2.50 mm as drawn; 1.87 to 3.13 mm by root-sum-square" in text
    assert "required   at least 2.00 mm" in text
    assert "weld beads and vibration" in text
    assert "to settle  measure the inside width (y) of case to ± 0.5 mm (in the layout: case.inside.y)" in text
    assert "VERDICT: CANNOT TELL" in text


def test_the_basis_is_told():
    text = render(result(CANNOT, judge_by="rss"))
    assert "judged by root-sum-square" in text
    assert "found      1.87 to 3.13 mm by root-sum-square; 2.50 mm as drawn; 1.25 to 3.75 mm by worst case" in text
    assert "They leave out the rare builds" in text


def test_exact_values_are_counted_before_they_are_named():
    order(render(result(MET)), "2 values taken as exact", "lid.x, lid.y", "a guess: duct.mass = 0.8 kg")


def test_a_verdict_of_fits_still_says_what_it_does_not_speak_of():
    text = render(result(MET))
    order(text, "VERDICT: FITS\n", "What the verdict does not speak of", "no potentials are given")


def test_both_builds_stand_side_by_side_with_their_uncertainty():
    text = render(result(MET))
    assert "1 188.12 ± 0.40 (0.20)" in text
    assert "old_1 lacks a mass or a centre" in text
    assert "centre y [mm]" in text
    assert "-0.0" not in text.replace("-0.100", "")


def test_a_known_change_carries_its_sign():
    original = replace(BALANCE.proposed, mass_kg=1200.0)
    change = replace(BALANCE.proposed, mass_kg=-11.88)
    balance = replace(BALANCE, original=original, change=change)
    assert "-11.88 ± 0.40 (0.20)" in render(result(MET, balance=balance))
    rising = replace(balance, change=replace(change, mass_kg=11.88))
    assert "+11.88 ± 0.40 (0.20)" in render(result(MET, balance=rising))


def test_the_balance_verb_lists_what_each_part_adds():
    text = render(result(verb="balance"))
    order(text, "What each part adds", "old_1: neither mass nor material is stated")
    assert "23.40 ± 0.10" in text
    assert "What each part adds" not in render(result())


def test_room_left_names_what_stops_the_part_first():
    text = render(result(MET))
    assert "bottom: overlap with pad_1" in text
    assert "> 25" in text


def test_met_findings_without_a_number_give_their_reason():
    excused = replace(MET, band=None, required=None, reason="contact")
    row = next(line for line in render(result(excused)).splitlines() if line.startswith("  [=]"))
    assert row.endswith("contact")


def test_unchecked_findings_of_one_reason_share_a_paragraph():
    other = replace(UNCHECKED, check="creepage")
    assert "[-] clearance; creepage: the layout states" in render(result(MET, UNCHECKED, other))


def test_build_and_state_are_named_only_where_they_tell_findings_apart():
    assert "beginning" not in render(result(MET, NOT_MET))
    old = gap(("a", "b"), 0, 0.5, 0.9, 1, Status.NOT_MET, state="end of life")
    assert "gap between a and b (end of life)" in render(result(MET, old))


def test_a_met_finding_that_is_the_same_at_both_ages_stands_once():
    text = render(result(MET, replace(MET, state="end of life"), MET_END))
    rows = [line.split() for line in text.splitlines() if line.startswith("  [=] gap")]
    assert [row[6] for row in rows] == ["end", "both"]


def test_pairs_that_only_do_not_overlap_are_said_in_one_breath():
    free = [
        replace(OVERLAPPING, parts=("case", name), status=Status.MET, band=Band(value=-1, low=-1, high=-1, rss_low=-1,
                rss_high=-1)) for name in ("lid", "duct")
    ]  # fmt: skip
    assert "[=] no overlap, in 2 pairs of which no more is asked or found: case and lid; case and duct" in render(
        result(*free)
    )


def test_a_gap_in_a_depth_is_said_as_a_distance():
    part = replace(OVERLAPPING, band=Band(value=-0.5, low=-1.2, high=0.3, rss_low=-1, rss_high=0.1),
                   status=Status.CANNOT_TELL)  # fmt: skip
    assert "found      1.20 mm apart to 0.30 mm deep by worst case; 0.50 mm apart as drawn" in render(result(part))


def test_unchecked_things_are_told_beside_the_verdict():
    assert "Besides, 1 thing stated in the layout was not checked" in render(result(MET, UNCHECKED))


def test_a_balance_is_not_called_a_fit():
    figure = replace(MET, check="mass", parts=(), required=None, unit="kg")
    text = render(result(figure, verb="balance"))
    assert "VERDICT: BOTH BUILDS ARE WEIGHED IN FULL" in text
    assert "FITS" not in text
    assert "[=]" not in text


def test_long_names_wrap_rather_than_overflow():
    name = "battery module with a very long drawing name, left row, number 12"
    findings = [replace(MET, parts=(name, name + "b")), replace(CONCEDED, parts=(name, name + "b"))]
    assert max(len(line) for line in render(result(*findings)).splitlines()) <= 100


def test_the_verdict_line_tallies():
    assert verdict_line(result(MET, CANNOT, NOT_MET)) == (
        "shuttle.yaml: does not fit (1 not met, 1 cannot tell, 1 met)"
    )
