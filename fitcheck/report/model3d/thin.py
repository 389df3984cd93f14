"""Fewer triangles where a build has more than a screen can turn fluently; for the eye only."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

FEWEST = 200
"""No body is asked to have fewer triangles than this."""


def most_each(counts: Sequence[int], uses: Sequence[int], most: int) -> int | None:
    """The largest number of triangles a body may keep so that all together, each as often as it is used, stay within
    `most`; None where nothing has to be thinned.

    >>> most_each([100, 1000, 5000], [1, 1, 1], 2100)
    1000
    """
    if sum(count * use for count, use in zip(counts, uses, strict=True)) <= most:
        return None
    left, users = most, sum(uses)
    for count, use in sorted(zip(counts, uses, strict=True)):
        if count * users > left:
            break
        left, users = left - count * use, users - use
    return max(FEWEST, left // users)


def thinned(
    points: NDArray[np.float64], faces: NDArray[np.int64], most: int
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """The surface with about `most` triangles, edges kept as well as they can be (quadric error)."""
    from fast_simplification import simplify

    coarse, kept = simplify(points, faces, target_count=most)[:2]
    return np.asarray(coarse, np.float64), np.asarray(kept, np.int64)
