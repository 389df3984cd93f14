"""Frames: conversions there and back, mirrored sets refused, datums never mixed."""

from __future__ import annotations

from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.vehicle.frames import (
    DIRECTIONS,
    CaseInVehicle,
    CasePoint,
    ForwardLeftUp,
    ForwardRightDown,
    MirroredFrame,
    VehiclePoint,
    from_forward_left_up,
    from_forward_right_down,
    rotation_of,
    tensor_to_forward_left_up,
    tensor_to_forward_right_down,
    to_forward_left_up,
    to_forward_right_down,
)

PAIRS = (("rearward", "forward"), ("right", "left"), ("up", "down"))
coordinates = st.floats(-5000, 5000)
points = st.builds(VehiclePoint, coordinates, coordinates, coordinates)


def test_iso_8855_of_a_point_behind_and_right():
    assert to_forward_left_up(VehiclePoint(1200, 10, 540)) == ForwardLeftUp(-1200, -10, 540)
    assert to_forward_right_down(VehiclePoint(1200, 10, 540)) == ForwardRightDown(-1200, 10, -540)


@given(points, points)
def test_there_and_back(point, zero):
    for there, back in (
        (to_forward_left_up, from_forward_left_up),
        (to_forward_right_down, from_forward_right_down),
    ):
        assert back(there(point, zero), zero).three == pytest.approx(point.three, abs=1e-9)


ALL_AXES = [words for order in permutations(PAIRS) for words in product(*order)]


def is_mirrored(axes: tuple[str, str, str]) -> bool:
    return np.linalg.det(np.array([DIRECTIONS[word] for word in axes])) < 0.0


def test_half_of_all_axes_are_mirrored():
    assert (len(ALL_AXES), sum(map(is_mirrored, ALL_AXES))) == (48, 24)


@pytest.mark.parametrize("axes", [axes for axes in ALL_AXES if is_mirrored(axes)])
def test_a_mirrored_set_is_refused(axes):
    with pytest.raises(MirroredFrame, match=r"mirrored[^\n]*\n    mend:"):
        rotation_of(axes)


@pytest.mark.parametrize("axes", [axes for axes in ALL_AXES if not is_mirrored(axes)])
def test_a_right_handed_set_turns_its_axes_where_they_point(axes):
    rotation = np.array(rotation_of(axes))
    for index, word in enumerate(axes):
        np.testing.assert_array_equal(rotation @ np.eye(3)[index], DIRECTIONS[word])


def test_two_axes_along_one_line_are_no_set():
    with pytest.raises(MirroredFrame, match="no set of three"):
        rotation_of(("rearward", "forward", "up"))


def test_points_of_two_frames_have_no_difference():
    with pytest.raises(TypeError, match="other datum"):
        CasePoint(0, 0, 0) - VehiclePoint(0, 0, 0)
    assert CasePoint(1, 2, 3) != VehiclePoint(1, 2, 3)
    assert VehiclePoint(3, 2, 1) - VehiclePoint(1, 1, 1) == (2, 1, 0)


def test_a_case_that_looks_forward_and_left():
    case = CaseInVehicle(rotation=rotation_of(("forward", "left", "up")), datum=VehiclePoint(900, -300, 200))
    assert case.point(CasePoint(100, 20, 5)) == VehiclePoint(800, -320, 205)


@given(
    points,
    points,
    st.sampled_from([("rearward", "right", "up"), ("left", "forward", "down"), ("up", "left", "rearward")]),
)
def test_case_points_come_back(point, datum, axes):
    try:
        rotation = rotation_of(axes)
    except MirroredFrame:
        rotation = rotation_of((axes[1], axes[0], axes[2]))
    case = CaseInVehicle(rotation=rotation, datum=datum)
    assert case.point(case.back(point)).three == pytest.approx(point.three, abs=1e-9)


def test_products_of_inertia_change_sign_with_one_axis_and_come_back():
    tensor = ((1.0, -0.1, 0.2), (-0.1, 2.0, 0.3), (0.2, 0.3, 3.0))
    assert tensor_to_forward_left_up(tensor) == ((1.0, -0.1, -0.2), (-0.1, 2.0, -0.3), (-0.2, -0.3, 3.0))
    assert tensor_to_forward_right_down(tensor) == ((1.0, 0.1, 0.2), (0.1, 2.0, -0.3), (0.2, -0.3, 3.0))
    for convert in (tensor_to_forward_left_up, tensor_to_forward_right_down):
        assert convert(convert(tensor)) == tensor
