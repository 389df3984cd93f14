"""In which order the parts of a view are painted, so that what lies nearer to the viewer covers what lies behind it."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fitcheck.report.outline import Floats, Ints, silhouette

_LEVEL_MM = 1e-6
_MOST_TRIANGLES = 4_000
"""In a finer mesh the corners about a place say how near it is, not the triangle over it."""

_ABOUT = 0.01
"""How far around a place such corners count, as a share of the mesh's longest side."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Seen:
    """A part as one view shows it: its shadow, and its corners (V, 3) to the right, up, and toward the viewer."""

    shape: BaseGeometry
    points: Floats
    faces: Ints

    @property
    def reach(self) -> tuple[float, float]:
        """(farthest, nearest) of its corners, toward the viewer."""
        return float(self.points[:, 2].min()), float(self.points[:, 2].max())


def seen(points: Floats, faces: Ints) -> Seen:
    """The part with these corners (V, 3) and faces (F, 3)."""
    return Seen(shape=silhouette(points[:, :2], faces), points=points, faces=faces)


def places(parts: Sequence[Seen]) -> list[int]:
    """The place of each part in the order of painting, the first painted first.

    Where two parts share a line of sight, the one that is nearer there is painted later, though another end of the
    other may reach farther out. Parts that enclose each other in a ring cannot all be right.
    """
    reaches = [one.reach for one in parts]
    behind: list[set[int]] = [set() for _ in parts]
    for one, other in _overlapping(parts):
        below, above = _told_apart(parts, reaches, one, other)
        behind[above].add(below)
    return _in_turn([near for _, near in reaches], behind)


def _overlapping(parts: Sequence[Seen]) -> Iterator[tuple[int, int]]:
    """Pairs whose shadows may share an area, by their boxes."""
    shapes = [one.shape for one in parts]
    for one, other in shapely.STRtree(shapes).query(shapes).T.tolist():
        if one < other:
            yield one, other


def _told_apart(parts: Sequence[Seen], reaches: Sequence[tuple[float, float]], one: int, other: int) -> tuple[int, int]:
    """(the one behind, the one before it)."""
    by_reach = (one, other) if (reaches[one][1], one) < (reaches[other][1], other) else (other, one)
    behind, before = by_reach
    if reaches[before][0] >= reaches[behind][1] - _LEVEL_MM:
        return by_reach
    shared = shapely.intersection(parts[one].shape, parts[other].shape)
    if shared.area <= 0.0:
        return by_reach
    at = max(getattr(shared, "geoms", (shared,)), key=lambda piece: piece.area).representative_point()
    far, near = (_nearest_at(parts[which], at.x, at.y) for which in by_reach)
    return (before, behind) if far is not None and near is not None and far > near + _LEVEL_MM else by_reach


def _nearest_at(one: Seen, x: float, y: float) -> float | None:
    """How near the part comes to the viewer over a place; None where it is not there."""
    if len(one.faces) > _MOST_TRIANGLES:
        flat = one.points[:, :2]
        about = _ABOUT * float(np.ptp(flat, axis=0).max())
        heights = one.points[(np.abs(flat - (x, y)) <= about).all(axis=1), 2]
    else:
        heights = _heights(one.points[one.faces], x, y)
    return float(heights.max()) if len(heights) else None


def _heights(triangles: Floats, x: float, y: float) -> Floats:
    """The heights at which an upright line meets triangles (F, 3, 3)."""
    first, one, other = triangles[:, 0], triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    double = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    good = double != 0.0
    first, one, other, double = first[good], one[good], other[good], double[good]
    dx, dy = x - first[:, 0], y - first[:, 1]
    u = (dx * other[:, 1] - dy * other[:, 0]) / double
    v = (dy * one[:, 0] - dx * one[:, 1]) / double
    inside = (u >= 0.0) & (v >= 0.0) & (u + v <= 1.0)
    return np.asarray((first[:, 2] + u * one[:, 2] + v * other[:, 2])[inside], dtype=np.float64)


def _in_turn(near: Sequence[float], behind: Sequence[set[int]]) -> list[int]:
    """The place of each: after all that lie behind it, the farther first; a ring is opened at its farthest."""
    waiting = [len(those) for those in behind]
    before: list[list[int]] = [[] for _ in near]
    for which, those in enumerate(behind):
        for one in those:
            before[one].append(which)
    ready = [(near[which], which) for which in range(len(near)) if not waiting[which]]
    heapq.heapify(ready)
    place: dict[int, int] = {}
    while len(place) < len(near):
        if not ready:
            ready.append(min((near[which], which) for which in range(len(near)) if which not in place))
        _, which = heapq.heappop(ready)
        if which in place:
            continue
        place[which] = len(place)
        for one in before[which]:
            waiting[one] -= 1
            if not waiting[one]:
                heapq.heappush(ready, (near[one], one))
    return [place[which] for which in range(len(near))]
