"""Shim packs: the pieces that come nearest to a measured gap, and of those the fewest."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fitcheck.stack.found import MOST_PIECES
from fitcheck.stack.solver import optimum

_SAME_MM = 1e-6


def shim_pack(gap: float, stock: Sequence[tuple[float, int | None]]) -> tuple[tuple[float, ...], float]:
    """(pieces, thickest first; what the pack lacks of the gap, negative when it is thicker); mm.

    `stock` pairs a thickness with the count on hand (None: any number). No pieces for a gap of nothing.

    >>> shim_pack(7.3, [(5.0, None), (2.0, None), (1.0, None), (0.5, None), (0.3, None), (0.2, None), (0.1, None)])
    ((5.0, 2.0, 0.3), 0.0)
    """
    from scipy.optimize import Bounds, LinearConstraint

    sizes = np.array([size for size, _ in stock])
    count = len(sizes)
    if not count:
        return (), gap
    most = [float(MOST_PIECES if held is None else held) for _, held in stock]
    # Columns: pieces of each size, then how far off the pack is.
    over, under = np.append(sizes, -1.0), np.append(sizes, 1.0)
    rows = LinearConstraint(np.array([over, under]), [-math.inf, gap], [gap, math.inf])
    bounds = Bounds(0.0, [*most, math.inf])
    whole = np.append(np.ones(count), 0.0)
    nearest = optimum(np.append(np.zeros(count), 1.0), [rows], bounds, integrality=whole)
    assert nearest is not None  # noqa: S101 (no pieces at all is always a pack)
    off = float(nearest[-1]) + _SAME_MM
    fewest = optimum(np.append(np.ones(count), 0.0), [rows], Bounds(0.0, [*most, off]), integrality=whole)
    counts = np.round((nearest if fewest is None else fewest)[:count])
    pieces = sorted((size for size, n in zip(sizes.tolist(), counts, strict=True) for _ in range(int(n))), reverse=True)
    return tuple(pieces), round(gap - math.fsum(pieces), 9) + 0.0
