"""The promise of play: no build stands nearer than `low` anywhere in it, and each comes as near as `high` somewhere.

Layouts are built many times over. In each build the parts are set to positions of their play, and the distance is
measured afresh.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
import trimesh
from engine_layouts import built, draws, layout, measured, study
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.model.layout import Layout
from fitcheck.model.part import Part, Play
from fitcheck.placing.measure import Measure

ROUNDING = 1e-6
GRID = 2
"""Steps from end to end of a play; the corners are among the positions."""

LAYOUTS = {
    "boxes past a corner": """
        parts:
          a: {role: module, change: new, shape: {box: [40 ± 0.5, 30 ± 0.4, 20]}, low_corner: [0 ± 0.3, 0, 0]}
          b: {role: cable, change: new, shape: {box: [10, 10, 30 ± 0.2]}, play: {x: [3, 1], y: 2},
              low_corner: [44, 35 ± 0.4, -5]}
    """,
    "both move": """
        parts:
          a: {role: cable, change: new, shape: {box: [40 ± 0.5, 30, 20]}, play: {x: 1, z: [0, 2]},
              low_corner: [0, 0, 0]}
          b: {role: cable, change: new, shape: {box: [10, 10, 30 ± 0.2]}, play: {x: [3 ± 0.5, 1], z: 1 ± 0.2},
              low_corner: [46, 10 ± 0.4, 24]}
    """,
    "till they touch": """
        parts:
          a: {role: module, change: new, shape: {box: [40 ± 0.5, 30, 20]}, low_corner: [0, 0, 0]}
          b: {role: cable, change: new, shape: {box: [10, 10, 10]}, play: {x: 6}, low_corner: [45 ± 0.4, 5, 5]}
    """,
    "a bar beside a turned box": """
        parts:
          a: {role: module, change: new, shape: {box: [40 ± 0.5, 30, 20]}, turn: {z: 30}, low_corner: [0, 0, 0]}
          b: {role: cable, change: new, shape: {cylinder: {diameter: 8 ± 0.3, length: 60, along: x}},
              play: {y: 4, z: [2, 0]}, turn: {z: 10}, low_corner: [-10, 54, 22 ± 0.2]}
    """,
    "a turn that is uncertain": """
        parts:
          a: {role: module, change: new, shape: {box: [40, 30, 20]}, turn: {z: 5 ± 1}, low_corner: [0, 0, 0]}
          b: {role: cable, change: new, shape: {box: [10, 10, 10]}, play: {x: 2, y: 1}, low_corner: [50, 8 ± 0.3, 4]}
    """,
    "a bracket of several pieces": """
        parts:
          a: {role: bracket, change: new, low_corner: [0, 0, 0], shape: {group: [
               {shape: {box: [60, 4, 20]}, low_corner: [0, 0, 0]},
               {shape: {box: [4 ± 0.2, 30, 20]}, low_corner: [0, 4, 0]},
               {shape: {box: [4, 12, 20]}, low_corner: [56, 4, 0]}]}}
          b: {role: cable, change: new, shape: {cylinder: {diameter: 10, length: 40, along: z}},
              play: {x: 9, y: [4, 8]}, low_corner: [30 ± 0.5, 11, -10]}
    """,
}
DEAR = ("a bar beside a turned box", "a turn that is uncertain", "a bracket of several pieces")
MESHED = """
    parts:
      a: {role: duct, change: new, shape: {mesh: {file: wedge.stl, unit: mm}}, low_corner: [0 ± 0.3, 0, 0]}
      b: {role: cable, change: new, shape: {box: [10, 10, 30 ± 0.2]}, play: {x: 2, z: [4, 0]}, low_corner: [50, 10, 31]}
"""


def standing(written: Layout, values: dict[str, float]) -> Layout:
    """One build, each part held at one place of its play."""
    made = built(written, values)
    return replace(made, parts=tuple(_held(part) for part in made.parts))


def _held(part: Part) -> Part:
    nothing = (0.0, 0.0)
    return replace(part, play=tuple(replace(play, usual=nothing, sure=nothing) for play in part.play))


def positions(plays: list[Play], ends: str) -> Iterator[dict[str, float]]:
    """A grid over the play, its corners and the place as drawn among it."""
    lines = []
    for play in plays:
        below, above = getattr(play, ends)
        lines.append({-below + (below + above) * step / GRID for step in range(GRID + 1)} | {0.0})
    for each in itertools.product(*map(sorted, lines)):
        yield {play.free.name: at for play, at in zip(plays, each, strict=True)}


def at_all(written: Layout, values: dict[str, float], plays: list[Play], ends: str) -> list[Measure]:
    """The distance of one build at every position of the grid."""
    return [measured(study(standing(written, {**values, **at})), "a", "b") for at in positions(plays, ends)]


def cell(plays: list[Play], ends: str) -> float:
    """No position is farther than this from one of the grid; mm."""
    return math.hypot(*(sum(getattr(play, ends)) / GRID / 2.0 for play in plays))


def test_no_build_stands_nearer_than_low_and_each_comes_as_near_as_high(tmp_path: Path) -> None:
    wedge = trimesh.convex.convex_hull([[0, 0, 0], [70, 0, 0], [70, 40, 0], [0, 40, 0], [0, 0, 35], [0, 40, 35]])
    wedge.export(tmp_path / "wedge.stl")
    wrong = []
    for name, text in {**LAYOUTS, "a mesh": MESHED}.items():
        written = layout(text, tmp_path)
        found = measured(study(written), "a", "b")
        plays = [play for part in written.parts for play in part.play]
        values = [value for value in written.quantities.values() if not value.is_exact and not value.is_play]
        # A part is not pushed through another, so a sampled overlap counts as touching.
        usual = [max(0.0, each.band.value) for each in at_all(written, {}, plays, "usual")]
        assert found.band.value == pytest.approx(min(usual), abs=cell(plays, "usual") + ROUNDING), name
        assert found.band.value <= min(usual) + 1e-4, name
        for drawn in draws(values, 1 if name in DEAR else 4, seed=20261125):
            most = at_all(written, drawn, plays, "most")
            sure = most if all(play.most == play.sure for play in plays) else at_all(written, drawn, plays, "sure")
            nearest = max(0.0, min(each.band.value + each.error for each in most))
            if nearest < found.band.low - ROUNDING:
                wrong.append(f"{name}: {nearest} below {found.band.low} with {drawn}")
            farthest = max(0.0, min(each.band.value for each in sure))
            if farthest > found.band.high + cell(plays, "sure") + ROUNDING:
                wrong.append(f"{name}: {farthest} above {found.band.high} with {drawn}")
    assert wrong == []


PLAY = st.tuples(*(st.sampled_from([0.0, 0.5, 1.5, 4.0]) for _ in range(6)))
SHAPES = st.sampled_from(
    ["{box: [12 ± 0.3, 10, 8]}", "{cylinder: {diameter: 9 ± 0.2, length: 20, along: x}}", "{box: [5, 30, 6 ± 0.1]}"]
)
CORNERS = st.tuples(*(st.integers(-30, 30) for _ in range(3)))


def two(shape: str, other: str, corner: tuple[int, ...], play: tuple[float, ...], turn: int, unit: str = "mm") -> str:
    per = {"mm": 1.0, "in": 25.4}[unit]
    sides = ", ".join(
        f"{axis}: [{play[2 * k] / per!r} {unit}, {play[2 * k + 1] / per!r} {unit}]" for k, axis in enumerate("xyz")
    )
    return f"""
    parts:
      a: {{role: module, change: new, shape: {shape}, turn: {{y: {turn}}}, low_corner: [0, 0, 0]}}
      b: {{role: cable, change: new, shape: {other}, play: {{{sides}}}, low_corner: {list(corner)}}}
    """


def bands(found: Measure) -> tuple[float, ...]:
    band = found.band
    return band.value, band.low, band.high, band.rss_low, band.rss_high


NEAR = 2e-4
"""What a search that stops may leave of `value` and of what follows from it, mm."""


@settings(max_examples=6)
@given(SHAPES, SHAPES, CORNERS, PLAY, st.sampled_from([0, 20]))
def test_more_play_never_makes_anything_larger(
    shape: str, other: str, corner: tuple[int, ...], play: tuple[float, ...], turn: int
) -> None:
    before = None
    for share in (0.0, 0.5, 1.0):
        text = two(shape, other, corner, tuple(by * share for by in play), turn)
        now = bands(measured(study(text), "a", "b"))
        if before is not None:
            assert all(one <= other + NEAR for one, other in zip(now, before, strict=True)), (before, now)
        before = now


@settings(max_examples=6)
@given(SHAPES, SHAPES, CORNERS, st.sampled_from([0, 20]))
def test_no_play_is_as_good_as_none_stated(shape: str, other: str, corner: tuple[int, ...], turn: int) -> None:
    text = two(shape, other, corner, (0.0,) * 6, turn)
    bare = re.sub(r"play: \{.*?\}, ", "", text)
    assert "play" not in bare
    assert measured(study(text), "a", "b") == measured(study(bare), "a", "b")


@settings(max_examples=6)
@given(SHAPES, SHAPES, CORNERS, PLAY, st.sampled_from([0, 20]))
def test_the_pair_may_be_asked_either_way_round(
    shape: str, other: str, corner: tuple[int, ...], play: tuple[float, ...], turn: int
) -> None:
    placed = study(two(shape, other, corner, play, turn))
    assert bands(measured(placed, "a", "b")) == pytest.approx(bands(measured(placed, "b", "a")), abs=NEAR)


@settings(max_examples=6)
@given(SHAPES, SHAPES, CORNERS, PLAY)
def test_play_means_the_same_in_any_unit(
    shape: str, other: str, corner: tuple[int, ...], play: tuple[float, ...]
) -> None:
    one, two_ = (measured(study(two(shape, other, corner, play, 0, unit)), "a", "b") for unit in ("mm", "in"))
    assert bands(one) == pytest.approx(bands(two_), abs=1e-6)
