"""Points on the spline curves of a DXF drawing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.meshfile_raw import Points, unusable

PIECES = 8
"""Straight pieces of each span between knots, before any is halved."""

MOST_HALVINGS = 20
MOST_WEIGHT = 1e6
"""With weights that differ more, a curve can go far out and back between two of the places where it is looked at."""

AGAIN = "export the drawing again, curves as polylines or with control points and knots"


def by_points_alone(entity: Any) -> bool:
    """Whether the drawing gives the points that the curve passes through and not the curve itself."""
    return not entity.control_point_count() and bool(entity.fit_point_count())


def spline_points(path: Path, entity: Any, chord: float) -> Points:
    """Points (N, 3) along the curve, both ends among them, so dense that no chord lies farther than `chord` off it.

    A spline of degree p runs from its knot p to its knot p from the end. Those before and after only shape its ends:
    between them the same formula leads away from the curve. Raises MeshFileError for knots that make no curve.
    """
    from scipy.interpolate import BSpline

    knots, corners, degree = _given(path, entity)
    first, last = knots[degree], knots[len(corners)]
    spans, times = np.unique(knots[(knots >= first) & (knots <= last)], return_counts=True)
    if len(spans) < 2:
        raise unusable(path, f"the knots of {_words(entity)} leave no curve between them", AGAIN)
    if (times[1:-1] > degree).any():
        raise unusable(path, f"{_words(entity)} is broken in two at a knot", AGAIN)
    curve = BSpline(knots, corners, degree)
    shares = np.arange(PIECES) / PIECES
    along = np.append((spans[:-1, None] + shares * np.diff(spans)[:, None]).ravel(), last)
    for _ in range(MOST_HALVINGS):
        bent = _bent(curve, along, chord)
        if not bent.any():
            return _at(curve, along)
        middles = ((along[:-1] + along[1:]) / 2.0)[bent]
        along = np.insert(along, np.flatnonzero(bent) + 1, middles)
    raise unusable(path, f"{_words(entity)} cannot be followed finely enough: it lies too far out", AGAIN)


def _given(path: Path, entity: Any) -> tuple[NDArray[np.float64], NDArray[np.float64], int]:
    """Knots, corners (N, 4) and degree; the fourth coordinate is the weight, by which the others are multiplied."""
    if by_points_alone(entity) and entity.closed and not np.allclose(entity.fit_points[0], entity.fit_points[-1]):
        raise unusable(path, f"{_words(entity)} is closed, but only by a mark beside its points", AGAIN)
    try:
        tool = entity.construction_tool()
    except ValueError as error:
        raise unusable(path, f"{_words(entity)} cannot be read ({error})", AGAIN) from error
    corners = np.array([tuple(point) for point in tool.control_points], dtype=np.float64)
    weights = np.array(tool.weights() or np.ones(len(corners)), dtype=np.float64)
    knots = np.array(tool.knots(), dtype=np.float64)
    if not (np.isfinite(knots).all() and (np.diff(knots) >= 0.0).all()):
        raise unusable(path, f"the knots of {_words(entity)} do not ascend", AGAIN)
    if not (np.isfinite(corners).all() and np.isfinite(weights).all() and (weights > 0.0).all()):
        raise unusable(path, f"a point or weight of {_words(entity)} is no number, or no weight", AGAIN)
    if weights.max() > MOST_WEIGHT * weights.min():
        raise unusable(path, f"the weights of {_words(entity)} differ more than {MOST_WEIGHT:.0e} times", AGAIN)
    return knots, np.column_stack([corners * weights[:, None], weights]), int(tool.degree)


def _at(curve: Any, along: NDArray[np.float64]) -> Points:
    found: Points = curve(along)
    return found[:, :3] / found[:, 3:]


def _bent(curve: Any, along: NDArray[np.float64], chord: float) -> NDArray[np.bool_]:
    """Which pieces lie farther off their chord than half of what is allowed, at their quarters and middle: what is
    farther out between them is less than twice as far.
    """
    ends = _at(curve, along)
    start, run = ends[:-1], np.diff(ends, axis=0)
    square = np.maximum((run**2).sum(axis=1), np.finfo(float).tiny)
    worst = np.zeros(len(run))
    for share in (0.25, 0.5, 0.75):
        out = _at(curve, along[:-1] + share * np.diff(along)) - start
        on_chord = np.clip((out * run).sum(axis=1) / square, 0.0, 1.0)
        worst = np.maximum(worst, np.linalg.norm(out - on_chord[:, None] * run, axis=1))
    result: NDArray[np.bool_] = worst > chord / 2.0
    return result


def _words(entity: Any) -> str:
    handle = entity.dxf.get("handle")
    return f"SPLINE {handle}" if handle else "SPLINE"
