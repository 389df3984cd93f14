"""Beside meshes of a million triangles or more nothing is moved about by trial: less is said, and never too much."""

from __future__ import annotations

import pytest
import trimesh
from engine_layouts import study

from fitcheck.checks import vast
from fitcheck.checks.mend import NONE_FOUND, NONE_SO_SMALL
from fitcheck.findings import Status
from fitcheck.model.part import Build
from fitcheck.run import check_study

LAYOUT = """
list_within: 25
axes: {{x: rearward, y: right, z: up}}
parts:
  floor: {{role: bracket, change: retained, shape: {{mesh: {{file: floor.stl, unit: mm, tolerance: 0.2}}}}, mass: 12,
          low_corner: [0, 0, 0]}}
  m1: {{role: module, change: new, shape: {{box: [80 ± 0.3, 50, 40 ± 0.5]}}, mass: 4, low_corner: [60, 50, {z}]}}
gaps:
  - {{between: [m1, floor], at_least: 4}}
"""


@pytest.fixture
def answered(tmp_path, monkeypatch):
    """(gap finding, room of m1 by direction) for a height of the module and what counts as vast."""
    trimesh.creation.box(bounds=[[0, 0, 0], [300, 200, 10]]).export(tmp_path / "floor.stl")

    def of(z, triangles):
        monkeypatch.setattr(vast, "VAST_TRIANGLES", triangles)
        result = check_study(study(LAYOUT.format(z=z), tmp_path), Build.PROPOSED)
        (gap,) = [one for one in result.findings if one.check == "gap"]
        (row,) = [one for one in result.room if one.part == "m1"]
        return gap, {word: room for word, room, _ in row.ways}

    return of


def test_room_is_what_is_left_now_and_never_more_than_by_trial(answered):
    gap, by_trial = answered(20, 10**9)
    assert gap.status is Status.MET
    _, at_once = answered(20, 1)
    # 20 - 10 above the floor, which may lie 0.2 higher, and 4 of it asked for: 5.8 whichever way.
    assert by_trial["down"] == pytest.approx(5.8, abs=1e-9)
    assert at_once["down"] == pytest.approx(5.8, abs=1e-9)
    assert by_trial["up"] is None
    assert list(at_once.values()) == pytest.approx([5.8] * 6, abs=1e-9)


def test_a_mend_by_what_is_missing_is_found_and_tried(answered):
    gap, _ = answered(12, 10**9)
    at_once, _ = answered(12, 1)
    assert gap.status is Status.NOT_MET
    assert at_once.mend == gap.mend == "move m1 up by 2.2 mm (m1.low_corner.z: 12 -> 14.2)"


def test_what_was_not_tried_is_said(answered, monkeypatch):
    monkeypatch.setattr("fitcheck.checks.mend.FARTHEST_MM", 1.0)
    gap, _ = answered(12, 10**9)
    at_once, _ = answered(12, 1)
    assert gap.mend == NONE_FOUND
    assert at_once.mend == NONE_SO_SMALL
