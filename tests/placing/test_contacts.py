from __future__ import annotations

from pathlib import Path

import pytest
import trimesh
from engine_layouts import BEGINNING, findings, measure, only, study

from fitcheck.findings import Status
from fitcheck.placing.contacts import excuse
from fitcheck.placing.placed import placed_pieces
from fitcheck.study import Study

TRAY = """
parts:
  case:
    {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
     shape: {tray: {inside: [900, 451, 160], wall: 2, floor: 3, lip: {width: 12, thickness: 2},
                    flange: {width: 15, thickness: 2}}}}
"""


def excused(placed: Study, standing: str, support: str) -> list[str]:
    """The labels of the pieces that are left out of a gap."""
    chain = placed.chain(BEGINNING)
    first, second = placed.layout.by_name[standing], placed.layout.by_name[support]
    pieces = placed_pieces(chain, second)
    return sorted(pieces[number].label for number in excuse(chain, first, second, 5.0).whole)


@pytest.mark.parametrize(
    ("place", "labels"),
    [
        ("front: 20 clear of case inside front, left: 10 clear of case inside left, bottom: on case floor", ["floor"]),
        (
            "front: against case inside front, left: 10 clear of case inside left, bottom: on case floor",
            ["floor", "wall low x"],
        ),
        (
            "rear: against case inside rear, right: against case inside right, bottom: 5 clear of case floor",
            ["wall high x", "wall high y"],
        ),
        ("front: 20 clear of case inside front, left: 10 clear of case inside left, bottom: 9 clear of case floor", []),
        (
            "front: 40 short of case, left: flush with case, bottom: on case rim",
            ["flange low y", "lip low y", "wall low y"],
        ),
        ("front: 20 short of case, left: 60 short of case, top: on case bottom", ["floor"]),
    ],
)
def test_pieces_of_a_tray(place: str, labels: list[str]) -> None:
    text = f"{TRAY}  m1: {{role: module, change: new, shape: {{box: [100, 60, 40]}}, place: {{{place}}}}}"
    assert excused(study(text), "m1", "case") == labels


def test_a_module_on_the_floor_still_has_its_gap_to_the_walls() -> None:
    text = f"""{TRAY}
  m1:
    {{role: module, change: new, shape: {{box: [100, 60, 40]}},
     place: {{front: 20 clear of case inside front, left: 7 clear of case inside left, bottom: on case floor}}}}
gaps:
  - {{between: [m1, case], at_least: 8}}
"""
    gap = only(text, "gap")
    assert gap.status is Status.NOT_MET
    assert gap.band is not None
    assert gap.band.value == pytest.approx(7.0, abs=1e-9)


def test_nothing_left_is_met_by_contact() -> None:
    text = """
parts:
  pad: {role: spacer, change: new, shape: {box: [100, 60, 8]}, low_corner: [0, 0, 0]}
  m1: {role: module, change: new, shape: {box: [100, 60, 40]},
       place: {front: flush with pad, left: flush with pad, bottom: on pad}}
gaps:
  - {between: [m1, pad], at_least: 8}
"""
    gap = only(text, "gap")
    assert (gap.status, gap.reason, gap.band) == (Status.MET, "contact", None)


def test_flush_with_declares_no_contact() -> None:
    text = """
parts:
  a: {role: spacer, change: new, shape: {box: [100, 60, 8]}, low_corner: [0, 0, 0]}
  b: {role: module, change: new, shape: {box: [100, 60, 40]},
      place: {front: flush with a, left: flush with a, bottom: flush with a top}}
gaps:
  - {between: [a, b], at_least: 1}
"""
    gap = only(text, "gap")
    assert gap.status is Status.NOT_MET
    assert gap.band is not None
    assert gap.band.value == 0.0


def test_only_the_touched_member_of_a_group_is_excused() -> None:
    text = """
parts:
  g:
    {role: frame, change: new, low_corner: [0, 0, 0],
     shape: {group: [{shape: {box: [100, 60, 8]}, low_corner: [0, 0, 0]},
                     {shape: {box: [10, 60, 40]}, low_corner: [100, 0, 0]}]}}
  m1:
    {role: module, change: new, shape: {box: [90, 60, 40]},
     place: {front: flush with g, left: flush with g, bottom: 32 short of g top}}
  m2:
    {role: module, change: new, shape: {box: [90, 60, 40]},
     place: {front: flush with g, left: flush with g, bottom: on m1}}
gaps:
  - {between: [m1, g], at_least: 3}
"""
    assert excused(study(text), "m1", "g") == []
    standing = text.replace("bottom: 32 short of g top", "bottom: on pad").replace(
        "parts:", "parts:\n  pad: {role: spacer, change: new, shape: {box: [50, 60, 3]}, "
        "low_corner: [0, 0, 8]}"
    )  # fmt: skip
    gap = only(standing, "gap")
    assert gap.band is not None
    assert gap.band.value == pytest.approx(3.0, abs=1e-9)


def test_contacts_excuse_the_pair_altogether_but_never_an_overlap() -> None:
    text = """
parts:
  a: {role: module, change: new, shape: {box: [100, 60, 8]}, low_corner: [0, 0, 0]}
  b: {role: duct, change: new, shape: {box: [100, 60, 8]}, low_corner: [0, 0, 7]}
gaps:
  - {between: [a, b], at_least: 4}
contacts:
  - [b, a]
"""
    overlap, gap = findings(text, "overlap")[0], only(text, "gap")
    assert (gap.status, gap.reason) == (Status.MET, "contact")
    assert overlap.status is Status.NOT_MET
    assert overlap.band is not None
    assert overlap.band.value == pytest.approx(1.0, abs=1e-9)
    assert overlap.volume_mm3 == pytest.approx(6000.0, rel=1e-9)


STEP = """
parts:
  step: {{role: bracket, change: new, low_corner: [0, 0, 0], shape: {shape}}}
  m1:
    {{role: module, change: new, shape: {{box: [80, 50, 40]}},
     place: {{front: 20 short of step, left: flush with step, bottom: on step}}}}
gaps:
  - {{between: [m1, step], at_least: {rule}}}
"""
OUTLINE = [[0, 0], [100, 0], [100, 30], [60, 30], [60, 20], [0, 20]]
SHAPES = {
    "prism": f"{{prism: {{outline: {OUTLINE}, height: 50, along: y}}}}",
    "mesh": "{mesh: {file: step.stl, unit: mm}}",
}


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize(("rule", "value", "status"), [(8, 8.0, Status.MET), (12, 10.0, Status.NOT_MET)])
def test_a_prism_or_mesh_is_left_out_near_the_contact_only(
    shape: str, rule: float, value: float, status: Status, tmp_path: Path
) -> None:
    """The module stands on the upper step and overhangs the lower one, 10 below it.

    With a rule of 8 the riser between the steps is left from 8 below the module on; with a rule of 12 the lower step is
    left from 12 beside the upper one on, where the two parts touch, and no nearer.
    """
    lower, upper = trimesh.creation.box([100, 50, 20]), trimesh.creation.box([40, 50, 10])
    lower.apply_translation([50, 25, 10])
    upper.apply_translation([80, 25, 25])
    trimesh.boolean.union([lower, upper], engine="manifold").export(tmp_path / "step.stl")
    gap = only(STEP.format(shape=SHAPES[shape], rule=rule), "gap", folder=tmp_path)
    assert gap.status is status
    assert gap.band is not None
    assert gap.band.value == pytest.approx(value, abs=1e-6)
    assert f"within {rule} mm" in gap.reason


def test_a_standing_prism_is_cut_too() -> None:
    """The step stands on its head on a plate: what overhangs the plate keeps its distance."""
    text = """
parts:
  plate: {role: frame, change: new, shape: {prism: {outline: [[0, 0], [100, 0], [100, 50], [0, 50]], height: 5,
          along: z}}, low_corner: [0, 0, 0]}
  step: {role: bracket, change: new, turn: {x: 180},
         shape: {prism: {outline: [[0, 0], [100, 0], [100, 30], [60, 30], [60, 20], [0, 20]], height: 50, along: y}},
         place: {front: flush with plate, left: flush with plate, bottom: on plate}}
gaps:
  - {between: [step, plate], at_least: 4}
"""
    gap = only(text, "gap")
    assert gap.status is Status.MET
    # From the foot's flank, 4 beyond the contact's outline, down to what is left of the plate.
    assert gap.band is not None
    assert gap.band.value >= 4.0


def test_regions_follow_the_rule_and_only_the_gap() -> None:
    text = STEP.format(shape=SHAPES["prism"], rule=8)
    placed = study(text)
    chain, by_name = placed.chain(BEGINNING), placed.layout.by_name
    found = excuse(chain, by_name["m1"], by_name["step"], 8.0)
    assert found.whole == frozenset()
    ((number, region),) = found.regions
    assert (number, region.axis, region.plane, region.reach) == (0, 2, 30.0, 8.0)
    assert region.outline == ((60.0, 100.0), (0.0, 50.0))
    whole = measure(placed, "step", "m1")
    assert whole is not None
    assert whole.band.value == pytest.approx(0.0, abs=1e-9)
