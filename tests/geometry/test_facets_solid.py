"""Facets of boxes, bars, tubes and prisms: closed, outward, on the safe side, and moved by their sizes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fitcheck.geometry.solid_facets import (
    FACET_ERROR,
    Facets,
    bar_facets,
    box_facets,
    prism_facets,
    sides_for,
    tube_facets,
)

L_OUTLINE = [[0, 0], [40, 0], [40, 10], [10, 10], [10, 30], [0, 30]]
L_TRIANGLES = [[0, 1, 2], [0, 2, 3], [0, 3, 4], [0, 4, 5]]


def volume(solid: Facets) -> float:
    a, b, c = (solid.vertices[solid.faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def open_edges(faces: np.ndarray) -> set[tuple[int, int]]:
    edges = [(i, j) for f in faces.tolist() for i, j in ((f[0], f[1]), (f[1], f[2]), (f[2], f[0]))]
    assert len(edges) == len(set(edges))
    return {(i, j) for i, j in edges if (j, i) not in set(edges)}


def polygon_area(sides: int, inradius: float) -> float:
    return sides * inradius**2 * math.tan(math.pi / sides)


@pytest.mark.parametrize("along", [0, 1, 2])
def test_every_solid_is_closed_and_has_the_volume_of_its_section(along: int) -> None:
    bar, tube = bar_facets(18.0, 150.0, along), tube_facets(30.0, 24.0, 50.0, along)
    prism = prism_facets(L_OUTLINE, L_TRIANGLES, 7.0, along)
    bar_sides, tube_sides = sides_for(9.0), sides_for(15.0)
    bore = polygon_area(tube_sides, 12.0 * math.cos(math.pi / tube_sides))
    for solid, expected in (
        (box_facets([3, 4, 5]), 60.0),
        (bar, polygon_area(bar_sides, 9.0) * 150.0),
        (tube, (polygon_area(tube_sides, 15.0) - bore) * 50.0),
        (prism, 600.0 * 7.0),
    ):
        assert open_edges(solid.faces) == set()
        assert volume(solid) == pytest.approx(expected, rel=1e-12)


def test_a_prism_with_a_hole_stays_closed_and_may_be_drawn_either_way_round() -> None:
    outer, hole = [[0, 0], [9, 0], [9, 9], [0, 9]], [[3, 3], [6, 3], [6, 6], [3, 6]]
    ring = [[0, 1, 4], [1, 5, 4], [1, 2, 5], [2, 6, 5], [2, 3, 6], [3, 7, 6], [3, 0, 7], [0, 4, 7]]
    solid = prism_facets(outer + hole, ring, 2.0, 2)
    turned = prism_facets(outer + hole, [triangle[::-1] for triangle in ring], 2.0, 2)
    assert open_edges(solid.faces) == open_edges(turned.faces) == set()
    assert volume(solid) == volume(turned) == pytest.approx(144.0, rel=1e-12)


@pytest.mark.parametrize("diameter", [0.5, 3.0, 18.0, 120.0])
def test_solid_facets_hold_the_true_solid_within_the_stated_error(diameter: float) -> None:
    bar, tube = bar_facets(diameter, 10.0, 2), tube_facets(diameter, diameter * 0.8, 10.0, 2)
    assert 0.0 < bar.error <= FACET_ERROR
    assert 0.0 < tube.error <= FACET_ERROR
    for solid, radius in ((bar, diameter / 2), (tube, diameter / 2)):
        walls = solid.vertices[solid.faces].mean(axis=1)
        outer = np.hypot(walls[:, 0], walls[:, 1]) > 0.95 * radius
        corners = solid.vertices[solid.faces[outer]][..., :2]
        # The middle of the longest horizontal edge of a wall touches the true circle, its ends stand outside.
        middles = (corners + np.roll(corners, -1, axis=1)) / 2.0
        assert np.hypot(middles[..., 0], middles[..., 1]).min() >= radius * (1 - 1e-12)
        assert np.hypot(corners[..., 0], corners[..., 1]).max() <= radius + solid.error * (1 + 1e-9)
    bore = np.hypot(tube.vertices[:, 0], tube.vertices[:, 1])
    assert bore.min() == pytest.approx(diameter * 0.4, rel=1e-12)


def test_very_large_bars_stop_at_the_most_sides_and_say_what_error_is_left() -> None:
    bar = bar_facets(4000.0, 10.0, 0)
    assert bar.error == pytest.approx(2000.0 * (1 / math.cos(math.pi / 512) - 1), rel=1e-12)
    assert bar.error > FACET_ERROR


@pytest.mark.parametrize("along", [0, 1, 2])
def test_moves_lead_to_the_solid_of_the_changed_sizes(along: int) -> None:
    changed = np.array([0.3, -0.2, 0.5])
    for made, again in (
        (box_facets([3, 4, 5]), box_facets([3.3, 3.8, 5.5])),
        (bar_facets(18.0, 150.0, along), bar_facets(18.3, 149.8, along)),
        (tube_facets(30.0, 24.0, 50.0, along), tube_facets(30.3, 23.8, 50.5, along)),
        (prism_facets(L_OUTLINE, L_TRIANGLES, 7.0, along), prism_facets(L_OUTLINE, L_TRIANGLES, 7.3, along)),
    ):
        assert made.vertices.shape == again.vertices.shape
        moved = made.vertices + np.einsum("p,vpd->vd", changed[: made.moves.shape[1]], made.moves)
        np.testing.assert_allclose(moved, again.vertices, atol=1e-9)


@pytest.mark.parametrize(
    "make",
    [
        lambda: box_facets([1, 0, 1]),
        lambda: bar_facets(-1.0, 5.0, 2),
        lambda: bar_facets(math.nan, 5.0, 2),
        lambda: tube_facets(10.0, 10.0, 5.0, 2),
        lambda: prism_facets(L_OUTLINE, L_TRIANGLES, 0.0, 2),
    ],
)
def test_impossible_sizes_are_refused(make) -> None:
    with pytest.raises(ValueError, match=r"size|diameter"):
        make()
