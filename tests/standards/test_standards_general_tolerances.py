"""General tolerances: which words are understood, and where the tables refuse."""

from __future__ import annotations

import math

import pytest

from fitcheck.errors import OutsideTable
from fitcheck.standards.general_tolerances import (
    ANGULAR,
    GRADES,
    LINEAR,
    RADII,
    angular_pm_deg,
    linear_pm,
    parse,
    radius_pm,
)


@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("ISO 2768-m", "m"),
        ("ISO 2768-f", "f"),
        ("ISO 2768-c", "c"),
        ("ISO 2768-v", "v"),
        ("iso 2768-M", "m"),
        ("ISO2768-1-m", "m"),
        ("ISO 2768-1 m", "m"),
        (" ISO 2768 - m ", "m"),
        ("ISO 2768", None),
        ("ISO 2768-x", None),
        ("ISO 2768-2-m", None),
        ("ISO 2768-mm", None),
        ("ISO 286-m", None),
        ("m", None),
        ("", None),
    ],
)
def test_which_words_name_a_grade(text, grade):
    assert parse(text) == grade


@pytest.mark.parametrize(
    ("size", "grade", "half_width"), [(3, "m", 0.1), (3.0001, "c", 0.3), (6, "c", 0.3), (6.0001, "c", 0.5)]
)
def test_a_size_on_the_bound_belongs_to_the_lower_band(size, grade, half_width):
    assert linear_pm(size, grade) == half_width


@pytest.mark.parametrize("size", [-5, 0, 0.499, 4000.1, math.inf, math.nan])
@pytest.mark.parametrize("grade", GRADES)
def test_linear_sizes_outside_the_table_are_refused(size, grade):
    with pytest.raises(OutsideTable, match="outside the table"):
        linear_pm(size, grade)


@pytest.mark.parametrize(("size", "grade"), [(2000.1, "f"), (4000, "f"), (0.5, "v"), (3, "v")])
def test_an_empty_cell_is_refused(size, grade):
    with pytest.raises(OutsideTable, match=f"no tolerance in grade {grade}"):
        linear_pm(size, grade)


@pytest.mark.parametrize("grade", ["", "M", "fm", "k"])
def test_an_unknown_grade_is_refused(grade):
    with pytest.raises(OutsideTable, match="no grade"):
        linear_pm(10, grade)


def test_radii_and_angles_have_no_upper_end_but_a_lower_one():
    assert radius_pm(5000, "m") == 1
    assert angular_pm_deg(5000, "m") == pytest.approx(5 / 60, abs=1e-15)
    with pytest.raises(OutsideTable):
        radius_pm(0.4, "m")
    with pytest.raises(OutsideTable):
        angular_pm_deg(0, "m")


@pytest.mark.parametrize("rows", [LINEAR, RADII, ANGULAR])
def test_bands_join_without_holes_and_name_their_source(rows):
    assert [row.up_to for row in rows[:-1]] == [row.over for row in rows[1:]]
    assert all(row.source.document == "ISO 2768-1:1989" and row.source.verified for row in rows)


@pytest.mark.parametrize("rows", [LINEAR, RADII, ANGULAR])
def test_a_coarser_grade_is_never_tighter(rows):
    for row in rows:
        given = [half_width for half_width in row.half_widths if half_width is not None]
        assert given == sorted(given)
        assert len(given) >= 3
