from __future__ import annotations

import math

import pytest

from fitcheck.standards.sheet_bend import K_LEAST, K_MOST, allowance_mm, unsure_mm


def test_in_the_middle_of_the_sheet_a_bend_is_as_long_as_the_mean_of_its_two_faces():
    inner, outer = (math.pi / 2.0 * radius for radius in (3.0, 5.0))
    assert allowance_mm(radius_mm=3.0, thickness_mm=2.0, k=0.5) == pytest.approx((inner + outer) / 2.0, abs=1e-12)
    assert allowance_mm(radius_mm=3.0, thickness_mm=2.0, k=0.0) == pytest.approx(inner, abs=1e-12)


@pytest.mark.parametrize("radius", [0.5, 3.0, 20.0])
def test_what_is_unsure_of_a_bend_does_not_hang_on_its_radius(radius):
    ends = [allowance_mm(radius_mm=radius, thickness_mm=2.0, k=k) for k in (K_LEAST, K_MOST)]
    assert ends[1] - ends[0] == pytest.approx(unsure_mm(2.0), abs=1e-12)


def test_the_worked_figure():
    """A quarter circle, 0.2 of 2 mm: 1.5708 x 0.4 = 0.628."""
    assert unsure_mm(2.0) == pytest.approx(0.6283, abs=1e-4)
    assert unsure_mm(2.0, degrees=45.0) == pytest.approx(0.3142, abs=1e-4)
