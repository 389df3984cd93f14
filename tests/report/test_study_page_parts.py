"""The pieces of the study page: rows, strips, plates, elevations, loops, the top, and pages of checks."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
import shapely
from made_up import CANNOT, MET, MET_END, NOT_MET, OVERLAPPING, UNCHECKED, box, gap, result, scene

from fitcheck.findings import Sense, Status
from fitcheck.report.scene import Scene, Scenes
from fitcheck.report.study_page import dimension, elevations, plates
from fitcheck.report.study_page.blocks import PageLook, groups
from fitcheck.report.study_page.ink import Paper, path
from fitcheck.report.study_page.loops import loop
from fitcheck.report.study_page.pages import rule_pages
from fitcheck.report.study_page.rows import AS_WRITTEN, BOTH, FOUND, numbered_rules, rows_of
from fitcheck.report.study_page.strips import plate_strip, row_strip
from fitcheck.report.study_page.verdicts import head_of
from fitcheck.result_heights import FoundRow, HeightsAnswer, LinkRow, StackRow
from fitcheck.result_study import StudyResult

AT_M1 = ((12.0, 50.0, 60.0), (0.0, 50.0, 60.0))


def study_of(*findings, heights=None) -> StudyResult:
    whole = result(*findings)
    return StudyResult(check=whole, balance=replace(whole, verb="balance", findings=()), heights=heights)


def rows(study: StudyResult):
    return rows_of(study, numbered_rules(study.findings))


def found_heights(*findings, solved=True):
    height, pieces = (13.0, (8.0, 5.0)) if solved else (None, ())
    row = FoundRow(part="pad_1", height_mm=height, pieces=pieces, written_mm=8.0, least_nominal_mm=12.4, least_by=(),
                   below_mm=0.2, above_mm=0.2)  # fmt: skip
    answer = HeightsAnswer(solved=solved, prefer="least height", found=(row,))
    return replace(result(*findings), verb="heights", heights=answer)


# ---- rows


def test_a_finding_that_is_the_same_at_both_ages_is_one_row():
    young = gap(("m1", "m2"), 3.5, 4.0, 4.5, 3.0, Status.MET)
    old = replace(young, state="end of life")
    (row,) = rows(study_of(young, old))
    assert row.ages == ("beginning of life", "end of life")
    assert row.when == "both ages"
    assert row.index == 0


def test_findings_that_differ_with_age_stay_two_rows():
    assert [row.when for row in rows(study_of(MET, MET_END))] == ["end of life", "beginning of life"]


def test_rows_stand_worst_first_and_the_least_to_spare_first():
    study = study_of(MET, UNCHECKED, CANNOT, OVERLAPPING, NOT_MET)
    assert [row.finding for row in rows(study)] == [OVERLAPPING, NOT_MET, CANNOT, UNCHECKED, MET]


def test_the_index_counts_the_findings_of_the_study():
    study = study_of(MET, CANNOT, NOT_MET)
    for row in rows(study):
        assert study.findings[row.index] is row.finding


def test_a_row_says_of_which_layout_it_speaks():
    study = study_of(NOT_MET, CANNOT, heights=found_heights(CANNOT, MET))
    assert {row.finding: row.layout for row in rows(study)} == {NOT_MET: AS_WRITTEN, CANNOT: BOTH, MET: FOUND}


def test_with_one_layout_there_is_nothing_to_say_of_it():
    assert {row.layout for row in rows(study_of(NOT_MET, heights=found_heights(NOT_MET, solved=False)))} == {""}


def test_what_is_to_spare_is_rounded_down():
    (row,) = rows(study_of(gap(("a", "b"), 2.0049, 3.0, 4.0, 2.0, Status.MET)))
    assert row.to_spare == "0.00 mm"


def test_a_known_figure_is_no_row():
    assert rows(study_of(replace(MET, required=None))) == []


# ---- strips


def numbers(drawing: str, name: str) -> list[float]:
    at = re.search(rf'class="{name}" d="([^"]*)"', drawing)
    return [float(one) for one in re.findall(r"-?[0-9.]+", at[1])]


@pytest.mark.parametrize("draw", [row_strip, plate_strip])
def test_the_wrong_side_ends_at_what_is_required(draw):
    drawing = draw(NOT_MET, "worst case")
    start, _, length = numbers(drawing, "wrong")[:3]
    limit = numbers(drawing, "limit")[0]
    assert start + length == pytest.approx(limit, abs=0.11)
    assert numbers(drawing, "band")[2] < limit


def test_for_at_most_the_wrong_side_begins_there():
    drawing = row_strip(replace(NOT_MET, sense=Sense.AT_MOST), "worst case")
    assert numbers(drawing, "wrong")[0] == numbers(drawing, "limit")[0]


def test_a_strip_lies_to_scale():
    finding = gap(("a", "b"), 2.0, 4.0, 8.0, 4.0, Status.CANNOT_TELL)
    low, _, high = numbers(row_strip(finding, "worst case"), "band")[:3]
    limit = numbers(row_strip(finding, "worst case"), "limit")[0]
    assert (high - limit) / (limit - low) == pytest.approx(2.0, abs=0.02)


def test_without_a_requirement_there_is_no_strip():
    assert row_strip(UNCHECKED, "worst case") == plate_strip(UNCHECKED, "worst case") == ""


def test_an_overlap_gets_its_strip_on_the_plate_only():
    assert row_strip(OVERLAPPING, "worst case") == ""
    assert "no overlap" in plate_strip(OVERLAPPING, "worst case")


# ---- plates


@pytest.fixture(scope="module")
def scenes() -> Scenes:
    return Scenes(original=replace(scene(), build="original"), proposed=scene())


def test_a_plate_is_drawn_to_scale_with_its_figures(scenes):
    finding = gap(("m1", "case"), 10.0, 12.0, 14.0, 15.0, Status.NOT_MET, points=AT_M1)
    picked, places = plates.chosen(rows(study_of(finding)), scenes)
    (plate,) = plates.plates(picked, scenes)
    assert places == 1
    assert plate.plane == "seen from the left, at y = 50.0 mm"
    assert "10.00 to 14.00 mm" in plate.detail
    # 150 mm across 360 units: the arrow of 12 mm is 28.8 long, and the bar says its own length.
    start, _, end, _ = (
        float(one) for one in re.findall(r"-?[0-9.]+", re.search(r'"dim" d="([^"]*)"', plate.detail)[1])
    )
    assert abs(end - start) == pytest.approx(28.8, abs=0.11)
    bar = re.search(r'class="whole" d="M8 [0-9.]+h([0-9.]+)v', plate.detail)
    said = re.search(r">([0-9]+) mm</text></g></svg>", plate.detail)
    assert float(bar[1]) / float(said[1]) == pytest.approx(360.0 / 150.0, rel=0.01)
    assert [name for _, name, _, _ in plate.key][:2] == ["case", "m1"]


def test_short_gaps_get_their_arrows_from_outside():
    paper, plane = Paper(x=0.0, y=0.0, scale=1.0, tall=100.0), plates.plane_of(scene(), replace(NOT_MET, points=AT_M1))
    drawn, taken = dimension.drawn(replace(NOT_MET, points=AT_M1), "worst case", plane, paper)
    start, _, end, _ = (float(one) for one in re.findall(r"-?[0-9.]+", re.search(r'"dim" d="([^"]*)"', drawn)[1]))
    assert abs(end - start) == pytest.approx(12.0 + 40.0, abs=0.11)
    low, high = (min(start, end), max(start, end))
    assert any(room.bounds[0] < low + 0.1 and room.bounds[2] > high - 0.1 for room in taken)


def test_points_in_one_place_are_crossed():
    finding = replace(OVERLAPPING, points=((5.0, 5.0, 5.0), (5.0, 5.0, 5.0)))
    plane = plates.plane_of(scene(), replace(NOT_MET, points=AT_M1))
    drawn, _ = dimension.drawn(finding, "worst case", plane, Paper(x=0.0, y=0.0, scale=1.0, tall=100.0))
    assert drawn.count('class="dim"') == 2
    assert 'class="head"' not in drawn


def test_a_finding_without_points_has_no_dimension():
    plane = plates.plane_of(scene(), replace(NOT_MET, points=AT_M1))
    with pytest.raises(ValueError, match="no dimension"):
        dimension.drawn(replace(NOT_MET, points=None), "worst case", plane, Paper(x=0.0, y=0.0, scale=1.0, tall=9.0))


def test_trouble_gets_a_plate_before_what_is_met(scenes):
    met = gap(("m1", "m2"), 3.2, 4.0, 4.8, 3.0, Status.MET, points=((422, 10, 8), (426, 10, 8)))
    first = gap(("m1", "case"), 1.0, 2.0, 3.0, 5.0, Status.NOT_MET, points=AT_M1)
    second = gap(("m2", "case"), 1.5, 2.5, 3.5, 5.0, Status.NOT_MET, points=((426, 10, 60), (426, 0, 60)))
    resting = replace(OVERLAPPING, parts=("m3", "pad_3"), status=Status.MET)
    picked, places = plates.chosen(rows(study_of(met, second, first, resting)), scenes)
    assert [row.finding for row in picked] == [first, second, met]
    assert places == 3
    picked, _ = plates.chosen(rows(study_of(met, second, first)), scenes, most=2)
    assert [row.finding for row in picked] == [first, met], "the tightest of each kind of pair comes first"


def test_places_without_points_or_parts_are_not_drawn(scenes):
    unknown = gap(("m1", "nobody"), 1.0, 2.0, 3.0, 5.0, Status.NOT_MET, points=AT_M1)
    assert plates.chosen(rows(study_of(unknown, UNCHECKED, replace(CANNOT, points=None))), scenes) == ([], 0)


def test_a_finding_about_found_heights_is_drawn_with_them(scenes):
    solved = replace(scene(), title="solved")
    with_solved = replace(scenes, solved=solved)
    row = next(row for row in rows(study_of(NOT_MET, heights=found_heights(MET))) if row.finding == MET)
    assert plates.scene_of(row, with_solved) is solved


def test_the_figures_of_a_narrow_band_stand_apart_and_clear_of_the_requirement():
    narrow = gap(("a", "b"), 3.38, 3.4, 3.9, 4.0, Status.NOT_MET)
    drawn = plate_strip(narrow, "worst case")
    texts = {
        said: (float(x), float(y)) for x, y, said in re.findall(r'x="([0-9.]+)" y="([0-9.]+)"[^>]*>([^<]+)<', drawn)
    }
    assert len({y for _, y in texts.values()}) == 3
    assert texts["3.38"][1] == texts["3.90"][1]
    assert texts["3.90"][0] - texts["3.38"][0] >= 16.0
    assert "3.40 as drawn" in texts
    assert "3.40 where the play is worst" in plate_strip(replace(narrow, in_play=True), "worst case")


# ---- elevations


def test_lines_tell_what_stays_goes_and_comes():
    parts = (box("a", "module", "new", (0, 0, 0), (50, 50, 50)), box("b", "duct", "retained", (60, 0, 0), (90, 50, 50)))
    gone = box("old", "module", "removed", (0, 0, 0), (40, 40, 40))
    axes = ("rearward", "right", "up")
    both = Scenes(
        original=Scene(title="", build="original", axes=axes, parts=(parts[1], gone)),
        proposed=Scene(title="", build="proposed", axes=axes, parts=parts),
    )
    assert [(one.number, one.part.name) for one in elevations.numbered(both)] == [(1, "a"), (2, "b"), (3, "old")]
    views = elevations.elevations(both)
    assert [view.name for view in views] == ["plan", "side", "end"]
    for view in views:
        assert view.drawing.count('class="gone bare"') == 1
        assert view.drawing.count('class="bare new"') == view.drawing.count('class="bare kept"') == 1
        assert 3 in view.hidden
    # 90 mm across 692 units: the module's 50 mm are 384.4.
    outline = re.search(r'class="bare new" d="([^"]*)"', views[0].drawing)[1]
    xs = [float(x) for x, _ in re.findall(r"([0-9.]+) ([0-9.]+)", outline)]
    assert max(xs) - min(xs) == pytest.approx(50 * 692 / 90, abs=0.2)


# ---- ink


def test_areas_become_closed_paths_and_lines_open_ones():
    assert path(shapely.box(0, 0, 2, 1)) == "M2 0L2 1L0 1L0 0Z"
    assert path(shapely.LineString([(0, 0), (1.26, -0.04)])) == "M0 0L1.3 0"
    holed = shapely.Polygon([(0, 0), (9, 0), (9, 9)], [[(4, 1), (8, 1), (8, 5)]])
    assert path(holed).count("M") == path(holed).count("Z") == 2
    assert path(shapely.Polygon()) == ""


def test_paper_turns_upside_down_and_keeps_the_scale():
    paper = Paper(x=10.0, y=20.0, scale=2.0, tall=100.0)
    assert paper.at((10.0, 20.0)) == (0.0, 100.0)
    assert paper.lay(shapely.box(10, 20, 15, 30)).bounds == (0.0, 80.0, 10.0, 100.0)


# ---- loops


def test_a_loop_shows_every_link_and_what_is_left_open():
    def link(value, factor, nominal, share):
        return LinkRow(value=value, factor=factor, nominal_mm=nominal, below_mm=0.2, above_mm=0.2, known_by="stated",
                       share_worst=share, share_rss=share)  # fmt: skip

    stack = StackRow(title="clear height", parts=("m1", "lid"), state="", band=MET.band, required=(("at least", 3.0),),
                     links=(link("case.inside.z", 1.0, 160.0, 0.75), link("m1.z <i>", -1.0, 156.0, 0.25)))  # fmt: skip
    drawn = loop(stack)
    for told in ("case.inside.z", "160 ± 0.2", "m1.z &lt;i&gt;", "156 ± 0.2", "left open", "4.00 mm"):
        assert told in drawn
    shares = [float(one) for one in re.findall(r'class="share" d="M[0-9.]+ [0-9.]+h([0-9.]+)"', drawn)]
    assert shares == [90.0, 30.0]
    lacking = loop(replace(stack, band=replace(MET.band, value=-2.0, low=-3.0)))
    assert "lacking" in lacking
    assert "2.00 mm" in lacking


# ---- the top


def test_what_one_act_settles_is_one_step_at_the_finest_accuracy():
    coarse = replace(CANNOT, settle_by="case.inside.y to ± 2 mm")
    fine = replace(CANNOT, parts=("m3", "case"), settle_by="case.inside.y to ± 0.5 mm")
    hopeless = replace(CANNOT, parts=("m4", "case"), settle_by="no single value settles it")
    study = study_of(coarse, fine, hopeless)
    (step,) = head_of(study, rows(study)).steps
    assert step.text == "Measure the inside width (y) of case to ± 0.5 mm (in the layout: case.inside.y)"
    assert len(step.rows) == 2


def test_one_place_at_two_ages_decides_once():
    young, old = (replace(NOT_MET, state=state) for state in ("beginning of life", "end of life"))
    old = replace(old, mend="move m1 rear by 2 mm", band=replace(old.band, low=3.0))
    study = study_of(young, old)
    head = head_of(study, rows(study))
    assert [row.finding for row in head.deciding] == [old]
    assert [step.text for step in head.steps] == ["Move m1 rear by 2 mm"]


@pytest.mark.parametrize(
    ("solved", "text"),
    [
        (True, "Go on with the heights found: pad_1 13.00 mm (8 + 5)"),
        (False, "No heights do: give way on a requirement or add to the stock"),
    ],
)
def test_heights_come_first_in_what_to_do(solved, text):
    study = study_of(NOT_MET, heights=found_heights(MET, solved=solved))
    step = head_of(study, rows(study)).steps[0]
    assert (step.text, step.section) == (text, "heights")


def test_each_part_of_the_study_gives_its_answer():
    study = study_of(NOT_MET, heights=found_heights(MET))
    assert [(part.title, part.mood) for part in head_of(study, rows(study)).parts] == [
        ("Fit of the layout as written", "not-met"),
        ("Fit with the heights found", "met"),
        ("Weight and balance", "not-met"),
    ]


# ---- text in elements


def test_text_sections_become_elements_and_stay_text():
    look = PageLook()
    lines = [
        *look.paragraph("before <b>"), *look.heading("Head & tail"), *look.paragraph("- one"), *look.paragraph("- two"),
        *look.table(("part", "kg"), [("<m1>", "1 188.12")], left=1), *look.paragraph("after"),
    ]  # fmt: skip
    first, second = groups(lines)
    assert (first.title, first.body) == ("", "<p>before &lt;b&gt;</p>")
    assert second.title == "Head & tail"
    assert second.body.startswith("<ul><li>one</li><li>two</li></ul><div")
    assert '<th scope="row">&lt;m1&gt;</th><td class="n">1\u00a0188.12</td>' in second.body
    assert second.body.endswith("<p>after</p>")
    assert not second.is_long


def test_long_tables_are_known_as_such():
    (group,) = groups(PageLook().table(("part",), [(str(at),) for at in range(30)], left=1))
    assert group.is_long


def test_a_page_is_parted_at_its_headings():
    text = "Gap: is it kept?\n\nWhat it checks\n    First\n    line.\n\n    Second.\n\nSource\n    `None`.\n"
    (page,) = rule_pages({"gap": text, "level": "Level"}, ["gap"])
    assert (page.check, page.title) == ("gap", "Gap: is it kept?")
    assert page.parts == (("What it checks", ("First line.", "Second.")), ("Source", ("<code>None</code>.",)))
