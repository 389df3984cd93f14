"""The best direction in which two convex pieces can part, over all their faces and pairs of edges."""

from __future__ import annotations

import numpy as np

from fitcheck.geometry.convex_pieces import Array, Hull, Piece, Round, apart
from fitcheck.geometry.hull_faces import hull_of

ROUND_SIDES = 24
"""Sides of the many-sided bar whose directions stand in for those of a round one before they are refined."""
WITNESS_SIDES = 48
"""Sides of the bar inside a round one that shows how deep an overlap is at least: 0.2 % of the radius."""
MOST_AT_ONCE = 4096
"""Directions looked at in one go; bounds the memory of hulls with many corners."""
PARALLEL = 1e-12
STARTS = 6
FINEST_STEP = 1e-9
MOST_STEPS = 100
"""Of one climb: along a ridge it might creep on for ever, and any direction is on the safe side."""
_RING = np.array([(np.cos(t), np.sin(t)) for t in np.arange(16) * (np.pi / 8)])


def best_direction(a: Piece, b: Piece, guesses: Array) -> tuple[Array, float]:
    """Unit direction with the largest sep found, and that sep; exact for two hulls, a lower bound with a round."""
    directions = np.concatenate([guesses, parting_directions(a, b)])
    values = _apart(a, b, directions)
    if isinstance(a, Hull) and isinstance(b, Hull):
        best = int(values.argmax())
        return directions[best], float(values[best])
    starts = directions[np.argsort(-values, kind="stable")[:STARTS]]
    refined = [_refined(a, b, start) for start in starts]
    return max(refined, key=lambda found: found[1])


def depth_at_least(a: Piece, b: Piece) -> float:
    """How deep two overlapping pieces are in each other at the least: exact for hulls, from bars inside rounds [mm]."""
    directions = parting_directions(a, b, sides=WITNESS_SIDES)
    return -float(_apart(_inside_bar(a), _inside_bar(b), directions).max())


def parting_directions(a: Piece, b: Piece, *, sides: int = ROUND_SIDES) -> Array:
    """Unit directions (N, 3) among which that of the least parting shift of two hulls is; a round is taken as a bar
    with that many sides.
    """
    normals_a, edges_a = features(a, sides)
    normals_b, edges_b = features(b, sides)
    crossed = np.cross(edges_a[:, None, :], edges_b[None, :, :]).reshape(-1, 3)
    lengths = np.linalg.norm(crossed, axis=1)
    crossed = crossed[lengths > PARALLEL] / lengths[lengths > PARALLEL][:, None]
    found = np.concatenate([normals_a, -normals_b, crossed, -crossed])
    return found if len(found) else np.concatenate([np.eye(3), -np.eye(3)])


def features(piece: Piece, sides: int) -> tuple[Array, Array]:
    """Outward face normals (N, 3) and edge directions (M, 3) of a piece; sides of a round's bar: a multiple of 4."""
    if isinstance(piece, Round):
        # Normals stand at the middle of the sides; a quarter turn on they are the directions of the rim's edges.
        around, ends = _ring(piece.axis, sides, 0.5), piece.axis[None, :]
        return np.concatenate([around, ends, -ends]), np.concatenate([around[: sides // 2], ends])
    if piece.box is not None:
        axes = np.asarray(piece.box[2], dtype=float).T
        return np.concatenate([axes, -axes]), axes
    faces = hull_of(piece.points)
    return faces.normals, faces.edges


def _ring(axis: Array, sides: int, offset: float) -> Array:
    side, other = square_axes(axis)
    turns = (np.arange(sides) + offset) * (2.0 * np.pi / sides)
    return np.asarray(np.cos(turns)[:, None] * side + np.sin(turns)[:, None] * other)


def square_axes(axis: Array) -> tuple[Array, Array]:
    """Two unit vectors square to a unit axis and to each other."""
    side = np.cross(axis, np.eye(3)[int(np.abs(axis).argmin())])
    side = side / np.linalg.norm(side)
    return side, np.cross(axis, side)


def _inside_bar(piece: Piece) -> Hull:
    if isinstance(piece, Hull):
        return piece
    ring = piece.radius * _ring(piece.axis, WITNESS_SIDES, 0.0)
    points = np.concatenate([piece.centre + ring + end * piece.half_length * piece.axis for end in (-1.0, 1.0)])
    return Hull(points=points, moves=np.zeros((len(points), 0, 3)))


def _apart(a: Piece, b: Piece, directions: Array) -> Array:
    parts = [apart(a, b, directions[at : at + MOST_AT_ONCE]) for at in range(0, len(directions), MOST_AT_ONCE)]
    return np.concatenate(parts)


def _refined(a: Piece, b: Piece, start: Array) -> tuple[Array, float]:
    """Climb from one direction by ever smaller steps around it."""
    best, value, step = start, float(apart(a, b, start[None, :])[0]), 0.2
    for _ in range(MOST_STEPS):
        if step <= FINEST_STEP:
            break
        side, other = square_axes(best)
        tried = best + step * (_RING[:, :1] * side + _RING[:, 1:] * other)
        tried = tried / np.linalg.norm(tried, axis=1)[:, None]
        values = apart(a, b, tried)
        top = int(values.argmax())
        if values[top] > value:
            best, value = tried[top], float(values[top])
        else:
            step *= 0.5
    return best, value
