from __future__ import annotations

import pytest

from fitcheck.placing.forms import root_sum_square
from fitcheck.placing.pair import least_falls


def test_the_pair_that_falls_lowest_counts_not_the_nearest_at_nominal() -> None:
    falls = least_falls([(1.0, {"a": -0.1}), (1.2, {"b": -0.6, "c": -0.8})])
    assert 1.0 - root_sum_square(falls.values()) == pytest.approx(1.2 - 1.0, abs=1e-12)
    assert set(falls) == {"b", "c"}


def test_the_nearest_counts_where_it_also_falls_lowest() -> None:
    assert least_falls([(1.0, {"a": -0.5}), (2.0, {"b": -0.5})]) == {"a": -0.5}
    assert least_falls([(1.0, {}), (2.0, {"b": -0.5})]) == {}
