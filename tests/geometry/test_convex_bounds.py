"""Lowest and highest distance over uncertain values, against random values and searched minima."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation

from fitcheck.geometry.convex import Hull, Piece, Round, box, effects, highest, lowest, separation
from fitcheck.geometry.convex_values import held, reduced, steady_values


def random_piece(rng: np.random.Generator, values: int, kind: str, spread: float) -> Piece:
    turn = Rotation.from_quat(rng.normal(size=4)).as_matrix() if rng.random() < 0.6 else np.eye(3)
    centre = rng.uniform(-spread, spread, 3)
    shifts = rng.normal(size=(values, 3)) * (rng.random((values, 1)) < 0.5)
    if kind == "round":
        return Round(
            centre=centre,
            axis=turn[:, 0],
            radius=rng.uniform(5, 30),
            half_length=rng.uniform(3, 30),
            centre_moves=shifts,
            radius_moves=0.3 * rng.normal(size=values),
            half_length_moves=0.3 * rng.normal(size=values),
        )
    growths = 0.3 * rng.normal(size=(values, 3)) * (rng.random((values, 3)) < 0.4)
    made = box(centre, rng.uniform(3, 40, 3), rotation=turn, centre_moves=shifts, half_moves=growths)
    if kind == "box":
        return made
    return Hull(points=made.points, moves=made.moves + 0.2 * rng.normal(size=made.moves.shape))


def distance_at(a: Piece, b: Piece, values: np.ndarray) -> float:
    return separation(held(a, values), held(b, values)).distance


def squared_distance(values: np.ndarray, a: Piece, b: Piece) -> float:
    return distance_at(a, b, values) ** 2


@pytest.mark.parametrize(
    "kinds", [("box", "box"), ("box", "bent"), ("bent", "bent"), ("box", "round"), ("round", "round")]
)
@pytest.mark.parametrize("spread", [20.0, 70.0])
def test_no_values_within_their_bands_lead_outside_the_bounds(kinds: tuple[str, str], spread: float) -> None:
    rng = np.random.default_rng(11)
    for _ in range(4 if spread < 50 and "round" in kinds else 20):
        values = int(rng.integers(0, 6))
        a, b = random_piece(rng, values, kinds[0], spread), random_piece(rng, values, kinds[1], spread)
        below, above = rng.uniform(0, 0.5, values), rng.uniform(0, 0.5, values) * (rng.random(values) < 0.8)
        low, high = lowest(a, b, below, above), highest(a, b, below, above)
        for share in [*rng.random((8, values)), *(rng.random((8, values)) < 0.5)]:
            found = distance_at(a, b, -below + share * (below + above))
            # A round surface is approached to 2e-8 from below, in each of the two figures.
            assert low <= found + 3e-8
            assert found <= high + 1e-9


def test_for_sizes_and_places_the_lowest_distance_is_reached() -> None:
    rng, compared = np.random.default_rng(12), 0
    for _ in range(40):
        values = int(rng.integers(1, 6))
        a, b = random_piece(rng, values, "box", 70), random_piece(rng, values, "box", 70)
        below, above = rng.uniform(0, 0.5, values), rng.uniform(0, 0.5, values)
        low = lowest(a, b, below, above)
        if low <= 0.5:
            continue
        compared += 1
        bounds = list(zip(-below, above, strict=True))
        # The squared distance is convex in the values: one descent from nominal finds its minimum.
        reached = minimize(squared_distance, np.zeros(values), args=(a, b), bounds=bounds, tol=1e-14)
        assert low == pytest.approx(float(np.sqrt(reached.fun)), abs=1e-4)
        assert low <= np.sqrt(reached.fun) + 1e-9
    assert compared > 15


def facing_boxes(gap: float) -> tuple[Hull, Hull, np.ndarray, np.ndarray]:
    """Block a, and b to its right; values: shared datum, place of b along x, size x of a, slide of b along y."""
    nothing = np.zeros((4, 3))
    moves_a, halves_a, moves_b = nothing.copy(), nothing.copy(), nothing.copy()
    moves_a[0], moves_b[0] = [1, 1, 1], [1, 1, 1]
    moves_b[1], moves_b[3] = [1, 0, 0], [0, 1, 0]
    moves_a[2], halves_a[2] = [0.5, 0, 0], [0.5, 0, 0]
    a = box([0, 0, 0], [50, 40, 30], centre_moves=moves_a, half_moves=halves_a)
    b = box([50 + gap + 25, 10, 5], [25, 30, 35], centre_moves=moves_b, half_moves=nothing)
    return a, b, np.array([9.0, 0.2, 0.3, 4.0]), np.array([9.0, 0.1, 0.5, 4.0])


@pytest.mark.parametrize("gap", [3.0, -2.0])
def test_a_shared_datum_and_a_slide_along_the_faces_do_not_widen_the_band(gap: float) -> None:
    a, b, below, above = facing_boxes(gap)
    assert lowest(a, b, below, above) == pytest.approx(gap - 0.2 - 0.5, abs=1e-7)
    assert highest(a, b, below, above) == pytest.approx(gap + 0.1 + 0.3, abs=1e-7)
    fall, rise = effects(a, b, below, above)
    np.testing.assert_allclose(fall, [0, -0.2, -0.5, 0], atol=1e-9)
    np.testing.assert_allclose(rise, [0, 0.1, 0.3, 0], atol=1e-9)


def test_with_many_values_facing_boxes_still_have_exact_bounds() -> None:
    rng = np.random.default_rng(13)
    values = 18
    moves, halves = np.zeros((values, 3)), np.zeros((values, 3))
    moves[:9] = np.diag([1.0, 0.0, 0.0])[0] * rng.uniform(0.5, 1, (9, 1))
    moves[9:] = rng.normal(size=(9, 3)) * [0, 1, 1]
    halves[12:] = rng.normal(size=(6, 3)) * [0, 0.2, 0.2]
    a = box([0, 0, 0], [50, 40, 30], centre_moves=0 * moves, half_moves=0 * halves)
    b = box([83, 3, 2], [30, 35, 25], centre_moves=moves, half_moves=halves)
    band = np.full(values, 0.1)
    swing = float(np.abs(moves[:, 0]).sum() * 0.1)
    assert lowest(a, b, band, band) == pytest.approx(3.0 - swing, abs=1e-7)
    assert highest(a, b, band, band) == pytest.approx(3.0 + swing, abs=1e-9)


def test_values_that_do_the_same_become_one_and_idle_ones_none() -> None:
    a, b, below, above = facing_boxes(3.0)
    twice = [
        np.concatenate([piece.moves, -2 * piece.moves[:, 1:2], 0 * piece.moves[:, :1]], axis=1) for piece in (a, b)
    ]
    pair = reduced(
        Hull(points=a.points, moves=twice[0]),
        Hull(points=b.points, moves=twice[1]),
        np.append(below, [0.1, 5.0]),
        np.append(above, [0.1, 5.0]),
    )
    assert pair.values == 3
    assert steady_values(pair) == [True, True, True]


def test_a_value_that_turns_a_hull_is_not_taken_for_a_size() -> None:
    block = box([0, 0, 0], [10, 20, 30])
    tilt = np.cross([0, 0, 1.0], block.points)[:, None, :]
    stretch = (block.points * [0, 0, 1.0] / 30)[:, None, :]
    other = box([40, 0, 0], [5, 5, 5], centre_moves=np.zeros((1, 3)))
    one = np.array([0.01])
    assert steady_values(reduced(Hull(points=block.points, moves=tilt), other, one, one)) == [False]
    assert steady_values(reduced(Hull(points=block.points, moves=stretch), other, one, one)) == [True]


def test_bands_are_distances_and_lists_match() -> None:
    a, b, below, above = facing_boxes(3.0)
    with pytest.raises(ValueError, match="below zero"):
        lowest(a, b, -below, above)
    with pytest.raises(ValueError, match="same list"):
        highest(a, b, below[:2], above[:2])
