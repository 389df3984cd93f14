"""Placed pieces as triangles: closed, wound outward, and on the safe side by no more than they say."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh
from engine_layouts import BEGINNING, study

from fitcheck.geometry.solid_facets import FACET_ERROR
from fitcheck.placing.clip import without_regions
from fitcheck.placing.contacts import Region
from fitcheck.placing.facets import Facets, facets_of
from fitcheck.placing.placed import Columns, placed_pieces

RING = "[[0, 0], [60, 0], [60, 10], [10, 10], [10, 50], [0, 50]]"
HOLE = "holes: [[[2, 2], [8, 2], [8, 8], [2, 8]]]"
SHAPES = {
    "box": ("{box: [60, 50, 40]}", 60 * 50 * 40.0),
    **{
        f"prism along {axis}": (
            f"{{prism: {{outline: {RING}, {HOLE}, height: 30, along: {axis}}}}}",
            (60 * 10 + 10 * 40 - 36) * 30.0,
        )
        for axis in "xyz"
    },
    **{
        f"bar along {axis}": (f"{{cylinder: {{diameter: 40, length: 30, along: {axis}}}}}", math.pi * 400 * 30)
        for axis in "xyz"
    },
    **{
        f"tube along {axis}": (
            f"{{tube: {{outside: 40, inside: 30, length: 30, along: {axis}}}}}",
            math.pi * (400 - 225) * 30,
        )
        for axis in "xyz"
    },
}


def facets(shape: str, turn: str = "{z: 0}") -> Facets:
    placed = study(f"parts:\n  p: {{role: other, change: new, turn: {turn}, shape: {shape}, low_corner: [5, 6, 7]}}")
    (piece,) = placed_pieces(placed.chain(BEGINNING), placed.layout.by_name["p"])
    return facets_of(piece, Columns(()))


@pytest.mark.parametrize("turn", ["{z: 0}", "[{z: 33}, {x: 200}]"])
@pytest.mark.parametrize("name", SHAPES)
def test_closed_outward_and_as_large_as_stated(name: str, turn: str) -> None:
    shape, volume = SHAPES[name]
    found = facets(shape, turn)
    mesh = trimesh.Trimesh(found.vertices, found.faces, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    # Round ones contain the true body: their skin is at most `error` too far out (or, in a bore, too far in).
    area = mesh.area
    assert volume - 1e-6 * volume <= mesh.volume <= volume + found.error * area + 1e-6 * volume
    assert 0.0 <= found.error <= FACET_ERROR
    assert (found.error > 0.0) is name.startswith(("bar", "tube"))


def test_a_huge_bar_says_how_coarse_it_is() -> None:
    found = facets("{cylinder: {diameter: 40000, length: 10, along: z}}")
    assert found.error > FACET_ERROR
    radius = np.linalg.norm(found.vertices[:, :2] - found.vertices[:, :2].mean(axis=0), axis=1)
    assert radius.max() == pytest.approx(20000.0 + found.error, abs=1e-6)


REGION = Region(axis=2, plane=47.0, outline=((20.0, 40.0), (20.0, 30.0)), reach=5.0)


def test_a_region_is_cut_out_of_a_face() -> None:
    whole = facets("{box: [60, 50, 40]}")
    left = without_regions(whole, (REGION,))
    mesh = trimesh.Trimesh(left.vertices, left.faces, process=False)
    full = trimesh.Trimesh(whole.vertices, whole.faces, process=False)
    # 30 x 20, its four corners cut off so that nothing farther than the reach goes.
    corner = 5.0 * (2.0 - math.sqrt(2.0))
    assert full.area - mesh.area == pytest.approx(30 * 20 - 4 * corner**2 / 2, rel=1e-9)
    middles = mesh.triangles_center
    top = middles[np.abs(middles[:, 2] - 47.0) < 1e-9]
    outside = np.hypot(
        np.maximum(np.maximum(20.0 - top[:, 0], top[:, 0] - 40.0), 0.0),
        np.maximum(np.maximum(20.0 - top[:, 1], top[:, 1] - 30.0), 0.0),
    )
    assert outside.min() > 0.0


def test_a_region_elsewhere_takes_nothing() -> None:
    whole = facets("{box: [60, 50, 40]}")
    away = Region(axis=2, plane=70.0, outline=((20.0, 40.0), (10.0, 20.0)), reach=5.0)
    left = without_regions(whole, (away,))
    areas = [trimesh.Trimesh(each.vertices, each.faces, process=False).area for each in (whole, left)]
    assert areas[0] == pytest.approx(areas[1], rel=1e-12)


def test_a_region_that_holds_everything_leaves_nothing() -> None:
    whole = facets("{box: [60, 50, 40]}")
    everything = Region(axis=2, plane=27.0, outline=((0.0, 70.0), (0.0, 70.0)), reach=100.0)
    left = without_regions(whole, (everything,))
    assert (len(left.faces), len(left.vertices)) == (0, 0)
