"""Shared volume and depth of two closed meshes."""

from __future__ import annotations

import numpy as np
import pytest
from mesh_writers import both, brick

from fitcheck.geometry.intersect import body_as_wound, body_of, box_body, hull, overlap_of, union_volume


def overlap_solid(a, b):
    """What two meshes share; None when either is not closed."""
    low, high = np.maximum(a[0].min(axis=0), b[0].min(axis=0)), np.minimum(a[0].max(axis=0), b[0].max(axis=0))
    first, second = body_of(a, (low + high) / 2), body_of(b, (low + high) / 2)
    return None if first is None or second is None else overlap_of(first, second)


def turned(mesh, seed):
    """The mesh under a random rotation and a shift of up to a metre."""
    chance = np.random.default_rng(seed)
    rotation, _ = np.linalg.qr(chance.normal(size=(3, 3)))
    rotation *= np.sign(np.linalg.det(rotation))
    return mesh[0] @ rotation.T + chance.uniform(-1000, 1000, 3), mesh[1]


def bar(radius, length, sides):
    angle = np.arange(sides) * 2 * np.pi / sides
    ring = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    vertices = np.vstack([np.column_stack([ring, np.full(sides, z)]) for z in (0.0, length)])
    return hull(vertices)


@pytest.mark.parametrize("seed", range(20))
def test_boxes_overlap_by_the_thickness_of_the_shared_slab(seed):
    a, b = brick((100, 60, 30)), brick((50, 80, 90), (99.75, 10, 5))
    found = overlap_solid(turned(a, seed), turned(b, seed))
    assert found.depth_mm == pytest.approx(0.25, abs=1e-9)
    assert found.volume_mm3 == pytest.approx(0.25 * 50 * 25, rel=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_exactly_touching_faces_are_no_overlap_in_any_pose(seed):
    a = brick((100, 60, 30))
    b = brick((50, 60, 30), (100, 0, 0)) if seed % 2 else brick((50, 80, 90), (20, 10, 30))
    assert overlap_solid(turned(a, seed), turned(b, seed)).depth_mm < 1e-6


def test_apart_share_nothing():
    assert overlap_solid(brick((1, 1, 1)), brick((1, 1, 1), (5, 0, 0))).volume_mm3 == 0.0


def test_wholly_inside_counts_with_its_own_least_width():
    found = overlap_solid(brick((100, 100, 100)), brick((20, 2, 30), (40, 40, 40)))
    assert (found.volume_mm3, found.depth_mm) == pytest.approx((1200.0, 2.0))


def test_depth_is_of_the_deepest_piece():
    comb = both(brick((10, 10, 10)), brick((10, 10, 10), (30, 0, 0)))
    across = brick((60, 30, 8), (-10, 8, 1))
    wedge = both(brick((10, 10, 10)), brick((10, 14, 10), (30, 0, 0)))
    assert overlap_solid(comb, across).depth_mm == pytest.approx(2.0)
    assert overlap_solid(wedge, across).depth_mm == pytest.approx(6.0)


def test_least_width_between_two_edges():
    # Regular tetrahedron in a cube of side 2: its width is the distance of opposite edges, less than its height.
    corners = np.array([[1.0, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]])
    tetrahedron = hull(corners)
    found = overlap_solid(tetrahedron, brick((10, 10, 10), (-5, -5, -5)))
    assert found.volume_mm3 == pytest.approx(8 / 3, rel=1e-12)
    assert found.depth_mm == pytest.approx(2.0, rel=1e-12)


def test_fine_hulls_overstate_and_never_understate():
    round_bar = bar(20.0, 100.0, 400)
    found = overlap_solid(round_bar, brick((200, 200, 200), (-100, -100, -50)))
    # The flats of a 400-gon are 2 r cos(pi / 400) apart.
    assert found.depth_mm == pytest.approx(40.0 * np.cos(np.pi / 400), rel=1e-9)


def test_volume_of_crossed_bars_is_symmetric_in_the_pair():
    a = turned(brick((100, 10, 12)), 0)
    b = turned(brick((10, 100, 15), (45, -45, -1)), 0)
    one, two = overlap_solid(a, b), overlap_solid(b, a)
    assert one.volume_mm3 == pytest.approx(10 * 10 * 12, rel=1e-9)
    assert two.volume_mm3 == pytest.approx(one.volume_mm3, rel=1e-12)
    assert two.depth_mm == pytest.approx(one.depth_mm, rel=1e-9)


def test_inside_out_mesh_is_turned():
    a, b = brick((10, 10, 10)), brick((10, 10, 10), (8, 0, 0))
    assert overlap_solid((a[0], a[1][:, ::-1]), b).depth_mm == pytest.approx(2.0)


def test_read_only_arrays_are_accepted():
    a, b = brick((10, 10, 10)), brick((10, 10, 10), (8, 0, 0))
    for array in (*a, *b):
        array.setflags(write=False)
    assert overlap_solid(a, b).depth_mm == pytest.approx(2.0)


def test_open_mesh_has_no_answer():
    a, b = brick((10, 10, 10)), brick((10, 10, 10), (8, 0, 0))
    assert overlap_solid((a[0], a[1][1:]), b) is None
    assert overlap_solid(b, (a[0], a[1][1:])) is None


def test_triangle_that_names_a_corner_twice_does_no_harm():
    a, b = brick((10, 10, 10)), brick((10, 10, 10), (8, 0, 0))
    assert overlap_solid((a[0], np.vstack([a[1], [[0, 0, 1]]])), b).depth_mm == pytest.approx(2.0)


def test_depth_of_many_pieces_is_the_largest_of_all_widths():
    """Flat pieces that lie askew are thick along every axis, so the thickest box need not be of the deepest piece."""
    chance = np.random.default_rng(4)
    heights = chance.uniform(1, 6, 12)
    pieces = [turned(brick((30, 20, height)), number) for number, height in enumerate(heights)]
    apart = [(vertices - vertices.mean(axis=0) + [60 * k, 0, 0], faces) for k, (vertices, faces) in enumerate(pieces)]
    found = overlap_solid(both(*apart), brick((900, 200, 200), (-100, -100, -100)))
    assert found.depth_mm == pytest.approx(heights.max(), rel=1e-9)


def test_a_mesh_as_wound_may_go_round_nothing_and_be_empty():
    vertices, faces = brick((10, 10, 10))
    assert body_as_wound((vertices, faces[:, ::-1]), np.zeros(3)).volume() == pytest.approx(-1000.0)
    assert body_of((vertices, faces[:, ::-1]), np.zeros(3)).volume() == pytest.approx(1000.0)
    assert body_as_wound((vertices, faces[1:]), np.zeros(3)) is None
    assert body_as_wound((vertices, faces[:0]), np.zeros(3)).is_empty()


def test_a_box_as_a_body_stands_about_the_same_middle():
    middle = np.array([500.0, -40, 7])
    box, body = box_body(middle - 1, middle + np.array([9, 4, 1]), middle), body_of(brick((10, 10, 10), middle), middle)
    assert overlap_of(body, box).volume_mm3 == pytest.approx(9 * 4 * 1)


def test_union_counts_shared_space_once_and_takes_hollows_off():
    first, second = brick((10, 10, 10)), brick((10, 10, 10), (5, 0, 0))
    hollow = brick((2, 2, 2), (1, 1, 1))
    lists = [vertices[faces] for vertices, faces in (first, second, hollow)]
    assert union_volume(lists[:2], []) == pytest.approx(1500.0)
    assert union_volume(lists[:2], lists[2:]) == pytest.approx(1492.0)
    assert union_volume([lists[0][1:]], []) is None


def test_hull_of_a_dented_cloud_and_of_a_flat_one():
    points = np.vstack([brick((10, 20, 30), (100, 0, 0))[0], [[105.0, 10, 15]]])
    vertices, faces = hull(points)
    assert len(vertices) == 8
    assert union_volume([vertices[faces]], []) == pytest.approx(6000.0)
    assert hull(np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0]])) is None
