"""Which triangles of a drawn part a place lies on, for the eye only."""

from __future__ import annotations

import numpy as np

from fitcheck.report.outline import Floats
from fitcheck.report.scene import DrawnPart


def off(part: DrawnPart, points: Floats, within: float) -> Floats:
    """How far each of `points` (N, 3) lies off the surface of the part, (N,); infinite beyond `within`."""
    triangles = _about(part, points.min(axis=0) - within, points.max(axis=0) + within)
    return np.array([min((far for far, _ in _near(triangles, point, within)), default=np.inf) for point in points])


def outward(part: DrawnPart, point: Floats, within: float) -> Floats:
    """The mean outward direction (3,) of the triangles that lie within so much of a place; zero without any."""
    total = np.zeros(3)
    for _, normal in _near(_about(part, point - within, point + within), point, within):
        total += normal
    length = float(np.linalg.norm(total))
    return total / length if length > 1e-9 else np.zeros(3)


def _about(part: DrawnPart, low: Floats, high: Floats) -> Floats:
    """The triangles (N, 3, 3) of the part that may reach into a box."""
    vertices = part.vertices
    if not len(vertices) or (vertices.min(axis=0) > high).any() or (vertices.max(axis=0) < low).any():
        return np.empty((0, 3, 3))
    triangles = vertices[part.faces]
    return np.asarray(triangles[((triangles.min(axis=1) <= high) & (triangles.max(axis=1) >= low)).all(axis=1)])


def _near(triangles: Floats, point: Floats, within: float) -> list[tuple[float, Floats]]:
    """(distance, normal) of the triangles within so much of a place, each direction of a face once."""
    low, high = triangles.min(axis=1) - within, triangles.max(axis=1) + within
    found: dict[tuple[float, ...], tuple[float, Floats]] = {}
    for corners in triangles[((low <= point) & (point <= high)).all(axis=1)]:
        normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
        area = float(np.linalg.norm(normal))
        if area <= 1e-12:
            continue
        far = _from_triangle(point, corners, normal / area)
        key = tuple(np.round(normal / area, 3).tolist())
        if far <= within and (key not in found or far < found[key][0]):
            found[key] = (far, normal / area)
    return list(found.values())


def _from_triangle(point: Floats, corners: Floats, normal: Floats) -> float:
    """The distance of a point from a triangle (3, 3) with a unit normal."""
    edges = np.roll(corners, -1, axis=0) - corners
    inward = np.cross(normal, edges)
    if (np.einsum("ij,ij->i", inward, point - corners) >= 0.0).all():
        return abs(float((point - corners[0]) @ normal))
    share = np.einsum("ij,ij->i", point - corners, edges) / np.einsum("ij,ij->i", edges, edges)
    feet = corners + np.clip(share, 0.0, 1.0)[:, None] * edges
    return float(np.linalg.norm(feet - point, axis=1).min())
