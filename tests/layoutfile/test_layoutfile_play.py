"""`play`: how far a part can move as it is held."""

from __future__ import annotations

import pytest
from engine_layouts import layout

from fitcheck.errors import LayoutErrors
from fitcheck.model.part import Play

TWO = """
    units: {{length: {unit}}}
    parts:
      a: {{role: module, change: new, shape: {{box: [10, 10, 10]}}, low_corner: [0, 0, 0]}}
      b: {{role: cable, change: new, shape: {{box: [10, 10, 10]}}, play: {play}, {place}}}
      c: {{like: b, place: {{front: 5 clear of b rear}}}}
"""
BESIDE = "place: {front: 5 clear of a rear, left: flush with a, bottom: on a}"


def plays(play: str, part: str = "b", unit: str = "mm", place: str = "low_corner: [30, 0, 0]") -> tuple[Play, ...]:
    return layout(TWO.format(play=play, unit=unit, place=place)).by_name[part].play


def problems(play: str, place: str = BESIDE) -> list[str]:
    with pytest.raises(LayoutErrors) as found:
        plays(play, place=place)
    return [f"{each.at.line}:{each.at.column} {each.what}; {each.mend}" for each in found.value.problems]


@pytest.mark.parametrize(
    ("written", "unit", "usual"),
    [
        ("{x: 2}", "mm", (2.0, 2.0)),
        ("{x: [1, 3]}", "mm", (1.0, 3.0)),
        ("{x: [0, 3]}", "mm", (0.0, 3.0)),
        ("{x: 0.1}", "in", (2.54, 2.54)),
        ("{x: [1 mm, 0.1]}", "in", (1.0, 2.54)),
        ("{x: {value: 2, unit: mm}}", "in", (2.0, 2.0)),
    ],
)
def test_one_figure_or_a_low_and_a_high_side(written: str, unit: str, usual: tuple[float, float]) -> None:
    (play,) = plays(written, unit=unit)
    assert (play.axis, play.free.name) == (0, "b.play.x")
    assert play.usual == pytest.approx(usual, abs=1e-12)
    assert play.sure == play.most == play.usual


def test_a_play_may_be_toleranced() -> None:
    (play,) = plays("{y: [1 ± 0.2, 3 +0/-1]}")
    assert (play.axis, play.usual) == (1, (1.0, 3.0))
    assert play.sure == pytest.approx((0.8, 2.0))
    assert play.most == pytest.approx((1.2, 3.0))


def test_no_play_at_all_is_none() -> None:
    assert plays("{x: 0, y: [0, 0]}") == ()


def test_like_takes_the_play_over_and_it_counts_by_itself() -> None:
    (play,) = plays("{x: 2}", "c")
    assert play.free.name == "c.play.x"


def test_play_across_its_own_contact_is_refused() -> None:
    assert problems("{z: 1}", BESIDE) == [
        f"6:137 {name} is in contact across z and has play along z; place it by a distance, such as clear of, or leave "
        "z out of its play"
        for name in ("b", "c")
    ]


def test_play_under_what_stands_on_it_is_refused() -> None:
    text = """
    parts:
      a: {role: cable, change: new, shape: {box: [10, 10, 10]}, play: {z: [0, 2]}, low_corner: [0, 0, 0]}
      b: {role: bracket, change: new, shape: {box: [10, 10, 10]},
          place: {front: flush with a, left: flush with a, bottom: on a}}
    """
    with pytest.raises(LayoutErrors) as found:
        layout(text)
    assert [each.what for each in found.value.problems] == [
        "b is in contact with a across z, along which that has play"
    ]


def test_play_along_a_contact_is_none_of_its_business() -> None:
    (play,) = plays("{x: 4}", place=BESIDE)
    assert play.usual == (4.0, 4.0)


@pytest.mark.parametrize(
    ("written", "what"),
    [
        ("{x: -1}", "a negative length, -1"),
        ("{x: [1, 2, 3]}", "3 entries here; 2 needed"),
        ("{front: 1}", "unknown key 'front'"),
        ("{x: 2 kg}", "2 kg"),
        ("2", "a mapping"),
    ],
)
def test_slips_are_answered(written: str, what: str) -> None:
    (said,) = problems(written, "low_corner: [30, 0, 0]")
    assert what in said
