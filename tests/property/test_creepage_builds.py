"""The promise of a creepage band: no build within tolerance has a way over its surfaces that is shorter than `low`.

Every layout is built many times over as in `test_sampled_builds.py`, and the way of each exact build is worked out
afresh: the way that is found there is a real one, so it may never be below the bound of the toleranced layout.
"""

from __future__ import annotations

import pytest
from engine_layouts import SHELF, built, draws, layout, uncertain

from fitcheck.checks import creepage
from fitcheck.findings import Finding
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build
from fitcheck.study import Study

ELECTRICAL = """
electrical: {potentials: {plus: 400 V, minus: 0 V}, impulse: 2.5 kV, pollution_degree: 2, altitude: 2000 m, %s}
"""

RIB = """
parts:
  block:
    {role: insulator, change: new, material_group: IIIa, low_corner: [0, 0, -10],
     shape: {box: [40 ± 0.2, 30, 10 ± 0.1]}}
  rib:
    {role: insulator, change: new, material_group: IIIa, shape: {box: [1.5, 30, 4 ± 0.2]},
     place: {front: 1 clear of a rear, left: flush with block, bottom: on block}}
  a: {role: terminal, change: new, potential: plus, shape: {box: [5, 6, 4]}, low_corner: [10 ± 0.3, 12, 0]}
  b: {role: terminal, change: new, potential: minus, shape: {box: [5, 6, 4]}, low_corner: [18 ± 0.2, 12 ± 0.4, 0]}
"""

FLAT = """
parts:
  block:
    {role: insulator, change: new, material_group: IIIa, low_corner: [0, 0, -10], shape: {box: [40, 30, 10 ± 0.3]}}
  a: {role: terminal, change: new, potential: plus, shape: {box: [5 ± 0.1, 6, 4]}, low_corner: [10 ± 0.3, 12, 0]}
  b:
    {role: terminal, change: new, potential: minus, shape: {box: [6 ± 0.2, 4, 5]},
     low_corner: [18.5 ± 0.2, 12 ± 0.4, 0]}
"""

CORNER = """
parts:
  block:
    {role: insulator, change: new, material_group: IIIa, low_corner: [0, 0, -10], shape: {box: [20, 30, 10 ± 0.3]}}
  a: {role: terminal, change: new, potential: plus, shape: {box: [5, 6, 4]}, low_corner: [13 ± 0.3, 12, 0]}
  b:
    {role: terminal, change: new, potential: minus, shape: {box: [5, 6, 4]},
     place: {front: against block rear, left: 10 ± 0.4 clear of case inside left,
             bottom: 9.5 ± 0.2 clear of case floor}}
  case:
    {role: enclosure, change: retained, shape: {tray: {inside: [60, 60, 30], wall: 2, floor: 2}},
     inside_low_corner: [-20, -10, -17]}
"""


def found_in(written: Layout) -> Finding:
    (one,) = (f for f in creepage.check(Study(written, SHELF), Build.PROPOSED) if sorted(f.parts) == ["a", "b"])
    return one


@pytest.mark.parametrize(
    ("text", "more", "count"),
    [
        (RIB, "insulation: basic", 1),
        (RIB, "cemented: [[block, rib]]", 2),
        (FLAT, "insulation: basic", 5),
        (CORNER, "insulation: basic", 8),
    ],
)
def test_no_build_within_tolerance_has_a_shorter_way_than_the_bound(text: str, more: str, count: int) -> None:
    written = layout(text + ELECTRICAL % more)
    band = found_in(written).band
    assert band is not None
    assert band.low > 0.0
    for values in draws(uncertain(written), count, seed=3):
        build = found_in(built(written, values)).band
        assert build is not None
        assert build.value >= band.low - 1e-6, values
