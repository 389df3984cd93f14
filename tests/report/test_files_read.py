"""The files that a layout names, each with its fingerprint."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from fitcheck.layoutfile.read import read_layout
from fitcheck.report.files_read import GONE, files_read

DEMO = Path(__file__).parents[2] / "demo_geometry" / "11_supplier_files"

TWICE = """
fitcheck: 1
title: Two of one
units: {length: mm, mass: kg}
axes: {x: rearward, y: right, z: up}
datum: here
parts:
  a: {role: bracket, change: new, shape: {mesh: {file: block.off, unit: mm}}, low_corner: [0, 0, 0]}
  b: {role: bracket, change: new, shape: {box: [1, 1, 1]}, low_corner: [9, 0, 0]}
  c:
    role: bracket
    change: new
    low_corner: [20, 0, 0]
    shape: {group: [{shape: {mesh: {file: block.off, unit: mm}}, low_corner: [0, 0, 0]}]}
"""
BLOCK = "OFF\n4 4 0\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n3 0 2 1\n3 0 1 3\n3 0 3 2\n3 1 2 3\n"


@pytest.fixture
def layout(tmp_path):
    (tmp_path / "block.off").write_text(BLOCK)
    (tmp_path / "layout.yaml").write_text(TWICE)
    return read_layout(tmp_path / "layout.yaml")


def test_a_file_stands_there_once_with_all_its_parts(layout):
    (one,) = files_read(layout)
    assert (one.name, one.parts) == ("block.off", ("a", "c"))
    assert one.sha256 == hashlib.sha256(BLOCK.encode()).hexdigest()
    assert one.words == f"block.off, the shape of a and c: SHA-256 {one.sha256}"


def test_a_file_that_is_gone_is_said_to_be(layout, tmp_path):
    (tmp_path / "block.off").unlink()
    (one,) = files_read(layout)
    assert one.sha256 == GONE
    assert one.words == "block.off, the shape of a and c: cannot be read any more"


def test_steps_and_drawings_are_told_as_meshes_are():
    layout = read_layout(DEMO / "layout.yaml")
    read = files_read(layout)
    kinds = {Path(one.name).suffix for one in read}
    assert {".dxf", ".step"} <= kinds
    assert len({one.name for one in read}) == len(read)
    for one in read:
        assert one.sha256 == hashlib.sha256((DEMO / one.name).read_bytes()).hexdigest(), one.name


def test_a_layout_of_boxes_names_none(tmp_path):
    (tmp_path / "layout.yaml").write_text(TWICE.replace("{mesh: {file: block.off, unit: mm}}", "{box: [1, 1, 1]}"))
    assert files_read(read_layout(tmp_path / "layout.yaml")) == ()
