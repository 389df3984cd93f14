"""Points inside a closed mesh, also where the ray runs through edges and corners of the mesh."""

from __future__ import annotations

import numpy as np
import pytest

from fitcheck.geometry.facet_inside import contains
from fitcheck.geometry.facets import FacetTree
from fitcheck.geometry.solid_facets import bar_facets, box_facets, tube_facets


def test_a_grid_that_lines_up_with_the_corners_of_a_box() -> None:
    box = box_facets([8, 8, 8])
    grid = np.stack(np.meshgrid(*[np.arange(-3.0, 12.0)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    strictly = ((grid > 0) & (grid < 8)).all(axis=1)
    on_it = ((grid >= 0) & (grid <= 8)).all(axis=1) & ~strictly
    found = contains(FacetTree(box.vertices, box.faces), grid)
    np.testing.assert_array_equal(found[~on_it], strictly[~on_it])


@pytest.mark.parametrize("along", [0, 1, 2])
@pytest.mark.parametrize("inverted", [False, True])
def test_a_tube_holds_its_wall_and_not_its_bore(along: int, inverted: bool) -> None:
    tube = tube_facets(30.0, 20.0, 40.0, along)
    faces = tube.faces[:, ::-1] if inverted else tube.faces
    points = np.random.default_rng(4).uniform(-22, 45, (4000, 3))
    across = np.hypot(*np.delete(points, along, axis=1).T)
    lengthwise = (points[:, along] > 0) & (points[:, along] < 40)
    # Within the facet error either answer may be right.
    clear = (np.abs(across - 15) > 0.02) & (np.abs(across - 10) > 0.02)
    expected = (across < 15) & (across > 10) & lengthwise
    np.testing.assert_array_equal(contains(FacetTree(tube.vertices, faces), points)[clear], expected[clear])
    assert expected.sum() > 100


def test_points_on_the_axis_of_a_bar_see_the_fan_of_its_ends() -> None:
    bar = bar_facets(10.0, 20.0, 0)
    points = np.array([[-1.0, 0, 0], [1e-6, 0, 0], [19.999, 0, 0], [20.001, 0, 0]])
    assert contains(FacetTree(bar.vertices, bar.faces), points).tolist() == [False, True, True, False]


def test_overlapping_shells_are_one_solid_and_no_points_no_answer() -> None:
    box = box_facets([4, 4, 4])
    vertices = np.concatenate([box.vertices, box.vertices + np.array([2.0, 1.0, 1.0])])
    tree = FacetTree(vertices, np.concatenate([box.faces, box.faces + 8]))
    assert contains(tree, np.array([[3.0, 2, 2], [5.5, 2, 2], [7, 2, 2]])).tolist() == [True, True, False]
    assert contains(tree, np.zeros((0, 3))).shape == (0,)
    with pytest.raises(ValueError, match="finite"):
        contains(tree, np.array([[np.nan, 0, 0]]))
