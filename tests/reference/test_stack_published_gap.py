"""A published stack of three parts in a housing, solved backwards, and a frame under a lid.

Source: a public engineering article on tolerance stack-up (inches): housing 4.020 ± 0.005, parts 2.000 ± 0.005,
1.500 ± 0.003 and 0.500 ± 0.002; gap 0.020, worst case 0.005 to 0.035, root-sum-square 0.01206 to 0.02794. Method:
F. Scholz, Tolerance Stack Analysis Methods, 1995. Read on one public page, recomputed.
"""

from __future__ import annotations

import pytest
from engine_layouts import study

from fitcheck.model.part import State
from fitcheck.stack.demands import distance_of, upright
from fitcheck.stack.solve import found_rows, solve

INCH = 25.4

HOUSING = """
    units: {length: in}
    parts:
      housing:
        {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
         shape: {tray: {inside: [4, 4, 4.020 ± 0.005], wall: 0.1, floor: 0.1}}}
      one:
        {role: spacer, change: new, shape: {box: [1, 1, 2.000 ± 0.005]},
         place: {centre: {x: housing inside, y: housing inside}, bottom: on housing floor}}
      two: {like: one, shape: {box: [1, 1, 1.500 ± 0.003]}, place: {bottom: on one}}
      three: {like: one, shape: {box: [1, 1, 0.500 ± 0.002]}, place: {bottom: on two}}
      cover:
        {role: lid, change: retained, shape: {box: [4.2, 4.2, 0.1]},
         place: {front: flush with housing, left: flush with housing, bottom: on housing rim}}
    heights:
      find: {three: {stock: any, step: 0.0001, tolerance: 0.002}}
      so_that: [{clear_height: [three, cover], at_least: LEAST}, {clear_height: [three, cover], at_most: MOST}]
      judge_by: BASIS
"""


def housing(least, most, basis):
    return study(HOUSING.replace("LEAST", least).replace("MOST", most).replace("BASIS", basis))


def test_the_gap_is_the_published_one():
    placed = housing("0 in", "1 in", "worst case")
    demand = placed.layout.sections.heights.so_that[0]
    band = upright(placed, State.BEGINNING, distance_of(placed.layout, demand)).band
    assert [x / INCH for x in (band.value, band.low, band.high, band.rss_low, band.rss_high)] == pytest.approx(
        [0.020, 0.005, 0.035, 0.01206275, 0.02793725], abs=1e-8
    )


@pytest.mark.parametrize(
    ("least", "most", "basis"),
    [("0.005 in", "0.035 in", "worst case"), ("0.01206 in", "0.02794 in", "rss")],
)
def test_the_last_part_is_found_again_from_the_published_limits(least, most, basis):
    """Between exactly those limits only the published half inch fits."""
    (row,) = found_rows(solve(housing(least, most, basis)))
    assert row.height_mm == pytest.approx(0.500 * INCH, abs=1e-6)


FRAME = """
    parts:
      case:
        {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
         shape: {tray: {inside: [500, 400, 262.0 ± 1.5], wall: 2, floor: 2}}}
      frame:
        {role: frame, change: new, shape: {box: [504, 404, 30]},
         place: {front: flush with case, left: flush with case, bottom: on case rim}}
      lid:
        {role: lid, change: retained, shape: {box: [504, 404, 2]},
         place: {front: flush with case, left: flush with case, bottom: on frame}}
      sheet:
        {role: insulator, change: new, shape: {box: [300, 300, 1.0 ± 0.1]},
         place: {centre: {x: case inside, y: case inside}, top: against lid bottom}}
      mat:
        {role: spacer, change: new, shape: {box: [300, 300, 3.0 ± 0.3]},
         place: {centre: {x: case inside, y: case inside}, bottom: on case floor}}
      m1: {like: mat, role: module, shape: {box: [300, 300, 271.0 ± 0.8]}, place: {bottom: on mat}}
      bolts: {like: mat, role: terminal, shape: {box: [300, 30, 9.0 ± 0.5]}, place: {bottom: on m1}}
    heights:
      find: {frame: {stock: [3, 5, 8, 10], at_most_pieces: 4, tolerance: 0.2}}
      so_that: [{clear_height: [bolts, sheet], at_least: 8}]
"""


def test_a_frame_under_the_lid():
    """Own figures, added up by hand: 3 + 271 + 9 + 1 + 8 - 262 = 30; the tolerances add up to 3.4, the root of the sum
    of their squares is 1.8111. From 3, 5, 8 and 10 in at most four pieces, 34 is the next that can be stacked."""
    (row,) = found_rows(solve(study(FRAME)))
    assert dict(row.least_by) == {
        "nominal": pytest.approx(30.0, abs=1e-6),
        "worst case": pytest.approx(33.4, abs=1e-6),
        "rss": pytest.approx(30.0 + 3.28**0.5, abs=1e-6),
    }
    assert row.pieces == (10.0, 8.0, 8.0, 8.0)
