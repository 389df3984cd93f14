from __future__ import annotations

import numpy as np
import pytest

from fitcheck.placing.rotation import IDENTITY, about, in_order, is_quarter, product


@pytest.mark.parametrize(
    ("axis", "start", "end"),
    [(0, (0, 1, 0), (0, 0, 1)), (1, (0, 0, 1), (1, 0, 0)), (2, (1, 0, 0), (0, 1, 0))],
)
def test_quarter_turns_are_exact_and_right_handed(
    axis: int, start: tuple[int, int, int], end: tuple[int, int, int]
) -> None:
    assert tuple(np.array(about(axis, 90.0)) @ start) == end
    assert tuple(np.array(about(axis, -270.0)) @ start) == end


@pytest.mark.parametrize("axis", range(3))
@pytest.mark.parametrize("degrees", [0.0, 33.0, 90.0, 180.0, 270.0, -12.5, 450.0, 1e-9])
def test_every_turn_is_a_rotation(axis: int, degrees: float) -> None:
    matrix = np.array(about(axis, degrees))
    assert matrix @ matrix.T == pytest.approx(np.eye(3), abs=1e-15)
    assert np.linalg.det(matrix) == pytest.approx(1.0, abs=1e-15)


def test_turns_are_applied_in_their_order() -> None:
    both = in_order([about(2, 90.0), about(0, 90.0)])
    # x goes to y with the first, and from there to z with the second.
    assert tuple(np.array(both) @ (1, 0, 0)) == (0.0, 0.0, 1.0)
    assert both == product(about(0, 90.0), about(2, 90.0))
    assert in_order([]) == IDENTITY


def test_only_whole_quarters_are_quarters() -> None:
    assert is_quarter(in_order([about(2, 90.0), about(0, 180.0)]))
    assert not is_quarter(about(2, 90.001))
    assert all(str(entry) != "-0.0" for row in about(2, 180.0) for entry in row)
