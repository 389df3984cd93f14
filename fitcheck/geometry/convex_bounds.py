"""The least that uncertain sizes and places can leave of the signed distance of two convex pieces."""

from __future__ import annotations

import numpy as np

from fitcheck.geometry.convex_overlap import parting_directions
from fitcheck.geometry.convex_pieces import Array, Piece, corner, reach, reach_moves, size_of, start_of
from fitcheck.geometry.convex_separation import separation
from fitcheck.geometry.convex_values import ReducedPair, most_changes, reduced
from fitcheck.geometry.gjk import Extreme, Support, Vector, closest_to_origin

LOWEST_TOLERANCE = 2e-8
"""mm. Where the search for the lowest distance may end; the bound it has proved by then is what counts."""


def lowest(a: Piece, b: Piece, below: Array, above: Array) -> float:
    """Proven lower bound of the signed distance over all values within their bands [mm].

    below, above: (P,), how far each value may fall and rise from nominal. Within 1e-7 of the true minimum where that is
    positive and the values are sizes and places. With turns, which move the corners of a hull along different lines,
    and where the two may overlap, it is a bound only.
    """
    return lowest_along(a, b, below, above)[0]


def lowest_along(a: Piece, b: Piece, below: Array, above: Array) -> tuple[float, Vector]:
    """The same, and the unit direction from a to b along which it is proven."""
    pair = reduced(a, b, below, above)
    size = size_of(pair.a, pair.b) + float(most_changes(pair).sum())
    found = closest_to_origin(
        _worst_support(pair), start_of(pair.a, pair.b), size=size, tolerance=min(LOWEST_TOLERANCE, 1e-10 * size)
    )
    if found.high > 0.0 and found.high - found.low <= LOWEST_TOLERANCE:
        return found.low, found.direction
    tried = np.concatenate(
        [[found.direction, separation(pair.a, pair.b).direction], parting_directions(pair.a, pair.b)]
    )
    value, direction = max(((worst_along(pair, each), each) for each in tried), key=lambda item: item[0])
    if found.low >= value:
        return found.low, found.direction
    x, y, z = direction.tolist()
    return value, (x, y, z)


def worst_along(pair: ReducedPair, direction: Array) -> float:
    """The least sep along one unit direction over all values."""
    return _worst(pair, direction)[0]


def _worst(pair: ReducedPair, n: Array) -> tuple[float, int, int]:
    out_a, out_b = reach(pair.a, n), reach(pair.b, -n)
    moved_a, moved_b = reach_moves(pair.a, n), reach_moves(pair.b, -n)
    both = out_a[:, None] + out_b[None, :] + np.abs(moved_a[:, None, :] + moved_b[None, :, :]).sum(axis=2)
    at = int(both.argmax())
    index_a, index_b = divmod(at, both.shape[1])
    return -float(both[index_a, index_b]), index_a, index_b


def _worst_support(pair: ReducedPair) -> Support:
    def extreme(direction: Vector) -> Extreme:
        n = np.array(direction)
        _, index_a, index_b = _worst(pair, n)
        place_a, moves_a = corner(pair.a, n, index_a)
        place_b, moves_b = corner(pair.b, -n, index_b)
        moves = moves_b - moves_a
        x, y, z = (place_b - place_a - np.sign(moves @ n) @ moves).tolist()
        return (x, y, z), None

    return extreme


def effects(a: Piece, b: Piece, below: Array, above: Array) -> tuple[Array, Array]:
    """What each value does by itself to the distance along the nominal direction: (fall <= 0, rise >= 0), each (P,).

    For root-sum-square bands.
    """
    n = np.array(separation(a, b).direction)
    out_a, out_b = reach(a, n)[:, None], reach(b, -n)[:, None]
    moved_a, moved_b = reach_moves(a, n), reach_moves(b, -n)
    nominal = out_a.max() + out_b.max()
    ends = [
        nominal - (out_a + end * moved_a).max(axis=0) - (out_b + end * moved_b).max(axis=0)
        for end in (-np.asarray(below, dtype=float), np.asarray(above, dtype=float))
    ]
    return np.minimum(np.minimum(*ends), 0.0), np.maximum(np.maximum(*ends), 0.0)
