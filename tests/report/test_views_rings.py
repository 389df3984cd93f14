"""Where the part numbers of a view stand: no leader crosses another, no balloon touches another."""

from __future__ import annotations

import itertools

import numpy as np
import shapely

from fitcheck.report.scene import DrawnPart, Scene
from fitcheck.report.views import VIEWS, _rings, _shadows

QUADS = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
FACES = np.array([face for a, b, c, d in QUADS for face in ((a, b, c), (a, c, d))])
RADIUS = 12.0


def box(name, low, high, role="terminal") -> DrawnPart:
    low, high = np.asarray(low, float), np.asarray(high, float)
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * (high - low) + low
    return DrawnPart(name=name, role=role, change="new", vertices=corners, faces=FACES)


def rings_of(*parts):
    scene = Scene(title="", build="proposed", axes=("rearward", "right", "up"), parts=parts)
    shadows = _shadows(scene, VIEWS[0])
    return _rings(shadows, RADIUS, tuple(shapely.total_bounds([shadow.shape for shadow in shadows])))


def test_many_small_parts_are_numbered_above_and_below_without_crossings():
    corners = [(60 + 240 * column + 9 * row, 60 + 170 * row) for column, row in itertools.product(range(4), range(4))]
    small = [box(f"t{x}_{y}", (x, y, 60), (x + 12, y + 12, 70)) for x, y in corners]
    rings = rings_of(box("floor", (0, 0, 0), (1000, 700, 10), "frame"), *small)
    led = [ring for ring in rings if ring.of is not None]
    assert len(led) == 16
    assert {ring.at[1] for ring in led} == {700 + 3 * RADIUS, -3 * RADIUS}
    leaders = [shapely.LineString([ring.of, ring.at]) for ring in led]
    assert not any(one.crosses(other) for one, other in itertools.combinations(leaders, 2))
    spots = [np.array(ring.at) for ring in led]
    assert min(np.linalg.norm(one - other) for one, other in itertools.combinations(spots, 2)) > 2 * RADIUS


def test_a_few_stay_in_one_row_above():
    rings = rings_of(box("floor", (0, 0, 0), (1000, 700, 10), "frame"), box("t", (60, 60, 60), (72, 72, 70)))
    assert [ring.at[1] for ring in rings if ring.of is not None] == [700 + 3 * RADIUS]


def test_outlines_of_one_size_are_led_to_different_points():
    rings = rings_of(box("case", (0, 0, 0), (900, 600, 90), "enclosure"), box("lid", (0, 0, 90), (900, 600, 93), "lid"))
    assert len({ring.of for ring in rings}) == len(rings) == 2
