"""Convex pieces whose size and place are uncertain: the hull of points, and the solid round bar.

Every length of a piece is affine in P uncertain values, and both pieces of a pair use the same list of values, so that
what they share cancels. For a unit direction n from a to b the pair is apart by

    sep(n, p) = min over b of n·x  -  max over a of n·x

and its signed distance is the largest sep over all n: the gap when positive, else minus the least shift that takes the
two apart. Any single direction proves a lower bound, which is what every approximation here falls back on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.gjk import Vector

Array = NDArray[np.float64]


NO_SIDE = 1e-15
"""The part of a unit direction across an axis that is rounding only."""


class BoxForm(NamedTuple):
    """A box as it is made: case = centre + rotation @ local, local within ± half; each affine in the values."""

    centre: Array  # (3,)
    centre_moves: Array  # (P, 3)
    rotation: Array  # (3, 3), columns are the axes of the box
    half: Array  # (3,)
    half_moves: Array  # (P, 3)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hull:
    """Convex hull of points; duplicates, flat and single-point hulls are allowed.

    points: (K, 3) nominal, mm. moves: (K, P, 3) displacement of each point per unit of each value.
    box: set when the hull is a box whose axes do not turn; it makes upper bounds and overlaps quicker and tighter.
    """

    points: Array
    moves: Array
    box: tuple[Any, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Round:
    """Solid round bar with flat ends; its axis (unit) is fixed, place and sizes are affine in the values; mm."""

    centre: Array
    axis: Array
    radius: float
    half_length: float
    centre_moves: Array
    radius_moves: Array
    half_length_moves: Array


Piece = Hull | Round


def box(
    centre: Array,
    half: Array,
    *,
    rotation: Array | None = None,
    centre_moves: Array | None = None,
    half_moves: Array | None = None,
) -> Hull:
    """A box as a hull. centre, half: (3,). rotation: (3, 3), columns are its axes. moves: (P, 3), none given: P = 0."""
    turn = np.eye(3) if rotation is None else np.asarray(rotation, dtype=float)
    middle, extent = np.asarray(centre, dtype=float), np.asarray(half, dtype=float)
    values = next((len(moves) for moves in (centre_moves, half_moves) if moves is not None), 0)
    shifts = np.zeros((values, 3)) if centre_moves is None else np.asarray(centre_moves, dtype=float)
    growths = np.zeros((values, 3)) if half_moves is None else np.asarray(half_moves, dtype=float)
    points = middle + (_CORNERS * extent) @ turn.T
    moves = shifts[None, :, :] + (_CORNERS[:, None, :] * growths[None, :, :]) @ turn.T
    return Hull(points=points, moves=moves, box=BoxForm(middle, shifts, turn, extent, growths))


_CORNERS = np.array([[x, y, z] for x in (-1.0, 1.0) for y in (-1.0, 1.0) for z in (-1.0, 1.0)])


def values_of(piece: Piece) -> int:
    """P, the number of uncertain values the piece is written in."""
    return int(piece.moves.shape[1]) if isinstance(piece, Hull) else len(piece.radius_moves)


def reach(piece: Piece, direction: Array) -> Array:
    """n·x of every corner (K,); a round bar has one, the outermost along n."""
    if isinstance(piece, Hull):
        return piece.points @ direction
    along = float(direction @ piece.axis)
    across = _across(direction, along, piece.axis)
    outermost = float(direction @ piece.centre) + piece.radius * across + piece.half_length * abs(along)
    return np.array([outermost])


def reach_moves(piece: Piece, direction: Array) -> Array:
    """How n·x of every corner moves per unit of each value, (K, P)."""
    if isinstance(piece, Hull):
        return piece.moves @ direction
    along = float(direction @ piece.axis)
    across = _across(direction, along, piece.axis)
    row = piece.centre_moves @ direction + across * piece.radius_moves + abs(along) * piece.half_length_moves
    return np.asarray(row)[None, :]


def _across(direction: Array, along: float, axis: Array) -> float:
    x, y, z = (direction - along * axis).tolist()
    return float((x * x + y * y + z * z) ** 0.5)


def corner(piece: Piece, direction: Array, index: int) -> tuple[Array, Array]:
    """The corner of that index seen along n: its place (3,) and moves (P, 3)."""
    if isinstance(piece, Hull):
        return piece.points[index], piece.moves[index]
    along = float(direction @ piece.axis)
    sideways = direction - along * piece.axis
    # Along the axis only rounding is left of it: taken square to the axis once more, or the point leaves the bar.
    sideways = sideways - float(sideways @ piece.axis) * piece.axis
    across = float(np.linalg.norm(sideways))
    radial = sideways / across if across > NO_SIDE else np.zeros(3)
    lengthwise = piece.axis if along >= 0.0 else -piece.axis
    place = piece.centre + piece.radius * radial + piece.half_length * lengthwise
    moves = piece.centre_moves + np.outer(piece.radius_moves, radial) + np.outer(piece.half_length_moves, lengthwise)
    return place, moves


def apart(a: Piece, b: Piece, directions: Array) -> Array:
    """Nominal sep along each of N unit directions, (N, 3) -> (N,)."""
    return -(_outermost(a, directions) + _outermost(b, -directions))


def _outermost(piece: Piece, directions: Array) -> Array:
    if isinstance(piece, Hull):
        return np.asarray((directions @ piece.points.T).max(axis=1))
    along = directions @ piece.axis
    across = np.linalg.norm(directions - along[:, None] * piece.axis, axis=1)
    return np.asarray(directions @ piece.centre + piece.radius * across + piece.half_length * np.abs(along))


def middle_of(piece: Piece) -> Array:
    return np.asarray(piece.points.mean(axis=0)) if isinstance(piece, Hull) else piece.centre


def size_of(a: Piece, b: Piece) -> float:
    """A length that no coordinate of the pair, seen from between the two, exceeds by much; at least 1e-3 mm."""
    spread = float(np.abs(middle_of(b) - middle_of(a)).max())
    return max(spread + _half_size(a) + _half_size(b), 1e-3)


def _half_size(piece: Piece) -> float:
    if isinstance(piece, Hull):
        return float(np.abs(piece.points - piece.points.mean(axis=0)).max())
    return piece.radius + piece.half_length


def start_of(a: Piece, b: Piece) -> Vector:
    x, y, z = (middle_of(b) - middle_of(a)).tolist()
    return (x, y, z) if x * x + y * y + z * z > 1e-24 else (1.0, 0.0, 0.0)
