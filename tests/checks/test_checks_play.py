"""Live parts that can move as they are held: clearance and creepage in the worst position."""

from __future__ import annotations

import pytest
from engine_layouts import study

from fitcheck.checks import clearance, creepage, touch
from fitcheck.findings import Finding, Status
from fitcheck.model.part import Build

STRIP = """
parts:
  strip:
    {{role: insulator, change: new, material_group: IIIa, shape: {{box: [120, 30, 20]}}, low_corner: [40, 45, 0]}}
  plus: {{role: terminal, change: new, potential: plus, shape: {{box: [12, 12, 10]}}, low_corner: [60, 54, 20]}}
  minus:
    {{role: terminal, change: new, potential: minus, shape: {{box: [12, 12, 10]}}, play: {{x: {play}}},
     low_corner: [80, 54, 20]}}
electrical:
  potentials: {{plus: 400 V, minus: 0 V}}
  impulse: 2.5 kV
  pollution_degree: 2
  altitude: 1000 m
"""


def pair(play: str, check: str) -> Finding:
    module = {"clearance": clearance, "creepage": creepage}[check]
    (found,) = module.check(study(STRIP.format(play=play)), Build.PROPOSED)
    return found


@pytest.mark.parametrize(
    ("play", "left", "clear", "crept"),
    [
        ("0", 8.0, Status.MET, Status.MET),
        ("[2, 0]", 6.0, Status.MET, Status.MET),
        ("[0, 6]", 8.0, Status.MET, Status.MET),
        ("[5, 1]", 3.0, Status.MET, Status.NOT_MET),
        ("8", 0.0, Status.NOT_MET, Status.NOT_MET),
        ("12", 0.0, Status.NOT_MET, Status.NOT_MET),
    ],
)
def test_the_worst_position_counts(play: str, left: float, clear: Status, crept: Status) -> None:
    """Drawn 8 apart on the flat; 1.5 mm of air and 4.0 mm of surface are asked for."""
    for check, status in (("clearance", clear), ("creepage", crept)):
        found = pair(play, check)
        assert found.band is not None
        assert (found.band.value, found.band.low, found.status) == (
            pytest.approx(left, abs=1e-6),
            pytest.approx(left, abs=1e-6),
            status,
        ), check


def test_the_finding_says_where() -> None:
    assert "at the far end of minus's play (x -5 mm)" in pair("[5, 1]", "creepage").reason
    assert "short circuit" in pair("8", "clearance").reason


def test_a_play_that_may_be_too_much_cannot_be_told() -> None:
    """4.5 ± 1.5: in every build 3 of it are there, which leaves 5; at most 6, which leaves 2."""
    found = pair("[4.5 ± 1.5, 0]", "creepage")
    assert found.status is Status.CANNOT_TELL
    assert found.band is not None
    assert found.band.low == pytest.approx(2.0, abs=1e-6)
    assert found.band.high >= 5.0 - 1e-6


HALVES = """
parts:
  case:
    {{role: enclosure, change: retained, shape: {{tray: {{inside: [80, 70, 40], wall: 2, floor: 2}}}}, mass: 1,
     inside_low_corner: [0, 0, 0]}}
  stud: {{role: terminal, change: new, potential: plus, shape: {{box: [10, 10, 12]}}, low_corner: [35, 30, 0]}}
  front: {{role: lid, change: new, shape: {{box: [39, 74, 2]}}, low_corner: [-2, -2, 40]}}
  rear:
    {{role: lid, change: new, shape: {{box: [41, 74, 2]}}, play: {{x: [0, {play}]}}, low_corner: [41, -2, 40]}}
electrical:
  potentials: {{plus: 294 V, minus: 0 V}}
"""


@pytest.mark.parametrize(("play", "shut"), [("0", True), ("14", False)])
def test_a_lid_that_slides_opens_the_way_for_a_finger(play: str, shut: bool) -> None:
    """Four millimetres between the halves as drawn, eighteen with the rear one pushed back."""
    found = {one.parts[1]: one for one in touch.check(study(HALVES.format(play=play)), Build.PROPOSED)}
    assert (found["jointed finger"].status is Status.MET) is shut
