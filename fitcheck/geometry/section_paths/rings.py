"""Closed rings of points: without corners that turn nothing, and which of their corners stick out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.section_paths.section import SAME_MM, Points

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

STRAIGHT = 1e-9
"""A corner whose sine is below this turns nothing: drawn coordinates carry less."""


def tidy(points: Points, *, closed: bool) -> Array:
    """(N, 2) without repeated points and without points on a straight stretch; ends of an open line are kept."""
    found = _apart(np.asarray(points, dtype=float).reshape(-1, 2), closed=closed)
    while len(found) > 2:
        keep = np.abs(_turns(found)) > STRAIGHT
        if not closed:
            keep[[0, -1]] = True
            keep |= _backwards(found)
        if keep.all() or keep.sum() < 2:
            break
        found = found[keep]
    return found


def _apart(points: Array, *, closed: bool) -> Array:
    if len(points) < 2:
        return points
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    found = points[np.concatenate([[True], steps > SAME_MM])]
    if closed and len(found) > 1 and float(np.linalg.norm(found[0] - found[-1])) <= SAME_MM:
        found = found[:-1]
    return np.asarray(found, dtype=float)


def _turns(ring: Array) -> Array:
    """(N,) sine of the turn at each point: positive to the left."""
    came, goes = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    lengths = np.linalg.norm(came, axis=1) * np.linalg.norm(goes, axis=1)
    return np.asarray((came[:, 0] * goes[:, 1] - came[:, 1] * goes[:, 0]) / np.maximum(lengths, SAME_MM**2))


def _backwards(line: Array) -> Flags:
    came, goes = line - np.roll(line, 1, axis=0), np.roll(line, -1, axis=0) - line
    return np.asarray(np.sum(came * goes, axis=1) < 0.0)


def sticking_out(ring: Array) -> Flags:
    """(N,) the corners at which matter on the left of the ring sticks out into what lies on the right."""
    return np.asarray(_turns(ring) > STRAIGHT)


def edges_of(points: Array, *, closed: bool) -> tuple[Array, Array]:
    """(E, 2) starts and ends; a single point is one edge without length."""
    if len(points) == 1:
        return points, points
    if closed:
        return points, np.roll(points, -1, axis=0)
    return points[:-1], points[1:]
