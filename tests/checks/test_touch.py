"""Touch: the finger and the wire at the lid of a small pack."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.checks import touch
from fitcheck.checks.touch_matter import matter_of
from fitcheck.findings import Finding, Status
from fitcheck.geometry.probe_matter import Block
from fitcheck.model.part import Build, State
from fitcheck.run import study_of

LAYOUT = """fitcheck: 1
title: A terminal under a lid
units: {{length: mm, mass: kg, angle: deg}}
axes: {{x: rearward, y: right, z: up}}
datum: inside corner of the case floor
electrical:
  potentials: {{plus: {volts} V, minus: 0 V}}
  chassis: [every enclosure, every lid]
  system: isolated
  impulse: 2.5 kV
  pollution_degree: 2
  insulation: basic
parts:
  case:
    role: enclosure
    change: retained
    shape: {{tray: {{inside: [{inside}], wall: 2, floor: 2}}}}
    mass: 1
    inside_low_corner: [0, 0, 0]
  minus_stud:
    role: terminal
    change: new
    potential: minus
    shape: {{box: [10, 10, 12]}}
    mass: 0.1
    low_corner: [35, 30, 0]
{lid}
"""
LID = """  lid:
    role: lid
    change: new
    shape: {{prism: {{outline: [[0, 0], [84, 0], [84, 74], [0, 74]], holes: [{hole}], height: 2, along: z}}}}
    mass: 1
    place: {{front: flush with case, left: flush with case, bottom: on case rim}}
"""
NO_HOLE = ""


def slot(width: float, length: float) -> str:
    low, high, front, rear = 42 - width / 2, 42 + width / 2, 37 - length / 2, 37 + length / 2
    return f"[[{low}, {front}], [{high}, {front}], [{high}, {rear}], [{low}, {rear}]]"


def found(folder: Path, hole: str, *, volts: int = 294, inside: str = "80, 70, 40", lid: str = LID) -> list[Finding]:
    path = folder / "layout.yaml"
    path.write_text(LAYOUT.format(volts=volts, inside=inside, lid=lid.format(hole=hole)), encoding="utf-8")
    return touch.check(study_of(path), Build.PROPOSED)


def statuses(findings: list[Finding]) -> dict[str, Status]:
    return {finding.parts[1]: finding.status for finding in findings}


def test_a_closed_lid_keeps_both_out_and_its_pole_at_0_v_counts_too(tmp_path: Path) -> None:
    findings = found(tmp_path, NO_HOLE)
    assert statuses(findings) == {"jointed finger": Status.MET, "wire": Status.MET}
    assert [finding.parts[0] for finding in findings] == ["minus_stud", "minus_stud"]


def test_a_slot_of_14_lets_the_finger_in(tmp_path: Path) -> None:
    finger, wire = found(tmp_path, slot(14, 40))
    assert (finger.status, wire.status) == (Status.NOT_MET, Status.NOT_MET)
    assert finger.points is not None
    touched, stop = finger.points
    assert touched[2] <= 12.0 + 1e-9
    assert stop[2] > 42.0 + 27.0


def test_a_slot_of_12_1_lets_the_finger_in_and_one_of_1_1_the_wire(tmp_path: Path) -> None:
    assert statuses(found(tmp_path, slot(12.1, 40.0)))["jointed finger"] is Status.NOT_MET
    assert statuses(found(tmp_path, slot(1.1, 40.0))) == {"jointed finger": Status.MET, "wire": Status.NOT_MET}


def test_a_circuit_of_no_known_voltage_is_not_checked(tmp_path: Path) -> None:
    (only,) = found(tmp_path, NO_HOLE, volts=0)
    assert (only.status, only.parts) == (Status.NOT_CHECKED, ("minus_stud",))
    assert "all its potentials are the same" in only.reason


def test_a_slot_of_8_lets_only_the_wire_in(tmp_path: Path) -> None:
    assert statuses(found(tmp_path, slot(8, 40))) == {"jointed finger": Status.MET, "wire": Status.NOT_MET}


def test_a_slot_of_11_is_too_near_to_call_for_the_finger(tmp_path: Path) -> None:
    finger, _ = found(tmp_path, slot(11, 40))
    assert finger.status is Status.CANNOT_TELL
    assert finger.settle_by


def test_60_v_is_not_above_60_v(tmp_path: Path) -> None:
    assert found(tmp_path, slot(14, 40), volts=60) == []


def test_without_a_lid_it_is_not_checked(tmp_path: Path) -> None:
    (finding,) = found(tmp_path, NO_HOLE, lid="")
    assert finding.status is Status.NOT_CHECKED
    assert "no lid" in finding.reason


def test_what_moves_all_pieces_alike_opens_nothing(tmp_path: Path) -> None:
    """A case whose length is known to 3 mm: its far wall goes with it, and so does the floor at that end; the lid does
    not, which counts where the two meet."""
    path = tmp_path / "layout.yaml"
    path.write_text(LAYOUT.format(volts=294, inside="80 ± 3, 70, 40", lid=LID.format(hole=NO_HOLE)), encoding="utf-8")
    study = study_of(path)
    matter = matter_of(study, State.BEGINNING, study.layout.parts, 24.0)
    slacks = {
        tuple(piece.middle.round(3)): piece.slack
        for pieces in matter.values()
        for piece in pieces
        if isinstance(piece, Block)
    }
    front_wall = slacks[(-1.0, 35.0, 20.0)]
    rear_wall = slacks[(81.0, 35.0, 20.0)]
    assert front_wall == pytest.approx(24.0 / 84.0 * 3.0, abs=0.3)
    assert rear_wall == pytest.approx(3.0, abs=1e-9)
