"""What to do next, on the study page: nothing that is not met is passed over in silence."""

from __future__ import annotations

from dataclasses import replace

from made_up import CANNOT, NOT_MET, OVERLAPPING, gap, result

from fitcheck.findings import Band, Sense, Status
from fitcheck.report.study_page.pages import in_small
from fitcheck.report.study_page.rows import BOTH, numbered_rules, rows_of
from fitcheck.report.study_page.verdicts import MOST_STEPS, head_of
from fitcheck.result_heights import FoundRow, HeightsAnswer
from fitcheck.result_study import StudyResult

NOTHING_FOUND = "no change of a single placing number mends this without making another finding worse"
OUT = Band(value=24, low=22, high=26, rss_low=23, rss_high=25)
STICKS_OUT = replace(OVERLAPPING, check="containment", parts=("m2", "case"), band=OUT)
ROOM = "Make room between m3 and duct, which take up the same space (1.50 to 2.50 mm deep)"


def head(*findings):
    whole = result(*findings)
    study = StudyResult(check=whole, balance=replace(whole, verb="balance", findings=()))
    return head_of(study, rows_of(study, numbered_rules(study.findings)))


def test_an_overlap_that_stands_first_is_the_first_thing_to_do():
    found = head(NOT_MET, OVERLAPPING, CANNOT)
    assert found.deciding[0].finding is OVERLAPPING
    assert [step.text for step in found.steps] == [
        f"{ROOM}; no change was worked out for this",
        "Move m1 rear by 1.3 mm",
        "Measure the inside width (y) of case to ± 0.5 mm (in the layout: case.inside.y)",
    ]


def test_what_is_amiss_between_two_parts_is_one_thing_to_do_where_nothing_mends_it():
    run_in = gap(("case", "m2"), -26.0, -24.0, -22.0, 5.0, Status.NOT_MET, mend=NOTHING_FOUND)
    (step,) = head(STICKS_OUT, run_in).steps
    assert [row.finding.check for row in step.rows] == ["gap", "containment"]
    assert step.text == (
        "Make room between case and m2, which take up the same space: -26.00 to -22.00 mm where at least 5.00 mm is "
        "required; no single move of one part mends this without making another finding worse"
    )


def test_a_part_that_sticks_out_is_to_be_brought_back():
    (step,) = head(STICKS_OUT).steps
    assert step.text.startswith("Bring m2 back inside case: 22.00 to 26.00 mm where at most 0.00 mm is required")


def test_a_finding_without_parts_or_figures_still_says_what_it_is_about():
    lone = replace(NOT_MET, check="axle load", parts=(), mend="", band=None, required=None, reason="too heavy",
                   sense=Sense.AT_MOST, points=None)  # fmt: skip
    (step,) = head(lone).steps
    assert step.text == "See to the axle load: too heavy; no change was worked out for this"


def test_a_layout_that_has_the_heights_already_is_not_told_to_go_on_with_them():
    def told(written_mm):
        row = FoundRow(part="pad", height_mm=13.0, pieces=(13.0,), written_mm=written_mm, least_nominal_mm=12.4,
                       least_by=(), below_mm=0.2, above_mm=0.2)  # fmt: skip
        whole = result(NOT_MET)
        heights = replace(
            whole, verb="heights", heights=HeightsAnswer(solved=True, prefer="least height", found=(row,))
        )
        study = StudyResult(check=whole, balance=replace(whole, verb="balance", findings=()), heights=heights)
        rows = rows_of(study, numbered_rules(study.findings))
        return [step.text for step in head_of(study, rows).steps], rows[0].when

    assert told(8.0) == (["Go on with the heights found: pad 13.00 mm (13)", "Move m1 rear by 1.3 mm"], BOTH)
    assert told(13.0) == (["Move m1 rear by 1.3 mm"], "")


def test_what_does_not_stand_in_the_list_is_counted():
    many = [replace(OVERLAPPING, parts=(f"m{at}", "duct")) for at in range(MOST_STEPS + 3)]
    found = head(*many)
    assert len(found.steps) == MOST_STEPS
    assert found.more_steps == 3
    assert head(NOT_MET).more_steps == 0


def test_the_names_of_the_layout_stand_in_small_type_behind():
    assert in_small("move m5 left (in the layout: m5.place.left 18 → 10.2); or a rib (low corner 1, 2, 3)") == [
        ("move m5 left ", "(in the layout: m5.place.left 18 → 10.2)"), ("; or a rib (low corner 1, 2, 3)", ""),
    ]  # fmt: skip
    assert in_small("weigh it") == [("weigh it", "")]
