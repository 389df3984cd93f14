"""A layout with one of everything that a workshop makes, and what a study needs of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from fitcheck.drawn import scene_of
from fitcheck.layoutfile.read import read_text
from fitcheck.makeable.worklist import Worklist, worklist
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build
from fitcheck.report.scene import Scenes
from fitcheck.result import Result, verdict
from fitcheck.result_study import StudyResult
from fitcheck.study import Study

HOSTILE = "<script>alert(1)</script>"

MADE = f"""\
fitcheck: 1
title: "Bench <b>one</b> & all"
units: {{length: mm, mass: kg}}
axes: {{x: rearward, y: right, z: up}}
datum: inside corner of the case floor
general_tolerance: ISO 2768-m
defaults: {{known_by: drawing}}
parts:
  case:
    role: enclosure
    change: retained
    shape: {{tray: {{inside: [900, 600, 200], wall: 2, floor: 3}}}}
    inside_low_corner: [0, 0, 0]
  m1:
    role: module
    change: new
    mass: 10
    shape: {{box: [400 ± 0.5, 200 ± 0.3, 120 ± 0.4]}}
    place: {{front: 20 clear of case inside front, left: 20 clear of case inside left, bottom: on case floor}}
  pad_1:
    role: spacer
    change: new
    material: PA66-GF30
    shape: {{box: [60, 40, 8 ± 0.1]}}
    low_corner: [500, 20, 0]
  pad_2: {{like: pad_1, low_corner: [600, 20, 0]}}
  bought_pad: {{like: pad_1, role: other, low_corner: [700, 20, 0]}}
  old_pad: {{like: pad_1, change: removed, low_corner: [700, 20, 0]}}
  "{HOSTILE}":
    role: bracket
    change: new
    material: steel
    turn: {{z: 90}}
    shape:
      prism:
        outline: [[0, 0], [120, 0], [120, 20], [40, 20], [40, 80], [0, 80]]
        holes: [[[10, 10], [18, 10], [18, 16], [10, 16]], [[100, 8], [104, 8], [104, 12], [100, 12]]]
        height: 6
        along: z
    low_corner: [500, 100, 0]
  angle:
    role: bracket
    change: new
    material: aluminium 5052
    shape: {{prism: {{outline: [[0, 0], [30, 0], [30, 4], [4, 4], [4, 40], [0, 40]], height: 220, along: x}}}}
    low_corner: [500, 300, 0]
  washer:
    role: spacer
    change: new
    material: POM
    shape: {{tube: {{outside: 40, inside: 8.4, length: 5, along: z}}}}
    low_corner: [800, 400, 0]
  cap:
    role: cover
    change: new
    material: PC
    shape: {{tray: {{inside: [100, 80, 30], wall: 2, floor: 2, lip: {{width: 6, thickness: 2}}}}}}
    inside_low_corner: [700, 500, 2]
  foot:
    role: bracket
    change: new
    material: steel
    shape:
      group:
        - {{shape: {{box: [60, 40, 5]}}, low_corner: [0, 0, 0]}}
        - {{shape: {{box: [5, 40, 30]}}, low_corner: [27, 0, 5]}}
    low_corner: [600, 400, 0]
screws:
  s1:
    thread: M6
    head: ISO 4762
    direction: down
    clamps: ["{HOSTILE}", pad_2]
    into: {{material: aluminium, usable_depth: 20}}
    engagement: 2 d
    at: [[510, 120, 6], [630, 40, 8]]
  s2:
    thread: M5
    head: ISO 4762
    direction: down
    clamps: [3.0]
    into: {{material: aluminium, usable_depth: 20}}
    engagement: 2 d
    at: [[100, 400, 3], [260, 400, 3], [100, 460, 3]]
"""


def layout_of(text: str = MADE) -> Layout:
    return read_text(text, "bench.yaml", Path())


def scenes_of(layout: Layout) -> Scenes:
    def no_mesh(mesh):
        raise AssertionError(f"{mesh.written} is read")

    study = Study(layout, no_mesh)
    return Scenes(
        original=scene_of(study, Build.ORIGINAL, ()),
        proposed=scene_of(study, Build.PROPOSED, ()),
    )


def result_of(layout: Layout, findings=(), heights=None) -> StudyResult:
    """A study that found just these findings and heights."""
    whole = Result(
        verb="check", file=layout.file, title=layout.title, sha256=layout.sha256, judge_by=layout.judge_by,
        verdict=verdict(findings), findings=tuple(findings), not_covered=(), taken_as_exact=(), guesses=(),
    )  # fmt: skip
    solved = None if heights is None else replace(whole, verb="heights", heights=heights)
    return StudyResult(check=whole, balance=replace(whole, verb="balance", findings=()), heights=solved)


def work_of(text: str = MADE, findings=(), heights=None) -> Worklist:
    layout = layout_of(text)
    return worklist(layout, scenes_of(layout), result_of(layout, findings, heights))


def piece_of(work: Worklist, name: str):
    return next(piece for piece in work.pieces if piece.name == name)
