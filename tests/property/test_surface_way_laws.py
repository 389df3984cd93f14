"""Laws of ways over surfaces in space: two engines on one section, proven bounds, and what moving and swapping leaves.

The sections are drawn at random and stretched far beyond the conductors, so that the exact engine for flat sections
knows the answer. The quadratic programs under the proof are compared with a general optimiser.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation

from fitcheck.geometry.polygon import triangles_of
from fitcheck.geometry.section_paths import Insulator, Metal, Section, paths
from fitcheck.geometry.solid_facets import box_facets, prism_facets
from fitcheck.geometry.surface_paths.cells import cells_of
from fitcheck.geometry.surface_paths.search import Found, ground_of, search
from fitcheck.geometry.surface_paths.slope import least_slopes

HALF = 20.0
Line = list[tuple[float, float]]


def skyline(seed: int) -> tuple[Line, float, float]:
    """A top with ribs and grooves, leaning walls among them; where it ends, and X."""
    rng = np.random.default_rng(seed)
    x = float(rng.uniform(0.5, 2.0))
    points: Line = [(0.0, 0.0), (x, 0.0)]
    for _ in range(int(rng.integers(1, 4))):
        height = float(rng.choice([-1.0, 1.0]) * rng.uniform(0.4, 3.0))
        width = float(rng.uniform(0.3, 2.5))
        leans = rng.uniform(-0.15, 0.6, 2) * min(width, 1.0) / 2.0 if rng.random() < 0.6 else np.zeros(2)
        if height < 0.0 and rng.random() < 0.3:
            leans = np.full(2, width / 2.0 * 0.98)
        left, right = (max(float(lean), 0.0) for lean in leans)
        points += [(x + left, height), (x + width - right, height)]
        x += width
        points.append((x, 0.0))
        x += float(rng.uniform(0.3, 2.0))
        points.append((x, 0.0))
    return points, points[-1][0], float(rng.choice([0.25, 1.0, 1.5]))


def block(points: Line, length: float) -> Line:
    return [(-3.0, 0.0), *points, (length + 3.0, 0.0), (length + 3.0, -10.0), (-3.0, -10.0)]


def drawn_out(outline: Line, turn, shift) -> tuple[np.ndarray, np.ndarray]:
    points, triangles = triangles_of(outline, [])
    drawn = prism_facets(points, triangles, 2.0 * HALF, 2)
    return (drawn.vertices - np.array([0.0, 0.0, HALF])) @ turn.T + shift, drawn.faces


def strips(line: Line, turn, shift) -> list[np.ndarray]:
    half, found = HALF / 4.0, []
    for (a, b), (c, d) in itertools.pairwise(line):
        corners = np.array([[a, b, -half], [c, d, -half], [c, d, half], [a, b, half]]) @ turn.T + shift
        found.append(np.array([corners[[0, 1, 2]], corners[[0, 2, 3]]]))
    return found


def over(outline: Line, one: Line, other: Line, x: float, turn=None, shift=0.0, **asked) -> Found:
    turn = np.eye(3) if turn is None else turn
    cells, _ = cells_of([drawn_out(outline, turn, shift)], x)
    return search(ground_of(cells, (strips(one, turn, shift), strips(other, turn, shift)), x), **asked)


def exact(outline: Line, one: Line, other: Line, x: float) -> float:
    section = Section(insulators=[Insulator(outline=outline)], a=[Metal(points=one)], b=[Metal(points=other)])
    found = paths(section, x, relief=False).creepage
    assert found is not None
    return found.length


@pytest.mark.parametrize("seed", range(8))
def test_a_section_drawn_out_is_never_longer_below_nor_shorter_above_than_the_exact_section(seed: int) -> None:
    points, length, x = skyline(seed)
    outline, one, other = block(points, length), [(-2.0, 0.0), (0.0, 0.0)], [(length, 0.0), (length + 2.0, 0.0)]
    turn = Rotation.random(random_state=seed).as_matrix()
    found = over(outline, one, other, x, turn, np.array([3.0, -7.0, 11.0]), accuracy=0.02)
    way = exact(outline, one, other, x)
    assert found.low <= way + 1e-6
    assert found.high >= way - 1e-6
    assert found.high - found.low <= 0.02 * way + 1e-6
