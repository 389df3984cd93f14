"""The promise of a band: no build within tolerance lies outside it, and none of it is given away without saying so.

Every layout is built many times over: each toleranced value is drawn from its band and written into the layout as an
exact figure, the placing words stay, and the distance of every pair is measured afresh.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from pathlib import Path

import numpy as np
import pytest
import trimesh
from engine_layouts import built, corners, draws, layout, measured, pairs, study, uncertain
from toleranced_layouts import BOXES, CURVED, TURNED

from fitcheck.placing.measure import Measure
from fitcheck.study import Study

ROUNDING = 1e-6
Key = tuple[str, str, str]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a wedge, and the same far from its file's origin."""
    path = tmp_path_factory.mktemp("meshes")
    corner_points = [[0, 0, 0], [70, 0, 0], [70, 40, 0], [0, 40, 0], [0, 0, 35], [0, 40, 35]]
    wedge = trimesh.convex.convex_hull(np.array(corner_points, dtype=float))
    wedge.export(path / "wedge.stl")
    wedge.apply_translation([2000.0, 0.0, 0.0])
    wedge.export(path / "far.stl")
    return path


def measures(placed: Study, names: Iterable[tuple[str, str]]) -> dict[Key, Measure]:
    """Every pair in every state of the layout."""
    return {(one, other, state): measured(placed, one, other, state) for one, other in names for state in placed.states}


def outside(bands: Mapping[Key, Measure], one_build: Mapping[Key, Measure], values: object) -> list[str]:
    """What lies outside, in words. Measured on facets, a build's own distance may be too small by its `error`."""
    return [
        f"{key}: {found.band.value} outside [{bands[key].band.low}, {bands[key].band.high}] with {values}"
        for key, found in one_build.items()
        if found.band.value + found.error < bands[key].band.low - ROUNDING
        or found.band.value > bands[key].band.high + ROUNDING
    ]


@pytest.mark.parametrize(
    ("text", "count"),
    [pytest.param(text, 200, id=name) for name, text in BOXES.items()]
    + [pytest.param(text, 40, id=name) for name, text in CURVED.items()]
    + [pytest.param(text, 50, id=name) for name, text in TURNED.items()],
)
def test_no_build_lies_outside_its_band(text: str, count: int, folder: Path) -> None:
    written = layout(text, folder)
    bands = measures(study(written), pairs(written))
    wrong: list[str] = []
    for values in draws(uncertain(written), count, seed=20260301):
        wrong += outside(bands, measures(study(built(written, values)), pairs(written)), values)
    assert wrong == []


MOST_VALUES = 9


@pytest.mark.parametrize(
    "name", ["centred in a case", "a row of modules", "one on another, axes elsewhere", "corner to corner"]
)
def test_the_band_of_boxes_is_reached(name: str) -> None:
    """Somewhere among the builds with every value at an end the distance is `low`, and for single boxes `high`."""
    written = layout(BOXES[name])
    placed, reached = study(written), 0
    for one, other in pairs(written):
        found = measured(placed, one, other)
        moving = [value for value in uncertain(written) if value.name in found.values]
        if len(moving) > MOST_VALUES or found.band.value < 0.0:
            continue
        distances = [measured(study(built(written, values)), one, other).band.value for values in corners(moving)]
        assert min(distances) == pytest.approx(found.band.low, abs=ROUNDING)
        if "case" not in (one, other):
            assert max(distances) == pytest.approx(found.band.high, abs=ROUNDING)
        reached += 1
    assert reached >= 1


@pytest.mark.parametrize(
    ("name", "one", "other"),
    [
        ("a module nearly straight", "wall", "m1"),
        ("a module nearly straight", "m1", "nub"),
        ("an odd angle, and a part placed against it", "m1", "stop"),
        ("an odd angle, and a part placed against it", "m1", "next"),
    ],
)
def test_an_uncertain_turn_widens_the_band_by_no_more_than_it_says(name: str, one: str, other: str) -> None:
    written = layout(TURNED[name])
    found = measured(study(written), one, other)
    moving = [value for value in uncertain(written) if value.name in found.values]
    (turn,) = (value for value in moving if value.unit == "deg")
    rest = [value for value in moving if value is not turn]
    distances = [
        measured(study(built(written, {**values, turn.name: angle})), one, other).band.value
        for values in corners(rest)
        for angle in np.linspace(turn.low, turn.high, 21)
    ]
    allowed = found.looseness + 0.02 * (found.band.high - found.band.low)
    assert found.band.low >= min(distances) - allowed
    assert found.band.high <= max(distances) + allowed
    assert not math.isclose(found.band.low, found.band.high)
