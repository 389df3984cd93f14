"""Two conductors and the bodies that hold them: when no way over surfaces can lead from one to the other."""

from __future__ import annotations

import pytest
from engine_layouts import findings, study

from fitcheck.checks.held_by import Held, held
from fitcheck.findings import Finding, Status
from fitcheck.model.part import Build, State

BLOCK = "  %s: {role: insulator, change: new, cti: 250, low_corner: [%s, 0, -20], shape: {box: [20, 40, 20]}}\n"
STUD = "  %s: {role: terminal, change: new, potential: %s, low_corner: [%s, 15, %s], shape: {box: [5, 5, 5]}}\n"
PLATE = (
    "  plate: {role: enclosure, change: new, material: steel, low_corner: [-9, 0, -22], shape: {box: [90, 40, 2]}}\n"
)
ELECTRICAL = """electrical:
  {potentials: {plus: 400 V, minus: 0 V}, impulse: 2.5 kV, pollution_degree: 2, chassis: [every enclosure]%s}
"""
P, M = STUD % ("p", "plus", "15", "0"), STUD % ("m", "minus", "22", "0")


def text(blocks: str, m: str = M, plate: str = PLATE, more: str = "") -> str:
    return f"parts:\n{blocks}{P}{m}{plate}{ELECTRICAL % more}"


def two(at: str) -> str:
    return BLOCK % ("b", "0") + BLOCK % ("c", at)


def creepage(layout: str) -> Finding:
    (found,) = [each for each in findings(layout, "creepage") if each.parts == ("p", "m")]
    return found


def held_of(layout: str) -> Held:
    placed = study(layout)
    parts = placed.layout.by_name
    found = held(placed, Build.PROPOSED, State.BEGINNING, (parts["p"], parts["m"]))
    assert found is not None
    return found


def test_on_bodies_apart_that_stand_on_the_case_there_is_no_way_over_surfaces() -> None:
    found = creepage(text(two("22")))
    assert found.status is Status.MET
    assert found.band is not None
    assert found.band.low == found.required == 4.0
    assert found.reason == (
        "no way over surfaces in any build: of all that is drawn no chain of bodies leads from one to the other"
    )


@pytest.mark.parametrize("at", ["20", "20.9", "21.05 ± 0.1", "{value: 22, tolerance: 0.5, known_by: guess}"])
def test_bodies_that_meet_or_may_come_within_x_or_stand_on_a_guess_are_never_met_so(at: str) -> None:
    assert creepage(text(two(at))).status is not Status.MET


@pytest.mark.parametrize(
    "plate", [PLATE.replace("-22]", "-22.01]"), PLATE.replace("enclosure", "frame"), PLATE.replace("[90,", "[28,")]
)
def test_bodies_that_do_not_stand_on_bonded_metal_are_held_by_something_else(plate: str) -> None:
    found = creepage(text(two("22"), plate=plate))
    assert found.status is Status.CANNOT_TELL


def test_what_holds_a_body_that_hovers_has_to_be_drawn() -> None:
    found = creepage(text(two("22"), plate=PLATE.replace("[90,", "[28,")))
    assert found.reason == (
        "no surface joins the two as drawn, but what holds m is not drawn down to the case; clearance decides, if "
        "nothing else holds them; what holds each in place has to be drawn"
    )
    assert found.settle_by == "draw what holds m in place, or more distance"


def test_metal_that_floats_between_the_bodies_joins_the_surfaces() -> None:
    bar = "  bar: {role: other, change: new, low_corner: [5, 0, -20], shape: {box: [30, 4, 2]}, material: steel}\n"
    assert held_of(text(two("22") + bar)).apart is False
    assert held_of(text(two("22"))) == Held(bare=(), loose=(), apart=True)


def test_cemented_bodies_are_one_however_they_are_drawn() -> None:
    assert held_of(text(two("22"), more=", cemented: [[b, c]]")).apart is False


def test_what_holds_a_bare_conductor_has_to_be_drawn() -> None:
    found = creepage(text(BLOCK % ("b", "0")))
    assert found.status is Status.CANNOT_TELL
    assert found.reason == (
        "no surface joins the two as drawn: no insulation is drawn at m; clearance decides, if nothing else holds "
        "them; what holds each in place has to be drawn"
    )
    assert found.settle_by == "draw what holds m in place, or more distance"


def test_a_conductor_that_hovers_over_its_body_is_not_held() -> None:
    found = creepage(text(two("22"), STUD % ("m", "minus", "22", "0.5")))
    assert found.status is Status.CANNOT_TELL
    assert "what holds m is not drawn down to the case" in found.reason


def test_a_part_that_insulation_encloses_is_told_from_one_whose_insulation_is_not_drawn() -> None:
    """A hollow of 6 in a block of 12 made of six slabs in one part, live metal that fills it, and metal outside."""
    slabs = [
        ("12, 12, 3", "0, 0, 0"), ("12, 12, 3", "0, 0, 9"), ("3, 12, 6", "0, 0, 3"),
        ("3, 12, 6", "9, 0, 3"), ("6, 3, 6", "3, 0, 3"), ("6, 3, 6", "3, 9, 3"),
    ]  # fmt: skip
    group = ", ".join(f"{{shape: {{box: [{size}]}}, low_corner: [{corner}]}}" for size, corner in slabs)
    parts = f"  b: {{role: insulator, change: new, cti: 250, low_corner: [0, 0, 0], shape: {{group: [{group}]}}}}\n"
    parts += "  p: {role: terminal, change: new, potential: plus, low_corner: [3, 3, 3], shape: {box: [6, 6, 6]}}\n"
    parts += "  m: {role: terminal, change: new, potential: minus, low_corner: [12, 3, 3], shape: {box: [5, 5, 5]}}\n"
    found = creepage(f"parts:\n{parts}{ELECTRICAL % ''}")
    assert found.status is Status.CANNOT_TELL
    assert found.reason.startswith("insulation encloses one of the two: no way through air joins them")
    assert "electric strength" in found.settle_by
