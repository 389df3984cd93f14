from __future__ import annotations

import csv
from dataclasses import replace

from fitcheck.findings import Band
from fitcheck.report import cut_list, stack_picture, text_heights
from fitcheck.report.look import Look
from fitcheck.result_heights import ConflictRow, FoundRow, HeightsAnswer, LinkRow, MovedRow, StackRow

PAD = FoundRow(
    part="pad_1",
    height_mm=13.0,
    pieces=(8.0, 5.0),
    least_nominal_mm=12.4,
    least_by=(("nominal", 11.0), ("worst case", 12.4), ("rss", 11.7001)),
    written_mm=8.0,
    below_mm=0.1,
    above_mm=0.3,
    decided_by="clear height m1 - lid at least 8 (0.60 mm to spare)",
)
TIED = FoundRow(
    part="pad_2",
    height_mm=13.0,
    pieces=(8.0, 5.0),
    least_nominal_mm=12.4,
    least_by=PAD.least_by,
    written_mm=8.0,
    below_mm=0.1,
    above_mm=0.3,
    same_as="pad_1",
)
STACK = StackRow(
    title="clear height m1 - lid",
    parts=("m1", "lid"),
    state="",
    band=Band(value=-1.0, low=-2.2, high=0.2, rss_low=-1.9, rss_high=-0.1),
    required=(("at least", 8.0), ("at most", 12.0)),
    links=(
        LinkRow(
            value="case.inside.z", factor=1.0, nominal_mm=50.0, below_mm=1.0, above_mm=1.0, known_by="stated",
            share_worst=0.75, share_rss=0.9,
        ),
        LinkRow(
            value="m1.z", factor=-0.5, nominal_mm=100.0, below_mm=0.1, above_mm=0.3, known_by="stated",
            share_worst=0.15, share_rss=0.1,
        ),
    ),
    rest_mm=-1.0,
)  # fmt: skip
ANSWER = HeightsAnswer(
    solved=True,
    prefer="least height",
    found=(PAD, TIED),
    stacks=(STACK,),
    moved=(
        MovedRow(
            what="gap", parts=("m1", "lid"), state="end of life", before="met, 9.00 mm", after="not met, 2.00 mm",
            by="height of pad_1",
        ),
    ),
)  # fmt: skip


def said(answer: HeightsAnswer) -> str:
    return "\n".join(text_heights.section(answer, Look(), "worst case"))


def words(answer: HeightsAnswer) -> str:
    return " ".join(said(answer).split())


def test_heights_are_said_with_their_pieces_and_what_would_do():
    assert "pad_1 8 + 5 13.00 +0.30/-0.10 8.00 11.000 12.400 11.701" in words(ANSWER)
    assert "pad_2 as pad_1 13.00" in words(ANSWER)
    assert "pad_1 can be no less because of: clear height m1 - lid at least 8 (0.60 mm to spare)" in words(ANSWER)


def test_a_stack_adds_up_to_what_is_said_of_it():
    assert "case.inside.z stated +50.00 ± 1.00 75 % 90 %" in words(ANSWER)
    assert "m1.z stated -50.00 +0.30/-0.10 15 % 10 %" in words(ANSWER)
    assert "growth and turns -1.00 10 % -" in words(ANSWER)
    assert "Together -1.00; worst case -2.20 to 0.20;" in words(ANSWER)
    assert "asked for: at least 8 and at most 12" in words(ANSWER)


def test_what_moves_is_said_with_the_height_that_moves_it():
    assert "gap of m1 and lid (end of life): met, 9.00 mm -> not met, 2.00 mm; by the height of pad_1" in words(ANSWER)


def test_a_contradiction_rounds_up_what_is_lacking():
    conflict = (
        ConflictRow(what="one", parts=(), check="gap", by=1.2345, unit="mm"),
        ConflictRow(what="two", parts=(), check="", by=1.0, unit="pieces"),
        ConflictRow(what="three", parts=(), check="", by=None, unit="mm"),
    )
    text = words(HeightsAnswer(solved=False, prefer="least height", found=(PAD,), conflict=conflict))
    assert "one: would have to give way by 1.24 mm" in text
    assert "two: would have to give way by 1 piece" in text
    assert "three: giving way does not help by itself" in text
    assert "it is the stock that stands in the way" in text


def test_no_line_is_wider_than_the_page():
    assert max(map(len, said(ANSWER).splitlines())) <= Look().width


def test_the_cut_list_counts_the_pieces_of_all_parts():
    assert cut_list.render((PAD, TIED)).splitlines() == [
        "part,piece_mm,pieces,stack_height_mm,tolerance_below_mm,tolerance_above_mm",
        "pad_1,8,1,13,0.1,0.3",
        "pad_1,5,1,13,0.1,0.3",
        "pad_2,8,1,13,0.1,0.3",
        "pad_2,5,1,13,0.1,0.3",
        "all parts,8,2,,,",
        "all parts,5,2,,,",
    ]
    assert cut_list.render(()) == ""


def test_the_cut_list_runs_nothing_in_a_spreadsheet_and_keeps_every_decimal():
    hostile = replace(PAD, part='=HYPERLINK("x")', pieces=(1234.5678,), height_mm=1234.5678)
    row = next(csv.reader(cut_list.render((hostile,)).splitlines()[1:]))
    assert row == ['\'=HYPERLINK("x")', "1234.5678", "1", "1234.5678", "0.1", "0.3"]


def test_equal_stacks_are_drawn_as_equal_files():
    one, other = stack_picture.render(ANSWER), stack_picture.render(ANSWER)
    assert one == other
    assert list(one) == ["stack_1.png", "stack_1.svg"]
    assert one["stack_1.png"].startswith(b"\x89PNG")


def test_a_contradiction_that_is_not_proven_smallest_says_so():
    conflict = (ConflictRow(what="one", parts=(), check="gap", by=1.0, unit="mm"),)
    answer = HeightsAnswer(solved=False, prefer="least height", found=(PAD,), conflict=conflict)
    told = "a shorter list may contradict as well"
    assert told not in words(answer)
    assert told in words(replace(answer, is_smallest=False))


def test_a_stack_in_which_nothing_adds_up_is_said_in_words_and_drawn():
    empty = replace(STACK, links=(), rest_mm=0.0, band=Band(value=0.0, low=0.0, high=0.0, rss_low=0.0, rss_high=0.0))
    answer = replace(ANSWER, stacks=(empty,))
    assert "The two faces lie on one another whatever the sizes: nothing adds up." in words(answer)
    assert "of worst" not in said(answer)
    assert set(stack_picture.render(answer)) == {"stack_1.png", "stack_1.svg"}
