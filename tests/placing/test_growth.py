from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh
from engine_layouts import BEGINNING, END, layout, measured, study

CASE = """
      case:
        {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
         shape: {tray: {inside: [900, 451, 160], wall: 2, floor: 3}}}
"""


def spans(text: str, *names: str, axis: int = 0, folder: Path = Path()) -> list[tuple[float, float]]:
    """(low, high) along one axis of parts at the end of life."""
    placed = study(f"parts:{CASE}{text}", folder)
    chain = placed.chain(END)
    parts = [placed.layout.by_name[name] for name in names]
    return [(chain.low(part, axis).nominal, chain.high(part, axis).nominal) for part in parts]


def close(*ends: tuple[float, float]) -> object:
    return [pytest.approx(pair, abs=1e-9) for pair in ends]


MODULE = "role: module, change: new, shape: {box: [100, 60, 40]}, grows: {x: 2 %}"


def test_growth_is_shared_by_the_two_sides() -> None:
    text = f"      m1: {{{MODULE}, low_corner: [200, 100, 0]}}"
    assert spans(text, "m1") == close((199.0, 301.0))


def test_a_face_that_touches_stays() -> None:
    text = f"""
      m1: {{{MODULE}, place: {{front: against case inside front, left: 10 clear of case inside left,
            bottom: on case floor}}}}
      m2: {{{MODULE}, place: {{rear: against case inside rear, left: 10 clear of case inside left,
            bottom: on case floor}}}}
    """
    assert spans(text, "m1", "m2") == close((0.0, 102.0), (798.0, 900.0))


def test_a_face_that_another_leans_on_stays() -> None:
    text = f"""
      m1: {{{MODULE}, low_corner: [200, 100, 0]}}
      block: {{role: spacer, change: new, shape: {{box: [10, 60, 40]}},
              place: {{front: against m1 rear, left: flush with m1, bottom: flush with m1}}}}
    """
    assert spans(text, "m1", "block") == close((198.0, 300.0), (300.0, 310.0))


def test_held_on_both_sides_it_grows_both_ways_and_they_follow() -> None:
    text = f"""
      m1: {{{MODULE}, low_corner: [200, 100, 0]}}
      left: {{role: spacer, change: new, shape: {{box: [10, 60, 40]}},
             place: {{rear: against m1 front, left: flush with m1, bottom: flush with m1}}}}
      right: {{role: spacer, change: new, shape: {{box: [10, 60, 40]}},
              place: {{front: against m1 rear, left: flush with m1, bottom: flush with m1}}}}
    """
    assert spans(text, "m1", "left", "right") == close((199.0, 301.0), (189.0, 199.0), (301.0, 311.0))


def test_a_stack_against_the_wall_is_pushed_along() -> None:
    text = f"""
      m1: {{{MODULE}, place: {{front: against case inside front, left: 10 clear of case inside left,
            bottom: on case floor}}}}
      m2: {{like: m1, place: {{front: against m1 rear}}}}
      m3: {{like: m1, place: {{front: against m2 rear}}}}
    """
    assert spans(text, "m1", "m2", "m3") == close((0.0, 102.0), (102.0, 204.0), (204.0, 306.0))


def test_what_stands_clear_does_not_follow() -> None:
    text = f"""
      m1: {{{MODULE}, place: {{front: against case inside front, left: 10 clear of case inside left,
            bottom: on case floor}}}}
      m2: {{like: m1, place: {{front: 4 clear of m1 rear}}}}
    """
    # m2 was put at 104 when young; from there it grows both ways.
    assert spans(text, "m1", "m2") == close((0.0, 102.0), (103.0, 205.0))


def test_growth_is_along_the_axes_of_the_shape() -> None:
    text = f"      m1: {{{MODULE}, turn: {{z: 90}}, low_corner: [200, 100, 0]}}"
    assert spans(text, "m1", axis=0) == close((200.0, 260.0))
    assert spans(text, "m1", axis=1) == close((99.0, 201.0))


def test_growth_has_its_own_band() -> None:
    placed = study("""
    parts:
      m1: {role: module, change: new, shape: {box: [100 ± 1, 60, 40]}, grows: {x: 2 ± 1 %}, low_corner: [0, 0, 0]}
      wall: {role: bracket, change: retained, shape: {box: [5, 60, 40]}, low_corner: [110, 0, 0]}
    """)
    # Each side takes half of (100 ± 1)(0.02 ± 0.01); the size itself is all on the far side.
    far = [99.0 + 99.0 * 0.01 / 2, 101.0 + 101.0 * 0.03 / 2]
    found = measured(placed, "m1", "wall", END).band
    assert found.value == pytest.approx(110.0 - 101.0, abs=1e-9)
    assert found.low == pytest.approx(110.0 - far[1], abs=0.006)
    assert found.low <= 110.0 - far[1] + 1e-9
    assert found.high >= 110.0 - far[0] - 1e-9


@pytest.mark.parametrize("shape", ["cylinder", "prism", "tube", "mesh"])
def test_every_shape_grows(shape: str, tmp_path: Path) -> None:
    trimesh.creation.box([100, 60, 40]).export(tmp_path / "block.stl")
    written = {
        "cylinder": "{cylinder: {diameter: 40, length: 100, along: x}}",
        "tube": "{tube: {outside: 40, inside: 30, length: 100, along: x}}",
        "prism": "{prism: {outline: [[0, 0], [100, 0], [0, 40]], height: 30, along: z}}",
        "mesh": "{mesh: {file: block.stl, unit: mm}}",
    }[shape]
    text = f"      m1: {{role: module, change: new, shape: {written}, grows: {{x: 2 %}}, low_corner: [200, 100, 0]}}"
    assert spans(text, "m1", folder=tmp_path) == close((199.0, 301.0))


def test_a_turned_member_of_a_group_grows_at_least_as_much_as_its_matter() -> None:
    """A thin bar at 45 degrees: stretching along x shears it, so its corners go sideways out of the unsheared bar."""
    text = """
    parts:
      g:
        {role: module, change: new, grows: {x: 2 %}, low_corner: [0, 0, 0],
         shape: {group: [{shape: {box: [10, 400, 10]}, low_corner: [0, 0, 0], turn: {z: 45}}]}}
      by: {role: bracket, change: new, turn: {z: 45}, shape: {box: [10, 400, 30]}, low_corner: [18, 0, 0]}
    """
    placed = study(text)
    turned = np.array([[1.0, -1.0], [1.0, 1.0]]) / 2**0.5
    own = np.array([[x, y] for x in (-5.0, 5.0) for y in (-200.0, 200.0)]) @ turned.T
    grown = own * [1.02, 1.0]
    # Across the bars, the direction (1, 1) / sqrt 2 in the plan.
    across = np.array([1.0, 1.0]) / 2**0.5
    shift = (own @ across).max()
    sheared = (grown @ across).max() - shift
    young, old = (measured(placed, "g", "by", state).band for state in (BEGINNING, END))
    assert sheared == pytest.approx(0.01 * 5 + 0.01 * 200, abs=1e-9)
    assert old.low <= young.value - sheared + 1e-6


def test_the_end_of_life_is_only_there_if_something_grows() -> None:
    text = "parts:\n  m1: {role: module, change: new, shape: {box: [10, 10, 10]}, low_corner: [0, 0, 0]}"
    assert study(layout(text)).states == (BEGINNING,)
