"""What is left out of a large mesh is farther away than the answer: blocks against every triangle, one by one."""

from __future__ import annotations

import numpy as np
import pytest

from fitcheck.geometry.facet_distance import nearest
from fitcheck.geometry.facets import FacetTree
from fitcheck.geometry.inside_mesh import points_inside, winding_numbers
from fitcheck.geometry.mesh_blocks import BLOCK, FEW, Blocks, boxes_of, merged

STILL = (np.eye(3), np.zeros(3))


def rough_ball(rings, seed, radius=100.0):
    """A closed lumpy ball of about 2 rings^2 triangles."""
    rng = np.random.default_rng(seed)
    around, up = np.arange(rings) * 2 * np.pi / rings, np.linspace(0, np.pi, rings // 2 + 1)[1:-1]
    lumps = rng.uniform(2, 6, 4)
    turn, height = np.meshgrid(around, up)
    reach = radius + 8 * np.sin(lumps[0].round() * turn) * np.sin(lumps[1] * height) + rng.normal(0, 0.3, turn.shape)
    unit = np.stack([np.sin(height) * np.cos(turn), np.sin(height) * np.sin(turn), np.cos(height)], axis=-1)
    vertices = [*(unit * reach[..., None]).reshape(-1, 3), (0, 0, radius), (0, 0, -radius)]
    rows, faces = len(up), []
    for row in range(rows - 1):
        for k in range(rings):
            a, b = row * rings + k, row * rings + (k + 1) % rings
            faces += [(a, a + rings, b + rings), (a, b + rings, b)]
    top, bottom = rows * rings, rows * rings + 1
    faces += [(top, k, (k + 1) % rings) for k in range(rings)]
    last = (rows - 1) * rings
    faces += [(bottom, last + (k + 1) % rings, last + k) for k in range(rings)]
    return np.array(vertices), np.array(faces)


def pose(seed):
    rng = np.random.default_rng(seed)
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    return turn * np.sign(np.linalg.det(turn)), rng.uniform(-150, 150, 3)


@pytest.mark.parametrize("seed", range(6))
def test_near_keeps_every_triangle_that_comes_within_reach(seed):
    one, other = rough_ball(60, seed), rough_ball(24, seed + 50, radius=30.0)
    blocks, tree, at, there = Blocks(*one), FacetTree(*other), pose(seed), pose(seed + 9)
    reach = 40.0
    rows = blocks.near(at, boxes_of(tree, there), reach)
    left_out = np.setdiff1d(np.arange(len(one[1])), rows)
    assert len(left_out) > len(one[1]) / 4
    found = nearest(FacetTree(one[0], one[1][left_out]), at, tree, there)
    assert found.distance > reach


@pytest.mark.parametrize("seed", range(4))
def test_blocks_hold_their_triangles_and_each_triangle_is_in_one(seed):
    vertices, faces = rough_ball(40, seed)
    blocks = Blocks(vertices, faces)
    assert sorted(blocks.order.tolist()) == list(range(len(faces)))
    for number, (low, high) in enumerate(zip(blocks.low, blocks.high, strict=True)):
        corners = vertices[faces[blocks.order[number * BLOCK : (number + 1) * BLOCK]]]
        assert (corners >= low).all()
        assert (corners <= high).all()
    few = merged((np.repeat(blocks.low, 40, axis=0), np.repeat(blocks.high, 40, axis=0)))
    assert len(few[0]) <= FEW
    assert few[0].min(axis=0) == pytest.approx(vertices.min(axis=0))
    assert few[1].max(axis=0) == pytest.approx(vertices.max(axis=0))


@pytest.mark.parametrize("seed", range(4))
def test_inside_and_going_round_as_on_the_whole_mesh(seed):
    vertices, faces = rough_ball(50, seed)
    at = pose(seed)
    placed = vertices @ at[0].T + at[1]
    points = np.random.default_rng(seed).uniform(placed.min(axis=0), placed.max(axis=0), (200, 3))
    blocks = Blocks(vertices, faces)
    inside = points_inside(placed, faces, points)
    assert 20 < inside.sum() < 180
    assert (blocks.inside(at, points) == inside).all()
    some = points[:8]
    assert blocks.turns(at, some, inside[:8]) == pytest.approx(winding_numbers(placed, faces, some), abs=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_far_blocks_as_one_triangle_leave_each_value_on_its_side(seed):
    """An open surface: values of all sizes, against figures right beside the true value and farther off."""
    vertices, faces = rough_ball(90, seed)
    faces = faces[len(faces) // 3 :]
    blocks = Blocks(vertices, faces)
    points = np.random.default_rng(seed).uniform(-130, 130, (30, 3))
    true = winding_numbers(vertices, faces, points)
    loose = blocks.turns(STILL, points, ())
    assert 1e-7 < np.abs(loose - true).max() < 0.05
    for away in (1e-5, 1e-3, 0.1):
        for point, value in zip(points, true, strict=True):
            (found,) = blocks.turns(STILL, point[None, :], (value + away, value - away))
            assert value - away < found < value + away


def test_each_body_has_a_corner_of_its_own():
    one, two = rough_ball(20, 1), rough_ball(20, 2)
    vertices = np.vstack([one[0], two[0] + 500.0])
    corners = Blocks(vertices, np.vstack([two[1] + len(one[0]), one[1]])).body_corners
    assert sorted(int(corner >= len(one[0])) for corner in corners) == [0, 1]


def test_nearest_gives_whole_blocks_next_to_the_other_part():
    vertices, faces = rough_ball(60, 3)
    blocks = Blocks(vertices, faces)
    above = (np.array([[-1.0, -1.0, 150.0]]), np.array([[1.0, 1.0, 151.0]]))
    rows = blocks.nearest(STILL, above, 2)
    assert len(rows) <= 2 * BLOCK
    assert vertices[faces[rows]][..., 2].max() > vertices[:, 2].max() - 12.0
