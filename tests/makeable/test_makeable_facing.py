from __future__ import annotations

import math

import numpy as np
import pytest

from fitcheck.makeable.facing import LEAST_ALONG_MM, face_each_other
from fitcheck.report.scene import DrawnPart


def solid(mesh) -> DrawnPart:
    return DrawnPart(
        name="p", role="module", change="new", vertices=np.array(mesh.vertices), faces=np.array(mesh.faces)
    )


def box(low, high) -> DrawnPart:
    import trimesh

    return solid(trimesh.creation.box(bounds=[low, high]))


def bar(radius: float, height: float, at) -> DrawnPart:
    import trimesh

    mesh = trimesh.creation.cylinder(radius=radius, height=height, sections=64)
    mesh.apply_translation(at)
    return solid(mesh)


WALL = box((-5, 0, 0), (0, 100, 50))


def test_two_walls_face_each_other():
    assert face_each_other(WALL, box((3, 20, 10), (40, 60, 40)), ((0, 20, 10), (3, 20, 10)))


@pytest.mark.parametrize("beyond", [0.0, 0.5, 30.0])
def test_from_edge_to_edge_nothing_faces(beyond):
    """One box stands behind the wall's end: nearest are two edges, along the gap or askew."""
    points = ((0.0, 100.0, 10.0), (3.0, 100.0 + beyond, 10.0))
    assert not face_each_other(WALL, box((3, 100 + beyond, 10), (40, 160, 40)), points)


def test_a_corner_looks_at_no_face():
    turned = [(3, 50), (23, 70), (23, 30)]
    import trimesh
    from shapely import Polygon

    wedge = solid(trimesh.creation.extrude_polygon(Polygon(turned), 40.0))
    assert not face_each_other(WALL, wedge, ((0, 50, 20), (3, 50, 20)))


@pytest.mark.parametrize(("lap", "faces"), [(LEAST_ALONG_MM, True), (LEAST_ALONG_MM - 0.1, False)])
def test_the_least_overlap_of_two_faces(lap, faces):
    """A strip 1.2 mm high: enough for the tongue to catch, if it is long enough."""
    strip = box((3, 100 - lap, 10), (40, 160, 11.2))
    assert face_each_other(WALL, strip, ((0, 100, 10), (3, 100, 10))) is faces
    assert not face_each_other(WALL, box((3, 20, 10), (40, 60, 10.9)), ((0, 30, 10), (3, 30, 10)))


@pytest.mark.parametrize(("radius", "faces"), [(10.0, True), (0.8, False)])
def test_a_round_bar_touches_along_a_line(radius, faces):
    """Of the thin bar only a strip 0.7 mm wide looks at the wall."""
    column = bar(radius, 50.0, (4.0 + radius, 50.0, 25.0))
    assert face_each_other(WALL, column, ((0, 50, 25), (4, 50, 25))) is faces


def test_a_far_face_of_the_same_part_is_not_the_nearest_one():
    """An edge comes nearest; 8 mm behind it the part has a broad face that would take the tongue."""
    import trimesh

    post = solid(
        trimesh.util.concatenate(
            [
                trimesh.creation.box(bounds=[(11, 10, 10), (40, 90, 40)]),
                trimesh.creation.box(bounds=[(3, 99.5, 10), (11, 140, 40)]),
            ]
        )
    )
    assert not face_each_other(WALL, post, ((0, 99.5, 10), (3, 99.5, 10)))


def test_parts_drawn_in_each_other_face_across_the_depth():
    other = box((-2, 20, 10), (40, 60, 40))
    points = ((0, 30, 20), (-2, 30, 20))
    assert face_each_other(WALL, other, points, in_each_other=True)
    assert not face_each_other(WALL, other, points)


def test_what_touches_tells_no_direction():
    assert not face_each_other(WALL, box((0, 20, 10), (40, 60, 40)), ((0, 30, 20), (0, 30, 20)))


def test_what_can_move_is_looked_for_as_far_as_it_moves():
    """A cable drawn 9 mm off that may lie 3 mm off."""
    cable = bar(6.0, 50.0, (15.0, 50.0, 25.0))
    points = ((0.0, 50.0, 25.0), (3.0, 50.0, 25.0))
    assert not face_each_other(WALL, cable, points)
    assert face_each_other(WALL, cable, points, slack=6.0)


def test_slanted_faces_count_as_long_as_they_nearly_look_at_each_other():
    import trimesh

    def leaning(degrees: float) -> DrawnPart:
        mesh = trimesh.creation.box(bounds=[(0, 0, 0), (30, 40, 30)])
        mesh.apply_transform(trimesh.transformations.rotation_matrix(math.radians(degrees), [0, 0, 1]))
        mesh.apply_translation([3 - mesh.bounds[0][0], 30, 10])
        return solid(mesh)

    assert face_each_other(WALL, leaning(2.0), ((0, 69, 20), (3, 69, 20)))
    assert not face_each_other(WALL, leaning(40.0), ((0, 60, 20), (3, 60, 20)))
