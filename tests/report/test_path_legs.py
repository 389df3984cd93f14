"""The legs of an electrical path, the section that holds it, and where its figures stand."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from made_up import box, gap, result
from made_up_paths import EVERY, NARROW_GROOVE, OVER_THE_CLIP, ROUND_THE_WALL, STRAIGHT, WIDE_GROOVE, board, path

from fitcheck.findings import Status
from fitcheck.report import path_view, pictures
from fitcheck.report.near import off, outward
from fitcheck.report.path_legs import Over, critical, deciding, path_of, total_words, words
from fitcheck.report.path_plane import path_plane


def cut_of(finding):
    return path_plane(board(), finding, path_of(finding, board()))


# ---- legs


def test_a_leg_over_a_surface_names_the_part_and_its_length():
    legs = path_of(WIDE_GROOVE, board()).legs
    assert [(leg.mark, leg.length, leg.over, leg.part) for leg in legs] == [
        (mark, length, Over.SURFACE, "board") for mark, length in zip("abcde", (3.0, 6.0, 2.0, 6.0, 2.0), strict=True)
    ]


def test_a_leg_through_air_narrower_than_x_is_bridged():
    found = path_of(NARROW_GROOVE, board())
    assert [leg.over for leg in found.legs] == [Over.SURFACE, Over.BRIDGED, Over.SURFACE]
    assert words(found.legs[1], found.bridged_mm) == "bridged: narrower than X = 1.0 mm"
    assert found.total == pytest.approx(4.0, abs=1e-12)


def test_a_leg_as_wide_as_x_is_no_bridge():
    wide = path(("a_plus", "a_minus"), (17.0, 30.0, 0.0), (18.0, 30.0, 0.0), (20.0, 30.0, 0.0), (21.0, 30.0, 0.0))
    assert [leg.over for leg in path_of(wide, board()).legs] == [Over.SURFACE, Over.AIR, Over.SURFACE]


def test_floating_metal_and_what_is_narrow_beside_it_count_nothing():
    found = path_of(OVER_THE_CLIP, board())
    assert [(leg.over, leg.counts) for leg in found.legs] == [
        (Over.SURFACE, True), (Over.METAL, False), (Over.SURFACE, False),
    ]  # fmt: skip
    assert found.agrees
    assert total_words(found, OVER_THE_CLIP) == "4.00 mm as drawn"
    assert words(found.legs[1], 1.0) == "across clip, metal without a potential: counts nothing"


def test_a_chord_over_the_facets_of_a_round_is_no_bridge():
    angles = np.linspace(0.0, 2.0 * np.pi, 25)[:-1]
    corners = [(4.02 * np.cos(angle), 4.02 * np.sin(angle), z) for z in (0.0, 9.0) for angle in angles]
    faces = [
        face for at in range(24) for low, far in [(at, (at + 1) % 24)]
        for face in ((low, far, far + 24), (low, far + 24, low + 24))
    ]  # fmt: skip
    post = replace(box("post", "insulator", "new", (0, 0, 0), (1, 1, 1)), vertices=np.array(corners),
                   faces=np.array(faces), conducts="insulation")  # fmt: skip
    scene = replace(board(), parts=(post, *board().parts[4:6]))
    way = [(4.0 * float(np.cos(angle)), 4.0 * float(np.sin(angle)), 5.0) for angle in angles[:5] + 0.1]
    legs = path_of(path(("a_plus", "a_minus"), *way), scene).legs
    assert {(leg.over, leg.part) for leg in legs} == {(Over.SURFACE, "post")}
    assert legs[0].length == pytest.approx(1.044, abs=1e-3)


def test_legs_that_go_on_straight_are_one():
    way = path(("a_plus", "a_minus"), (15.0, 30.0, 0.0), (16.0, 30.0, 0.0), (18.0, 30.0, 0.0), (18.0, 30.0, -6.0))
    assert [leg.length for leg in path_of(way, board()).legs] == [3.0, 6.0]


def test_legs_that_do_not_add_up_to_the_finding_say_so():
    off_by = replace(WIDE_GROOVE, band=replace(WIDE_GROOVE.band, value=18.5))
    found = path_of(off_by, board())
    assert not found.agrees
    assert total_words(found, off_by) == (
        "18.50 mm as drawn; the legs as drawn here add up to 19.00 mm, the finding decides"
    )


def test_a_way_through_air_is_no_bridge_and_no_surface():
    over_the_rib = replace(
        WIDE_GROOVE, check="clearance", way=(WIDE_GROOVE.way[0], (18.0, 30.0, 9.0), WIDE_GROOVE.way[-1])
    )
    assert {leg.over for leg in path_of(over_the_rib, board()).legs} == {Over.AIR}


def test_ends_that_touch_have_no_leg():
    assert path_of(path(("b_plus", "clip"), (1.0, 1.0, 1.0), (1.0, 1.0, 1.0), bends=False), board()).legs == ()


def test_many_legs_are_lettered_on_past_z_and_summed_in_one_word():
    turn = [(15.0 + 0.05 * at, 30.0 + 2.0 * (at % 2), 0.0) for at in range(30)]
    found = path_of(path(("a_plus", "a_minus"), *turn), board())
    assert [leg.mark for leg in found.legs][25:28] == ["z", "aa", "ab"]
    assert total_words(found, path(("a", "b"), *turn)).startswith("29 legs, together ")


# ---- which are drawn


def test_those_in_trouble_are_drawn_worst_first_then_the_tightest_met():
    loose = replace(STRAIGHT, parts=("a_plus", "a_minus"), required=0.5)
    drawn = critical((*EVERY, loose, gap(("a_plus", "a_minus"), 1, 2, 3, 5, Status.NOT_MET)), board(), "worst case")
    assert drawn == [NARROW_GROOVE, ROUND_THE_WALL, OVER_THE_CLIP, STRAIGHT, WIDE_GROOVE]


def test_one_way_asked_for_twice_is_drawn_once():
    other = replace(NARROW_GROOVE, required=4.5)
    assert deciding((NARROW_GROOVE, other)) == [NARROW_GROOVE]


def test_what_is_not_in_the_scene_is_not_drawn():
    elsewhere = (replace(STRAIGHT, build="original"), replace(STRAIGHT, parts=("nobody", "b_plus")))
    assert critical((*elsewhere, replace(STRAIGHT, points=None)), board(), "worst case") == []


# ---- the section


@pytest.mark.parametrize("finding", [WIDE_GROOVE, NARROW_GROOVE, STRAIGHT])
def test_a_path_in_one_plane_is_cut_there_and_keeps_its_lengths(finding):
    cut = cut_of(finding)
    assert all(cut.held)
    assert cut.words == ""
    for one, other in combinations([np.array(point) for point in finding.way or finding.points], 2):
        assert (other - one) @ cut.plane.normal == pytest.approx(0.0, abs=1e-9)
        flat = np.subtract(cut.plane.flat(other), cut.plane.flat(one))
        assert np.hypot(*flat) == pytest.approx(np.linalg.norm(other - one), abs=1e-9)


def test_a_straight_path_on_a_wall_is_cut_square_to_the_wall():
    along = path(("d_plus", "d_minus"), (90.0, 20.0, 5.0), (90.0, 30.0, 5.0))
    cut = cut_of(along)
    assert np.abs(cut.plane.normal) == pytest.approx([0.0, 0.0, 1.0], abs=1e-9)
    assert cut.plane.words.startswith("seen from above")


def test_a_section_on_a_face_moves_into_the_parts_and_says_so():
    cut = cut_of(OVER_THE_CLIP)
    assert cut.plane.words == "seen from above, at z = 0.5 mm"
    assert cut.words == "cut 0.5 mm beside the path, to show both parts"


def test_a_path_in_space_goes_through_both_ends():
    cut = cut_of(ROUND_THE_WALL)
    start, end = (np.array(point) for point in ROUND_THE_WALL.points)
    assert (end - start) @ cut.plane.normal == pytest.approx(0.0, abs=1e-9)
    assert cut.held == (True, False, False, False)
    assert "holds 8.94 of 20.38 mm of it" in cut.words


def test_a_way_round_from_a_place_to_itself_has_a_plane_too():
    there_and_back = path(
        ("d_plus", "d_minus"), (90.0, 30.0, 2.0), (90.0, 40.0, 2.0), (92.0, 40.0, 3.0), (92.0, 30.0, 4.0),
        (90.0, 30.0, 2.02),
    )  # fmt: skip
    cut = cut_of(there_and_back)
    assert np.linalg.norm(cut.plane.normal) == pytest.approx(1.0, abs=1e-9)
    assert any(cut.held)


# ---- near


def test_how_far_a_place_lies_off_a_part():
    part = box("p", "insulator", "new", (0, 0, 0), (10, 10, 10))
    points = np.array([(5.0, 5.0, 10.3), (5.0, 5.0, 9.8), (10.3, 10.4, 5.0), (5.0, 5.0, 5.0)])
    assert off(part, points, 1.0) == pytest.approx([0.3, 0.2, 0.5, np.inf], abs=1e-12)


def test_outward_is_the_mean_of_the_faces_at_a_place():
    part = box("p", "insulator", "new", (0, 0, 0), (10, 10, 10))
    assert outward(part, np.array((5.0, 5.0, 10.0)), 0.05) == pytest.approx([0, 0, 1], abs=1e-12)
    assert outward(part, np.array((10.0, 5.0, 10.0)), 0.05) == pytest.approx([0.5**0.5, 0, 0.5**0.5], abs=1e-12)
    assert outward(part, np.array((5.0, 5.0, 5.0)), 0.05) == pytest.approx([0, 0, 0], abs=0)


# ---- pictures


@pytest.fixture(scope="module")
def drawn():
    return pictures.render(board(), result(*EVERY))


def test_every_path_that_decides_has_its_picture(drawn):
    assert [name for name in drawn if name.startswith("path_")] == [
        f"path_{number}.{kind}" for number in range(1, 6) for kind in ("png", "svg")
    ]


def test_the_pictures_of_paths_are_the_same_bytes_twice(drawn):
    one = {name: content for name, content in drawn.items() if name.startswith("path_1")}
    (first,) = [figure for name, figure in path_view.sheets(board(), result(NARROW_GROOVE)) if name == "path_1"]
    assert path_view.sheet.save(first)["png"] == one["path_1.png"]


def test_a_picture_says_its_lengths_and_what_is_bridged():
    (figure,) = [figure for _, figure in path_view.sheets(board(), result(NARROW_GROOVE))]
    said = [text.get_text() for text in (*figure.texts, *(text for axes in figure.axes for text in axes.texts))]
    assert {"a 1.60", "b 0.80", "c 1.60"} <= set(said)
    assert "1.60 + 0.80 + 1.60 = 4.00 mm as drawn; at least 5.00 mm required" in said
    assert "4.00 mm\nat least 5.00 mm required\nNOT MET" in said
    assert any("bridged: narrower than" in text for text in said)


@pytest.mark.parametrize("name", ['cost $\\frac{<b>&"$ only', "電池 ⚡"])
def test_any_name_can_be_drawn(name):
    parts = tuple(replace(part, name=name) if part.name == "board" else part for part in board().parts)
    strange = replace(board(), title=name, parts=parts)
    assert "path_1.svg" in pictures.render(strange, result(NARROW_GROOVE))
