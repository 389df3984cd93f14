"""Laws of mass properties: where a body stands, how it is turned, and into how many it is cut changes nothing else."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.geometry import solids
from fitcheck.geometry.composite import Weight, combine
from fitcheck.geometry.intersect import hull

SIZES = st.floats(1.0, 500.0)
SEEDS = st.integers(0, 10**6)


def rotation(seed: int) -> np.ndarray:
    turn, _ = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    return turn * np.sign(np.linalg.det(turn))


def same(one: solids.Solid, two: solids.Solid) -> None:
    scale = one.volume ** (1 / 3) + np.abs(one.centroid).max()
    assert two.volume == pytest.approx(one.volume, rel=1e-9)
    assert two.centroid == pytest.approx(one.centroid, abs=1e-9 * scale)
    assert two.second_moment == pytest.approx(one.second_moment, abs=1e-9 * one.volume * scale**2)


@given(SIZES, SIZES, SIZES, st.floats(0.01, 0.99), st.integers(0, 2), SEEDS)
def test_a_box_cut_in_two_and_combined_is_the_whole(x, y, z, share, axis, seed):
    size = np.array([x, y, z])
    first, second = size.copy(), size.copy()
    first[axis] *= share
    second[axis] -= first[axis]
    shift = np.zeros(3)
    shift[axis] = first[axis]
    pieces = [solids.box(first), solids.box(second).moved(np.eye(3), shift)]
    whole = solids.box(size)
    same(whole, solids.union(pieces))
    turn, by = rotation(seed), np.random.default_rng(seed).uniform(-1000, 1000, 3)
    moved = [piece.moved(turn, by) for piece in pieces]
    same(whole.moved(turn, by), solids.union(moved))
    parts = [Weight(mass=p.volume * 1e-6, centre=p.centroid, inertia=p.inertia(p.volume * 1e-6)) for p in moved]
    composed, expected = combine(parts), whole.moved(turn, by)
    assert composed.inertia == pytest.approx(
        expected.inertia(whole.volume * 1e-6), abs=1e-9 * composed.mass * (x * x + y * y + z * z) * 1e-6
    )


@given(SEEDS, SEEDS)
def test_moving_the_vertices_of_a_mesh_moves_its_properties(shape, place):
    vertices, faces = hull(np.random.default_rng(shape).uniform(-300, 300, (12, 3)))
    turn, by = rotation(place), np.random.default_rng(place).uniform(-2000, 2000, 3)
    same(solids.mesh(vertices @ turn.T + by, faces), solids.mesh(vertices, faces).moved(turn, by))


@given(SEEDS)
def test_the_inertia_tensor_turns_with_the_body(seed):
    solid, turn = solids.box((30.0, 80.0, 140.0)), rotation(seed)
    assert solid.moved(turn, np.zeros(3)).inertia(2.0) == pytest.approx(turn @ solid.inertia(2.0) @ turn.T, abs=1e-12)


@given(SIZES, SIZES, SIZES)
def test_a_box_and_its_own_mesh_and_prism_agree(x, y, z):
    vertices, faces = hull(np.array([[a, b, c] for a in (0, x) for b in (0, y) for c in (0, z)]))
    same(solids.box((x, y, z)), solids.mesh(vertices, faces))
    same(solids.box((x, y, z)), solids.prism([(0, 0), (0, y), (x, y), (x, 0)], [], z, 2))


@given(st.lists(st.tuples(st.floats(0.1, 50), SEEDS), min_size=2, max_size=6), SEEDS)
def test_combining_in_groups_is_combining_at_once(items, place):
    parts = []
    for mass, seed in items:
        solid = solids.box((30.0, 80.0, 140.0)).moved(rotation(seed), np.random.default_rng(seed).uniform(-500, 500, 3))
        parts.append(Weight(mass=mass, centre=solid.centroid, inertia=solid.inertia(mass)))
    at_once, grouped = combine(parts), combine([combine(parts[:1]), combine(parts[1:])])
    assert grouped.mass == pytest.approx(at_once.mass, rel=1e-12)
    assert grouped.centre == pytest.approx(at_once.centre, abs=1e-9)
    assert grouped.inertia == pytest.approx(at_once.inertia, abs=1e-9 * at_once.mass)
    by = np.random.default_rng(place).uniform(-1e5, 1e5, 3)
    away = combine([Weight(mass=p.mass, centre=p.centre + by, inertia=p.inertia) for p in parts])
    assert away.centre == pytest.approx(at_once.centre + by, abs=1e-7)
    assert away.inertia == pytest.approx(at_once.inertia, abs=1e-9 * at_once.mass)
