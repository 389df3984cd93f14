"""The rules of thumb against the figures as read: a design page of one cutting shop (hole once, rim one and a half
times, web once the thickness, never below 1 mm), and the resource page of another (scoring above 10 mm steel, 6 mm
stainless, 4 mm aluminium; 0.1 mm off at 0.5 mm, 1.1 mm at 25 mm)."""

from __future__ import annotations

import pytest

from fitcheck.errors import OutsideTable
from fitcheck.standards.laser_cut import CLEAN_EDGES, EDGE, HOLE, WEB, accuracy_mm, clean_edge


@pytest.mark.parametrize(("rule", "at_5", "at_half"), [(HOLE, 5.0, 1.0), (EDGE, 7.5, 0.75), (WEB, 5.0, 0.5)])
def test_the_rules_as_read(rule, at_5, at_half):
    assert rule.least(5.0) == at_5
    assert rule.least(0.5) == at_half


def test_every_row_says_how_it_was_read():
    for row in (HOLE, EDGE, WEB, *CLEAN_EDGES):
        assert "read on" in row.source.verified
        assert row.source.document


@pytest.mark.parametrize(
    ("material", "up_to"), [("stainless steel 304", 6.0), ("aluminium 6061", 4.0), ("mild steel", 10.0)]
)
def test_how_thick_a_metal_cuts_cleanly(material, up_to):
    assert clean_edge(material).up_to_mm == up_to


def test_outside_the_rows_it_refuses():
    with pytest.raises(OutsideTable):
        clean_edge("copper")
    with pytest.raises(OutsideTable):
        accuracy_mm(25.1)


def test_how_far_a_cut_may_be_off_is_never_understated():
    assert accuracy_mm(0.5) == 0.1
    assert accuracy_mm(3.0) == accuracy_mm(25.0) == 1.1
