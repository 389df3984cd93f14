"""The most that uncertain sizes and places can make of the signed distance of two convex pieces."""

from __future__ import annotations

from itertools import product

import numpy as np

from fitcheck.geometry.convex_overlap import square_axes
from fitcheck.geometry.convex_pieces import Array, BoxForm, Hull, Piece, Round
from fitcheck.geometry.convex_separation import separation
from fitcheck.geometry.convex_values import ReducedPair, held, most_changes, reduced, steady_values

MOST_CORNERS = 6
"""Values tried at both ends in every combination, 64 pairs of pieces at most; the others are bounded by their reach."""
MOST_CORNERS_ROUND = 3
"""With a round piece each pair is dearer, and following points is nearly always as tight."""
TOUCHING = 1e-6
"""mm. Pieces nearer than this touch."""
FACING = 1e-6
"""mm. Corners no further than this behind the outermost one belong to the facing side."""

Points = tuple[Array, Array]
"""Points of the material (N, 3), and their moves (N, V, 3)."""


def highest(a: Piece, b: Piece, below: Array, above: Array) -> float:
    """Proven upper bound of the signed distance over all values within their bands [mm].

    below, above: (P,). The true maximum for two boxes or rounds with at most six values that differ in effect, and for
    boxes that face each other squarely.
    """
    pair = reduced(a, b, below, above)
    return min(_by_corners(pair), _by_points(pair))


def _by_corners(pair: ReducedPair) -> float:
    """Try the values that only shift and stretch at both ends; allow for the others by the most they can do.

    With such values each sep(n, ·) is affine, so the signed distance, the largest of them, is convex and has its
    maximum at a corner. A value that turns a hull is not of that kind.
    """
    reaches = most_changes(pair)
    flat = isinstance(pair.a, Hull) and isinstance(pair.b, Hull)
    if not flat and abs(separation(pair.a, pair.b).distance) <= TOUCHING:
        # Touching round pieces are the dearest of all, and standing on something is common: the nominal and all
        # reaches bound them well enough.
        return _at_corner(pair, [], ()) + float(reaches.sum())
    steady = steady_values(pair)
    order = [int(v) for v in np.argsort(-reaches, kind="stable") if steady[v]]
    order = order[: MOST_CORNERS if flat else MOST_CORNERS_ROUND]
    rest = float(np.delete(reaches, order).sum())
    return max(_at_corner(pair, order, signs) for signs in product((-1.0, 1.0), repeat=len(order))) + rest


def _at_corner(pair: ReducedPair, order: list[int], signs: tuple[float, ...]) -> float:
    at = np.zeros(pair.values)
    at[order] = signs
    apart = separation(held(pair.a, at), held(pair.b, at))
    return apart.distance + apart.error


def _by_points(pair: ReducedPair) -> float:
    """Two points of the material are never closer than the pieces: follow pairs of them, or one and the other's box."""
    n = np.array(separation(pair.a, pair.b).direction)
    on_a, on_b = _facing(pair.a, n, pair.b), _facing(pair.b, -n, pair.a)
    bounds = [_point_to_point(on_a, on_b, n)]
    if isinstance(pair.b, Hull) and pair.b.box is not None:
        bounds.append(_point_to_box(on_a, BoxForm(*pair.b.box)))
    if isinstance(pair.a, Hull) and pair.a.box is not None:
        bounds.append(_point_to_box(on_b, BoxForm(*pair.a.box)))
    return min(bounds)


def _facing(piece: Piece, n: Array, other: Piece) -> Points:
    """Points of a piece's material on its side towards n."""
    if isinstance(piece, Round):
        return _round_points(piece, n)
    heights = piece.points @ n
    side = heights >= heights.max() - FACING
    points, moves = piece.points[side], piece.moves[side]
    middle, middle_moves = points.mean(axis=0), moves.mean(axis=0)
    found = [(points, moves), ((points + middle) / 2.0, (moves + middle_moves) / 2.0)]
    found.append((middle[None, :], middle_moves[None, :]))
    if piece.box is not None:
        found.append(_opposite(BoxForm(*piece.box), n, other))
    return np.concatenate([points for points, _ in found]), np.concatenate([moves for _, moves in found])


def _opposite(form: BoxForm, n: Array, other: Piece) -> Points:
    """The point of a box's facing side that lies in the middle of what the other piece covers of it."""
    low, high = _spread(other, form, -n)
    middle = (np.maximum(low, -form.half) + np.minimum(high, form.half)) / 2.0
    towards = form.rotation.T @ n
    share = np.clip(middle / np.maximum(form.half, 1e-300), -1.0, 1.0)
    share = np.where(np.abs(towards) > 0.5, np.sign(towards), share)
    point = form.centre + form.rotation @ (share * form.half)
    moves = form.centre_moves + (share * form.half_moves) @ form.rotation.T
    return point[None, :], moves[None, :, :]


def _spread(piece: Piece, form: BoxForm, n: Array) -> tuple[Array, Array]:
    """Extent of a piece's side towards n along the axes of a box, from the middle of the box."""
    if isinstance(piece, Hull):
        heights = piece.points @ n
        points = piece.points[heights >= heights.max() - FACING]
    else:
        points = _round_points(piece, n)[0]
    local = (points - form.centre) @ form.rotation
    return local.min(axis=0), local.max(axis=0)


def _round_points(piece: Round, n: Array) -> Points:
    """On the line of the surface towards n, and on both ends: at the axis and at the rim."""
    sideways = n - float(n @ piece.axis) * piece.axis
    length = float(np.linalg.norm(sideways))
    radial = sideways / length if length > FACING else square_axes(piece.axis)[0]
    shares = [(along, across) for along in (-1.0, 0.0, 1.0) for across in (0.0, 1.0)]
    points = [piece.centre + a * piece.half_length * piece.axis + r * piece.radius * radial for a, r in shares]
    moves = [
        piece.centre_moves
        + np.outer(a * piece.half_length_moves, piece.axis)
        + np.outer(r * piece.radius_moves, radial)
        for a, r in shares
    ]
    return np.array(points), np.array(moves)


def _point_to_point(a: Points, b: Points, n: Array) -> float:
    """The least over pairs of points of how far apart they can be, boxed in along the axes and along n."""
    apart = b[0][None, :] - a[0][:, None]
    moves = b[1][None, :] - a[1][:, None]
    frames = (np.eye(3), np.column_stack([n, *square_axes(n)]))
    return min(
        float(np.linalg.norm(np.abs(apart @ frame) + np.abs(moves @ frame).sum(axis=2), axis=2).min())
        for frame in frames
    )


def _point_to_box(points: Points, form: BoxForm) -> float:
    """The least over the points of how far from the box they can be: outside it by so much along each of its axes."""
    local = (points[0] - form.centre) @ form.rotation
    moves = (points[1] - form.centre_moves) @ form.rotation
    beyond = [sign * local - form.half + np.abs(sign * moves - form.half_moves).sum(axis=1) for sign in (-1.0, 1.0)]
    return float(np.linalg.norm(np.maximum(np.maximum(*beyond), 0.0), axis=1).min())
