"""What a way within reach can touch: cut out, counted from its own place, and searched no differently."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fitcheck.geometry.solid_facets import bar_facets, box_facets
from fitcheck.geometry.surface_paths.cells import faces_of
from fitcheck.geometry.surface_paths.near import Near, near
from fitcheck.geometry.surface_paths.search import Found, ground_of, search

NARROW = 1.0


def box(corner, size):
    drawn = box_facets(size)
    return drawn.vertices + np.array(corner, dtype=float), drawn.faces


def metal(corner, size):
    vertices, faces = box(corner, size)
    return [vertices[faces]]


def board(shift, *, long: float = 100.0) -> tuple[list, list, tuple]:
    """A board with a rib on it and a terminal on either side."""
    x, y, z = shift
    faces, loose = faces_of([box([x - 50, y - 50, z - 5], [long, 100, 5]), box([x + 4, y - 50, z], [2, 100, 4])])
    ends = metal([x, y, z], [3, 3, 3]), metal([x + 7, y, z], [3, 3, 3])
    return faces, loose, ends


def found_in(place: Near) -> Found:
    return search(ground_of(place.cells(NARROW), place.metal, NARROW), accuracy=0.05)


def test_two_places_that_are_alike_have_one_key_wherever_they_stand() -> None:
    first = near(*board([0, 0, 0]), 15.0, NARROW)
    second = near(*board([130.1, -70.3, 11.7]), 15.0, NARROW)
    assert first.key() == second.key()
    assert second.origin - first.origin == pytest.approx([130.1, -70.3, 11.7])


def test_what_lies_beyond_reach_does_not_change_the_key_and_what_lies_within_does() -> None:
    keys = [near(*board([0, 0, 0], long=long), 15.0, NARROW).key() for long in (100.0, 140.0, 58.0)]
    assert keys[0] == keys[1]
    assert keys[0] != keys[2], "the board ends 2 mm behind the rib"


def test_a_way_within_reach_has_the_same_bounds_as_among_all_surfaces() -> None:
    faces, loose, ends = board([0, 0, 0])
    part, whole = near(faces, loose, ends, 15.0, NARROW), near(faces, loose, ends, math.inf, NARROW)
    assert whole.whole
    assert not part.whole
    assert max(np.abs(face.raised(np.asarray(face.outline.exterior.coords))).max() for face in part.faces) < 20.0
    for found in (found_in(part), found_in(whole)):
        # Through the joint under the rib: 4 mm straight on, for nothing is cemented.
        assert found.low <= 4.0 <= found.high + 1e-6
        assert found.high == pytest.approx(4.0, abs=0.2)


def test_a_long_conductor_is_cut_to_what_reaches_the_other_and_stays_closed() -> None:
    faces, loose, _ = board([0, 0, 0])
    drawn = bar_facets(6.0, 400.0, 1)
    long = [(drawn.vertices + np.array([0.0, -200.0, 3.0]))[drawn.faces]]
    other = metal([7, 0, 0], [3, 3, 3])
    place = near(faces, loose, (long, other), 12.0, NARROW)
    ((kept,), (whole,)) = place.metal
    points = kept.reshape(-1, 3) + place.origin
    # The other reaches from y = 0 to 3; the gap across is 4, less what flat sides stand out.
    assert points[:, 1].min() == pytest.approx(-math.sqrt(12.0**2 - 4.0**2), abs=0.01)
    assert points[:, 1].max() == pytest.approx(3.0 + math.sqrt(12.0**2 - 4.0**2), abs=0.01)
    edges = np.sort(np.concatenate([kept[:, [0, 1]], kept[:, [1, 2]], kept[:, [2, 0]]]).reshape(-1, 2, 3), axis=1)
    _, counts = np.unique(edges.round(6).reshape(len(edges), -1), axis=0, return_counts=True)
    assert (counts == 2).all(), "each edge belongs to two triangles"
    assert len(whole) == 12
