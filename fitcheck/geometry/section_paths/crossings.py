"""Where edges cross or touch other edges."""

from __future__ import annotations

import numpy as np

from fitcheck.geometry.section_paths.air import Indices
from fitcheck.geometry.section_paths.rings import Array
from fitcheck.geometry.section_paths.section import SAME_MM


def crossings(starts: Array, ends: Array, other_starts: Array, other_ends: Array) -> tuple[Array, Indices]:
    """Points (K, 2) where edges cross others at an angle, ends included, and the index (K,) of the edge of the first.

    Edges that run along one another are not crossed: their ends say where they meet.
    """
    along = (ends - starts)[:, None]
    other = (other_ends - other_starts)[None]
    between = other_starts[None] - starts[:, None]
    area = along[..., 0] * other[..., 1] - along[..., 1] * other[..., 0]
    length, other_length = np.linalg.norm(along, axis=2), np.linalg.norm(other, axis=2)
    angled = np.abs(area) > 1e-12 * length * other_length
    safe = np.where(angled, area, 1.0)
    share = (between[..., 0] * other[..., 1] - between[..., 1] * other[..., 0]) / safe
    other_share = (between[..., 0] * along[..., 1] - between[..., 1] * along[..., 0]) / safe
    slack = SAME_MM / np.maximum(length, SAME_MM)
    other_slack = SAME_MM / np.maximum(other_length, SAME_MM)
    inside = (share >= -slack) & (share <= 1.0 + slack)
    inside &= (other_share >= -other_slack) & (other_share <= 1.0 + other_slack)
    rows, columns = np.nonzero(angled & inside)
    return starts[rows] + share[rows, columns, None] * (ends - starts)[rows], rows
