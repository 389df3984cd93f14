"""UN R100 (03 series) annex 9C plateaus, the Australian conversion code's restraint, ADR 43 clearance figures."""

from __future__ import annotations

import pytest

from fitcheck.standards.restraint import force_n, restraint, shock_plateau
from fitcheck.standards.rule_cards import card, midway_clearance_mm


@pytest.mark.parametrize(
    ("category", "longitudinal", "transverse"),
    [("M1", 20, 8), ("N1", 20, 8), ("M2", 10, 5), ("N2", 10, 5), ("M3", 6.6, 5), ("n3", 6.6, 5)],
)
def test_un_r100_annex_9c(category, longitudinal, transverse):
    """Tables 1 to 3, minimum curve between points B and C."""
    row = shock_plateau(category)
    assert (row.longitudinal_g, row.transverse_g) == (longitudinal, transverse)


@pytest.mark.parametrize(("direction", "g"), [("front", 20), ("side", 15), ("rear", 10), ("vertical", 10)])
def test_conversion_code_restraint(direction, g):
    """VSB 14 / NCOP14; only the forward figure was read, the others are from memory."""
    assert restraint(direction).g == g


@pytest.mark.parametrize(
    ("mass", "g", "force"),
    [(250, 20, 49033.25), (250, 15, 36774.94), (250, 10, 24516.63), (290, 20, 56878.57)],
)
def test_forces(mass, g, force):
    """Worked with standard gravity 9.80665 m/s2."""
    assert force_n(mass, g) == pytest.approx(force, abs=0.006)


@pytest.mark.parametrize(("wheelbase", "clearance"), [(2700, 90), (3000, 100)])
def test_clearance_midway_between_axles(wheelbase, clearance):
    """ADR 43: one thirtieth of the axle spacing, 33.33 mm a metre; near an axle 100 mm."""
    assert midway_clearance_mm(wheelbase) == pytest.approx(clearance, abs=1e-9)
    assert card("ground clearance near axle AU").figure == 100
