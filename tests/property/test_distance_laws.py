"""Laws of distance: either way round, wherever the assembly stands, as hull or mesh, and never more for more room."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from fitcheck.geometry.convex import Hull, box, highest, lowest, separation
from fitcheck.geometry.facet_distance import nearest
from fitcheck.geometry.facets import FacetTree
from fitcheck.geometry.solid_facets import box_facets

FACES = box_facets([1, 1, 1]).faces
HERE = (np.eye(3), np.zeros(3))

triples = st.tuples(*[st.floats(-200, 200)] * 3).map(np.array)
sizes = st.tuples(*[st.floats(0.1, 90)] * 3).map(np.array)
turns = st.tuples(*[st.floats(-3, 3)] * 3).map(lambda vector: Rotation.from_rotvec(vector).as_matrix())


@st.composite
def boxes(draw: st.DrawFn) -> Hull:
    return box(draw(triples), draw(sizes), rotation=draw(turns))


def moved(hull: Hull, turn: np.ndarray, shift: np.ndarray) -> Hull:
    assert hull.box is not None
    return box(turn @ hull.box[0] + shift, hull.box[3], rotation=turn @ hull.box[2])


@given(boxes(), boxes())
def test_distance_is_the_same_either_way_round(a: Hull, b: Hull) -> None:
    one, other = separation(a, b), separation(b, a)
    assert one.distance == pytest.approx(other.distance, abs=1e-9)
    assert max(one.error, other.error) <= 1e-9


@given(boxes(), boxes(), turns, triples)
def test_distance_ignores_where_the_assembly_stands(a: Hull, b: Hull, turn: np.ndarray, shift: np.ndarray) -> None:
    assert separation(moved(a, turn, shift), moved(b, turn, shift)).distance == pytest.approx(
        separation(a, b).distance, abs=1e-9
    )


@given(boxes(), boxes())
def test_hull_and_mesh_of_the_same_boxes_agree(a: Hull, b: Hull) -> None:
    as_hulls = separation(a, b).distance
    as_meshes = nearest(FacetTree(a.points, FACES), HERE, FacetTree(b.points, FACES), HERE)
    assert as_meshes is not None
    if as_hulls > 0.0:
        assert as_meshes.distance == pytest.approx(as_hulls, abs=1e-9)


@given(boxes(), boxes(), st.floats(0, 50))
def test_parting_along_the_direction_adds_just_that_much(a: Hull, b: Hull, more: float) -> None:
    found = separation(a, b)
    farther = moved(b, np.eye(3), more * np.array(found.direction))
    if found.distance > 0.0:
        assert separation(a, farther).distance == pytest.approx(found.distance + more, abs=1e-8)
    else:
        assert separation(a, farther).distance >= found.distance + more - 1e-8


@settings(max_examples=40)
@given(boxes(), boxes(), st.lists(triples, min_size=1, max_size=3), st.floats(0.0, 0.01), st.floats(1.0, 3.0))
def test_wider_bands_never_narrow_the_bounds(a: Hull, b: Hull, shifts: list, band: float, wider: float) -> None:
    moves = np.array(shifts)
    free = box(b.box[0], b.box[3], rotation=b.box[2], centre_moves=moves)
    still = box(a.box[0], a.box[3], rotation=a.box[2], centre_moves=0 * moves)
    narrow = np.full(len(moves), band)
    distance = separation(a, b).distance
    low, high = lowest(still, free, narrow, narrow), highest(still, free, narrow, narrow)
    assert low <= distance + 1e-7
    assert high >= distance - 1e-7
    assert lowest(still, free, wider * narrow, wider * narrow) <= low + 1e-7
    assert highest(still, free, wider * narrow, wider * narrow) >= high - 1e-7


@given(boxes(), boxes(), st.floats(0, 5))
def test_slack_of_a_mesh_takes_off_at_most_its_diagonal(a: Hull, b: Hull, play: float) -> None:
    slack = np.array([[-play] * 3, [play] * 3])
    found = nearest(FacetTree(a.points, FACES), HERE, FacetTree(b.points, FACES), HERE, slack=slack)
    assert found is not None
    assert found.low <= found.distance
    assert found.low >= max(found.distance - np.sqrt(3.0) * play, 0.0) - 1e-8
