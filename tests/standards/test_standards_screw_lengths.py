"""Screw lengths: what is made, and how far one screw may be off."""

from __future__ import annotations

import pytest

from fitcheck.errors import OutsideTable
from fitcheck.standards.screw_lengths import (
    AVOIDED,
    PREFERRED,
    RANGES,
    TOLERANCES,
    length_pm,
    length_range,
    lengths,
)


def test_the_lengths_of_a_range_are_the_preferred_ones_inside_it():
    assert lengths("iso 4014", "M8") == (40, 45, 50, 55, 60, 65, 70, 80)
    for row in RANGES:
        made = lengths(row.standard, row.thread)
        assert (made[0], made[-1]) == (row.shortest, row.longest)


@pytest.mark.parametrize(("standard", "thread"), [("ISO 4762", "M14"), ("ISO 7380", "M8"), ("ISO 1207", "M12")])
def test_other_screws_are_refused(standard, thread):
    with pytest.raises(OutsideTable, match="ISO 4762"):
        length_range(standard, thread)


def test_the_list_ascends_and_what_is_better_avoided_is_kept_apart():
    assert list(PREFERRED) == sorted(set(PREFERRED))
    assert set(AVOIDED) & set(PREFERRED) == {55, 65}


@pytest.mark.parametrize(
    ("length", "half_width"), [(3.1, 0.24), (6, 0.24), (50, 0.5), (70, 0.6), (150, 0.8), (160, 2.0), (200, 2.3)]
)
def test_the_tolerance_changes_from_js15_to_js17_above_150(length, half_width):
    assert length_pm(length) == half_width


@pytest.mark.parametrize("length", [0, 3, 250.1])
def test_lengths_outside_the_tolerance_table_are_refused(length):
    with pytest.raises(OutsideTable):
        length_pm(length)


def test_every_preferred_length_has_a_tolerance():
    assert all(0 < length_pm(length) < 3 for length in PREFERRED)
    assert [row.up_to for row in TOLERANCES[:-1]] == [row.over for row in TOLERANCES[1:]]
