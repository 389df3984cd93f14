"""JCGM 100:2008 ("GUM"), the measuring instruments directive's tape classes, and a tape reading worked by hand."""

from __future__ import annotations

import pytest
from scipy.stats import t as student

from fitcheck.standards.instruments import half_width
from fitcheck.standards.spread import STUDENT_T_95, reading_band, student_t_95

GUM_4_4_3 = (
    96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68, 100.95, 101.11,
    101.20, 101.57, 101.84, 102.36, 102.72,
)  # fmt: skip


def test_gum_4_4_3_twenty_temperature_readings():
    """JCGM 100:2008, 4.4.3: mean 100.145, standard deviation of the mean 0.333; t for 19 degrees of freedom 2.093."""
    band = reading_band(GUM_4_4_3, 0)
    assert band.mean == pytest.approx(100.145, abs=5e-4)
    assert band.half_width == pytest.approx(0.332916 * 2.093, abs=1e-5)


@pytest.mark.parametrize(("freedom", "t"), STUDENT_T_95)
def test_gum_table_g_2_against_the_distribution(freedom, t):
    assert round(float(student.ppf(0.975, freedom)), 3) == t


def test_gum_g_4_1_student_t():
    """JCGM 100:2008, G.4.1: 2.09 for 19 effective degrees of freedom."""
    assert round(student_t_95(19), 2) == 2.09


@pytest.mark.parametrize(("length_m", "error"), [(1, 0.5), (5, 1.3), (10, 2.3)])
def test_class_ii_tape(length_m, error):
    """2014/32/EU annex X, class II: 1.3 mm at 5 m, 2.3 mm at 10 m; our default adds 1.0 mm of reading."""
    assert half_width("tape", "length", 1000 * length_m) == pytest.approx(error + 1.0, abs=1e-12)


def test_five_tape_readings_by_hand():
    """Expanded uncertainty of these readings, k = 2, is 0.829 mm; the default bound of a tape is wider."""
    readings = (412.3, 412.5, 412.2, 412.4, 412.6)
    band = reading_band(readings, half_width("tape", "length", 412.4))
    assert band.mean == pytest.approx(412.4, abs=1e-9)
    assert band.half_width == pytest.approx(0.0707107 * 2.776 + 1.5, abs=1e-6)
    assert band.half_width > 0.829
