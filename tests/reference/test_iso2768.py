"""ISO 2768-1:1989, tables 1 to 3, as quoted on two German reference pages and others."""

from __future__ import annotations

import pytest

from fitcheck.standards.general_tolerances import angular_pm_deg, linear_pm, radius_pm

# Up to (mm): f, m, c, v.
TABLE_1 = {
    3: (0.05, 0.1, 0.2, None),
    6: (0.05, 0.1, 0.3, 0.5),
    30: (0.1, 0.2, 0.5, 1.0),
    120: (0.15, 0.3, 0.8, 1.5),
    400: (0.2, 0.5, 1.2, 2.5),
    1000: (0.3, 0.8, 2.0, 4.0),
    2000: (0.5, 1.2, 3.0, 6.0),
    4000: (None, 2.0, 4.0, 8.0),
}
TABLE_2 = {3: (0.2, 0.2, 0.4, 0.4), 6: (0.5, 0.5, 1.0, 1.0), 100: (1.0, 1.0, 2.0, 2.0)}
# Shorter leg up to (mm): degrees and minutes by f, m, c, v.
TABLE_3 = {
    10: ((1, 0), (1, 0), (1, 30), (3, 0)),
    50: ((0, 30), (0, 30), (1, 0), (2, 0)),
    120: ((0, 20), (0, 20), (0, 30), (1, 0)),
    400: ((0, 10), (0, 10), (0, 15), (0, 30)),
    1000: ((0, 5), (0, 5), (0, 10), (0, 20)),
}


@pytest.mark.parametrize("up_to", TABLE_1)
def test_table_1_linear_sizes(up_to):
    """Every filled cell, at the upper end of its band and just inside its lower end."""
    lower_end = max((bound for bound in TABLE_1 if bound < up_to), default=0.49)
    for grade, expected in zip("fmcv", TABLE_1[up_to], strict=True):
        if expected is not None:
            assert linear_pm(up_to, grade) == expected
            assert linear_pm(lower_end + 0.01, grade) == expected


@pytest.mark.parametrize("up_to", TABLE_2)
def test_table_2_radii_and_chamfers(up_to):
    for grade, expected in zip("fmcv", TABLE_2[up_to], strict=True):
        assert radius_pm(up_to, grade) == expected


@pytest.mark.parametrize("up_to", TABLE_3)
def test_table_3_angles(up_to):
    for grade, (degrees, minutes) in zip("fmcv", TABLE_3[up_to], strict=True):
        assert angular_pm_deg(up_to, grade) == pytest.approx(degrees + minutes / 60, abs=1e-12)


def test_eight_modules_in_a_case():
    """Worked by hand: eight modules of 148 mm in a case of 1200 mm, grade m: worst case 5.2, by squares 1.8547."""
    case, module = linear_pm(1200, "m"), linear_pm(148, "m")
    assert case + 8 * module == pytest.approx(5.2, abs=1e-12)
    assert (case**2 + 8 * module**2) ** 0.5 == pytest.approx(1.8547237, abs=1e-7)
