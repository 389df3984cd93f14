"""FAA weight-and-balance problems, in pounds and inches through the layout's own unit door.

FAA-H-8083-1, chapter on theory, and airframe and general test questions as question banks reprint them (answers as
printed there, results recomputed). The datum of the problem is the case datum.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from vehicle_layouts import vehicle

from fitcheck.layoutfile.read import read_text
from fitcheck.result import MassSummary
from fitcheck.run import MeshShelf
from fitcheck.study import Study
from fitcheck.weights.ledger import balance_of

KG_PER_LB, MM_PER_INCH = 0.45359237, 25.4
HEAD = "fitcheck: 1\nunits: {length: in, mass: lb}\naxes: {x: rearward, y: right, z: up}\n"


def lines(start: tuple[float, float], changes: list[tuple[float, float]]) -> str:
    """The empty machine, what was taken out and what was put in, each a two-inch cube about its arm."""
    rows = [("empty", "retained", *start)]
    rows += [(f"item {n}", "removed" if w < 0 else "new", abs(w), arm) for n, (w, arm) in enumerate(changes)]
    return "".join(
        f"  {name}: {{role: other, change: {change}, shape: {{box: [2, 2, 2]}}, mass: {mass}, "
        f"low_corner: [{arm - 1}, -1, -1]}}\n"
        for name, change, mass, arm in rows
    )


def builds(start: tuple[float, float], changes: list[tuple[float, float]]) -> tuple[MassSummary, MassSummary]:
    text = f"{HEAD}parts:\n{lines(start, changes)}"
    found = balance_of(Study(read_text(text, "faa.yaml", Path()), MeshShelf()))
    return found.original, found.proposed


def pounds(build: MassSummary) -> float:
    assert build.mass_kg is not None
    return build.mass_kg / KG_PER_LB


def inches(build: MassSummary) -> float:
    assert build.cg_mm is not None
    return build.cg_mm[0] / MM_PER_INCH


def test_lever_in_balance():
    """100 lb at -50 in and 200 lb at +25 in balance over the fulcrum."""
    before, _ = builds((100, -50), [(-200, 25)])
    assert pounds(before) == pytest.approx(300, abs=1e-9)
    assert inches(before) == pytest.approx(0.0, abs=1e-9)


def test_lever_of_three_weights():
    """100 at 50, 100 at 90, 200 at 150: 44 000 lb in of 400 lb, centre at 110 in."""
    before, _ = builds((100, 50), [(-100, 90), (-200, 150)])
    assert pounds(before) * inches(before) == pytest.approx(44_000, abs=1e-6)
    assert inches(before) == pytest.approx(110.0, abs=1e-9)


def test_cabinet_alteration():
    """2886 lb, moment 101 673.78; 30 out at 71, 97 and 20 in at 71, 30 in at 94: printed answer 1.62 in aft."""
    before, after = builds((2886, 101673.78 / 2886), [(97, 71), (20, 71), (30, 94)])
    assert pounds(before) == pytest.approx(2886, abs=1e-9)
    start = 2886 - 30
    arm = (101673.78 - 30 * 71) / start
    before, after = builds((start, arm), [(-30, 71), (97, 71), (20, 71), (30, 94)])
    assert inches(before) == pytest.approx(35.23, abs=0.0005)
    assert pounds(after) == pytest.approx(3003, abs=1e-9)
    assert inches(after) == pytest.approx(36.85341, abs=5e-6)
    assert inches(after) - inches(before) == pytest.approx(1.62, abs=0.005)


@pytest.mark.parametrize(
    ("start", "changes", "weight", "centre", "printed"),
    [
        ((1500, 28.4), [(-24, 68.5), (28, 73), (30, 70.5), (25, 85)], 1559, 30.30148, 30.30),
        ((2100, 32.5), [(-36, 73), (17, 77), (25, 74.5), (35, 95)], 2141, 33.68449, 33.68),
    ],
)
def test_equipment_removed_and_replaced(start, changes, weight, centre, printed):
    """The start includes what is then removed."""
    out = changes[0]
    rest = start[0] + out[0]
    arm = (start[0] * start[1] + out[0] * out[1]) / rest
    before, after = builds((rest, arm), changes)
    assert pounds(before) == pytest.approx(start[0], abs=1e-9)
    assert inches(before) == pytest.approx(start[1], abs=1e-9)
    assert pounds(after) == pytest.approx(weight, abs=1e-9)
    assert inches(after) == pytest.approx(centre, abs=5e-6)
    assert inches(after) == pytest.approx(printed, abs=0.005)


def test_minimum_ballast():
    """4954 lb at 30.5 in; 57.16 lb at 162 in bring the centre to the limit at 32.0 in."""
    _, after = builds((4954, 30.5), [(57.16154, 162)])
    assert inches(after) == pytest.approx(32.0, abs=1e-6)


def test_the_same_problem_as_a_vehicle_on_two_axles():
    """Cabinet alteration with the datum as front axle and 100 in between the axles: axle loads follow from the arms."""
    weighed = {"front": 2886 - 1016.7378, "rear": 1016.7378}
    text = (
        f"{HEAD}parts:\n{lines((1, 0), [(-30, 71), (97, 71), (20, 71), (30, 94)])}"
        f"vehicle: {{wheelbase: 100, case_low: [0, 0, 0], "
        f"weighed: {{front: {weighed['front']}, rear: {weighed['rear']}}}}}\n"
    )
    found = vehicle(text)
    assert found.after is not None
    assert found.after.total.value / KG_PER_LB == pytest.approx(3003, abs=1e-9)
    assert found.after.cg[0].value / MM_PER_INCH == pytest.approx(36.85341, abs=5e-6)
    assert found.after.rear.value / KG_PER_LB == pytest.approx(1106.7078, abs=1e-6)
