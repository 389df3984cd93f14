from __future__ import annotations

from pathlib import Path

import pytest
from engine_layouts import study

from fitcheck.errors import LayoutErrors
from fitcheck.findings import Status
from fitcheck.model.part import Build
from fitcheck.result import Verdict, exit_status
from fitcheck.run import check, geometric, scene, taken_as_exact

TEXT = """fitcheck: 1
title: a bay
parts:
  case: {role: enclosure, change: retained, mass: 9 ± 0.1, inside_low_corner: [0, 0, 0],
         shape: {tray: {inside: [400 ± 1, 300, 100], wall: 2, floor: 2}}}
  m1: {role: module, change: new, mass: 12, shape: {box: [100, 60, 40]},
       place: {front: 20 clear of case inside front, left: 10 clear of case inside left, bottom: on case floor}}
  old: {role: module, change: removed, mass: 8, shape: {box: [100, 60, 40]}, low_corner: [50, 50, 0]}
gaps:
  - {between: [every module, every enclosure], at_least: 5}
"""


@pytest.fixture
def bay(tmp_path: Path) -> Path:
    path = tmp_path / "bay.yaml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_one_result_with_everything(bay: Path) -> None:
    result = check(bay)
    assert (result.verb, result.title, result.verdict) == ("check", "a bay", Verdict.FITS)
    assert {finding.check for finding in result.findings} == {"gap", "containment"}
    assert exit_status(result.findings) == 0
    assert result.balance is not None
    assert result.balance.proposed.mass_kg == 21.0
    assert [row.part for row in result.room] == ["case", "m1"]
    assert result.not_covered
    again = check(bay)
    assert again == result


def test_the_original_build_on_request(bay: Path) -> None:
    parts = {finding.parts for finding in check(bay, build=Build.ORIGINAL).findings}
    assert parts == {("case", "old"), ("old", "case")}


def test_what_is_taken_as_exact_leaves_placing_out(bay: Path) -> None:
    names = [value.name for value in taken_as_exact(study(TEXT.replace("fitcheck: 1\n", "")).layout)]
    assert "m1.x" in names
    assert "case.inside.y" in names
    assert "case.inside.x" not in names
    assert "case.mass" not in names
    assert not [name for name in names if ".place." in name or "corner" in name]
    assert len(check(bay).taken_as_exact) == len(names)


def test_findings_come_from_where_the_parts_stand() -> None:
    found = geometric(study(TEXT.replace("fitcheck: 1\n", "")), Build.PROPOSED)
    assert {finding.status for finding in found} == {Status.MET}


def test_a_scene_of_triangles_with_the_worst_status(bay: Path) -> None:
    drawn = scene(bay, findings=check(bay).findings)
    assert [(part.name, part.status) for part in drawn.parts] == [("case", Status.MET), ("m1", Status.MET)]
    (m1,) = (part for part in drawn.parts if part.name == "m1")
    assert tuple(m1.vertices.min(axis=0)) == (20.0, 10.0, 0.0)
    assert tuple(m1.vertices.max(axis=0)) == (120.0, 70.0, 40.0)


def test_a_broken_layout_says_all_that_is_wrong(tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text(TEXT.replace("front: 20 clear", "front: 20 claer").replace("role: module", "role: modul"))
    with pytest.raises(LayoutErrors) as caught:
        check(path)
    assert len(caught.value.problems) >= 2


def test_mesh_files_that_cannot_be_used_are_told_at_their_places_all_at_once(tmp_path: Path) -> None:
    (tmp_path / "none.stl").write_text("solid none\nendsolid none\n")
    (tmp_path / "cut.off").write_text("OFF\n")
    path = tmp_path / "bay.yaml"
    path.write_text(
        "fitcheck: 1\nparts:\n"
        "  a: {role: duct, change: new, shape: {mesh: {file: none.stl, unit: mm}}, low_corner: [0, 0, 0]}\n"
        "  b: {role: duct, change: new, shape: {mesh: {file: cut.off, unit: mm}}, low_corner: [0, 0, 0]}\n"
    )
    with pytest.raises(LayoutErrors) as caught:
        check(path)
    assert [(each.at.line, each.what.partition(":")[0]) for each in caught.value.problems] == [
        (3, "none.stl"),
        (4, "cut.off"),
    ]


def test_what_was_noticed_about_a_mesh_file_is_a_note(tmp_path: Path) -> None:
    rows = ("0 0 0", "10 0 0", "0 10 0")
    corners = "".join(f"vertex {row}\n" for row in rows)
    (tmp_path / "leaf.stl").write_text(
        f"solid a\nfacet normal 0 0 1\nouter loop\n{corners}endloop\nendfacet\nendsolid\n"
    )
    path = tmp_path / "bay.yaml"
    part = "role: duct, change: new, shape: {mesh: {file: leaf.stl, unit: mm}}, mass: 1"
    path.write_text(
        f"fitcheck: 1\nparts:\n  a: {{{part}, low_corner: [0, 0, 0]}}\n  b: {{{part}, low_corner: [0, 0, 9]}}\n"
    )
    (note,) = check(path).notes
    assert note.startswith("leaf.stl (a, b): The surface is open along 3 edges.")
