"""Metal that nobody gave a potential or a bond, beside live parts."""

from __future__ import annotations

import pytest
from engine_layouts import findings, study

from fitcheck.checks.remarks import remarks
from fitcheck.findings import Finding, Status

CASE = "  case: {role: enclosure, change: new, material: steel, low_corner: [0, 0, -5], shape: {box: [200, 80, 2]}}\n"
LID = "  lid: {role: lid, change: new, %s, low_corner: [0, 0, %s], shape: {box: [200, 80, 2]}}\n"
STUD = "  stud: {role: terminal, change: new, potential: plus, low_corner: [50, 35, 20], shape: {box: [5, 5, 10]}}\n"
ELECTRICAL = (
    "electrical: {potentials: {plus: 400 V, minus: 0 V}, impulse: 2.5 kV, pollution_degree: 2, chassis: [%s]}\n"
)


def text(lid: str, chassis: str = "every enclosure") -> str:
    return f"parts:\n{CASE}{lid}{STUD}{ELECTRICAL % chassis}"


def of_lid(found: tuple[Finding, ...]) -> list[Finding]:
    return [each for each in found if each.parts[0] == "lid"]


def test_a_steel_lid_that_is_not_under_chassis_is_never_silent() -> None:
    (found,) = of_lid(findings(text(LID % ("material: steel", "30.5")), "clearance"))
    assert (found.status, found.parts) == (Status.NOT_CHECKED, ("lid",))
    assert found.reason == (
        "lid is metal and is not under chassis, so no live part was held against it: stud may be as near as 0.50 mm"
    )
    assert found.mend == "list lid under electrical chassis, or say what potential it has"


def test_nor_is_one_of_which_nobody_says_what_it_is_of() -> None:
    (found,) = of_lid(findings(text(LID % ("mass: 1", "30.5")), "clearance"))
    assert found.status is Status.NOT_CHECKED
    assert "lid is not said to be insulation" in found.reason
    assert "or state its material or material_group if it insulates" in found.mend


@pytest.mark.parametrize(("bottom", "spoken"), [("54", True), ("60", False)])
def test_it_is_spoken_of_within_what_is_asked_for_and_listed(bottom: str, spoken: bool) -> None:
    found = of_lid(findings(text(LID % ("material: steel", bottom)), "clearance"))
    assert bool(found) is spoken


def test_under_chassis_it_is_judged() -> None:
    (found,) = of_lid(findings(text(LID % ("material: steel", "30.5"), "every enclosure, every lid"), "clearance"))
    assert (found.status, found.parts) == (Status.NOT_MET, ("lid", "stud"))


def test_a_lid_of_plastic_is_insulation() -> None:
    assert of_lid(findings(text(LID % ("cti: 250", "30.5")), "clearance")) == []


def test_other_metal_nearer_than_asked_for_is_remarked_on() -> None:
    clip = "  clip: {role: %s, change: new, %s, low_corner: [58, 35, 20], shape: {box: [5, 5, 10]}}\n"
    told = {
        name: [note for note in remarks(study(text(clip % name))) if "Metal without a potential" in note]
        for name in (("fastener", "material: steel"), ("bracket", "mass: 1"), ("sensor", "mass: 1"))
    }
    steel, bracket, sensor = told.values()
    assert len(steel) == len(bracket) == 1
    assert "clip (3.00 mm from stud)" in steel[0]
    assert sensor == []  # nothing says that it is metal; it is listed among what nobody said
    far = clip.replace("[58,", "[60,") % ("fastener", "material: steel")
    assert not any("Metal without a potential" in note for note in remarks(study(text(far))))


def test_a_joint_cemented_to_what_is_no_insulation_is_remarked_on() -> None:
    block = "  block: {role: insulator, change: new, low_corner: [0, 0, -3], shape: {box: [50, 80, 2]}}\n"
    pad = "  pad: {role: spacer, change: new, mass: 1, low_corner: [60, 0, -3], shape: {box: [50, 80, 2]}}\n"
    cemented = text(block + pad).replace("chassis:", "cemented: [[block, pad]], chassis:")
    (note,) = [note for note in remarks(study(cemented)) if note.startswith("cemented")]
    assert note == (
        "cemented: [block, pad] does nothing: pad is not said to be insulation; state material_group or cti"
    )
    assert not any(
        note.startswith("cemented") for note in remarks(study(cemented.replace("mass: 1, low", "cti: 400, low")))
    )
