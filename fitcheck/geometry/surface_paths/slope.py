"""How steep a potential is between two straight segments in space: the step on which the lower bound rests.

A potential that never rises by more than the length of the way from one end to the other proves a lower bound of that
length. It is linear on each segment, so for points p and q on two segments both the rise and the vector q - p are
bilinear-free (affine) in the two places. If one vector n has n . (q - p) >= rise at the four corners it has so
everywhere between, and |q - p| >= rise / |n|. The least |n| is a small quadratic program, solved for many pairs at
once.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
CHUNK = 200_000
TINY = 1e-12


def least_slopes(vectors: Array, rises: Array) -> Array:
    """The least |n| with n . vectors >= rises for each row, or 1 where it is less; infinite where there is none.

    vectors: (K, 4, 3) in mm. rises: (K, 4) in mm. Rows without a positive rise give 0.
    """
    found = np.zeros(len(rises))
    for start in range(0, len(rises), CHUNK):
        part = slice(start, start + CHUNK)
        found[part] = _least(vectors[part], rises[part])
    return found


def _least(vectors: Array, rises: Array) -> Array:
    found = np.zeros(len(rises))
    steep = np.flatnonzero((rises > TINY).any(axis=1))
    vectors, rises = vectors[steep], rises[steep]
    if not len(steep):
        return found
    gentle = _gentle(vectors, rises)
    found[steep[gentle]] = 1.0
    steep, vectors, rises = steep[~gentle], vectors[~gentle], rises[~gentle]
    if not len(steep):
        return found
    squares = np.einsum("kci,kci->kc", vectors, vectors)
    slack = 1e-11 * (1.0 + np.sqrt(squares.max(axis=1)))
    best = np.full(len(steep), np.inf)
    with np.errstate(divide="ignore", invalid="ignore"):
        single = np.where(rises > TINY, rises / np.sqrt(squares), 0.0)
    # One corner alone, where its n serves the others too, is the answer: nothing shorter serves that corner.
    at = single.argmax(axis=1)
    rows = np.arange(len(steep))
    corner = vectors[rows, at]
    with np.errstate(divide="ignore", invalid="ignore"):
        n = corner * (rises[rows, at] / squares[rows, at])[:, None]
    serves = _serves(n, vectors, rises, slack)
    best[serves] = single[rows, at][serves]
    for count in (2, 3):
        left = np.flatnonzero(~np.isfinite(best))
        if not len(left):
            break
        best[left] = _several(vectors[left], rises[left], slack[left], count)
    found[steep] = best
    return found


def _gentle(vectors: Array, rises: Array) -> NDArray[np.bool_]:
    """Rows that some plain direction of length 1 serves: the least |n| is at most 1, and no more is asked."""
    found = np.zeros(len(rises), dtype=bool)
    tried = [vectors.sum(axis=1), *(vectors[:, k] for k in range(4)), vectors[:, 1] - vectors[:, 0]]
    tried += [vectors[:, 2] - vectors[:, 0], vectors[:, 0] - vectors[:, 1], vectors[:, 0] - vectors[:, 2]]
    for direction in tried:
        left = np.flatnonzero(~found)
        length = np.linalg.norm(direction[left], axis=1)
        n = direction[left] / np.maximum(length, TINY)[:, None]
        found[left] = (np.einsum("ki,kci->kc", n, vectors[left]) >= rises[left]).all(axis=1)
    return found


def _several(vectors: Array, rises: Array, slack: Array, count: int) -> Array:
    """The least |n| among those that meet `count` corners exactly and serve the others."""
    best = np.full(len(rises), np.inf)
    for corners in combinations(range(4), count):
        chosen, wanted = vectors[:, corners], rises[:, corners]
        gram = np.einsum("kai,kbi->kab", chosen, chosen)
        scale = np.einsum("kaa->k", gram)
        sound = np.linalg.det(gram) > 1e-14 * np.maximum(scale, TINY) ** count
        gram[~sound] = np.eye(count)
        weights = np.linalg.solve(gram, wanted[:, :, None])[:, :, 0]
        n = np.einsum("ka,kai->ki", weights, chosen)
        length = np.sqrt(np.einsum("ki,ki->k", n, n))
        better = sound & (length < best) & _serves(n, vectors, rises, slack)
        best[better] = length[better]
    return best


def _serves(n: Array, vectors: Array, rises: Array, slack: Array) -> NDArray[np.bool_]:
    reached = np.einsum("ki,kci->kc", n, vectors)
    with np.errstate(invalid="ignore"):
        return np.asarray((reached >= rises - slack[:, None]).all(axis=1))
