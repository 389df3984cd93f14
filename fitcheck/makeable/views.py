"""Three views of a part that is not one flat piece: the edges that show, seen along the case axes."""

from __future__ import annotations

import itertools
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.model.layout import Layout
from fitcheck.model.shape import Point2

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Mesh = tuple[NDArray[np.float64], NDArray[np.int64]]

Segment = tuple[Point2, Point2]

CREASE = 0.94
"""Faces that turn by more than some twenty degrees meet in an edge that is drawn."""

STEPS = 64
"""An edge that is partly covered is drawn to this share of its length."""

MOST_WORK = 1_000_000
"""Edges times triangles up to which covered edges are left out; beyond, the outline alone is drawn."""


MOST_OUTLINE = 50_000
"""Triangles up to which the outline is worked out; beyond, the overall size is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """`title` says from where; segments in mm from the low corner of the part, to the right and up. `shows` is
    "edges", "outline" or "overall size"."""

    title: str
    size: Point2
    segments: tuple[Segment, ...]
    shows: str


def three_views(layout: Layout, mesh: Mesh) -> tuple[View, View, View]:
    """(from one side, from above, from the other side). The first two share their right, the first and last their up.

    `mesh` is (vertices (V, 3) in mm, case axes, faces (F, 3) wound outward).
    """
    up = layout.up[0]
    first, second = (axis for axis in range(3) if axis != up)
    return (
        _view(layout, mesh, first, up),
        _view(layout, mesh, first, second),
        _view(layout, mesh, second, up),
    )


def _view(layout: Layout, mesh: Mesh, right: int, up: int) -> View:
    vertices, faces = mesh[0] - mesh[0].min(axis=0), mesh[1]
    toward = 3 - right - up
    # The viewer stands where right, up and towards him make a right-handed set.
    sign = _handed(right, up, toward)
    flat = np.column_stack((vertices[:, right], vertices[:, up], sign * vertices[:, toward]))
    size = (float(flat[:, 0].max()), float(flat[:, 1].max()))
    shows, segments = _drawn(flat, faces, size)
    words = ("forward", "rearward", "left", "right", "up", "down")
    word = next(word for word in words if layout.direction(word) == (toward, sign))
    said = {"forward": "the front", "rearward": "the rear", "up": "above", "down": "below"}.get(word, f"the {word}")
    return View(
        title=f"from {said}",
        size=size,
        segments=tuple(segments),
        shows=shows,
    )


def _drawn(flat: Array, faces: NDArray[np.int64], size: Point2) -> tuple[str, list[Segment]]:
    """What is drawn of the part, as much as its number of triangles allows."""
    if len(faces) > MOST_OUTLINE:
        (w, h), zero = size, (0.0, 0.0)
        return "overall size", [(zero, (w, 0.0)), ((w, 0.0), size), (size, (0.0, h)), ((0.0, h), zero)]
    edges = _edges(flat, faces)
    if len(edges) * len(faces) > MOST_WORK:
        return "outline", _outline(flat, faces)
    return "edges", _visible(flat, faces, edges)


def _handed(one: int, two: int, three: int) -> int:
    """1 for a right-handed order of the axes, -1 for a left-handed one."""
    return 1 if (one, two, three) in ((0, 1, 2), (1, 2, 0), (2, 0, 1)) else -1


def _edges(flat: Array, faces: NDArray[np.int64]) -> list[tuple[int, int]]:
    """Edges where the surface turns or ends, and where it passes from the near side to the far one."""
    _, same = np.unique(np.round(flat, 5), axis=0, return_inverse=True)
    same = same.ravel()
    first = {int(kind): index for index, kind in reversed(list(enumerate(same)))}
    corners = flat[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1)
    beside: dict[tuple[int, int], list[int]] = defaultdict(list)
    for number, face in enumerate(faces):
        if lengths[number] < 1e-9:
            continue
        kinds = [int(same[index]) for index in face]
        for a, b in ((0, 1), (1, 2), (2, 0)):
            beside[min(kinds[a], kinds[b]), max(kinds[a], kinds[b])].append(number)
    found = []
    for (a, b), numbers in sorted(beside.items()):
        units = [normals[number] / lengths[number] for number in numbers]
        is_brim = len({unit[2] > 1e-6 for unit in units}) == 2
        if len(units) != 2 or is_brim or float(units[0] @ units[1]) < CREASE:
            found.append((first[a], first[b]))
    return found


def _visible(flat: Array, faces: NDArray[np.int64], edges: list[tuple[int, int]]) -> list[Segment]:
    triangles = flat[faces]
    found: set[Segment] = set()
    for a, b in edges:
        start, end = flat[a], flat[b]
        if float(np.hypot(*(end - start)[:2])) < 1e-6:
            continue
        shares = (np.arange(STEPS) + 0.5) / STEPS
        shown = ~_covered(start + shares[:, None] * (end - start), triangles)
        for low, high in _runs(shown):
            ends = sorted(tuple(np.round(start + share * (end - start), 4)[:2].tolist()) for share in (low, high))
            found.add(((ends[0][0], ends[0][1]), (ends[1][0], ends[1][1])))
    return sorted(found)


def _runs(shown: NDArray[np.bool_]) -> list[tuple[float, float]]:
    """Shares of the edge (from, to) that show."""
    padded = np.concatenate(([False], shown, [False]))
    changes = np.flatnonzero(padded[1:] != padded[:-1])
    return [(float(low) / STEPS, float(high) / STEPS) for low, high in zip(changes[::2], changes[1::2], strict=True)]


def _covered(points: Array, triangles: Array) -> NDArray[np.bool_]:
    """(P,): whether a triangle lies between each point and the viewer, who looks down the third axis."""
    a, b, c = (triangles[:, corner, :] for corner in range(3))
    (abx, aby), (acx, acy) = (b - a)[:, :2].T, (c - a)[:, :2].T
    double = abx * acy - aby * acx
    good = np.abs(double) > 1e-9
    a, b, c, abx, aby, acx, acy, double = (each[good] for each in (a, b, c, abx, aby, acx, acy, double))
    dx = points[:, None, 0] - a[None, :, 0]
    dy = points[:, None, 1] - a[None, :, 1]
    u = (dx * acy - dy * acx) / double
    v = (dy * abx - dx * aby) / double
    depth = a[:, 2] + u * (b[:, 2] - a[:, 2]) + v * (c[:, 2] - a[:, 2])
    inside = (u > -1e-9) & (v > -1e-9) & (u + v < 1.0 + 1e-9)
    covered: NDArray[np.bool_] = (inside & (depth > points[:, None, 2] + 1e-4)).any(axis=1)
    return covered


def _outline(flat: Array, faces: NDArray[np.int64]) -> list[Segment]:
    """The edge of the shadow that the part throws."""
    from shapely import polygons, union_all

    corners = flat[faces][:, :, :2]
    one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    doubled = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    shadow = union_all(polygons(corners[np.abs(doubled) > 1e-6]), grid_size=1e-3)
    found: list[Segment] = []
    for piece in getattr(shadow, "geoms", (shadow,)):
        for ring in (piece.exterior, *piece.interiors):
            points = [(float(x), float(y)) for x, y in ring.coords]
            found += list(itertools.pairwise(points))
    return found
