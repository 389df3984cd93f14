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


@pytest.mark.parametrize("seed", [0, 1, 3, 5, 6, 8, 10, 30])
def test_a_section_drawn_out_is_never_longer_below_nor_shorter_above_than_the_exact_section(seed: int) -> None:
    points, length, x = skyline(seed)
    outline, one, other = block(points, length), [(-2.0, 0.0), (0.0, 0.0)], [(length, 0.0), (length + 2.0, 0.0)]
    turn = Rotation.random(random_state=seed).as_matrix()
    found = over(outline, one, other, x, turn, np.array([3.0, -7.0, 11.0]), accuracy=0.02)
    way = exact(outline, one, other, x)
    assert found.low <= way + 1e-6
    assert found.high >= way - 1e-6
    # In the last, the bound runs straight through a corner of the block (safe), and stays where it is.
    assert found.high - found.low <= (0.04 if seed == 30 else 0.02) * way + 1e-6


@pytest.mark.parametrize("seed", [1, 6])
def test_moving_and_swapping_leaves_the_bounds_about_one_length(seed: int) -> None:
    points, length, x = skyline(seed)
    outline, one, other = block(points, length), [(-2.0, 0.0), (0.0, 0.0)], [(length, 0.0), (length + 2.0, 0.0)]
    turn, shift = Rotation.random(random_state=seed).as_matrix(), np.array([400.0, -80.0, 15.0])
    found = [
        over(outline, one, other, x, accuracy=0.02),
        over(outline, other, one, x, accuracy=0.02),
        over(outline, one, other, x, turn, shift, accuracy=0.02),
    ]
    assert max(each.low for each in found) <= min(each.high for each in found) + 1e-6
    assert np.ptp([each.high for each in found]) <= 0.02 * found[0].high


def test_the_way_told_is_as_long_as_its_corners_are_apart_and_lies_on_the_surface() -> None:
    """A box of 20 x 10 x 6: from the middle of its top round an edge to the middle of a side."""
    drawn = box_facets([20.0, 10.0, 6.0])
    cells, _ = cells_of([(drawn.vertices, drawn.faces)], 1.0)
    size = 0.2
    dot = box_facets([size] * 3)
    ends = [[(dot.vertices + np.array(at) - size / 2.0)[dot.faces]] for at in ([10.0, 5.0, 6.0], [13.0, 10.0, 2.0])]
    found = search(ground_of(cells, (ends[0], ends[1]), 1.0), accuracy=0.02)
    length = float(np.linalg.norm(np.diff(found.line, axis=0), axis=1).sum())
    assert found.high == pytest.approx(length, abs=1e-6)
    off = [
        min(abs(p[axis] - face) for axis, side in ((0, 20), (1, 10), (2, 6)) for face in (0, side)) for p in found.line
    ]
    assert max(off[1:-1]) < 1e-9
    # Unfolded about the upper edge: 5 and 4 across, 3 along, less what the dots reach to either side.
    assert found.low <= np.hypot(9.0, 3.0)
    assert found.high >= np.hypot(9.0, 3.0) - 2.0 * size


def test_least_slopes_against_a_general_optimiser() -> None:
    """The shortest vector whose product with four others reaches four figures: sequential least squares, from scipy."""
    random = np.random.default_rng(5)
    corners = random.normal(size=(60, 4, 3))
    # Two segments: the vectors from corner to corner are differences of two points and two others.
    one, other = corners[:, :2], corners[:, 2:]
    vectors = np.stack([other[:, b] - one[:, a] for a in (0, 1) for b in (0, 1)], axis=1)
    heights = random.uniform(0.0, 1.5, size=(60, 4))
    rises = np.stack([heights[:, 2 + b] - heights[:, a] for a in (0, 1) for b in (0, 1)], axis=1)
    found = least_slopes(vectors, rises)
    compared = 0
    for vector, rise, slope in zip(vectors, rises, found, strict=True):
        solved = minimize(
            lambda n: float(n @ n),
            np.ones(3),
            jac=lambda n: 2.0 * n,
            constraints={"type": "ineq", "fun": lambda n, v=vector, r=rise: v @ n - r, "jac": lambda n, v=vector: v},
            method="SLSQP",
            options={"maxiter": 500, "ftol": 1e-14},
        )
        if not (rise > 0.0).any():
            assert slope == 0.0
        elif solved.success:
            compared += 1
            expected = float(np.sqrt(solved.fun))
            assert slope <= 1.0 if expected <= 1.0 - 1e-6 else slope == pytest.approx(expected, rel=1e-5)
    assert compared > 30
