"""Distance between meshes: against python-fcl, with limits, and with vertices free in boxes."""

from __future__ import annotations

import fcl
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fitcheck.geometry.facet_distance import nearest
from fitcheck.geometry.facets import FacetTree
from fitcheck.geometry.solid_facets import Facets, bar_facets, box_facets, tube_facets
from fitcheck.geometry.triangles import closest_points

HERE = (np.eye(3), np.zeros(3))


def tree_of(solid: Facets) -> FacetTree:
    return FacetTree(solid.vertices, solid.faces)


def random_solid(rng: np.random.Generator) -> Facets:
    kind = int(rng.integers(3))
    if kind == 0:
        return box_facets(rng.uniform(1, 80, 3))
    if kind == 1:
        return bar_facets(rng.uniform(4, 60), rng.uniform(3, 90), int(rng.integers(3)))
    return tube_facets(rng.uniform(30, 60), rng.uniform(5, 25), rng.uniform(3, 90), int(rng.integers(3)))


def random_pose(rng: np.random.Generator, turned: bool) -> tuple[np.ndarray, np.ndarray]:
    turn = Rotation.from_quat(rng.normal(size=4)).as_matrix() if turned else np.eye(3)
    return turn, rng.uniform(-90, 90, 3)


def other_engine(a: Facets, pose_a, b: Facets, pose_b) -> float:
    objects = []
    for solid, pose in ((a, pose_a), (b, pose_b)):
        model = fcl.BVHModel()
        model.beginModel(len(solid.vertices), len(solid.faces))
        model.addSubModel(solid.vertices, solid.faces)
        model.endModel()
        objects.append(fcl.CollisionObject(model, fcl.Transform(*pose)))
    return max(float(fcl.distance(*objects, fcl.DistanceRequest(), fcl.DistanceResult())), 0.0)


def plate(columns: int, rows: int, length: float, width: float) -> FacetTree:
    x, y = np.meshgrid(np.linspace(0, length, columns + 1), np.linspace(0, width, rows + 1), indexing="ij")
    first = (np.arange(columns)[:, None] * (rows + 1) + np.arange(rows)).ravel()
    right, over = first + rows + 1, first + 1
    faces = np.concatenate([np.column_stack([first, right, over]), np.column_stack([over, right, right + 1])])
    return FacetTree(np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)]), faces)


def test_random_solids_agree_with_another_engine() -> None:
    rng, crossing = np.random.default_rng(21), 0
    for number in range(80):
        a, b = random_solid(rng), random_solid(rng)
        pose_a, pose_b = random_pose(rng, number % 3 > 0), random_pose(rng, number % 3 > 0)
        found = nearest(tree_of(a), pose_a, tree_of(b), pose_b)
        assert found is not None
        assert found.distance == pytest.approx(other_engine(a, pose_a, b, pose_b), abs=1e-9)
        assert np.linalg.norm(found.point_b - found.point_a) == pytest.approx(found.distance, abs=1e-9)
        assert found.low == found.distance
        crossing += found.distance == 0.0
    assert 5 < crossing < 60


def test_the_limit_is_reached_and_not_passed() -> None:
    cube = tree_of(box_facets([10, 10, 10]))
    beside = (np.eye(3), np.array([14.0, 3.0, 0.0]))
    at_limit = nearest(cube, HERE, cube, beside, limit=4.0)
    assert at_limit is not None
    assert at_limit.distance == pytest.approx(4.0, abs=1e-12)
    assert nearest(cube, HERE, cube, beside, limit=3.999999) is None


@pytest.mark.parametrize("turned", [False, True])
def test_parallel_plates_with_and_without_slack(turned: bool) -> None:
    sheet = plate(100, 80, 400.0, 200.0)
    turn = Rotation.from_rotvec([0.3, 0.4, 0.5]).as_matrix() if turned else np.eye(3)
    above = (turn, turn @ np.array([0.3, 0.4, 5.0]))
    found = nearest(sheet, (turn, np.zeros(3)), sheet, above, slack=np.array([[-0.5] * 3, [0.25] * 3]))
    assert found is not None
    assert found.distance == pytest.approx(5.0, abs=1e-9)
    normal = turn[:, 2]
    worst = np.minimum(-0.5 * normal, 0.25 * normal).sum()
    assert found.low == pytest.approx(5.0 + worst, abs=1e-6)


def test_each_vertex_has_its_own_slack() -> None:
    sheet = plate(100, 80, 400.0, 200.0)
    slack = np.sort(np.random.default_rng(22).uniform(-0.5, 0.5, (len(sheet.vertices), 2, 3)), axis=1)
    # The plates cover each other but for a rim; the worst vertex is put where they do.
    slack[4000, 0, 2] = -0.9
    found = nearest(sheet, HERE, sheet, (np.eye(3), np.array([0.3, 0.4, 5.0])), slack=slack)
    assert found is not None
    assert found.low == pytest.approx(4.1, abs=1e-9)


def test_no_displacement_within_the_slack_comes_below_low() -> None:
    rng, apart = np.random.default_rng(23), 0
    for _ in range(30):
        a, b = random_solid(rng), random_solid(rng)
        pose_a, pose_b = random_pose(rng, True), random_pose(rng, True)
        slack = np.sort(rng.uniform(-1.0, 1.0, (len(b.vertices), 2, 3)), axis=1)
        found = nearest(tree_of(a), pose_a, tree_of(b), pose_b, slack=slack)
        assert found is not None
        assert 0.0 <= found.low <= found.distance
        placed = b.vertices @ pose_b[0].T + pose_b[1]
        for _ in range(4):
            ends = rng.integers(0, 2, slack[:, 0].shape)
            moved = FacetTree(placed + np.where(ends, slack[:, 1], slack[:, 0]), b.faces)
            displaced = nearest(tree_of(a), pose_a, moved, HERE)
            assert displaced is not None
            assert displaced.distance >= found.low - 1e-9
        apart += found.low > 0.0
        assert found.low >= found.distance - np.sqrt(3.0) - 1e-9 or found.low == 0.0
    assert apart > 10


def test_a_dent_of_facets_without_area_changes_nothing() -> None:
    cube = box_facets([10, 10, 10])
    spoilt = np.concatenate([cube.faces, cube.faces[:3], [[0, 0, 0], [1, 1, 5], [0, 1, 1]]])
    found = nearest(FacetTree(cube.vertices, spoilt), HERE, tree_of(cube), (np.eye(3), np.array([12.0, 0, 0])))
    assert found is not None
    assert found.distance == pytest.approx(2.0, abs=1e-12)
    line = FacetTree([[0, 0, 0], [1, 0, 0], [2, 0, 0]], [[0, 1, 2]])
    crossing = FacetTree([[1, -1, 3], [1, 1, 3], [1, 0, 3]], [[0, 1, 2]])
    above = nearest(line, HERE, crossing, HERE)
    assert above is not None
    assert above.distance == pytest.approx(3.0, abs=1e-12)


def test_edges_that_cross_at_a_tiny_angle_touch() -> None:
    for angle in (1e-3, 1e-6, 1e-8, 1e-10):
        a = np.array([[[-50.0, 0, 0], [50.0, 0, 0], [0, 0, -5]]])
        b = np.array([[[-50.0, -50 * angle, 0], [50.0, 50 * angle, 0], [0, 0, 5]]])
        assert closest_points(a, b)[0][0] == pytest.approx(0.0, abs=1e-12)


def test_meshes_that_are_none_are_refused() -> None:
    cube = box_facets([1, 1, 1])
    spoilt = cube.vertices.copy()
    spoilt[3, 1] = np.nan
    for vertices, faces, why in (
        (spoilt, cube.faces, "finite"),
        (cube.vertices, cube.faces[:0], "without a face"),
        (cube.vertices, cube.faces + 1, "does not exist"),
        (cube.vertices[:, :2], cube.faces, "need"),
    ):
        with pytest.raises(ValueError, match=why):
            FacetTree(vertices, faces)
    tree = tree_of(cube)
    with pytest.raises(ValueError, match="slack"):
        nearest(tree, HERE, tree, HERE, slack=np.zeros((3, 2, 3)))
    with pytest.raises(ValueError, match="finite"):
        nearest(tree, HERE, tree, (np.eye(3), np.array([np.inf, 0, 0])))
