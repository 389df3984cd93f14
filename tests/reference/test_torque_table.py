"""Preload and torque of class 8.8 at 90 % of yield, in the style of VDI 2230-1 table A1."""

from __future__ import annotations

import pytest

from fitcheck.standards.fasteners import thread
from fitcheck.standards.torque import PUBLISHED, full_preload_n, full_torque_nm


@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: f"{row.thread}-{row.friction}")
def test_the_closed_formula_gives_the_table_within_3_per_cent(row):
    screw = thread(row.thread)
    assert full_preload_n(screw, "8.8", row.friction) / 1000 == pytest.approx(row.preload_kn, rel=0.01)
    assert full_torque_nm(screw, "8.8", row.friction) == pytest.approx(row.torque_nm, rel=0.03)


def test_m12_preload_read_on_a_public_page():
    """A fastener maker's page: 41.9 kN for M12, class 8.8, friction 0.14."""
    assert full_preload_n(thread("M12"), "8.8", 0.14) == pytest.approx(41_900, rel=0.005)
