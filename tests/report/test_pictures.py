"""The pictures: which there are, the same bytes twice, and where the sections run."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from made_up import CANNOT, box, gap, result, scene

from fitcheck.findings import Status
from fitcheck.report import pictures
from fitcheck.report.scene import Scene
from fitcheck.report.section_view import plane_of, tightest
from fitcheck.report.views import direction

SIDE_BY_SIDE = gap(("m1", "m2"), 3.2, 4.0, 4.8, 3.0, Status.MET, points=((422, 10, 8), (426, 10, 8)))
LOOSER = gap(("m2", "m3"), 6.2, 7.0, 7.8, 3.0, Status.MET, points=((836, 10, 8), (840, 10, 8)))
TO_CASE = gap(("m1", "case"), 1.0, 2.0, 3.0, 5.0, Status.NOT_MET, points=((12, 50, 60), (0, 50, 60)))
TO_LID = gap(("m1", "lid"), 24.0, 26.0, 28.0, 8.0, Status.MET, points=((12, 10, 134), (12, 10, 160)))
UNKNOWN = gap(("m1", "nobody"), 1.0, 2.0, 3.0, 5.0, Status.NOT_MET, points=((0, 0, 0), (1, 0, 0)))
ALL = (SIDE_BY_SIDE, LOOSER, TO_CASE, TO_LID, UNKNOWN)


@pytest.fixture(scope="module")
def drawn():
    return pictures.render(scene(), result(*ALL))


def test_three_views_and_a_section_for_each_kind_of_gap_in_two_formats(drawn):
    names = ["plan", "side", "end", "section_1", "section_2", "section_3"]
    assert list(drawn) == [f"{name}.{kind}" for name in names for kind in ("png", "svg")]


def test_the_same_scene_gives_the_same_bytes(drawn):
    assert pictures.render(scene(), result(*ALL)) == drawn


def test_the_files_are_what_their_names_say(drawn):
    for name, content in drawn.items():
        if name.endswith(".png"):
            assert content.startswith(b"\x89PNG")
        else:
            assert ElementTree.fromstring(content).tag == "{http://www.w3.org/2000/svg}svg"  # noqa: S314 (our own)
            assert b"<dc:date>" not in content


def test_nothing_to_draw_gives_no_files():
    empty = Scene(title="", build="proposed", axes=("rearward", "right", "up"), parts=())
    assert pictures.render(empty, result(*ALL)) == {}


def test_a_section_is_taken_where_least_is_left_of_each_pair_of_roles():
    assert tightest(result(*ALL), scene()) == [TO_CASE, SIDE_BY_SIDE, TO_LID]


def test_findings_of_the_other_build_get_no_section():
    assert tightest(result(replace(TO_CASE, build="original")), scene()) == []


@pytest.mark.parametrize("finding", [SIDE_BY_SIDE, TO_CASE, TO_LID])
def test_a_section_shows_the_gap_in_its_full_length(finding):
    plane = plane_of(scene(), finding)
    start, end = (np.array(point, dtype=float) for point in finding.points)
    flat = np.subtract(plane.flat(end), plane.flat(start))
    assert np.hypot(*flat) == pytest.approx(np.linalg.norm(end - start), rel=1e-12)
    assert (end - start) @ plane.normal == pytest.approx(0.0, abs=1e-9)


def test_a_section_along_a_face_is_moved_into_the_parts():
    plane = plane_of(scene(), SIDE_BY_SIDE)
    assert plane.through @ np.array([0.0, 1.0, 0.0]) == pytest.approx(10.5, abs=1e-9)
    assert "at y = 10.5 mm" in plane.words


def test_an_oblique_gap_gets_an_oblique_plane():
    parts = (box("a", "module", "new", (0, 0, 0), (10, 10, 10)), box("b", "fan", "new", (13, 14, 15), (20, 20, 20)))
    tilted = Scene(title="", build="proposed", axes=("rearward", "right", "up"), parts=parts)
    finding = gap(("a", "b"), 6.0, 7.0, 8.0, 5.0, Status.MET, points=((10, 10, 10), (13, 14, 15)))
    plane = plane_of(tilted, finding)
    assert np.array([3.0, 4.0, 5.0]) @ plane.normal == pytest.approx(0.0, abs=1e-9)
    assert "oblique" in plane.words


def test_touching_points_are_marked_too():
    touching = gap(("m1", "pad_1"), 0.0, 0.0, 0.0, 1.0, Status.NOT_MET, points=((200, 90, 8), (200, 90, 8)))
    assert "section_1.svg" in pictures.render(scene(), result(touching))


def test_a_section_without_points_is_refused():
    with pytest.raises(ValueError, match="no points"):
        plane_of(scene(), replace(CANNOT, points=None))


def test_vehicle_words_turn_into_case_directions():
    axes = ("forward", "left", "up")
    assert direction(axes, "rearward").tolist() == [-1.0, 0.0, 0.0]
    assert direction(axes, "left").tolist() == [0.0, 1.0, 0.0]
    assert direction(axes, "down").tolist() == [0.0, 0.0, -1.0]


def test_progress_hears_of_each_sheet():
    heard = []
    pictures.render(scene(), result(TO_CASE), heard.append)
    assert heard == ["drawing plan", "drawing side", "drawing end", "drawing section_1"]
