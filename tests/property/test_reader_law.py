"""Whatever stands in a layout, the reader reads it or refuses it with places in the file; it never breaks."""

from __future__ import annotations

import re
from pathlib import Path

from hypothesis import example, given, settings
from hypothesis import strategies as st

from fitcheck.errors import LayoutErrors
from fitcheck.layoutfile.read import read_text

SOUND = """\
fitcheck: 1
units: {length: mm, mass: kg}
axes: {x: rearward, y: right, z: up}
general_tolerance: ISO 2768-m
defaults: {known_by: drawing}
shapes: {module_s: {box: [410 ± 0.5, 168, 126]}, ring: {tube: {outside: 20, inside: 9, length: 5, along: z}}}
parts:
  case: {role: enclosure, change: retained, shape: {tray: {inside: [900, 500, 160], wall: 2, floor: 2}},
         inside_low_corner: [0, 0, 0], mass: 11.5, known_by: tape}
  m1: {role: module, change: new, shape: module_s, mass: 12, grows: {y: 2 %}, turn: {z: 90},
       place: {front: 12 ± 1 clear of case inside front, centre: {y: case inside}, bottom: on case floor}}
  m2: {like: m1, place: {front: 4 clear of m1 rear}}
  wedge: {role: other, change: new, shape: {prism: {outline: [[0, 0], [9, 0], [9, 9]], height: 5, along: x}},
          low_corner: [600, 10, 0]}
  stack: {role: other, change: new, shape: {group: [{shape: ring, low_corner: [0, 0, 0]}]}, low_corner: [700, 9, 0]}
gaps: [{between: [every module, anything], at_least: 5}]
contacts: [[m1, wedge]]
electrical: {potentials: {plus: 294 V, minus: 0 V}, altitude: 1500 m}
screws: {bolt: {thread: M8, torque: 22 Nm, clamps: [2, wedge, washer ISO 7089], engagement: 2 d}}
measured: [{of: m1, size: z, reading: [126.1, 126.2], known_by: caliper}]
"""
WORDS = [(found.start(), found.end()) for found in re.finditer(r"[\w.%±]+", SOUND)]
PIECES = st.one_of(
    st.sampled_from(
        [
            "", "~", "''", "nan", ".inf", "1e999", "-3", "0", "12 kg", "12 nan", "5 %", "[1, 2]", "[]", "{}", "{a: 1}",
            "{value: 3, tolerance: 5}", "{box: [1, 1, 1]}", "every module", "anything", "m1", "&a 1", "*a", "<<",
            "!!str a", "[[1, 2], [3, 4]]", "on m2", "12 past stack", "inside", "\n", ": ", ", ", "\t", "#", '"', "'",
            "{", "}", "\x00", "\u2028", "5x", "2 d", "1,5",
        ]
    ),
    st.text(max_size=4),
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.integers(0, len(WORDS) - 1), PIECES), min_size=1, max_size=3))
@example([])
def test_a_spoilt_layout_is_read_or_refused(changes):
    text = SOUND
    for number, piece in sorted(changes, reverse=True, key=lambda change: change[0]):
        start, end = WORDS[number]
        text = text[:start] + piece + text[end:]
    lines = 2 + sum(text.count(end) for end in ("\n", "\r", "\x85", "\u2028", "\u2029"))
    try:
        layout = read_text(text, "bay.yaml", Path())
    except LayoutErrors as refusal:
        layout, problems = None, refusal.problems
    if layout is not None:
        assert layout.parts
        return
    assert changes
    assert problems
    for problem in problems:
        assert 1 <= problem.at.line <= lines
        assert problem.at.column >= 1
        assert problem.what
        assert problem.mend
