"""Several readings of one size: spread and instrument added."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import OutsideTable
from fitcheck.standards.spread import reading_band, student_t_95


def test_one_reading_has_the_instruments_band_alone():
    band = reading_band([4.8], 0.1)
    assert (band.mean, band.half_width) == (4.8, 0.1)


def test_two_readings_by_hand():
    """Standard deviation 0.0707107, of the mean 0.05, t for one degree of freedom 12.706."""
    band = reading_band([110.4, 110.5], 0.11)
    assert band.mean == pytest.approx(110.45, abs=1e-12)
    assert band.half_width == pytest.approx(12.706 * 0.05 + 0.11, abs=1e-9)


@pytest.mark.parametrize(("freedom", "t"), [(1, 12.706), (30, 2.042), (34, 2.042), (35, 2.030), (5000, 1.984)])
def test_between_rows_the_larger_t_counts(freedom, t):
    assert student_t_95(freedom) == t


def test_too_few_readings_are_refused():
    with pytest.raises(OutsideTable):
        student_t_95(0)
    with pytest.raises(OutsideTable):
        reading_band([], 0.1)


@given(st.lists(st.floats(0, 1000), min_size=1, max_size=12), st.floats(0, 5))
def test_the_band_is_never_narrower_than_the_instrument(readings, instrument):
    assert reading_band(readings, instrument).half_width >= instrument
