"""Rule sets side by side: each judges the pairs it speaks of, with its own citation."""

from __future__ import annotations

import pytest
from engine_layouts import study

from fitcheck.checks import clearance, creepage
from fitcheck.findings import Finding, Status
from fitcheck.model.part import Build
from fitcheck.report.wording import subject

BAY = """
parts:
  case:
    {{role: enclosure, change: retained, material: steel, inside_low_corner: [0, 0, 0],
     shape: {{tray: {{inside: [400, 200, 80], wall: 2, floor: 2}}}}}}
  stud: {{role: terminal, change: new, potential: plus, shape: {{box: [10, 10, 10]}}, low_corner: [60, 90, 40]}}
  tap: {{role: terminal, change: new, potential: tap, shape: {{box: [10, 10, 10]}}, low_corner: [60, 110, 40]}}
  pin: {{role: terminal, change: new, potential: low, shape: {{box: [10, 10, 10]}}, low_corner: [{at}, 90, 40]}}
electrical:
  potentials: {{plus: {volts} V, tap: 50 V, minus: 0 V, low: {{volts: 12 V, circuit: low}}}}
  chassis: [every enclosure]
  impulse: 2.5 kV
  pollution_degree: 2
  altitude: 1000 m
  {more}
"""
BESIDE = "rules: [iec 60664-1, formula sae 2024]"


def electric(more: str, at: int = 105, volts: int = 400) -> list[Finding]:
    placed = study(BAY.format(more=more, at=at, volts=volts))
    return [*clearance.check(placed, Build.PROPOSED), *creepage.check(placed, Build.PROPOSED)]


def called(findings: list[Finding], name: str) -> list[Finding]:
    return [finding for finding in findings if finding.rule.rule_set == name]


def test_a_second_rule_set_leaves_the_first_as_it_was() -> None:
    alone, both = electric("system: isolated"), electric(BESIDE)
    assert alone == [finding for finding in both if finding not in called(both, "formula sae 2024")]
    assert called(alone, "") == alone
    assert {one.rule.name for one in called(both, "formula sae 2024")} == {
        "clearance for 400 V, formula sae 2024",
        "creepage for 400 V, formula sae 2024",
    }
    assert subject(called(both, "formula sae 2024")[0]) == "clearance between stud and pin, by formula sae 2024"


def test_it_speaks_of_high_against_low_circuits_only_and_cites_clause_and_row() -> None:
    found = called(electric(BESIDE), "formula sae 2024")
    assert [(one.check, one.parts) for one in found] == [
        (check, pair) for check in ("clearance", "creepage") for pair in (("stud", "pin"), ("tap", "pin"))
    ]
    for one in found:
        assert one.required == 30.0
        assert str(one.rule.source).startswith(
            "Formula SAE Rules 2024, EV.6.5.5 b (EV.7.5.5 b in 2021), row above 200 V d.c. (read on three"
        )
        assert "an insulating barrier that the rule takes instead is not judged" in one.rule.text
        assert "bought standard" not in one.rule.text


@pytest.mark.parametrize(
    ("volts", "at", "met"), [(400, 105, True), (400, 99, False), (150, 90, True), (150, 89, False), (80, 80, True)]
)
def test_the_spacing_goes_by_the_larger_circuit(volts: int, at: int, met: bool) -> None:
    """The stud ends at x = 70: 30 mm are asked for above 200 V, 20 from 100 V on, 10 below."""
    found = [one for one in called(electric(BESIDE, at, volts), "formula sae 2024") if one.parts == ("stud", "pin")]
    assert len(found) == 2
    assert {one.status is Status.MET for one in found} == {met}


def test_two_low_circuits_are_none_of_its_business() -> None:
    assert called(electric(BESIDE, volts=55), "formula sae 2024") == []


def test_a_rule_of_ones_own_stands_beside_and_cites_its_line() -> None:
    rule = "also: [{name: shop rule, because: gloves are thick, clearance: 25 mm, above: 60 V}]"
    found = called(electric(rule), "shop rule")
    assert {one.check for one in found} == {"clearance"}
    by_parts = {one.parts: one for one in found}
    assert by_parts["stud", "pin"].status is Status.MET
    assert by_parts["stud", "tap"].status is not Status.MET
    one = by_parts["stud", "tap"]
    assert (one.required, str(one.rule.source)) == (25.0, "the layout's own rule, bay.yaml:16 (as stated there)")
    assert "shop rule above 60 V: 25 mm, because gloves are thick" in one.rule.text


def test_a_rule_of_ones_own_leaves_pairs_below_its_voltage_alone() -> None:
    found = called(electric("also: [{name: shop rule, because: so, creepage: 25 mm, above: 399 V}]"), "shop rule")
    assert {one.check for one in found} == {"creepage"}
    assert ("stud", "tap") not in {one.parts for one in found}  # 350 V
    assert ("stud", "pin") in {one.parts for one in found}


def test_of_a_tolerance_the_most_that_the_rule_may_ask_for_counts() -> None:
    found = called(electric("also: [{name: shop rule, because: so, clearance: 34 ± 2}]"), "shop rule")
    assert {one.required for one in found} == {36.0}
    assert {one.parts: one.status for one in found}["stud", "pin"] is not Status.MET


WALL = """
parts:
  base:
    {role: insulator, change: new, material_group: IIIa, shape: {box: [60, 60, 4]}, low_corner: [0, -20, -4]}
  wall:
    {role: insulator, change: new, material_group: IIIa, shape: {box: [1, 60, 16]}, low_corner: [29.5, -20, 0]}
  a: {role: terminal, change: new, potential: plus, shape: {box: [20, 20, 2]}, low_corner: [8.4, 0, 0]}
  b: {role: terminal, change: new, potential: low, shape: {box: [20, 20, 2]}, low_corner: [31.6, 0, 0]}
electrical:
  potentials: {plus: 400 V, minus: 0 V, low: {volts: 12 V, circuit: low}}
  cemented: [[base, wall]]
  impulse: 2.5 kV
  pollution_degree: 2
  rules: [iec 60664-1, formula sae 2024]
"""


def test_a_set_that_asks_for_more_is_searched_farther() -> None:
    """1.1 to the wall, 16 up, 1 across, 16 down, 1.1: 35.2, where the first set asks for 4 and the second for 30."""
    first, second = creepage.check(study(WALL), Build.PROPOSED)
    assert [one.status for one in (first, second)] == [Status.MET, Status.MET]
    assert second.band is not None
    assert second.band.value == pytest.approx(35.2, abs=1e-6)
    assert 30.0 <= second.band.low <= 35.2 + 1e-6
