"""How long a way through air may become where all around it may move."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from fitcheck.geometry.air_paths.walls import Array, Walls
from fitcheck.geometry.triangles import closest_points

LIFT = 4.0
"""How far a way is lifted off the walls, as a multiple of what may move."""
KEPT = 1.5
"""How far off them it then has to stay."""
LEAST_COSINE = 0.3


def longest(walls: Walls, line: Array, margin: float) -> float:
    """A length that the shortest way does not exceed, whatever moves by up to `margin` mm; infinite if none is known.

    line (N, 3): a way as drawn. Lifted off the walls that it touches it must stay clear of all of them by more than
    they may move: a slit that may close is no way.
    """
    if margin == 0.0 or not len(walls.skin):
        return _length(line) + 2.0 * margin
    lifted = np.array([_lifted(walls, line, k, margin) for k in range(len(line))])
    if not np.isfinite(lifted).all():
        return math.inf
    if any(walls.distance(start, end) < KEPT * margin for start, end in pairwise(lifted)):
        return math.inf
    if any(not walls.is_clear(start, end) for start, end in pairwise(lifted)):
        return math.inf
    steps = float(np.linalg.norm(lifted[[0, -1]] - line[[0, -1]], axis=1).sum())
    return _length(lifted) + steps + 2.0 * margin


def _lifted(walls: Walls, line: Array, k: int, margin: float) -> Array:
    """A corner of a way moved away from all walls that it comes near."""
    spot = np.broadcast_to(line[k], walls.skin.shape)
    near = closest_points(walls.skin, np.array(spot))[0] < 2.0 * margin
    if not near.any():
        return np.asarray(line[k])
    normals = np.unique(np.round(walls.normals[near], 9), axis=0)
    out = normals.sum(axis=0)
    length = float(np.linalg.norm(out))
    if length < 1e-9:
        return np.full(3, np.inf)
    out = out / length
    least = float((normals @ out).min())
    return np.full(3, np.inf) if least < LEAST_COSINE else np.asarray(line[k] + LIFT * margin / least * out)


def _length(line: Array) -> float:
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
