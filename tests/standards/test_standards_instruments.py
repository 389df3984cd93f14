"""Default uncertainties: each word speaks for its own kinds only, and never for too little."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import OutsideTable
from fitcheck.standards.general_tolerances import linear_pm
from fitcheck.standards.instruments import INSTRUMENTS, KNOWN_BY, half_width, instrument

KINDS = ("length", "mass", "angle", "voltage", "resistance")

SPEAKS_FOR = {
    "tape": {"length"},
    "steel rule": {"length"},
    "caliper": {"length"},
    "feeler": {"length"},
    "weighing": {"mass"},
    "meter": {"voltage", "resistance"},
    "scan": {"length", "angle"},
    "data sheet": {"length", "mass", "voltage"},
    "rating plate": {"mass", "voltage"},
    "supplier file": {"length", "mass", "angle"},
    "drawing": set(),
    "guess": set(),
}


def test_every_word_of_the_layout_format_is_known():
    assert set(KNOWN_BY) == set(SPEAKS_FOR)


@pytest.mark.parametrize("known_by", KNOWN_BY)
def test_each_speaks_only_for_what_it_measures(known_by):
    assert {kind for kind in KINDS if half_width(known_by, kind, 100) is not None} == SPEAKS_FOR[known_by]


@pytest.mark.parametrize(
    ("known_by", "kind", "value", "expected"),
    [
        ("tape", "length", 160, 1.5),
        ("tape", "length", 1000, 1.5),
        ("tape", "length", 1310, 1.7),
        ("steel rule", "length", 300, 0.7),
        ("caliper", "length", 110, 0.111),
        ("feeler", "length", 4.8, 0.098),
        ("weighing", "mass", 13.2, 0.232),
        ("meter", "voltage", 294, 3.04),
        ("meter", "resistance", 0.2, 0.02),
        ("scan", "length", 640, 1.14),
        ("scan", "angle", 90, 0.5),
        ("data sheet", "length", 410, 1.32),
        ("data sheet", "mass", 13.2, 0.396),
        ("rating plate", "mass", 200, 6.0),
        ("rating plate", "voltage", 300, 3.0),
        ("supplier file", "length", 640, 1.14),
        ("supplier file", "mass", 10, 0.5),
    ],
)
def test_the_figures(known_by, kind, value, expected):
    assert half_width(known_by, kind, value) == pytest.approx(expected, abs=1e-12)


def test_an_unknown_word_is_refused():
    with pytest.raises(OutsideTable, match="eye"):
        half_width("eye", "length", 10)
    with pytest.raises(OutsideTable, match="eye"):
        instrument("eye")


def test_every_instrument_says_where_its_figure_comes_from():
    assert all(row.source.verified and row.says for row in INSTRUMENTS)
    assert instrument("caliper").source.verified == "fitcheck's own cautious choice, no source"
    assert "MI-008" in instrument("tape").source.document


@given(st.sampled_from(KNOWN_BY), st.sampled_from(KINDS), st.floats(-1e6, 1e6), st.floats(0, 1e6))
def test_the_sign_does_not_matter_and_more_is_never_known_better(known_by, kind, value, more):
    here = half_width(known_by, kind, value)
    assert here == half_width(known_by, kind, -value)
    if here is not None:
        assert 0 <= here <= half_width(known_by, kind, abs(value) + more)


@given(st.floats(0.5, 4000))
def test_a_supplier_file_is_never_taken_as_better_than_iso_2768_m(size):
    assert half_width("supplier file", "length", size) >= linear_pm(size, "m")
