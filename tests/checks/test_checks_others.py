"""Overlap, containment, file scale, mass, and what is not checked."""

from __future__ import annotations

from pathlib import Path

import pytest
import trimesh
from engine_layouts import END, findings, only, study

from fitcheck.findings import Status
from fitcheck.model.part import Build
from fitcheck.result import exit_status
from fitcheck.run import check_study

BOXES = """
parts:
  a: {{role: module, change: new, shape: {{box: [100, 50, 30]}}, low_corner: [0, 0, 0]}}
  b: {{role: bracket, change: new, shape: {{box: [{size}, 50, 30]}}, low_corner: [{at}, 10, 5]}}
"""


@pytest.mark.parametrize(
    ("at", "status", "depth"),
    [
        ("99", Status.NOT_MET, 1.0),
        ("100", Status.MET, 0.0),
        ("99.9999991", Status.MET, 9e-7),
        ("99.999998", Status.NOT_MET, 2e-6),
        ("100.4 ± 0.5", Status.CANNOT_TELL, -0.4),
        ("100.5 ± 0.5", Status.MET, -0.5),
    ],
)
def test_overlap(at: str, status: Status, depth: float) -> None:
    found = only(BOXES.format(at=at, size=20), "overlap")
    assert found.status is status
    assert found.band is not None
    assert found.band.value == pytest.approx(depth, abs=1e-12)
    assert found.required == 0.0


def test_overlap_depth_volume_and_settling() -> None:
    found = only(BOXES.format(at="97", size=20), "overlap")
    assert found.volume_mm3 == pytest.approx(3 * 40 * 25, rel=1e-12)
    close = only(BOXES.format(at="100.4 ± 0.5", size="20 ± 1"), "overlap")
    assert close.settle_by == "b.low_corner.x to ± 0.4 mm"


def test_a_rule_speaks_of_a_possible_overlap_itself() -> None:
    text = BOXES.format(at="100.4 ± 0.5", size=20) + "gaps:\n  - {between: [a, b], at_least: 0}\n"
    assert findings(text, "overlap") == ()
    assert only(text, "gap").status is Status.CANNOT_TELL


@pytest.mark.parametrize("inner", ["{box: [10, 10, 10]}", "{cylinder: {diameter: 8, length: 10, along: y}}"])
@pytest.mark.parametrize(
    "outer",
    [
        "{box: [100, 50, 30]}",
        "{mesh: {file: block.stl, unit: mm}}",
        "{prism: {outline: [[0, 0], [100, 0], [100, 50], [0, 50]], height: 30, along: z}}",
    ],
)
def test_a_part_wholly_inside_another_is_overlap(inner: str, outer: str, tmp_path: Path) -> None:
    trimesh.creation.box([100, 50, 30]).export(tmp_path / "block.stl")
    text = f"""
    parts:
      a: {{role: module, change: new, shape: {outer}, low_corner: [0, 0, 0]}}
      b: {{role: bracket, change: new, shape: {inner}, low_corner: [40, 20, 10]}}
    """
    found = only(text, "overlap", folder=tmp_path)
    assert found.status is Status.NOT_MET
    assert found.band is not None
    assert found.band.value >= 8.0 - 1e-9
    assert found.volume_mm3 is not None
    assert found.volume_mm3 == pytest.approx(1000.0 if "box" in inner else 3.14159265 * 16 * 10, rel=0.01)


@pytest.mark.parametrize("rule", ["", "gaps:\n  - {between: [a, b], at_least: 0}\n"])
def test_a_mesh_that_may_overlap_is_not_met(rule: str, tmp_path: Path) -> None:
    trimesh.creation.box([100, 50, 30]).export(tmp_path / "block.stl")
    text = BOXES.format(at="100.1 ± 0.5", size=20).replace("box: [100, 50, 30]", "mesh: {file: block.stl, unit: mm}")
    (found,) = findings(text + rule, folder=tmp_path)
    assert found.status is Status.CANNOT_TELL
    assert found.band is not None
    worst = found.band.high if found.check == "overlap" else -found.band.low
    assert worst >= 0.4 - 1e-6


INSIDE = """
parts:
  case:
    {{role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
     shape: {{tray: {{inside: [500 ± 1, 300, 100], wall: 2, floor: 2}}}}}}
  m1: {{role: module, change: new, shape: {{box: [{length}, 200, 150]}}, {grows}
       place: {{front: {front}, left: 30 clear of case inside left, bottom: on case floor}}}}
"""


@pytest.mark.parametrize(
    ("length", "front", "status", "low"),
    [
        ("400", "20 clear of case inside front", Status.MET, 20.0),
        ("480", "20 clear of case inside front", Status.CANNOT_TELL, -1.0),
        ("479", "20 clear of case inside front", Status.MET, 0.0),
        ("482", "20 clear of case inside front", Status.NOT_MET, -3.0),
        ("400", "20 past case front", Status.NOT_MET, -22.0),
    ],
)
def test_containment(length: str, front: str, status: Status, low: float) -> None:
    found = only(INSIDE.format(length=length, front=front, grows=""), "containment")
    assert found.parts == ("m1", "case")
    assert found.status is status
    assert found.band is not None
    assert found.band.low == pytest.approx(low, abs=1e-9)
    assert bool(found.settle_by) is (status is Status.CANNOT_TELL)


def test_containment_on_a_guess() -> None:
    length = "{value: 400, tolerance: 1, known_by: guess}"
    found = only(INSIDE.format(length=length, front="20 clear of case inside front", grows=""), "containment")
    assert found.status is Status.CANNOT_TELL
    assert "m1.x" in found.rests_on_guess


def test_containment_at_the_end_of_life_of_one_that_is_pushed() -> None:
    text = INSIDE.format(length="200", front="against case inside front", grows="grows: {x: 5 %},") + (
        "  m2: {role: module, change: new, shape: {box: [295, 200, 50]},\n"
        "       place: {front: against m1 rear, left: 30 clear of case inside left, bottom: on case floor}}\n"
    )
    found = {finding.state: finding.status for finding in findings(text, "containment") if finding.parts[0] == "m2"}
    assert found == {"beginning of life": Status.MET, END: Status.NOT_MET}


def test_containment_knows_a_loose_mesh_surface(tmp_path: Path) -> None:
    trimesh.creation.box([100, 200, 50]).export(tmp_path / "block.stl")
    text = INSIDE.format(length="1", front="1 clear of case inside front", grows="")
    text = text.replace("{box: [1, 200, 150]}", "{mesh: {file: block.stl, unit: mm, tolerance: 3}}")
    found = only(text, "containment", folder=tmp_path)
    assert found.status is not Status.MET
    assert found.band is not None
    assert found.band.low <= -2.0 + 1e-9


LOOSE = """
parts:
  case:
    {{role: enclosure, change: retained, inside_low_corner: [0, 0, 0], {case_play}
     shape: {{tray: {{inside: [500, 300, 100], wall: 2, floor: 2}}}}}}
  m1: {{role: module, change: new, shape: {{box: [400, 200, 150]}}, low_corner: [40, 30, 0], {play}}}
"""


@pytest.mark.parametrize(
    ("play", "case_play", "value", "points", "words"),
    [
        # Drawn 30 off the left wall, 40 off the front, 60 off the rear, 70 off the right.
        ("", "", 30.0, ((240, 30, 75), (240, 0, 75)), ""),
        ("play: {y: [2, 5]}", "", 28.0, ((240, 28, 75), (240, 0, 75)), "at the far end of m1's play (y -2 mm)"),
        ("play: {x: [3, 50]}", "", 10.0, ((490, 130, 75), (500, 130, 75)), "at the far end of m1's play (x +50 mm)"),
        ("play: {x: [3, 4]}", "", 30.0, ((240, 30, 75), (240, 0, 75)), ""),
        ("play: {y: [0, 5]}", "", 30.0, ((240, 30, 75), (240, 0, 75)), ""),
        (
            "play: {y: 2}",
            "play: {y: [9, 4]},",
            24.0,
            ((240, 28, 75), (240, 4, 75)),
            "at the far end of case's play (y +4 mm) and at the far end of m1's play (y -2 mm)",
        ),
        ("play: {z: 2}", "", 30.0, ((240, 30, 75), (240, 0, 75)), ""),
        ("play: {y: 30}", "", 0.0, ((240, 0, 75), (240, 0, 75)), "touching, at the far end of m1's play (y -30 mm)"),
    ],
)
def test_containment_says_where_in_its_play_a_module_reaches_farthest(play, case_play, value, points, words) -> None:
    found = only(LOOSE.format(play=play, case_play=case_play), "containment")
    assert found.band is not None
    assert (found.band.value, found.band.low, found.band.high) == pytest.approx((value, value, value), abs=1e-9)
    assert found.in_play is bool(words)
    assert found.reason == words
    assert found.points is not None
    on_module, on_case = points
    assert found.points[0][:2] == pytest.approx(on_module[:2], abs=1e-9)
    assert found.points[1][:2] == pytest.approx(on_case[:2], abs=1e-9)
    assert found.status is Status.MET


def test_no_enclosure_no_containment() -> None:
    assert findings(BOXES.format(at="150", size=20), "containment") == ()


@pytest.mark.parametrize(
    ("length", "status"),
    [
        ("100.5 ± 1", Status.MET),
        ("101.5 ± 1", Status.NOT_MET),
        ("101.5 +0/-2", Status.MET),
        ("101.5 +2/-0", Status.NOT_MET),
        ("{value: 100.5, tolerance: 1, known_by: guess}", Status.CANNOT_TELL),
        ("2540 ± 2", Status.NOT_MET),
    ],
)
def test_file_scale(length: str, status: Status, tmp_path: Path) -> None:
    trimesh.creation.box([100, 50, 30]).export(tmp_path / "block.stl")
    text = f"""
    parts:
      duct: {{role: duct, change: new, low_corner: [0, 0, 0],
             shape: {{mesh: {{file: block.stl, unit: mm, file_scale: {{along: x, length: {length}}}}}}}}}
    """
    found = only(text, "file scale", folder=tmp_path)
    assert found.status is status
    assert ("inches" in found.reason) is length.startswith("2540")


def test_sections_without_a_check_say_so() -> None:
    text = BOXES.format(at="150", size=20) + (
        "cables: {hv_1: {diameter: 15.5, bend: 5 x, ends: [a, b], lug: 45,\n"
        "                route: [[0, 0, 0], [9, 9, 9]], slack: 3 %}}\n"
    )
    found = [finding for finding in findings(text) if finding.status is Status.NOT_CHECKED]
    assert {finding.check for finding in found} == {"bend", "cable length"}
    assert all(finding.reason for finding in found)
    assert exit_status(findings(text)) == 3


@pytest.mark.parametrize(("mass", "status"), [("12 ± 0.1", Status.MET), ("", Status.CANNOT_TELL)])
def test_mass_must_be_known(mass: str, status: Status, tmp_path: Path) -> None:
    from fitcheck.run import balance

    stated = f"mass: {mass}," if mass else ""
    path = tmp_path / "bay.yaml"
    path.write_text(
        "fitcheck: 1\nparts:\n"
        f"  m1: {{role: module, change: new, {stated} shape: {{box: [10, 10, 10]}}, low_corner: [0, 0, 0]}}\n"
        "  old: {role: module, change: removed, mass: 3, shape: {box: [10, 10, 10]}, low_corner: [0, 0, 0]}\n",
        encoding="utf-8",
    )
    result = balance(path)
    proposed = next(f for f in result.findings if f.check == "mass" and f.build == Build.PROPOSED)
    assert proposed.status is status
    if not mass:
        assert proposed.parts == ("m1",)
        assert "weigh m1" in proposed.settle_by
        assert exit_status(result.findings) == 3


MEND = """
parts:
  case: {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
         shape: {tray: {inside: [400, 200, 100], wall: 2, floor: 2}}}
  column: {role: column, change: retained, shape: {box: [10, 10, 80]}, low_corner: [200, 95, 0]}
  m1: {role: module, change: new, shape: {box: [100, 150, 60]},
       place: {front: 96 ± 0.5 clear of case inside front, left: 20 clear of case inside left, bottom: on case floor}}
  hat: {role: cover, change: new, shape: {box: [80, 80, 5]},
        place: {front: 5 short of m1, left: flush with m1, bottom: on m1}}
gaps:
  - {between: [m1, column], at_least: 5}
  - {between: [m1, case], at_least: 5}
"""


def test_the_smallest_change_that_mends_a_gap_and_its_followers() -> None:
    text = MEND.replace("front: 96 ± 0.5", "front: 99 ± 0.5")
    gap = only(text, "gap", "m1", "column")
    assert gap.status is Status.NOT_MET
    assert gap.mend.startswith("move m1 forward by 4.5 mm (m1.place.front: 99 -> 94.5")
    assert "hat follow" in gap.mend
    mended = text.replace("front: 99 ± 0.5", "front: 94.5 ± 0.5")
    assert only(mended, "gap", "m1", "column").status is Status.MET
    assert only(text.replace("front: 99 ± 0.5", "front: 94.6 ± 0.5"), "gap", "m1", "column").status is not Status.MET


def test_no_change_is_named_that_breaks_another_finding() -> None:
    text = MEND.replace("front: 96 ± 0.5 clear of case", "front: 9 clear of case").replace(
        "low_corner: [200, 95, 0]", "low_corner: [110, 95, 0]"
    )
    gap = only(text, "gap", "m1", "column")
    assert gap.status is Status.NOT_MET
    assert gap.mend.startswith("move m1 forward by 4 mm")
    tight = text.replace("front: 9 clear of case", "front: 8 clear of case").replace("[110, 95, 0]", "[109, 95, 0]")
    tight = tight.replace("between: [m1, case], at_least: 5", "between: [m1, case], at_least: 7")
    assert "no change of a single placing number" in only(tight, "gap", "m1", "column").mend


def test_room_left_up_to_where_a_finding_changes() -> None:
    result = check_study(study(MEND.replace("front: 96 ± 0.5", "front: 90")), Build.PROPOSED)
    (room,) = (row for row in result.room if row.part == "m1")
    ways = {word: (distance, stopped) for word, distance, stopped in room.ways}
    assert {word: stopped for word, (_, stopped) in ways.items() if stopped} == {
        "rearward": "column", "left": "case", "down": "case", "up": "hat",
    }  # fmt: skip
    assert ways["rearward"][0] == pytest.approx(5.0, abs=0.0101)
    assert ways["left"][0] == pytest.approx(15.0, abs=0.0101)
    assert ways["forward"] == ways["right"] == (None, "")
    assert ways["down"][0] == 0.0
