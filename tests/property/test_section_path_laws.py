"""Laws of the ways through a flat section, on random jagged surfaces, and two slow engines that must agree.

The slow engines share nothing with the program: dense samples of the surface and of the conductors, joined by every
stretch that is allowed, and networkx for the shortest way. Sampling can only make a way longer.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import networkx as nx
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.geometry.section_paths import Insulator, Metal, Section, paths

Array = np.ndarray
EXACT_MM = 1e-6
FLAT_MM = 1.6
"""Flat surface between a conductor and the jagged part: more than X, so that no bridge begins on metal."""


def jagged(rng: np.random.Generator, corners: int) -> Section:
    """A jagged surface between two flat conductors, tried until it does not cross itself."""
    while True:
        x, points = 0.0, [(-4.0, 0.0), (0.0, 0.0)]
        for _ in range(corners):
            x = max(0.1, x + (rng.uniform(0.0, 1.2) if rng.random() < 0.6 else 0.0))
            points.append((x, rng.uniform(-2.0, 2.0)))
            if rng.random() < 0.5:
                x += rng.uniform(0.1, 1.0)
                points.append((x, points[-1][1]))
        x += 0.5
        points += [(x, 0.0), (x + 4.0, 0.0), (x + 4.0, -9.0), (-4.0, -9.0)]
        if shapely.Polygon(points).is_valid:
            return Section(
                insulators=[Insulator(outline=points)],
                a=[Metal(points=[(-3.0, 0.0), (-FLAT_MM, 0.0)])],
                b=[Metal(points=[(x + FLAT_MM, 0.0), (x + 3.0, 0.0)])],
            )


@st.composite
def sections(draw: st.DrawFn) -> Section:
    """A jagged section with a plug in it or not, and loose bits of metal above."""
    rng = np.random.default_rng(draw(st.integers(0, 10**6)))
    section = jagged(rng, int(rng.integers(1, 7)))
    floating = []
    for _ in range(draw(st.integers(0, 2))):
        middle, arm = rng.uniform((-1.0, 0.2), (6.0, 2.5)), rng.uniform(-0.6, 0.6, size=2)
        floating.append(Metal(points=np.array([middle - arm, middle + arm])))
    bodies = list(section.insulators)
    if draw(st.booleans()):
        depth = rng.uniform(1.0, 5.0)
        bodies.append(Insulator(outline=[(-9.0, 0.0), (-9.0, -depth), (-4.0, -depth), (-4.0, 0.0)]))
    return Section(insulators=bodies, a=section.a, b=section.b, floating=floating)


def changed(section: Section, move: Callable[[Array], Array]) -> Section:
    def metal(piece: Metal) -> Metal:
        return Metal(points=move(np.asarray(piece.points, dtype=float)), solid=piece.solid)

    return Section(
        insulators=[Insulator(outline=move(np.asarray(body.outline, dtype=float))) for body in section.insulators],
        a=[metal(piece) for piece in section.a],
        b=[metal(piece) for piece in section.b],
        floating=[metal(piece) for piece in section.floating],
    )


def lengths(section: Section, x_mm: float) -> tuple[float, float]:
    found = paths(section, x_mm, relief=False)
    assert found.clearance is not None
    assert found.creepage is not None
    return found.clearance.length, found.creepage.length


@settings(max_examples=25)
@given(sections(), st.floats(-3.2, 3.2), st.booleans(), st.tuples(st.floats(-50, 50), st.floats(-50, 50)))
def test_where_and_how_a_section_lies_does_not_matter(section, angle, mirrored, shift):
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    moved = changed(section, lambda points: (points * (-1.0 if mirrored else 1.0, 1.0)) @ turn + shift)
    assert lengths(moved, 1.0) == pytest.approx(lengths(section, 1.0), abs=EXACT_MM)


@settings(max_examples=25)
@given(sections(), st.floats(0.2, 8.0))
def test_lengths_grow_with_the_section_and_x(section, scale):
    expected = [scale * length for length in lengths(section, 1.0)]
    assert lengths(changed(section, lambda points: points * scale), scale) == pytest.approx(expected, abs=8 * EXACT_MM)


@settings(max_examples=25)
@given(sections(), st.sampled_from([0.25, 1.0, 1.5]))
def test_either_way_round_is_as_long(section, x_mm):
    other = Section(insulators=section.insulators, a=section.b, b=section.a, floating=section.floating)
    assert lengths(other, x_mm) == pytest.approx(lengths(section, x_mm), abs=EXACT_MM)


@settings(max_examples=25)
@given(sections(), st.integers(0, 10**6))
def test_one_more_piece_of_floating_metal_never_lengthens_a_way(section, seed):
    rng = np.random.default_rng(seed)
    middle, arm = rng.uniform((-1.0, -1.0), (6.0, 2.5)), rng.uniform(-1.0, 1.0, size=2)
    piece = Metal(points=[middle - arm, middle + arm], solid=False)
    more = Section(insulators=section.insulators, a=section.a, b=section.b, floating=[*section.floating, piece])
    for with_more, without in zip(lengths(more, 1.0), lengths(section, 1.0), strict=True):
        assert with_more <= without + EXACT_MM


@settings(max_examples=25)
@given(sections(), st.floats(0.1, 1.5), st.floats(0.1, 1.5))
def test_a_larger_x_never_lengthens_a_way(section, one, other):
    assert lengths(section, max(one, other))[1] <= lengths(section, min(one, other))[1] + EXACT_MM


@settings(max_examples=25)
@given(st.integers(0, 10**6), st.floats(0.1, 1.5))
def test_over_the_surface_of_one_body_is_never_shorter_than_through_air(seed, x_mm):
    clearance, creepage = lengths(jagged(np.random.default_rng(seed), 5), x_mm)
    assert creepage >= clearance - EXACT_MM


@settings(max_examples=25)
@given(sections(), st.floats(0.05, 0.95))
def test_points_along_straight_edges_change_nothing(section, share):
    def with_more(points: Array) -> Array:
        between = points[:-1] + share * (points[1:] - points[:-1])
        return np.concatenate([np.stack([points[:-1], between], axis=1).reshape(-1, 2), points[-1:]])

    assert lengths(changed(section, with_more), 1.0) == pytest.approx(lengths(section, 1.0), abs=EXACT_MM)


def sampled_clearance(section: Section, step: float) -> float:
    """Every corner and dense samples of the conductors, each pair joined whose stretch has no length in insulation."""
    solid = shapely.union_all([shapely.Polygon(body.outline) for body in section.insulators])
    ends = []
    for pieces in (section.a, section.b):
        (line,) = [shapely.LineString(piece.points) for piece in pieces]
        spots = np.append(np.arange(0.0, line.length, step), line.length)
        ends.append(shapely.get_coordinates(shapely.line_interpolate_point(line, spots)))
    corners = shapely.get_coordinates(solid)
    points = np.concatenate([*ends, corners])
    names = ["a"] * len(ends[0]) + ["b"] * len(ends[1]) + list(range(len(corners)))
    one, other = np.triu_indices(len(points), 1)
    inside = shapely.length(shapely.intersection(solid, shapely.linestrings(points[np.stack([one, other], axis=1)])))
    along = shapely.length(
        shapely.intersection(solid.boundary, shapely.linestrings(points[np.stack([one, other], axis=1)]))
    )
    graph = nx.Graph()
    apart = np.linalg.norm(points[one] - points[other], axis=1)
    for first, second, length in zip(one, other, np.where(inside - along < 1e-7, apart, np.inf), strict=True):
        pair = (names[first], names[second])
        if np.isfinite(length) and length < graph.get_edge_data(*pair, {"weight": np.inf})["weight"]:
            graph.add_edge(*pair, weight=length)
    return float(nx.shortest_path_length(graph, "a", "b", weight="weight"))


def sampled_creepage(section: Section, x_mm: float, step: float) -> float:
    """Dense samples of the contour, each joined to the next, and to all it may be bridged to."""
    (body,) = section.insulators
    ring = shapely.get_coordinates(shapely.geometry.polygon.orient(shapely.Polygon(body.outline)))
    spots, normals, graph = [], [], nx.Graph()
    for start, end in pairwise(ring):
        length = float(np.linalg.norm(end - start))
        count = max(2, int(length / step)) if length < 4.0 else 20  # the long edges below face nothing
        first = len(spots)
        spots += list(start + np.linspace(0.0, 1.0, count)[:, None] * (end - start))
        normals += [np.array([end[1] - start[1], start[0] - end[0]]) / length] * count
        graph.add_edges_from(
            (index, index + 1, {"weight": length / (count - 1)}) for index in range(first, first + count - 1)
        )
        graph.add_edge(max(first - 1, 0), first, weight=0.0)
    points, facing = np.array(spots), np.array(normals) @ np.array(normals).T < -1e-9
    apart = np.linalg.norm(points[:, None] - points[None], axis=2)
    one, other = np.nonzero(np.triu(facing & (apart < x_mm) & (apart > 1e-9)))
    way = points[other] - points[one]
    leaves = (np.sum(way * np.array(normals)[one], axis=1) > 1e-9) & (
        np.sum(way * np.array(normals)[other], axis=1) < -1e-9
    )
    one, other = one[leaves], other[leaves]
    within = shapely.Polygon(body.outline).buffer(-1e-6)
    shapely.prepare(within)
    seen = ~shapely.intersects(within, shapely.linestrings(points[np.stack([one, other], axis=1)]))
    graph.add_edges_from((i, j, {"weight": apart[i, j]}) for i, j in zip(one[seen], other[seen], strict=True))
    for name, (piece,) in (("a", section.a), ("b", section.b)):
        near = shapely.distance(shapely.LineString(piece.points), shapely.points(points)) < 0.3
        for index in np.flatnonzero(near):
            gap = shapely.distance(shapely.LineString(piece.points), shapely.Point(points[index]))
            graph.add_edge(name, int(index), weight=float(gap))
    return float(nx.shortest_path_length(graph, "a", "b", weight="weight"))


@settings(max_examples=25)
@given(st.integers(0, 10**6))
def test_clearance_agrees_with_a_sampled_visibility_graph(seed):
    section = jagged(np.random.default_rng(seed), 6)
    clearance, _ = lengths(section, 1.0)
    assert sampled_clearance(section, 0.05) == pytest.approx(clearance, abs=EXACT_MM)


@settings(max_examples=20)
@given(st.integers(0, 10**6), st.sampled_from([0.4, 1.0, 1.5]))
def test_creepage_agrees_with_a_sampled_surface(seed, x_mm):
    """Each bridge may be off by a step at either end, twice over; there are at most five here."""
    step = 0.03
    section = jagged(np.random.default_rng(seed), 5)
    found = paths(section, x_mm, relief=False).creepage
    assert found is not None
    sampled = sampled_creepage(section, x_mm, step)
    assert sampled >= found.length - EXACT_MM
    assert sampled <= found.length + 4 * step * (len(found.bridged) + 1)
