"""Insulation that grows, and floating metal bridged through open air: both make a way over surfaces shorter."""

from __future__ import annotations

import pytest
from engine_layouts import findings

from fitcheck.findings import Finding, Status
from fitcheck.model.part import State

ELECTRICAL = "electrical: {potentials: {plus: 400 V, minus: 0 V}, impulse: 2.5 kV, pollution_degree: 2, %s}\n"

GROOVE = """
parts:
  base: {role: insulator, change: new, material_group: IIIa, low_corner: [0, 0, -12], shape: {box: [60, 30, 10]}}
  left:
    {role: insulator, change: new, material_group: IIIa, low_corner: [0, 0, -2], shape: {box: [20, 30, 2]},
     grows: {x: %s}}
  right: {role: insulator, change: new, material_group: IIIa, low_corner: [21.2, 0, -2], shape: {box: [20, 30, 2]}}
  a: {role: terminal, change: new, potential: plus, shape: {box: [5, 6, 4]}, low_corner: [13.6, 12, 0]}
  b: {role: terminal, change: new, potential: minus, shape: {box: [5, 6, 4]}, low_corner: [22.2, 12, 0]}
"""

PLATE = """
parts:
  block: {role: insulator, change: new, material_group: IIIa, low_corner: [0, 0, -10], shape: {box: [60, 30, 10]}}
  pillar: {role: insulator, change: new, material_group: IIIa, low_corner: [23, 12, 0], shape: {box: [2, 6, 2]}}
  a: {role: terminal, change: new, potential: plus, shape: {box: [5, 6, 4]}, low_corner: [10, 12, 0]}
  plate: {role: other, change: new, material: copper, shape: {box: [10, 6, 4]}, low_corner: [15.5, 12, 2]}
  b: {role: terminal, change: new, potential: minus, shape: {box: [5, 6, 4]}, low_corner: [%s, 12, 0]}
"""


def creepage(text: str, more: str) -> list[Finding]:
    return [one for one in findings(text + ELECTRICAL % more, "creepage") if sorted(one.parts) == ["a", "b"]]


def test_a_groove_that_insulation_closes_as_it_grows_is_judged_at_the_end_of_life() -> None:
    """1.2 mm wide when new, 0.8 mm when grown by 4 %: below X it is bridged, while the terminals stand still."""
    young, old = creepage(GROOVE % "4 %", "insulation: basic")
    assert (young.state, young.status) == (State.BEGINNING, Status.MET)
    assert (old.state, old.status) == (State.END, Status.NOT_MET)
    assert old.band is not None
    assert old.band.value == pytest.approx(3.6, abs=1e-6)
    assert young.band is not None
    assert young.band.value == pytest.approx(1.4 + 2.0 + 1.2 + 2.0 + 1.0, abs=1e-6)


def test_insulation_that_does_not_grow_is_judged_once() -> None:
    (only,) = creepage(GROOVE.replace(",\n     grows: {x: %s}", ""), "insulation: basic")
    assert only.state is State.BEGINNING


def test_floating_metal_half_a_millimetre_off_in_open_air_is_bridged() -> None:
    """0.5 mm of air to the plate counts nothing; from it 2 mm down its pillar and 4 mm along the block."""
    (found,) = creepage(PLATE % "29", "cemented: [[block, pillar]]")
    assert found.band is not None
    assert found.band.low <= 6.0 + 1e-9
    assert found.band.value == pytest.approx(6.0, abs=1e-6)


def test_floating_metal_near_both_in_open_air_leaves_no_way_at_all() -> None:
    (found,) = creepage(PLATE % "26", "cemented: [[block, pillar]]")
    assert found.status is Status.NOT_MET
    assert found.band is not None
    assert found.band.low == found.band.value == 0.0
