"""Laws of ways through air in space: drawn-out sections keep their exact length, moving and swapping changes nothing,
and no build within tolerance has a shorter way than the bound says.
"""

from __future__ import annotations

import numpy as np
import pytest
from engine_layouts import built, draws, layout, study, uncertain
from scipy.spatial.transform import Rotation
from test_section_path_laws import jagged

from fitcheck.checks.air_way import air_ways
from fitcheck.geometry.air_paths.search import Found, shortest
from fitcheck.geometry.polygon import triangles_of
from fitcheck.geometry.section_paths import Section, paths
from fitcheck.geometry.solid_facets import prism_facets
from fitcheck.model.part import Build, State

ACCURACY = 0.005
EXACT_MM = 1e-6


def prism(outline, half, turn):
    points, triangles = triangles_of(outline, [])
    drawn = prism_facets(points, triangles, 2.0 * half, 2)
    return (drawn.vertices - np.array([0.0, 0.0, half])) @ turn.T, drawn.faces


def strip(line, half, turn):
    """A straight conductor without thickness."""
    (a, b), (c, d) = line
    corners = np.array([[a, b, -half], [c, d, -half], [c, d, half], [a, b, half]]) @ turn.T
    return np.array([corners[[0, 1, 2]], corners[[0, 2, 3]]])


def drawn_out(section: Section, turn, shift=0.0, *, swapped: bool = False) -> Found:
    solids = [prism(list(body.outline), 20.0, turn) for body in section.insulators]
    solids = [(vertices + shift, faces) for vertices, faces in solids]
    ends = [strip(side[0].points, 5.0, turn) + shift for side in (section.a, section.b)]
    return shortest(solids, (ends[1], ends[0]) if swapped else (ends[0], ends[1]), accuracy=ACCURACY)


@pytest.mark.parametrize("seed", range(8))
def test_a_section_drawn_out_keeps_its_clearance(seed: int) -> None:
    rng = np.random.default_rng(seed)
    section = jagged(rng, int(rng.integers(1, 7)))
    exact = paths(section, 1.0, relief=False).clearance
    assert exact is not None
    found = drawn_out(section, Rotation.random(random_state=seed).as_matrix())
    assert found.low <= exact.length + EXACT_MM
    assert exact.length - EXACT_MM <= found.high <= exact.length * (1.0 + ACCURACY) + EXACT_MM
    assert found.low >= (1.0 - ACCURACY) * found.high - EXACT_MM


@pytest.mark.parametrize("seed", [20, 21])
def test_moving_turning_and_swapping_change_nothing(seed: int) -> None:
    section = jagged(np.random.default_rng(seed), 3)
    first = drawn_out(section, np.eye(3))
    turn = Rotation.random(random_state=seed).as_matrix()
    for found in (drawn_out(section, turn, np.array([300.0, -40.0, 7.0])), drawn_out(section, turn, swapped=True)):
        assert found.high == pytest.approx(first.high, rel=ACCURACY)
        assert found.low == pytest.approx(first.low, abs=ACCURACY * first.high)


BARRIER = """
parts:
  a: {role: other, change: new, potential: plus, shape: {box: [10, 10, 10]}, low_corner: [0 ± 0.05, 0, 0]}
  b: {role: other, change: new, potential: minus, shape: {box: [10, 10, 10]}, low_corner: [13, 0, 0 ± 0.1]}
  wall:
    {role: insulator, change: new, material_group: II, shape: {box: [1 ± 0.05, 60, 44 ± 0.1]},
     low_corner: [11 ± 0.05, -20, -30]}
electrical: {potentials: {plus: 400 V, minus: 0 V}, impulse: 6 kV, pollution_degree: 2}
"""


def test_no_build_has_a_shorter_way_than_the_bound() -> None:
    """5.5 mm are asked for: 3 straight, over the wall 4 up and as much down."""
    written = layout(BARRIER)
    asked = 20.0
    placed = study(written)
    electrical = written.sections.electrical
    assert electrical is not None
    bound = air_ways(placed, Build.PROPOSED, State.BEGINNING, electrical)
    least = bound.way(written.by_name["a"], written.by_name["b"], asked).least
    assert least > 3.0
    shorter = []
    for values in draws(uncertain(written), 12, 5):
        one_build = built(written, values)
        exact = air_ways(study(one_build), Build.PROPOSED, State.BEGINNING, electrical)
        way = exact.way(one_build.by_name["a"], one_build.by_name["b"], asked)
        crept = exact.crept(one_build.by_name["a"], one_build.by_name["b"], way)
        assert crept is not None
        shorter.append(crept.value)
    assert min(shorter) >= least - EXACT_MM
