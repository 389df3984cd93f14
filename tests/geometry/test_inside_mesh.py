"""Points inside closed meshes and their depth."""

from __future__ import annotations

import numpy as np
import pytest
from mesh_writers import both, brick

from fitcheck.geometry.inside_mesh import depth_of_points, points_inside, sample_points, winding_numbers


def pierced():
    """A block with a hollow, beside a second block."""
    hollow = brick((20, 20, 20), (10, 10, 10))
    return both(brick((40, 40, 40)), (hollow[0], hollow[1][:, ::-1]), brick((10, 10, 10), (50, 0, 0)))


def test_random_points_against_the_plain_rule():
    points = np.random.default_rng(5).uniform(-5, 65, (20_000, 3))
    in_block = ((points > 0) & (points < 40)).all(axis=1)
    in_hollow = ((points > 10) & (points < 30)).all(axis=1)
    in_second = ((points > [50, 0, 0]) & (points < [60, 10, 10])).all(axis=1)
    assert (points_inside(*pierced(), points) == (in_block & ~in_hollow) | in_second).all()


def test_winding_does_not_matter():
    vertices, faces = brick((10, 10, 10))
    points = np.array([[5.0, 5, 5], [15, 5, 5], [9.999, 0.001, 5]])
    assert points_inside(vertices, faces[:, ::-1], points).tolist() == [True, False, True]


def test_sphere_of_many_triangles():
    count = 60
    along, round_ = np.linspace(0, np.pi, count), np.linspace(0, 2 * np.pi, 2 * count, endpoint=False)
    ring = np.array([[np.sin(a) * np.cos(b), np.sin(a) * np.sin(b), np.cos(a)] for a in along for b in round_]) * 50
    cell = np.arange(count - 1)[:, None] * 2 * count + np.arange(2 * count)
    beside = np.arange(count - 1)[:, None] * 2 * count + (np.arange(2 * count) + 1) % (2 * count)
    faces = np.vstack(
        [
            np.stack([cell, cell + 2 * count, beside], axis=-1).reshape(-1, 3),
            np.stack([beside, cell + 2 * count, beside + 2 * count], axis=-1).reshape(-1, 3),
        ]
    )
    points = np.random.default_rng(8).normal(size=(5000, 3))
    radius = np.random.default_rng(9).choice([49.8, 50.01], 5000)
    points *= (radius / np.linalg.norm(points, axis=1))[:, None]
    assert (points_inside(ring, faces, points) == (radius < 50)).all()
    assert depth_of_points(ring, faces, np.array([[0.0, 0, 30], [0, 0, -45], [0, 0, 70]])) == pytest.approx(20, abs=0.1)


def test_depth_is_the_distance_to_the_nearest_face():
    vertices, faces = brick((100, 60, 40))
    assert depth_of_points(vertices, faces, np.array([[50.0, 7.5, 20], [2, 30, 20]])) == pytest.approx(7.5, rel=1e-12)
    assert depth_of_points(vertices, faces, np.array([[-1.0, 30, 20], [50, 30, 41]])) == 0.0


def test_depth_near_an_edge_from_inside_a_notched_solid():
    vertices, faces = pierced()
    # Beyond the hollow's corner at (10, 10, 10) the nearest surface is that corner.
    assert depth_of_points(vertices, faces, np.array([[8.0, 8, 8]])) == pytest.approx(12.0**0.5, rel=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_the_deepest_of_many_points_is_found_whatever_is_left_out(seed):
    chance = np.random.default_rng(seed)
    flat = chance.uniform(-10, 110, (9000, 2))
    points = np.column_stack([flat, 3 * np.sin(flat[:, 0] / 9) + chance.normal(0, 0.5, 9000)])
    # A deep point that stands alone, beside one that is not.
    points = np.vstack([points, [[50.0, 30, 4.5 + seed / 4], [50.0, 30, 0.1]]])
    inside = ((points > 0) & (points < [100, 60, 40])).all(axis=1)
    depths = np.minimum(points, np.array([100, 60, 40]) - points).min(axis=1)
    assert depth_of_points(*brick((100, 60, 40)), points) == pytest.approx(depths[inside].max(), rel=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_the_deepest_of_many_points_is_the_deepest_of_each_alone(seed):
    vertices, faces = pierced()
    points = np.random.default_rng(seed).uniform(-5, 65, (400, 3))
    alone = max(depth_of_points(vertices, faces, point[None, :]) for point in points)
    assert depth_of_points(vertices, faces, points) == pytest.approx(alone, rel=1e-12)
    assert alone > 3.0


def test_samples_are_corners_in_use_and_middles():
    vertices = np.array([[0.0, 0, 0], [9, 9, 9], [3, 0, 0], [0, 3, 0]])
    assert sample_points(vertices, np.array([[0, 2, 3]])).tolist() == [[0, 0, 0], [3, 0, 0], [0, 3, 0], [1, 1, 0]]


def test_winding_number_of_a_cube_whole_open_and_turned_inside_out():
    vertices, faces = brick((2, 2, 2), (-1, -1, -1))
    points = np.array([[0.0, 0, 0], [0.9, -0.3, 0.2], [3, 0, 0]])
    assert winding_numbers(vertices, faces, points) == pytest.approx([1, 1, 0], abs=1e-12)
    assert winding_numbers(vertices, faces[:, ::-1], points) == pytest.approx([-1, -1, 0], abs=1e-12)
    one_side = np.flatnonzero((vertices[faces][:, :, 2] == 1).all(axis=1))
    open_box = np.delete(faces, one_side, axis=0)
    # By symmetry each side of a cube takes up a sixth of the view from its middle.
    assert winding_numbers(vertices, open_box, points[:1]) == pytest.approx([5 / 6], abs=1e-12)
