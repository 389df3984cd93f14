"""The eleven worked figures of IEC 60664-1 on how clearance and creepage are measured, as fifteen sections.

Source: IEC 60664-1, 6.2 of 2007 and 6.8 of 2020, examples 1 to 11. The rules were read on public pages that reprint
them (connector catalogue HARTING 2013 pp. 175-178; GOST R 50030.1-92 p. 143; GOST R 56981-2016 p. 45; GOST IEC
62080-2017 p. 58), the widths X on three (enclosure catalogue Spelsberg 2018 p. 501; HARTING p. 175; GOST IEC
61010-1-2014 annex C).
The dimensions are our own, and so are the lengths: sums that can be followed by hand, which a separate program for the
shortest way through air agreed with. The standard itself was not read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import pytest

from fitcheck.geometry.section_paths import Insulator, Metal, Paths, Section, groove_width, paths

Line = list[tuple[float, float]]

X_MM = {1: 0.25, 2: 1.0, 3: 1.5}
"""Least width of a groove that counts, by pollution degree."""


@dataclass(frozen=True, kw_only=True)
class Figure:
    name: str
    says: str
    degree: int
    insulators: list[Line]
    a: Line
    b: Line
    clearance: float
    creepage: float
    floating: list[Line] = field(default_factory=list)
    by_degree: dict[int, float] = field(default_factory=dict)

    def paths(
        self, degree: int, *, cemented: Sequence[Sequence[int]] = (), relief: bool = True, angle: float = 0.0
    ) -> Paths:
        def metal(line: Line) -> Metal:
            return Metal(points=turned(line, angle))

        section = Section(
            insulators=[Insulator(outline=turned(outline, angle)) for outline in self.insulators],
            a=[metal(self.a)],
            b=[metal(self.b)],
            floating=[metal(line) for line in self.floating],
            cemented=cemented,
        )
        return paths(section, X_MM[degree], relief=relief)


def turned(line: Line, angle: float) -> Line:
    c, s = math.cos(angle), math.sin(angle)
    return [(c * x - s * y, s * x + c * y) for x, y in line]


FIGURES = [
    Figure(
        name="ex01_narrow_parallel_groove",
        says="width < X: both paths run straight over the groove",
        degree=2,
        insulators=[
            [(-3, 0), (2, 0), (2, -3), (2.8, -3), (2.8, 0), (8, 0), (8, -12), (-3, -12)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(5, 0), (7, 0)],
        clearance=5.0,
        creepage=5.0,
    ),
    Figure(
        name="ex01b_narrow_converging_groove",
        says="width < X: both paths run straight over the groove",
        degree=2,
        insulators=[
            [(-3, 0), (2, 0), (2.2, -3), (2.6, -3), (2.8, 0), (8, 0), (8, -12), (-3, -12)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(5, 0), (7, 0)],
        clearance=5.0,
        creepage=5.0,
    ),
    Figure(
        name="ex01c_one_third_rule",
        says="X may drop from 1.0 to 2.4/3 = 0.8, so the groove counts and the contour is followed",
        degree=2,
        insulators=[
            [(-3, 0), (0.75, 0), (0.75, -1.5), (1.65, -1.5), (1.65, 0), (5.4, 0), (5.4, -12), (-3, -12)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(2.4, 0), (4.4, 0)],
        clearance=2.4,
        creepage=5.4,
    ),
    Figure(
        name="ex02_wide_parallel_groove",
        says="clearance straight over; creepage follows walls and floor",
        degree=2,
        insulators=[
            [(-3, 0), (2, 0), (2, -3), (4, -3), (4, 0), (9, 0), (9, -12), (-3, -12)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(6, 0), (8, 0)],
        clearance=6.0,
        creepage=12.0,
    ),
    Figure(
        name="ex02b_same_groove_three_degrees",
        says="contour counts for PD1 and PD2, is bridged for PD3",
        degree=2,
        insulators=[
            [(-3, 0), (2, 0), (2, -3), (3.2, -3), (3.2, 0), (8.2, 0), (8.2, -12), (-3, -12)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(5.2, 0), (7.2, 0)],
        clearance=5.2,
        creepage=11.2,
        by_degree={1: 11.2, 2: 11.2, 3: 5.2},
    ),
    Figure(
        name="ex02c_width_exactly_X",
        says="width equal to X counts as wide",
        degree=2,
        insulators=[
            [(-3, 0), (2, 0), (2, -3), (3, -3), (3, 0), (8, 0), (8, -12), (-3, -12)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(5, 0), (7, 0)],
        clearance=5.0,
        creepage=11.0,
    ),
    Figure(
        name="ex03_v_groove",
        says="clearance straight over; creepage follows the flanks, with a link X long at the bottom",
        degree=2,
        insulators=[
            [(-3, 0), (2, 0), (4, -3), (6, 0), (11, 0), (11, -12), (-3, -12)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(8, 0), (10, 0)],
        clearance=8.0,
        creepage=10.408327,
        by_degree={1: 11.010409, 2: 10.408327, 3: 10.006939},
    ),
    Figure(
        name="ex04_rib",
        says="clearance over the top edge to edge; creepage along the whole rib contour",
        degree=2,
        insulators=[
            [(-3, 0), (3, 0), (3, 4), (5, 4), (5, 0), (11, 0), (11, -12), (-3, -12)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(8, 0), (10, 0)],
        clearance=12.0,
        creepage=16.0,
    ),
    Figure(
        name="ex05_uncemented_joint_narrow_grooves",
        says="grooves < X: both paths straight over",
        degree=2,
        insulators=[
            [
                (-3, 0),
                (3, 0),
                (3, -2),
                (3.5, -2),
                (3.5, -10),
                (7.5, -10),
                (7.5, -2),
                (8, -2),
                (8, 0),
                (14, 0),
                (14, -12),
                (-3, -12),
            ],
            [(3.5, 0), (7.5, 0), (7.5, -10), (3.5, -10)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(11, 0), (13, 0)],
        clearance=11.0,
        creepage=11.0,
    ),
    Figure(
        name="ex06_uncemented_joint_wide_grooves",
        says="clearance straight; creepage follows both grooves (the joint route under the plug is longer)",
        degree=2,
        insulators=[
            [
                (-3, 0),
                (3, 0),
                (3, -2),
                (4.5, -2),
                (4.5, -10),
                (8.5, -10),
                (8.5, -2),
                (10, -2),
                (10, 0),
                (16, 0),
                (16, -12),
                (-3, -12),
            ],
            [(4.5, 0), (8.5, 0), (8.5, -10), (4.5, -10)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(13, 0), (15, 0)],
        clearance=13.0,
        creepage=21.0,
    ),
    Figure(
        name="ex07_one_narrow_one_wide",
        says="narrow side bridged, wide side followed",
        degree=2,
        insulators=[
            [
                (-3, 0),
                (3, 0),
                (3, -2),
                (3.5, -2),
                (3.5, -10),
                (7.5, -10),
                (7.5, -2),
                (9, -2),
                (9, 0),
                (15, 0),
                (15, -12),
                (-3, -12),
            ],
            [(3.5, 0), (7.5, 0), (7.5, -10), (3.5, -10)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(12, 0), (14, 0)],
        clearance=12.0,
        creepage=16.0,
    ),
    Figure(
        name="ex08_barrier_with_short_joint",
        says="clearance over the barrier; creepage through the uncemented joint because it is shorter",
        degree=2,
        insulators=[
            [(-3, 0), (4, 0), (4, -3), (6, -3), (6, 0), (13, 0), (13, -12), (-3, -12)],
            [(4, -3), (6, -3), (6, 5), (4, 5)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(10, 0), (12, 0)],
        clearance=14.806248,
        creepage=16.0,
    ),
    Figure(
        name="ex09_screw_head_wide_gap",
        says="gap >= X: creepage runs floor, wall, surface; clearance from the head edge over the recess edge",
        degree=2,
        insulators=[
            [(-4, -3), (2, -3), (2, 0), (10, 0), (10, -12), (-4, -12)],
        ],
        a=[(-4, -1), (0, -1), (0, -3)],
        b=[(7, 0), (9, 0)],
        clearance=7.236068,
        creepage=10.0,
    ),
    Figure(
        name="ex10_screw_head_narrow_gap",
        says="gap too narrow low down: creepage starts where the gap reaches X, crosses it, climbs the wall",
        degree=2,
        insulators=[
            [(-6, -3), (0, -3), (0, 0), (8, 0), (8, -12), (-6, -12)],
        ],
        a=[(-6, -1), (-1.5, -1), (-0.5, -3)],
        b=[(5, 0), (7, 0)],
        clearance=6.802776,
        creepage=8.0,
    ),
    Figure(
        name="ex11_floating_conductor",
        says="the floating part shortens both paths: clearance = d + D, creepage = d + D",
        degree=2,
        insulators=[
            [(-3, 0), (12, 0), (12, -12), (-3, -12)],
        ],
        a=[(-2, 0), (0, 0)],
        b=[(9, 0), (11, 0)],
        floating=[[(3, 0), (5, 0)]],
        clearance=7.0,
        creepage=7.0,
    ),
]
BY_NAME = {figure.name: figure for figure in FIGURES}


@pytest.mark.parametrize("angle", [0.0, 0.7, math.pi / 2.0])
@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.name)
def test_a_figure_gives_its_clearance_and_its_creepage(figure: Figure, angle: float) -> None:
    found = figure.paths(figure.degree, angle=angle)
    assert found.clearance is not None
    assert found.creepage is not None
    assert found.clearance.length == pytest.approx(figure.clearance, abs=1e-6)
    assert found.creepage.length == pytest.approx(figure.creepage, abs=1e-6)


@pytest.mark.parametrize(
    ("figure", "degree", "length"),
    [(figure, degree, length) for figure in FIGURES for degree, length in figure.by_degree.items()],
    ids=lambda value: value.name if isinstance(value, Figure) else str(value),
)
def test_a_figure_gives_its_creepage_at_each_pollution_degree(figure: Figure, degree: int, length: float) -> None:
    found = figure.paths(degree).creepage
    assert found is not None
    assert found.length == pytest.approx(length, abs=1e-6)


def test_a_cemented_joint_is_no_way() -> None:
    """Example 8 with the barrier cemented in: over it, 4 + 5 + 2 + 5 + 4 = 20."""
    for angle in (0.0, 0.3, 1.1):
        found = BY_NAME["ex08_barrier_with_short_joint"].paths(2, cemented=[[0, 1]], angle=angle)
        assert found.creepage is not None
        assert found.creepage.length == pytest.approx(20.0, abs=1e-6)


def test_without_the_relief_for_short_clearances_the_groove_is_bridged() -> None:
    """Example 1 with 0.9 wide and clearance 2.4: X drops from 1.0 to 0.8, which is narrower."""
    figure = BY_NAME["ex01c_one_third_rule"]
    relieved, plain = figure.paths(2), figure.paths(2, relief=False)
    assert relieved.x_mm == pytest.approx(0.8, abs=1e-12)
    assert plain.creepage is not None
    assert plain.creepage.length == pytest.approx(2.4, abs=1e-9)


def test_a_groove_just_narrower_than_x_is_bridged() -> None:
    """Example 2 with 0.999 for exactly 1.0: 2 + 0.999 + 2.001."""
    figure = BY_NAME["ex02c_width_exactly_X"]
    narrower = [[(2.999 if x == 3 else x, y) for x, y in figure.insulators[0]]]
    section = Section(
        insulators=[Insulator(outline=narrower[0])], a=[Metal(points=figure.a)], b=[Metal(points=figure.b)]
    )
    found = paths(section, 1.0).creepage
    assert found is not None
    assert found.length == pytest.approx(5.0, abs=1e-9)


@pytest.mark.parametrize(
    ("degree", "clearance", "width"),
    [(2, 3.0, 1.0), (2, 2.4, 0.8), (3, 2.99, 0.996667), (3, 3.0, 1.5), (1, 2.4, 0.25), (1, 0.6, 0.2)],
)
def test_the_groove_width_for_a_short_clearance(degree: int, clearance: float, width: float) -> None:
    """One third of a clearance below 3 mm where that is less than X, else X."""
    assert groove_width(X_MM[degree], clearance) == pytest.approx(width, abs=5e-7)


@pytest.mark.parametrize(("degree", "length"), [(1, 11.0), (2, 5.0), (3, 5.0)])
def test_a_flat_way_with_a_groove_0_8_wide_and_3_deep(degree: int, length: float) -> None:
    """By hand: 2 + 3 + 0.8 + 3 + 2.2 = 11 where 0.8 counts as wide, else straight over: 5."""
    found = BY_NAME["ex01_narrow_parallel_groove"].paths(degree).creepage
    assert found is not None
    assert found.length == pytest.approx(length, abs=1e-6)
