"""Distances that elementary geometry gives in closed form (no table or book needed): bars, boxes and their pairs."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fitcheck.geometry.convex import Piece, Round, box, separation
from fitcheck.geometry.facet_distance import nearest
from fitcheck.geometry.facets import FacetTree
from fitcheck.geometry.solid_facets import bar_facets, box_facets


def bar(centre, axis, radius: float, half_length: float) -> Round:
    none = np.zeros(0)
    return Round(
        centre=np.array(centre, dtype=float),
        axis=np.array(axis, dtype=float),
        radius=radius,
        half_length=half_length,
        centre_moves=np.zeros((0, 3)),
        radius_moves=none,
        half_length_moves=none,
    )


COLUMN = bar((0, 0, 0), (0, 0, 1), 5, 20)
SLOPED = (math.sqrt(0.5), 0.0, math.sqrt(0.5))


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        pytest.param(COLUMN, bar((20, 0, 3), (0, 0, 1), 7, 20), 8.0, id="side by side"),
        pytest.param(COLUMN, bar((20, 0, 0), (0, 1, 0), 7, 20), 8.0, id="crossed"),
        pytest.param(COLUMN, bar((3, 0, 43), (0, 0, 1), 7, 20), 3.0, id="end to end"),
        pytest.param(COLUMN, bar((15, 0, 44), (0, 0, 1), 7, 20), 5.0, id="rim to rim: 3, 4, 5"),
        pytest.param(COLUMN, bar((12, 0, 0), (0, 0, 1), 7, 20), 0.0, id="touching"),
        pytest.param(COLUMN, bar((11, 0, 0), (0, 0, 1), 7, 20), -1.0, id="overlapping sideways"),
        pytest.param(COLUMN, bar((0, 0, 39), (0, 0, 1), 5, 20), -1.0, id="overlapping lengthwise"),
        pytest.param(COLUMN, COLUMN, -10.0, id="the same place: out sideways"),
        pytest.param(box([0, 0, 0], [10, 20, 30]), bar((17, 0, 0), (0, 0, 1), 5, 20), 2.0, id="beside a face"),
        pytest.param(box([0, 0, 0], [10, 20, 30]), bar((16, 28, 0), (0, 0, 1), 5, 9), 5.0, id="off an edge: 6, 8, 10"),
        pytest.param(box([0, 0, 0], [10, 20, 30]), bar((14, 0, 0), (0, 0, 1), 5, 20), -1.0, id="into a face"),
        # The lowest point of a sloped bar lies on its rim, (half length + radius) / sqrt 2 below its centre.
        pytest.param(
            box([0, 0, -10], [99, 99, 10]),
            bar((0, 0, 30), SLOPED, 4, 12),
            30 - 16 * math.sqrt(0.5),
            id="sloped over a floor",
        ),
        pytest.param(bar((0, 0, 0), (0, 0, 1), 500, 1), bar((0, 0, 2.5), (0, 0, 1), 700, 0.5), 1.0, id="flat discs"),
    ],
)
def test_bars(a: Piece, b: Piece, expected: float) -> None:
    for found in (separation(a, b), separation(b, a)):
        assert found.distance == pytest.approx(expected, abs=1e-7)
        assert found.distance <= expected + 1e-9


def test_corner_to_corner_and_edge_to_edge_of_boxes() -> None:
    cube = box([0, 0, 0], [1, 1, 1])
    assert separation(cube, box([4, 5, 8], [1, 1, 1])).distance == pytest.approx(7.0, abs=1e-12)  # 2, 3, 6
    turned = np.array([[math.sqrt(0.5), -math.sqrt(0.5), 0], [math.sqrt(0.5), math.sqrt(0.5), 0], [0, 0, 1.0]])
    edge_on = box([5, 0, 0], [1, 1, 1], rotation=turned)
    assert separation(cube, edge_on).distance == pytest.approx(4 - math.sqrt(2), abs=1e-12)


def test_facets_of_a_bar_come_nearer_than_the_true_bar_by_no_more_than_they_say() -> None:
    column, block = bar_facets(40.0, 100.0, 2), box_facets([30, 30, 30])
    for angle in np.linspace(0.0, 1.5, 7):
        away = np.array([25 * math.cos(angle), 25 * math.sin(angle), 30.0])
        turn = np.array([[math.cos(angle), -math.sin(angle), 0], [math.sin(angle), math.cos(angle), 0], [0, 0, 1.0]])
        # A face of the block stands square to the radius, 25 from the axis of a bar of radius 20.
        place = (turn, away + turn @ np.array([0.0, -15.0, 0.0]))
        found = nearest(
            FacetTree(column.vertices, column.faces),
            (np.eye(3), np.zeros(3)),
            FacetTree(block.vertices, block.faces),
            place,
        )
        assert found is not None
        assert 5.0 - column.error - 1e-9 <= found.distance <= 5.0 + 1e-9
