from __future__ import annotations

import pytest
from engine_layouts import BEGINNING, built, draws, layout, measured, study, uncertain

from fitcheck.placing.pair import Lowest
from fitcheck.placing.turns import lowest_over, turnings

TEXT = """
parts:
  a: {role: module, change: new, turn: {z: 30 ± 2}, shape: {box: [100 ± 1, 60, 40]}, low_corner: [0 ± 0.5, 0, 0]}
  b: {role: module, change: new, turn: [{x: 90}, {y: 10 ± 1}],
      shape: {cylinder: {diameter: 20 ± 1, length: 50, along: z}},
      place: {front: 3 ± 1 clear of a rear, left: flush with a, bottom: on a}}
  c: {role: module, change: new, shape: {box: [10, 10, 10 ± 1]},
      place: {front: 3 ± 1 clear of b rear, centre: {y: a}, top: 5 short of b}}
"""


def test_no_build_reaches_beyond_the_outermost_box() -> None:
    written = layout(TEXT)
    boxes = study(written).bounds(BEGINNING)
    for values in draws(uncertain(written), 200, seed=7):
        placed = study(built(written, values))
        for part in placed.layout.parts:
            for k, (low, high) in enumerate(boxes[part.name]):
                assert placed.chain(BEGINNING).low(part, k).nominal >= low - 1e-9
                assert placed.chain(BEGINNING).high(part, k).nominal <= high + 1e-9


def test_an_exact_part_is_its_own_outermost_box() -> None:
    placed = study("parts:\n  a: {role: other, change: new, shape: {box: [3, 4, 5]}, low_corner: [1, 2, 3]}")
    assert placed.bounds(BEGINNING)["a"] == ((1.0, 4.0), (2.0, 6.0), (3.0, 8.0))


def test_only_angles_that_move_the_pair_are_turned() -> None:
    placed = study(TEXT)
    chain, by_name = placed.chain(BEGINNING), placed.layout.by_name
    names = {turn.name for turn in turnings(chain, by_name["a"], by_name["c"], placed.widths)}
    assert names == {"a.turn.z", "b.turn.2.y"}
    exactly = study(built(placed.layout, {}))
    assert turnings(exactly.chain(BEGINNING), by_name["a"], by_name["c"], exactly.widths) == ()


@pytest.mark.parametrize("gap", [0.0, 2.0])
def test_a_clear_gap_along_the_axis_of_a_turn_is_not_widened(gap: float) -> None:
    """A turn about the upright moves nothing up or down: what stands beneath keeps its distance."""
    placed = study(f"""
    parts:
      floor: {{role: frame, change: retained, shape: {{box: [500, 500, 5]}}, low_corner: [0, 0, -5]}}
      a: {{role: module, change: new, turn: {{z: 30 ± 2}}, shape: {{box: [100, 60, 40]}},
          low_corner: [200, 200, {gap}]}}
    """)
    found = measured(placed, "floor", "a")
    assert (found.band.value, found.band.low) == pytest.approx((gap, gap), abs=1e-6)
    assert found.band.high <= gap + found.looseness + 1e-6


def test_nothing_to_turn_needs_one_look() -> None:
    assert lowest_over((), lambda _: [Lowest(value=3.0)], 10) == (3.0, 0.0)
