"""Signed distance of convex pieces: against meshes in python-fcl, and where pieces are flat, touching or doubled."""

from __future__ import annotations

import fcl
import numpy as np
import pytest
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from fitcheck.geometry.convex import Hull, Round, box, separation
from fitcheck.geometry.hull_faces import hull_of
from fitcheck.geometry.solid_facets import box_facets

FACES = box_facets([1, 1, 1]).faces


def still(*points: tuple[float, float, float]) -> Hull:
    return Hull(points=np.array(points, dtype=float), moves=np.zeros((len(points), 0, 3)))


def plain(hull: Hull) -> Hull:
    """The same hull, its being a box forgotten."""
    return Hull(points=hull.points, moves=hull.moves)


def bar(centre, axis, radius: float, half_length: float) -> Round:
    unit = np.array(axis, dtype=float) / np.linalg.norm(axis)
    none = np.zeros(0)
    return Round(
        centre=np.array(centre, dtype=float),
        axis=unit,
        radius=radius,
        half_length=half_length,
        centre_moves=np.zeros((0, 3)),
        radius_moves=none,
        half_length_moves=none,
    )


def random_box(rng: np.random.Generator, spread: float) -> Hull:
    turn = Rotation.from_quat(rng.normal(size=4)).as_matrix() if rng.random() < 0.8 else np.eye(3)
    return box(rng.uniform(-spread, spread, 3), rng.uniform(0.5, 150, 3), rotation=turn)


def meshed(hull: Hull) -> fcl.CollisionObject:
    model = fcl.BVHModel()
    model.beginModel(8, 12)
    model.addSubModel(hull.points, FACES)
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform())


def test_boxes_apart_agree_with_another_engine() -> None:
    rng, compared = np.random.default_rng(1), 0
    for _ in range(400):
        a, b = random_box(rng, 300), random_box(rng, 300)
        found = separation(a, b)
        if found.distance <= 0.0:
            continue
        compared += 1
        other = fcl.distance(meshed(a), meshed(b), fcl.DistanceRequest(), fcl.DistanceResult())
        assert found.distance == pytest.approx(other, abs=1e-9)
        assert found.error <= 1e-9
        between = np.subtract(found.point_b, found.point_a)
        np.testing.assert_allclose(between, found.distance * np.array(found.direction), atol=1e-6)
    assert compared > 300


def test_depth_of_overlap_is_the_least_shift_that_parts_the_two() -> None:
    rng, overlaps = np.random.default_rng(2), 0
    directions = rng.normal(size=(4000, 3))
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    for _ in range(60):
        a, b = random_box(rng, 60), random_box(rng, 60)
        found = separation(a, b)
        if found.distance >= 0.0:
            continue
        overlaps += 1
        assert separation(plain(a), plain(b)).distance == pytest.approx(found.distance, abs=1e-9)
        apart = (directions @ b.points.T).min(axis=1) - (directions @ a.points.T).max(axis=1)
        assert apart.max() <= found.distance + 1e-9
        shifted = box(b.box[0] - found.distance * np.array(found.direction), b.box[3], rotation=b.box[2])
        assert separation(a, shifted).distance == pytest.approx(0.0, abs=1e-9)
        assert found.error <= 1e-9
    assert overlaps > 20


@pytest.mark.parametrize("gap", [0.0, 1e-9, 1e-7, 1e-4, 0.01, -1e-9, -1e-6, -1e-3])
def test_turned_faces_that_touch_or_nearly_so(gap: float) -> None:
    rng = np.random.default_rng(3)
    for _ in range(60):
        turn = Rotation.from_quat(rng.normal(size=4)).as_matrix()
        spin = Rotation.from_rotvec([0, 0, rng.uniform(0, 3)]).as_matrix()
        half_a, half_b, centre = rng.uniform(20, 700, 3), rng.uniform(20, 300, 3), rng.uniform(-500, 500, 3)
        offset = np.array([rng.uniform(-15, 15), rng.uniform(-15, 15), half_a[2] + half_b[2] + gap])
        a = box(centre, half_a, rotation=turn)
        b = box(centre + turn @ offset, half_b, rotation=turn @ spin)
        doubled = still(*a.points, *a.points[:3], a.points.mean(axis=0))
        assert separation(a, b).distance == pytest.approx(gap, abs=1e-9)
        assert separation(doubled, b).distance == pytest.approx(gap, abs=1e-9)


def test_points_lines_and_flat_hulls() -> None:
    origin, triangle = still((0, 0, 0)), still((0, 0, 0), (10, 0, 0), (0, 10, 0))
    line, crossing = still((0, 0, 0), (10, 0, 0)), still((5, -5, 2), (5, 5, 2))
    assert separation(origin, still((3, 4, 0))).distance == pytest.approx(5.0, abs=1e-12)
    assert separation(origin, origin).distance == pytest.approx(0.0, abs=1e-12)
    assert separation(line, crossing).distance == pytest.approx(2.0, abs=1e-12)
    assert separation(triangle, still((2, 2, 0), (12, 2, 0), (2, 12, 0))).distance == pytest.approx(0.0, abs=1e-12)
    assert separation(triangle, plain(box([1, 1, 1], [1, 1, 2]))).distance == pytest.approx(-1.0, abs=1e-12)


def test_a_large_thin_sheet_over_a_small_block() -> None:
    sheet, block = box([0, 0, 0], [1500, 900, 0.5]), box([321.7, -411.3, 3.25], [0.2, 0.3, 0.25])
    assert separation(sheet, block).distance == pytest.approx(2.5, abs=1e-10)


def test_a_coordinate_that_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        separation(still((0, 0, 0)), still((np.nan, 0, 0)))


def test_overlapping_rounds_never_look_shallower_than_they_are() -> None:
    rng, overlaps = np.random.default_rng(6), 0
    directions = rng.normal(size=(4000, 3))
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    for _ in range(40):
        a = bar(rng.uniform(-8, 8, 3), rng.normal(size=3), rng.uniform(5, 15), rng.uniform(5, 25))
        b = box(
            rng.uniform(-8, 8, 3), rng.uniform(3, 15, 3), rotation=Rotation.from_quat(rng.normal(size=4)).as_matrix()
        )
        found = separation(a, b)
        if found.distance >= 0.0:
            continue
        overlaps += 1
        along = directions @ a.axis
        farthest = directions @ a.centre + a.radius * np.sqrt(1 - along**2) + a.half_length * np.abs(along)
        apart = (directions @ b.points.T).min(axis=1) - farthest
        assert apart.max() <= found.distance + 1e-6
        assert 0.0 <= found.error <= 0.003 * a.radius
    assert overlaps > 25


def test_faces_and_edges_of_random_hulls_agree_with_another_engine() -> None:
    rng = np.random.default_rng(7)
    for count in (4, 5, 8, 20, 60):
        points = rng.normal(size=(count, 3)) * 50
        found, other = hull_of(points), ConvexHull(points)
        assert len(found.normals) == len(other.equations)
        for normal in other.equations[:, :3]:
            assert (found.normals @ normal).max() == pytest.approx(1.0, abs=1e-12)
        assert len(found.edge_ends) == 3 * len(other.simplices) // 2


def test_faces_of_a_box_a_prism_and_a_plate() -> None:
    cube = hull_of(box([5, 6, 7], [1, 2, 3]).points)
    assert (len(cube.normals), len(cube.edges), len(cube.edge_ends)) == (6, 3, 12)
    ring = np.array([(np.cos(t), np.sin(t)) for t in np.arange(48) * np.pi / 24]) * 30
    prism = hull_of(np.array([(x, y, z) for x, y in ring for z in (0.0, 9.0)]))
    assert (len(prism.normals), len(prism.edges), len(prism.edge_ends)) == (50, 25, 144)
    plate = hull_of(np.array([(0, 0, 1), (4, 0, 1), (4, 3, 1), (0, 3, 1), (2, 1, 1), (2, 0, 1)], dtype=float))
    assert (len(plate.normals), len(plate.edges), len(plate.edge_ends), len(plate.triangles)) == (2, 2, 4, 0)
