"""Stacks written as text, for the tests of heights and screws."""

from __future__ import annotations

from engine_layouts import study

from fitcheck.run import geometric, stated_heights
from fitcheck.solved_heights import Answered, answer
from fitcheck.stack.solve import Solved, solve
from fitcheck.study import Study

FRAME = """
    parts:
      case:
        {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
         shape: {tray: {inside: [100, 100, 50 ± 0.5], wall: 2, floor: 2}}}
      frame:
        {role: frame, change: new, shape: {box: [104, 104, 6]},
         place: {front: flush with case, left: flush with case, bottom: on case rim}}
      lid:
        {role: lid, change: retained, shape: {box: [104, 104, 2]},
         place: {front: flush with case, left: flush with case, bottom: on frame}}
      m1:
        {role: module, change: new, shape: {box: [60, 60, 48 ± 0.5]}, GROWS
         place: {centre: {x: case inside, y: case inside}, bottom: on case floor}}
    heights:
      find:
        frame: FIND
      so_that: SO_THAT
      PREFER
"""
"""A module in a case under a lid on a frame. The clear height is 50 + frame - 48, worst case 1.0 less and what the
frame's own tolerance takes."""


def frame(find: str, so_that: str, *, prefer: str = "prefer: least height", grows: str = "", more: str = "") -> Study:
    text = FRAME.replace("FIND", find).replace("SO_THAT", so_that).replace("PREFER", prefer).replace("GROWS", grows)
    return study(text + more)


def solved(find: str, so_that: str, **more: str) -> Solved:
    return solve(frame(find, so_that, **more))


def answered(placed: Study) -> Answered:
    return answer(placed, geometric, stated_heights)
