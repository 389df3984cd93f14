"""What would mend live parts that are too near: each proposal, drawn by hand, is met; half a millimetre less is not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from engine_layouts import study

from fitcheck.checks import creepage, live_mend
from fitcheck.checks.live_mend import NONE_FOUND, not_sought, with_live_mends
from fitcheck.findings import Finding, Status
from fitcheck.model.part import Build
from fitcheck.run import geometric

BOX = "{box: [60, 60, 12]}"
GROOVED = (
    "{prism: {along: y, height: 60, outline: [[0, -12], [60, -12], [60, 0], [15.875, 0], [15.875, -%s], "
    "[14.875, -%s], [14.875, 0], [0, 0]]}}"
)
PLASTIC = "  %s: {role: insulator, change: %s, material_group: IIIa, shape: %s, low_corner: [%s]}\n"


def terminal(name: str, potential: str, x: str, change: str = "new") -> str:
    shape = "shape: {box: [10, 10, 6]}"
    return (
        f"  {name}: {{role: terminal, change: {change}, potential: {potential}, {shape}, low_corner: [{x}, 25, 0]}}\n"
    )


def block(shape: str = BOX, low: str = "-12") -> str:
    return PLASTIC % ("block", "retained", shape, f"0, 0, {low}")


def rib(high: str) -> str:
    return PLASTIC % ("rib", "new", f"{{box: [1.5, 14, {high}]}}", "15.25, 23, 0")


def bay(parts: str, cemented: str = "", rest: str = "") -> str:
    electrical = f"system: isolated, impulse: 2.5 kV, pollution_degree: 2{cemented}"
    return f"parts:\n{parts}electrical: {{potentials: {{plus: 400 V, minus: 0 V}}, {electrical}}}\n{rest}"


def pair(a: str = "4", b: str = "16.75", change: str = "new") -> str:
    """4.0 mm are asked for between a, which ends 10 mm behind its corner, and b."""
    return terminal("a", "plus", a, change) + terminal("b", "minus", b, change)


def mended(text: str, check: str = "creepage") -> str:
    """The proposals for a and b."""
    placed = study(text)
    found = with_live_mends(placed, Build.PROPOSED, geometric(placed, Build.PROPOSED))
    (one,) = (finding for finding in found if finding.check == check and finding.parts == ("a", "b"))
    assert one.status is Status.NOT_MET
    return one.mend


def crept(text: str) -> Status:
    """How creepage between a and b is judged."""
    (found,) = (one for one in creepage.check(study(text), Build.PROPOSED) if one.parts == ("a", "b"))
    return found.status


def test_a_move_a_rib_and_a_groove_are_proposed_the_least_first() -> None:
    """2.75 mm over a flat face, 1.25 short. A rib beside b adds its height once, a groove its depth twice."""
    assert mended(bay(block() + pair())) == (
        "move a forward by 1.5 mm (a.low_corner.x: 4 -> 2.5); "
        "or a rib 1.5 mm thick, 1.5 mm high and 14 mm long on the upper face of block, cemented to it "
        "(low corner 15.25, 23, 0); "
        "or a groove 1 mm wide (never less than 1 mm) and 1 mm deep right across the upper face of block, "
        "from x = 14.875 to 15.875. "
        "New pieces are taken at nominal size and of the same material: have its CTI, its temperature and the joint "
        "checked"
    )


@pytest.mark.parametrize(("x", "status"), [("2.5", Status.MET), ("3", Status.NOT_MET)])
def test_the_move_drawn_by_hand(x: str, status: Status) -> None:
    assert crept(bay(block() + pair(a=x))) is status


@pytest.mark.parametrize(("high", "status"), [("1.5", Status.MET), ("1", Status.NOT_MET)])
def test_the_rib_drawn_by_hand(high: str, status: Status) -> None:
    assert crept(bay(block() + pair() + rib(high), ", cemented: [[rib, block]]")) is status


def test_the_rib_does_nothing_where_it_only_lies() -> None:
    assert crept(bay(block() + pair() + rib("1.5"))) is not Status.MET


@pytest.mark.parametrize(("deep", "status"), [("1", Status.MET), ("0.5", Status.NOT_MET)])
def test_the_groove_drawn_by_hand(deep: str, status: Status) -> None:
    assert crept(bay(block(GROOVED % (deep, deep)) + pair())) is status


def test_a_rib_with_air_to_both_sides_counts_twice_and_stands_in_the_middle() -> None:
    """5.5 mm, 6.3 asked for at pollution degree 3: X is 1.5, so 2 mm of rib leave 1.75 to either side."""
    text = bay(block() + pair(b="19.5", change="retained")).replace("degree: 2", "degree: 3")
    assert mended(text).startswith("a rib 2 mm thick, 0.5 mm high and 17 mm long on the upper face of block")
    assert "(low corner 15.75, 21.5, 0)" in mended(text)


def test_retained_parts_stay_and_a_cover_is_tried_where_there_is_no_room_for_ribs() -> None:
    """1.75 mm leave no room for a rib with X = 1 beside it, and 1.9 mm of board none for a groove that helps."""
    board = block("{box: [60, 60, 1.9]}", "-1.9")
    assert mended(bay(board + pair(b="15.75", change="retained"))) == (
        "a cover over a open forward, 11.5 x 13 x 7.5 mm outside, 1.25 mm thick, cemented to the upper face of block "
        "(low corner 4, 23.5, 0). New pieces are taken at nominal size and of the same material: have its CTI, its "
        "temperature and the joint checked"
    )


def test_the_cover_drawn_by_hand() -> None:
    """Roof, wall towards b, two flanks: 0.25 clear of a, which stands from 4 to 14 and from 25 to 35, 6 high."""
    plates = (
        "{shape: {box: [11.5, 13, 1.25]}, low_corner: [0, 0, 6.25]}",
        "{shape: {box: [1.25, 13, 6.25]}, low_corner: [10.25, 0, 0]}",
        "{shape: {box: [10.25, 1.25, 6.25]}, low_corner: [0, 0, 0]}",
        "{shape: {box: [10.25, 1.25, 6.25]}, low_corner: [0, 11.75, 0]}",
    )
    shape = f"{{group: [{', '.join(plates)}]}}"
    hood = PLASTIC % ("hood", "new", shape, "4, 23.5, 0")
    board = block("{box: [60, 60, 1.9]}", "-1.9")
    assert crept(bay(board + pair(b="15.75") + hood, ", cemented: [[hood, block]]")) is Status.MET


def test_moves_stay_on_the_face_and_clear_of_others() -> None:
    """Between two walls neither part can go along x; up would be the least, and would leave it in the air."""
    places = (("front", "0, 0, 0"), ("rear", "26.75, 0, 0"))
    walls = "".join(PLASTIC % (name, "retained", "{box: [4, 60, 10]}", low) for name, low in places)
    said = mended(bay(block() + pair() + walls))
    assert said.startswith("move a right by 13 mm (a.low_corner.y: 25 -> 38)")


def test_no_other_pair_is_made_worse() -> None:
    """b has c 4.25 mm behind it, which is enough; a is retained. A move of b back would spoil that."""
    parts = terminal("a", "plus", "4", "retained") + terminal("b", "minus", "16.75")
    said = mended(bay(block() + parts + terminal("c", "plus", "31", "retained")))
    assert said.startswith("move b right by")
    assert "rearward" not in said


def test_a_piece_that_would_spoil_a_gap_is_not_proposed() -> None:
    gaps = (
        "gaps:\n  - {between: [every terminal, every insulator], at_least: 0.5}\ncontacts: [[a, block], [b, block]]\n"
    )
    said = mended(bay(block() + pair(), rest=gaps))
    assert said.startswith("move a forward by 1.5 mm (a.low_corner.x: 4 -> 2.5); or a groove 1 mm wide")


def test_a_short_circuit_is_moved_apart_and_needs_no_contact_kept() -> None:
    assert mended(bay(block() + pair(b="14")), "clearance") == "move a forward by 1.5 mm (a.low_corner.x: 4 -> 2.5)"


def test_where_nothing_does_that_is_said() -> None:
    """The board may vary in size, so nothing cemented to it counts as one with it, and it is too thin for grooves."""
    board = block("{box: [60, 60, 1 ± 0.1]}", "-1")
    assert mended(bay(board + pair(change="retained"))) == NONE_FOUND


def test_only_the_first_pairs_are_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    placed = study(bay(block() + pair(b="14")))
    found = geometric(placed, Build.PROPOSED)
    monkeypatch.setattr(live_mend, "MOST_PAIRS", 1)
    said = [one.mend for one in with_live_mends(placed, Build.PROPOSED, found) if one.status is Status.NOT_MET]
    assert said[-1] == not_sought(1)
    assert said.count(not_sought(1)) == len(said) - 1


def test_the_same_layout_gives_the_same_words_and_other_findings_stay() -> None:
    placed = study(bay(block() + pair(b="14")))
    found = geometric(placed, Build.PROPOSED)
    once, again = (with_live_mends(placed, Build.PROPOSED, found) for _ in range(2))
    assert once == again
    assert [bare(one) for one in once] == [bare(one) for one in found]


def bare(finding: Finding) -> Finding:
    return replace(finding, mend="")
