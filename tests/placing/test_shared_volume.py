from __future__ import annotations

import math
from pathlib import Path

import pytest
import trimesh
from engine_layouts import BEGINNING, study

from fitcheck.placing.shared_volume import shared_volume, union_of_boxes

UNIT = ((0.0, 1.0), (0.0, 1.0), (0.0, 1.0))


def shared(one: str, other: str, folder: Path = Path()) -> tuple[float | None, str]:
    placed = study(
        f"""
        parts:
          a: {{role: module, change: new, {one}}}
          b: {{role: module, change: new, {other}}}
        """,
        folder,
    )
    return shared_volume(placed.chain(BEGINNING), placed.layout.by_name["a"], placed.layout.by_name["b"])


def test_union_of_boxes_counts_what_is_shared_once() -> None:
    assert union_of_boxes([]) == 0.0
    assert union_of_boxes([UNIT, UNIT]) == 1.0
    assert union_of_boxes([UNIT, ((0.5, 1.5), (0.0, 1.0), (0.0, 1.0))]) == 1.5
    assert union_of_boxes([UNIT, ((2.0, 3.0), (0.0, 1.0), (0.0, 2.0))]) == 3.0


def test_a_box_through_the_corner_of_a_tray_counts_each_corner_once() -> None:
    tray = "shape: {tray: {inside: [100, 80, 40], wall: 2, floor: 3}}, inside_low_corner: [0, 0, 0]"
    volume, said = shared(tray, "shape: {box: [10, 10, 10]}, low_corner: [-2, -2, -3]")
    # All of the box but the 8 x 8 x 7 of it that stands in the hollow.
    assert volume == pytest.approx(1000.0 - 8 * 8 * 7, rel=1e-12)
    assert said == ""


def test_a_bar_in_a_box() -> None:
    bar = "shape: {cylinder: {diameter: 20, length: 50, along: z}}, low_corner: [0, 0, 0]"
    volume, said = shared(bar, "shape: {box: [100, 100, 10]}, low_corner: [-10, -10, 20]")
    assert volume is not None
    assert math.pi * 100 * 10 <= volume <= math.pi * 100 * 10 * 1.005
    assert "at most" in said


def test_an_open_mesh_has_none(tmp_path: Path) -> None:
    whole = trimesh.creation.box([20, 20, 20])
    trimesh.Trimesh(whole.vertices, whole.faces[:-2]).export(tmp_path / "open.stl")
    volume, said = shared(
        "shape: {mesh: {file: open.stl, unit: mm}}, low_corner: [0, 0, 0]",
        "shape: {box: [10, 10, 10]}, low_corner: [-5, 5, 5]",
        tmp_path,
    )
    assert volume is None
    assert "not closed" in said
