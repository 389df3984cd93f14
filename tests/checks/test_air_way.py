"""Clearance around insulation, from a layout to the finding."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from engine_layouts import study
from test_checks_electrical import bounds, box, text

from fitcheck.checks.clearance import check
from fitcheck.checks.creepage import check as creepage
from fitcheck.findings import Finding, Status
from fitcheck.model.part import Build


def insulator(name: str, corner: str, size: str) -> str:
    shape = f"{{box: [{size}]}}"
    return f"  {name}: {{role: insulator, change: new, material_group: II, shape: {shape}, low_corner: [{corner}]}}\n"


def clearance(*insulators: str, electrical: str = "impulse: 2.5 kV, pollution_degree: 2") -> Finding:
    """Two terminals 1 mm apart, 10 mm high, 1.5 mm asked for."""
    ends = box("a", "0", "potential: plus") + box("b", "11", "potential: minus")
    (found,) = check(study(text(ends + "".join(insulators), electrical)), Build.PROPOSED)
    return found


def test_a_barrier_that_is_high_enough_is_met() -> None:
    found = clearance(insulator("wall", "10.3, -20, -20", "0.4, 50, 30.6"))
    value, low, high = bounds(found)
    length = 2.0 * math.hypot(0.3, 0.6) + 0.4
    assert found.status is Status.MET
    assert value == pytest.approx(length, rel=5e-3)
    assert 1.5 <= low <= length + 1e-9
    assert value == high
    assert len(found.way) == 4
    assert "every way through air" in found.reason
    assert "0.40 mm of solid" in found.reason


def test_a_barrier_that_is_too_low_is_not_met() -> None:
    found = clearance(insulator("wall", "10.3, -20, -20", "0.4, 50, 30.2"))
    assert found.status is Status.NOT_MET
    assert bounds(found)[0] == pytest.approx(2.0 * math.hypot(0.3, 0.2) + 0.4, rel=5e-3)


def test_a_barrier_that_tolerance_makes_too_low_cannot_be_told() -> None:
    found = clearance(insulator("wall", "10.3 ± 0.02, -20, -20", "0.4, 50, 30.48 ± 0.05"))
    value, low, high = bounds(found)
    assert found.status is Status.CANNOT_TELL
    assert low < 1.5 <= high
    assert low < value < high


def test_a_barrier_far_too_low_for_its_tolerance_is_not_met() -> None:
    found = clearance(insulator("wall", "10.3 ± 0.01, -20, -20", "0.4, 50, 30.02"))
    value, low, high = bounds(found)
    assert found.status is Status.NOT_MET
    assert low <= value <= high < 1.5


def test_a_tall_barrier_within_tolerance_is_met() -> None:
    found = clearance(insulator("wall", "10.3 ± 0.05, -20, -20", "0.4, 50, 33 ± 0.1"))
    assert found.status is Status.MET
    assert bounds(found)[1] >= 1.5


def test_a_barrier_thinner_than_what_may_move_blocks_nothing() -> None:
    found = clearance(insulator("wall", "10.3 ± 0.3, -20, -20", "0.4, 50, 33"))
    assert found.status is Status.CANNOT_TELL
    assert bounds(found)[1] <= 1.0 + 1e-9


def test_a_terminal_that_is_enclosed_has_its_solid_reported_and_not_judged() -> None:
    """A block of 0.4 mm shells cemented round a terminal."""
    shells = {
        "left": ("-0.6, -0.6, -0.6", "0.4, 11.2, 11.2"),
        "right": ("10.2, -0.6, -0.6", "0.4, 11.2, 11.2"),
        "front": ("-0.6, -0.6, -0.6", "11.2, 0.4, 11.2"),
        "back": ("-0.6, 10.2, -0.6", "11.2, 0.4, 11.2"),
        "under": ("-0.6, -0.6, -0.6", "11.2, 11.2, 0.4"),
        "over": ("-0.6, -0.6, 10.2", "11.2, 11.2, 0.4"),
    }
    names = list(shells)
    joined = ", ".join(f"[{one}, {other}]" for one, other in pairwise(names))
    found = clearance(
        *(insulator(name, *where) for name, where in shells.items()),
        electrical=f"impulse: 2.5 kV, pollution_degree: 2, cemented: [{joined}]",
    )
    assert found.status is Status.NOT_CHECKED
    assert "no way through air" in found.reason
    assert "0.40 mm of solid" in found.reason
    assert found.settle_by


def test_a_film_on_the_foot_of_a_terminal_is_no_way_through_it() -> None:
    """A film 0.05 thick stands cemented on a block, flush with one terminal: no way leads under it along the block."""
    parts = box("a", "0", "potential: plus") + box("b", "11", "potential: minus")
    parts += insulator("film", "10, -20, 0", "0.05, 50, 20") + insulator("block", "-10, -20, -10", "50, 50, 10")
    electrical = "impulse: 2.5 kV, pollution_degree: 2, cemented: [[block, film]]"
    for found in creepage(study(text(parts, electrical)), Build.PROPOSED):
        assert found.status is not Status.NOT_MET


def sleeved(outside: str) -> Finding:
    """A rod of 4 in a tube that ends flush with it, 1.2 mm from a terminal that stands 3 mm lower; 1.5 mm asked for."""
    rod = "{cylinder: {diameter: 4, length: 16, along: z}}"
    tube = f"{{tube: {{outside: {outside}, inside: 4.1, length: 16, along: z}}}}"
    parts = (
        f"  a: {{role: busbar, change: new, shape: {rod}, low_corner: [0, 3, -3], potential: plus}}\n"
        f"  sleeve: {{role: insulator, change: new, material_group: II, shape: {tube},\n"
        "    place: {centre: {x: a, y: a}, bottom: flush with a}}\n"
    )
    (found,) = check(study(text(parts + box("b", "5.2", "potential: minus"))), Build.PROPOSED)
    return found


def test_a_sleeve_round_a_rod_makes_the_way_over_its_end_count() -> None:
    found = sleeved("6 ± 0.02")
    value, low, _ = bounds(found)
    assert found.status is Status.MET
    assert value == pytest.approx(1.0 + math.hypot(0.2, 3.0), rel=5e-3)
    assert 1.5 <= low <= value
    assert "mm of solid insulation straight in between" in found.reason


def test_a_sleeve_that_may_be_thinner_than_what_moves_blocks_nothing() -> None:
    found = sleeved("6 ± 1.2")
    assert found.status is Status.CANNOT_TELL
    assert bounds(found)[1] <= 1.2
