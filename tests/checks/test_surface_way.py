"""Creepage from a layout to the finding: sleeves, conductors that hang over a board, turned layouts, boards alike."""

from __future__ import annotations

import math

import pytest
from engine_layouts import study

from fitcheck.checks import surface_legs
from fitcheck.checks.creepage import check
from fitcheck.findings import Finding, Status
from fitcheck.geometry.solid_facets import sides_for
from fitcheck.model.part import Build
from fitcheck.study import Study

ELECTRICAL = """
electrical:
  {potentials: {plus: 400 V, minus: 0 V}, impulse: 2.5 kV, pollution_degree: 2, altitude: 2000 m, insulation: %s}
"""


def terminal(name: str, potential: str, corner: str, size: str, more: str = "") -> str:
    return (
        f"  {name}: {{role: terminal, change: new, potential: {potential}, shape: {{box: [{size}]}}, "
        f"low_corner: [{corner}]{more}}}\n"
    )


def insulator(name: str, corner: str, shape: str, more: str = "") -> str:
    return (
        f"  {name}: {{role: insulator, change: new, material_group: IIIa, shape: {{{shape}}}, "
        f"low_corner: [{corner}]{more}}}\n"
    )


def placed(*parts: str, insulation: str = "basic") -> Study:
    return study("parts:\n" + "".join(parts) + ELECTRICAL % insulation)


def crept(*parts: str, insulation: str = "basic") -> Finding:
    (found,) = check(placed(*parts, insulation=insulation), Build.PROPOSED)
    return found


def sleeve(at: float) -> Finding:
    """A rod of 3 mm in a sleeve of 5 mm and 20 mm length; a terminal on it that begins `at` mm from its end."""
    rod = "  p: {role: busbar, change: new, potential: plus, low_corner: [0, -1.5, -1.5], "
    rod += "shape: {cylinder: {diameter: 3, length: 40, along: x}}}\n"
    tube = insulator("tube", "10, -2.5, -2.5", "tube: {outside: 5, inside: 3, length: 20, along: x}")
    return crept(rod, tube, terminal("m", "minus", f"{10 + at}, -2, 2.5", "2, 4, 3"))


@pytest.mark.parametrize(("at", "status"), [(1.0, Status.NOT_MET), (6.0, Status.MET)])
def test_a_sleeve_is_crept_along_to_its_end_and_across_its_wall(at: float, status: Status) -> None:
    found = sleeve(at)
    assert found.band is not None
    assert found.status is status
    # The rod drawn with flat sides stands out by 0.01 mm, and flat sides of the sleeve take no more than 0.4 %.
    assert (at + 1.0) * (1.0 - 4e-3) - 0.01 <= found.band.value <= at + 1.0 + 1e-6
    assert found.band.low <= at + 1.0
    assert found.band.high >= at + 1.0


@pytest.mark.parametrize(("over", "value"), [(0.9, 2.0 * 1.0 + 2.0 - 2.0 * math.sqrt(1.0 - 0.81)), (1.1, None)])
def test_a_conductor_less_than_x_over_a_board_lays_its_ways_on_it(over: float, value: float | None) -> None:
    """2 mm apart, so X between walls is a third of that; to the board it stays 1 mm, aslant from the lower edges.

    A tenth more, and nothing is known of any way.
    """
    board = insulator("board", "0, 0, -10", "box: [40, 30, 10]")
    ends = [
        terminal(name, side, f"{x}, 12, {over}", "5, 5, 5") for name, side, x in (("p", "plus", 8), ("m", "minus", 15))
    ]
    found = crept(board, *ends)
    assert found.band is not None
    if value is None:
        assert found.status is Status.CANNOT_TELL
        assert found.band.value == pytest.approx(2.0)
        return
    assert found.status is Status.NOT_MET
    assert found.band.value == pytest.approx(value, rel=5e-3)
    assert 2.0 <= found.band.low <= value


@pytest.mark.parametrize("angle", [0.0, 30.0, 90.0])
def test_turning_everything_changes_nothing(angle: float) -> None:
    """A rib that is not cemented, a terminal on either side: straight on through the joint under it."""

    def turned(name: str, corner: tuple[float, float, float], size: tuple[float, float, float]) -> tuple[str, str, str]:
        c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        ends = [(corner[0] + i * size[0], corner[1] + j * size[1]) for i in (0, 1) for j in (0, 1)]
        low = [min(c * x - s * y for x, y in ends), min(s * x + c * y for x, y in ends), corner[2]]
        return name, ", ".join(f"{value:.12f}" for value in low), ", ".join(map(str, size))

    turn = f", turn: {{z: {angle}}}"
    parts = []
    for name, corner, size in (
        turned("board", (-30, -20, -10), (60, 40, 10)),
        turned("rib", (-1, -20, 0), (2, 40, 6)),
    ):
        parts.append(insulator(name, corner, f"box: [{size}]", turn))
    for potential, (name, corner, size) in (
        ("plus", turned("p", (-7, -2.5, 0), (5, 5, 5))),
        ("minus", turned("m", (1.25, -2.5, 0), (5, 5, 1))),
    ):
        parts.append(terminal(name, potential, corner, size, turn))
    found = crept(*parts, insulation="reinforced")
    assert found.status is Status.NOT_MET
    assert found.band is not None
    assert (found.band.value, found.band.low, found.band.high) == pytest.approx((3.25, 3.25, 3.25), abs=1e-6)


def test_boards_alike_are_searched_once_wherever_they_stand() -> None:
    """Three boards with the same two terminals, none where another would follow from moving by whole millimetres."""
    parts = []
    for number, x in enumerate((0.0, 200.3, 401.7)):
        parts.append(insulator(f"board{number}", f"{x}, 0, -10", "box: [60, 30, 10]"))
        parts.append(terminal(f"p{number}", "plus", f"{x + 20}, 12, 0", "5, 5, 5"))
        parts.append(terminal(f"m{number}", "minus", f"{x + 28}, 12, 0", "5, 5, 5"))
    work = placed(*parts)
    found = check(work, Build.PROPOSED)
    assert [(one.status, round(one.band.value, 9)) for one in found if one.band] == [(Status.NOT_MET, 3.0)] * 3
    searches = [key for key in work._worked if isinstance(key, tuple) and key[0] == "over surfaces"]
    single = placed(*parts[:3])
    check(single, Build.PROPOSED)
    alone = [key for key in single._worked if isinstance(key, tuple) and key[0] == "over surfaces"]
    assert alone
    assert set(alone) == set(searches)


def test_a_gap_that_only_tolerances_bridge_is_no_way_as_drawn() -> None:
    """Two boards 1.05 apart, X = 1.0: wider as drawn, narrower in some builds only. As drawn nothing joins the two."""
    boards = insulator("b", "0, 0, -10", "box: [20, 40, 10]") + insulator(
        "c", "21.05 ± 0.1, 0, -10", "box: [20, 40, 10]"
    )
    ends = terminal("p", "plus", "15, 15, 0", "5, 5, 5") + terminal("m", "minus", "22, 15, 0.5", "5, 5, 5")
    found = crept(boards, ends)
    assert found.status is Status.CANNOT_TELL
    exact = crept(boards.replace("21.05 ± 0.1", "20.95"), ends)
    assert exact.status is Status.NOT_MET


def test_the_bound_gives_way_by_what_the_flat_sides_of_a_bore_cut_into_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """A blade that touches a bore of 10 mm, 2 mm inside it: 2 out of the bore and 4 over the end face, straight outward
    from the middle of a flat side, where the end face as drawn reaches 5 (1 - cos) farther in than it does.
    """
    sides = sides_for(15.0)
    blade = terminal("p", "plus", "2, -4.996, -0.2", "10, 9.992, 0.4")
    tube = "  tube: {role: insulator, change: new, material_group: IIIa, low_corner: [0, -15, -15], "
    tube += f"turn: {{x: {180.0 / sides}}}, shape: {{tube: {{outside: 30, inside: 10, length: 20, along: x}}}}}}\n"
    parts = (blade, tube, terminal("m", "minus", "-4, 9, -3", "4, 3, 6"))
    given_way = crept(*parts, insulation="reinforced").band
    monkeypatch.setattr(surface_legs, "TURNS_OF_A_BORE", 0.0)
    drawn = crept(*parts, insulation="reinforced").band
    assert given_way is not None
    assert drawn is not None
    assert drawn.low - given_way.low == pytest.approx(2.0 * 5.0 * (1.0 - math.cos(math.pi / sides)), abs=1e-9)
    assert given_way.low <= 6.0 <= drawn.value + 1e-4
