"""Parts that can move as they are held: the smallest distance over their positions."""

from __future__ import annotations

import pytest
from engine_layouts import band, findings, measured, only, study

from fitcheck.findings import Status
from fitcheck.model.part import Build
from fitcheck.placing.forms import counts_in_full
from fitcheck.run import check_study

BESIDE = """
judge_by: {basis}
parts:
  a: {{role: module, change: new, shape: {{box: [{size}, 10, 10]}}, low_corner: [0, 0, 0]}}
  b: {{role: cable, change: new, shape: {{box: [10, 10, 10]}}, play: {{{play}}}, low_corner: [20, 0, 0]}}
gaps:
  - {{between: [a, b], at_least: {rule}}}
"""


def beside(play: str, size: str = "10", basis: str = "worst case", rule: str = "5") -> str:
    return BESIDE.format(play=play, size=size, basis=basis, rule=rule)


def figures(text: str) -> tuple[float, ...]:
    found = measured(study(text), "a", "b").band
    return found.value, found.low, found.high, found.rss_low, found.rss_high


@pytest.mark.parametrize(
    ("play", "expected"),
    [
        ("x: 0", (10, 9, 11, 9, 11)),
        ("x: [3, 1]", (7, 6, 8, 6, 8)),
        ("x: [0, 4]", (10, 9, 11, 9, 11)),
        ("y: 4", (10, 9, 11, 9, 11)),
        ("x: [3 ± 0.5, 1]", (7, 5.5, 8.5, 5.5, 8.5)),
        ("x: 12", (0, 0, 0, 0, 0)),
        ("x: 10", (0, 0, 1, 0, 1)),
        ("x: 0.1 in", (7.46, 6.46, 8.46, 6.46, 8.46)),
    ],
)
def test_a_box_beside_a_box(play: str, expected: tuple[float, ...]) -> None:
    assert figures(beside(play, "10 ± 1")) == pytest.approx(expected, abs=1e-9)


def test_play_goes_past_a_corner() -> None:
    """Drawn 3 aside and 4 behind, 5 apart; it comes 3 nearer sideways and 1 nearer from behind."""
    text = """
    parts:
      a: {role: module, change: new, shape: {box: [10, 10, 10]}, low_corner: [0, 0, 0]}
      b: {role: cable, change: new, shape: {box: [10, 10, 10]}, play: {x: 3, y: 1}, low_corner: [13, 14, 0]}
    """
    assert band(text, "a", "b") == pytest.approx((3.0, 3.0, 3.0), abs=1e-9)


def test_both_have_play() -> None:
    text = """
    parts:
      a: {role: module, change: new, shape: {box: [10, 10, 10]}, play: {x: [0, 2]}, low_corner: [0, 0, 0]}
      b: {role: cable, change: new, shape: {box: [10, 10, 10]}, play: {x: [3, 9]}, low_corner: [20, 0, 0]}
    """
    found = measured(study(text), "a", "b")
    assert (found.band.value, found.band.low, found.band.high) == pytest.approx((5.0, 5.0, 5.0), abs=1e-9)
    assert (found.points[0][0], found.points[1][0]) == pytest.approx((12.0, 17.0), abs=1e-9)
    assert found.note == "at the far end of a's play (x +2 mm) and at the far end of b's play (x -3 mm)"


def test_the_middle_of_the_play_may_be_nearest() -> None:
    """A thin bar across a thin bar's end: it is nearest right above, within the play."""
    text = """
    parts:
      post: {role: column, change: new, shape: {cylinder: {diameter: 10, length: 20, along: z}}, low_corner: [0, 0, 0]}
      hose: {role: cable, change: new, shape: {cylinder: {diameter: 6, length: 20, along: z}},
             play: {x: 30}, low_corner: [-16, 20, 0]}
    """
    found = measured(study(text), "post", "hose")
    apart = 23.0 - 5.0 - 5.0 - 3.0
    assert (found.band.value, found.band.low, found.band.high) == pytest.approx((apart, apart, apart), abs=2e-6)
    assert found.note == "within hose's play (x +18 mm)"


def test_play_is_no_overlap() -> None:
    assert findings(beside("x: 15"), "overlap") == ()
    gap = only(beside("x: 15", rule="1"), "gap")
    assert gap.status is Status.NOT_MET
    assert gap.reason == "touching, within b's play (x -10 mm)"
    assert gap.points is not None
    assert gap.points[0] == pytest.approx(gap.points[1], abs=1e-6)


def test_an_overlap_as_drawn_is_no_deeper_for_play() -> None:
    text = beside("x: 5", "22")
    assert figures(text) == pytest.approx((-2.0,) * 5, abs=1e-9)
    (overlap,) = findings(text, "overlap")
    assert (overlap.status, overlap.band.value if overlap.band else None) == (Status.NOT_MET, pytest.approx(2.0))


def test_play_that_is_too_much_is_not_met_rather_than_open() -> None:
    gap = only(beside("x: 7", "10 ± 1"), "gap")
    assert gap.status is Status.NOT_MET
    assert gap.reason == "at the far end of b's play (x -7 mm)"


def test_nobody_is_told_to_measure_the_play() -> None:
    """The size settles it where it can; a play that is not known well enough is no value to measure."""
    assert only(beside("x: 5", "10 ± 0.2", rule="4.9"), "gap").settle_by == "a.x to ± 0.1 mm"
    doubtful = only(beside("x: [4.5 ± 0.5, 0]", "10 ± 0.2", rule="5.2"), "gap")
    assert (doubtful.status, doubtful.settle_by) == (Status.CANNOT_TELL, "no single value settles it")


def test_play_counts_in_full_beside_root_sum_squares() -> None:
    text = """
    judge_by: rss
    parts:
      a: {role: module, change: new, shape: {box: [10 ± 0.3, 10, 10]}, low_corner: [0 ± 0.4, 0, 0]}
      b: {role: cable, change: new, shape: {box: [10, 10, 10]}, play: {x: 3}, low_corner: [20, 0, 0]}
    """
    found = measured(study(text), "a", "b").band
    assert (found.rss_low, found.rss_high) == pytest.approx((7.0 - 0.5, 7.0 + 0.5), abs=1e-9)
    assert (found.low, found.high) == pytest.approx((7.0 - 0.7, 7.0 + 0.7), abs=1e-9)


def test_what_is_placed_by_a_part_does_not_move_with_its_play() -> None:
    """The bracket is bolted 5 beside the cable as drawn; the cable comes 3 nearer to it."""
    text = """
    parts:
      cable: {role: cable, change: new, shape: {box: [10, 10, 10]}, play: {x: 3}, low_corner: [0, 0, 0]}
      stay: {role: bracket, change: new, shape: {box: [10, 10, 10]},
             place: {front: 5 clear of cable rear, left: flush with cable, bottom: flush with cable}}
      plate: {role: bracket, change: new, shape: {box: [10, 10, 10]},
              place: {front: 5 clear of stay rear, left: flush with cable, bottom: flush with cable}}
    """
    assert band(text, "cable", "stay") == pytest.approx((2.0, 2.0, 2.0), abs=1e-9)
    assert band(text, "stay", "plate") == pytest.approx((5.0, 5.0, 5.0), abs=1e-9)


def test_contact_stays_contact_while_the_part_slides() -> None:
    """A cable lies on a block and slides to its edge and beyond: the block under it stays excused."""
    text = """
    parts:
      block: {role: module, change: new, shape: {prism: {outline: [[0, 0], [40, 0], [40, 40], [0, 40]], height: 10,
              along: z}}, low_corner: [0, 0, 0]}
      cable: {role: cable, change: new, shape: {box: [10, 10, 10]}, play: {x: 30},
              place: {front: 0 past block, left: flush with block, bottom: on block}}
    gaps:
      - {between: [block, cable], at_least: 1}
    """
    assert only(text, "gap").status is Status.MET


def test_turned_pieces_are_solved_too() -> None:
    """A cube on its edge above a plate: play brings the edge down, and a play along the plate changes nothing."""
    text = """
    parts:
      plate: {role: bracket, change: new, shape: {box: [100, 100, 2]}, low_corner: [0, 0, 0]}
      cube: {role: cable, change: new, shape: {box: [10, 10, 10]}, turn: {x: 45}, play: {z: 2, x: 5},
             low_corner: [40, 40, 10]}
    """
    assert band(text, "plate", "cube") == pytest.approx((6.0, 6.0, 6.0), abs=1e-6)


def test_containment_takes_the_module_where_it_reaches_farthest() -> None:
    text = """
    parts:
      case: {role: enclosure, change: new, shape: {tray: {inside: [100, 50, 40], wall: 2, floor: 2}},
             inside_low_corner: [0, 0, 0]}
      m1: {role: module, change: new, shape: {box: [60 ± 0.5, 30, 20]}, play: {x: [2 ± 0.5, 1]},
           low_corner: [5 ± 0.2, 10, 0]}
    """
    found = only(text, "containment").band
    assert found is not None
    assert (found.value, found.low, found.high) == pytest.approx((3.0, 2.3, 3.7), abs=1e-9)
    assert (found.rss_low, found.rss_high) == pytest.approx((2.3, 3.7), abs=1e-9)


def test_a_play_counts_in_full() -> None:
    assert [counts_in_full(name) for name in ("hv 1.play.x", "hv 1.x", "play.x", "hv 1.place.front")] == [
        True, False, False, False,
    ]  # fmt: skip


def test_balance_takes_the_part_where_it_is_drawn() -> None:
    text = """
    parts:
      a: {role: cable, change: new, shape: {box: [10, 10, 10]}, mass: 2, play: {x: 3}, low_corner: [0, 0, 0]}
    """
    balance = check_study(study(text), Build.PROPOSED).balance
    assert balance is not None
    assert balance.proposed.cg_mm == pytest.approx((5.0, 5.0, 5.0), abs=1e-9)
    assert balance.proposed.cg_worst == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)
