"""Silhouettes, edges and cuts, against areas known in closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest
from made_up import box, joined, tray

from fitcheck.report.outline import creases, cut, silhouette

X, Y, Z = np.eye(3)


def test_the_silhouette_of_a_box_is_its_rectangle():
    part = box("b", "module", "new", (1, 2, 3), (11, 22, 33))
    assert silhouette(part.vertices[:, :2], part.faces).area == pytest.approx(200.0, rel=1e-9)


def test_the_silhouette_of_a_tilted_box_is_its_shadow():
    part = box("b", "module", "new", (0, 0, 0), (10, 10, 10))
    angle = math.radians(30)
    across = np.array([math.cos(angle), math.sin(angle), 0.0])
    shadow = silhouette(part.vertices @ np.stack([across, Z], axis=1), part.faces)
    # The grid of the picture is a ten-thousandth of the size.
    assert shadow.area == pytest.approx(10 * 10 * (math.cos(angle) + math.sin(angle)), rel=5e-4)


def test_a_fine_mesh_is_filled_cell_by_cell():
    side = np.linspace(0.0, 100.0, 201)
    grid = np.array([(x, y) for x in side for y in side])
    corner = np.array([201 * i + j for i in range(200) for j in range(200)])
    faces = np.vstack([np.c_[corner, corner + 201, corner + 1], np.c_[corner + 1, corner + 201, corner + 202]])
    assert len(faces) == 80_000
    assert silhouette(grid, faces).area == pytest.approx(10_000.0, rel=0.02)


def test_a_fine_ring_keeps_its_hole():
    turn, across = np.linspace(0.0, 2 * math.pi, 721)[:-1], np.linspace(60.0, 100.0, 41)
    grid = np.array([(r * math.cos(a), r * math.sin(a)) for a in turn for r in across])
    here = np.array([41 * i + j for i in range(720) for j in range(40)])
    there = (here + 41) % len(grid)
    faces = np.vstack([np.c_[here, there, here + 1], np.c_[here + 1, there, there + 1]])
    shadow = silhouette(grid, faces)
    assert len(shadow.interiors) == 1
    # Each rim may come out one cell of 0.2 mm too large, never short of the part.
    ideal = math.pi * (100.0**2 - 60.0**2)
    assert ideal * 0.999 <= shadow.area <= ideal + 2 * math.pi * (100.0 + 60.0) * 0.2


def test_nothing_has_no_silhouette():
    assert silhouette(np.empty((0, 2)), np.empty((0, 3), dtype=int)).is_empty


def test_a_box_has_twelve_edges_whatever_its_triangles():
    part = box("b", "module", "new", (0, 0, 0), (1, 2, 3))
    assert len(creases(part.vertices, part.faces)) == 12


def test_edges_of_a_mesh_whose_triangles_share_no_corners():
    part = box("b", "module", "new", (0, 0, 0), (1, 2, 3))
    soup = part.vertices[part.faces].reshape(-1, 3)
    assert len(creases(soup, np.arange(len(soup)).reshape(-1, 3))) == 12


def test_a_cut_through_a_box():
    part = box("b", "module", "new", (0, 0, 0), (10, 20, 30))
    shape = cut(part.vertices, part.faces, X, Y, Z, np.array([5.0, 0.0, 0.0]))
    assert shape.area == pytest.approx(600.0, rel=1e-9)
    assert shape.bounds == pytest.approx((0.0, 0.0, 20.0, 30.0))


def test_a_cut_through_a_tray_leaves_the_hollow_empty():
    part = tray("case", (100, 60, 40), 2, 3, 5)
    shape = cut(part.vertices, part.faces, X, Y, Z, np.array([50.0, 0.0, 0.0]))
    # Floor 64 x 3, two walls 2 x 40, two lips 5 x 2.
    assert shape.area == pytest.approx(64 * 3 + 2 * 2 * 40 + 2 * 5 * 2, rel=1e-6)


def test_a_hole_within_a_body_stays_a_hole():
    outer = box("b", "module", "new", (0, 0, 0), (10, 10, 10))
    inner = box("b", "module", "new", (2, 2, 2), (8, 8, 8))
    hollow = joined(outer, type(inner)(name="b", role="module", change="new", vertices=inner.vertices,
                                       faces=inner.faces[:, ::-1]))  # fmt: skip
    shape = cut(hollow.vertices, hollow.faces, Z, X, Y, np.array([0.0, 0.0, 5.0]))
    assert shape.area == pytest.approx(100.0 - 36.0, rel=1e-9)


def test_bodies_that_run_into_one_another_are_filled_throughout():
    one = box("b", "module", "new", (0, 0, 0), (10, 10, 10))
    part = joined(one, box("b", "module", "new", (5, 0, 0), (15, 10, 10)))
    shape = cut(part.vertices, part.faces, Z, X, Y, np.array([0.0, 0.0, 5.0]))
    assert shape.area == pytest.approx(150.0, rel=1e-9)


def test_an_open_surface_is_cut_to_a_line():
    vertices = np.array([[0.0, 0, 0], [0, 10, 0], [0, 0, 10], [0, 10, 10]])
    shape = cut(vertices, np.array([[0, 1, 2], [1, 3, 2]]), Z, X, Y, np.array([0.0, 0.0, 4.0]))
    assert shape.area == 0.0
    assert shape.length == pytest.approx(10.0, rel=1e-9)


def test_a_plane_beside_the_part_cuts_nothing():
    part = box("b", "module", "new", (0, 0, 0), (10, 20, 30))
    assert cut(part.vertices, part.faces, X, Y, Z, np.array([50.0, 0.0, 0.0])).is_empty
