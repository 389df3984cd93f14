"""Plates of electrical paths: the section that holds a path, its legs with their lengths, and which paths get one."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import combinations

import pytest
import shapely
from made_up import gap, result
from made_up_paths import (
    CROWDED,
    EVERY,
    NARROW_GROOVE,
    OVER_THE_CLIP,
    ROUND_THE_WALL,
    STRAIGHT,
    WIDE_GROOVE,
    board,
    path,
)

from fitcheck.findings import Status
from fitcheck.report.letters import width
from fitcheck.report.scene import Scenes
from fitcheck.report.study_page import plates, study_page
from fitcheck.report.study_page.rows import numbered_rules, rows_of
from fitcheck.result_study import StudyResult

AT = ((15.0, 30.0, 3.0), (22.0, 30.0, 3.0))


def study_of(*findings) -> StudyResult:
    whole = result(*findings)
    return StudyResult(check=whole, balance=replace(whole, verb="balance", findings=()))


def rows(study: StudyResult):
    return rows_of(study, numbered_rules(study.findings))


@pytest.fixture(scope="module")
def boards() -> Scenes:
    return Scenes(original=replace(board(), build="original"), proposed=board())


def plate_of(finding, boards):
    (plate,) = plates.plates(rows(study_of(finding)), boards)
    return plate


def leg_texts(plate) -> list[str]:
    return re.findall(r'<text class="leg"[^>]*>([^<]*)</text>', plate.detail)


def test_a_path_is_drawn_leg_by_leg_with_every_length(boards):
    plate = plate_of(WIDE_GROOVE, boards)
    assert leg_texts(plate) == ["a 3.00", "b 6.00", "c 2.00", "d 6.00", "e 2.00"]
    assert [leg[:3] for leg in plate.legs[:2]] == [("a", "3.00 mm", "over board"), ("b", "6.00 mm", "over board")]
    assert plate.sum == "3.00 + 6.00 + 2.00 + 6.00 + 2.00 = 19.00 mm as drawn"
    assert plate.straight == "7.00 mm"
    assert ">straight across 7.00 mm</text>" in plate.detail
    assert plate.plane == "seen from the left, at y = 30.0 mm"
    assert plate.notes == ()


def test_the_legs_lie_to_one_scale(boards):
    plate = plate_of(WIDE_GROOVE, boards)
    drawn = re.findall(r'<path class="leg surface" d="M([0-9.]+) ([0-9.]+)L([0-9.]+) ([0-9.]+)"', plate.detail)
    lengths = [math.dist((float(x), float(y)), (float(u), float(v))) for x, y, u, v in drawn]
    assert [length / lengths[2] for length in lengths] == pytest.approx([1.5, 3.0, 1.0, 3.0, 1.0], rel=0.01)


def test_a_bridged_groove_has_its_own_line_and_says_below_what(boards):
    plate = plate_of(NARROW_GROOVE, boards)
    assert plate.legs[1] == ("b", "0.80 mm", "bridged: narrower than X = 1.0 mm", "leg bridged")
    assert plate.detail.count('class="leg bridged"') == 1


def test_insulation_and_metal_are_hatched_apart(boards):
    detail = plate_of(NARROW_GROOVE, boards).detail
    assert detail.count('class="hatch insulating"') == 1
    assert detail.count('class="hatch metal"') == 2


def test_a_gap_is_not_hatched(boards):
    plate = plate_of(gap(("a_plus", "a_minus"), 7.0, 7.0, 7.0, 5.0, Status.MET, points=AT), boards)
    assert "hatch" not in plate.detail
    assert (plate.legs, plate.sum, plate.laid) == ((), "", "")


def test_what_counts_nothing_is_drawn_as_such(boards):
    plate = plate_of(OVER_THE_CLIP, boards)
    assert leg_texts(plate) == ["a 4.00", "b 0", "c 0"]
    assert [leg[3] for leg in plate.legs] == ["leg surface", "leg through", "leg surface"]
    assert plate.sum == "4.00 mm as drawn"


def test_a_section_that_passes_by_the_insulation_shows_it_behind(boards):
    plate = plate_of(OVER_THE_CLIP, boards)
    assert 'class="behind"' in plate.detail
    assert "cut 0.5 mm beside the path, to show both parts" in plate.notes


def test_a_path_in_space_says_how_much_of_it_the_section_holds(boards):
    plate = plate_of(ROUND_THE_WALL, boards)
    assert "holds 8.94 of 20.38 mm of it" in plate.notes[0]
    assert plate.detail.count('class="leg surface off"') == 3


def test_the_path_laid_straight_ends_at_its_length(boards):
    laid = plate_of(WIDE_GROOVE, boards).laid
    ends = [float(far) for far in re.findall(r'class="leg surface" d="M[0-9.]+ [0-9.]+H([0-9.]+)"', laid)]
    limit = float(re.search(r'class="limit" d="M([0-9.]+)', laid)[1])
    assert (ends[-1] - 8.0) / (limit - 8.0) == pytest.approx(19.0 / 4.0, rel=0.01)


def test_a_straight_way_needs_no_second_length(boards):
    plate = plate_of(STRAIGHT, boards)
    assert plate.straight == ""
    assert "straight across" not in plate.detail
    assert plate.legs == (("a", "4.00 mm", "straight, whatever lies between", "leg air"),)


def test_ends_that_touch_are_marked_in_one_place(boards):
    touching = path(("b_plus", "clip"), (60.0, 30.0, 2.0), (60.0, 30.0, 2.0), bends=False)
    plate = plate_of(touching, boards)
    assert plate.legs == ()
    assert "0.00 mm" in plate.detail


def test_all_paths_in_trouble_and_the_tightest_that_are_met_get_a_plate(boards):
    looser = replace(WIDE_GROOVE, parts=("a_plus", "b_minus"), band=replace(WIDE_GROOVE.band, low=18.9))
    picked, _ = plates.chosen(rows(study_of(*EVERY, replace(looser, required=2.0))), boards)
    assert [row.finding for row in picked] == [NARROW_GROOVE, ROUND_THE_WALL, OVER_THE_CLIP, STRAIGHT, WIDE_GROOVE]


def test_electrical_paths_do_not_push_out_gaps(boards):
    one = gap(("a_plus", "a_minus"), 7.0, 7.0, 7.0, 5.0, Status.MET, points=AT)
    picked, _ = plates.chosen(rows(study_of(*EVERY, one)), boards, 1)
    assert [row.finding for row in picked] == [NARROW_GROOVE, one]


def test_a_hostile_name_is_text_in_the_list_of_legs(boards):
    name = "<img src=x onerror=alert(1)>"
    parts = tuple(replace(part, name=name) if part.name == "board" else part for part in board().parts)
    scene = replace(board(), parts=parts)
    scenes = Scenes(original=replace(scene, build="original"), proposed=scene)
    text = study_page(study_of(NARROW_GROOVE), scenes, made_on="2026-03-02", version="1")
    assert "<img src=x" not in text
    assert "over &lt;img src=x" in text


@pytest.mark.parametrize("name", CROWDED)
def test_nothing_written_lies_on_anything_else_on_a_crowded_plate(name, boards):
    detail = plate_of(CROWDED[name], boards).detail
    written = re.findall(r'<text class="(leg|across|figure)" x="([0-9.-]+)" y="([0-9.-]+)"[^>]*>([^<]*)</text>', detail)
    assert len(written) > 6
    boxes = []
    for kind, x, y, text in written:
        wide = width(text, 13.0 if kind == "figure" else 12.0, bold=kind != "across")
        boxes.append(shapely.box(float(x) - wide / 2, float(y) - 9.0, float(x) + wide / 2, float(y) + 3.0))
    rings = re.findall(r'<circle class="ring" cx="([0-9.-]+)" cy="([0-9.-]+)"', detail)
    assert rings
    boxes += [shapely.Point(float(x), float(y)).buffer(9.0) for x, y in rings]
    for one, other in combinations(boxes, 2):
        assert shapely.intersection(one, other).area < 0.5
    legs = re.findall(r'<path class="leg [a-z ]*?(?: off)?" d="M([0-9.-]+) ([0-9.-]+)L([0-9.-]+) ([0-9.-]+)"', detail)
    path_drawn = shapely.MultiLineString([((float(a), float(b)), (float(c), float(d))) for a, b, c, d in legs])
    for box in boxes:
        assert shapely.box(0.0, 0.0, 360.0, 252.0).covers(box)
        assert box.distance(path_drawn) > 1.0
