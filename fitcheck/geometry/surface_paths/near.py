"""The surfaces that a way no longer than so much can reach: all others are cut away before anything is searched.

A point on such a way lies no farther from both conductors together than the way is long. What is left stands about the
first conductor, wherever the two stand in the case, so that two places that are alike give the same numbers and are
searched once. The cut goes a little wider for surfaces than for conductors, so that no end of a face is taken for an
edge where a conductor may still take hold.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.geometry.surface_paths.cells import SAME_MM, Array, Cell, Face, cut_to_cells
from fitcheck.geometry.surface_paths.claws import below

if TYPE_CHECKING:
    from shapely import Polygon

DIGITS = 9
"""Places are rounded to so many digits of a mm; OFF_MM is more than that makes of any way."""
OFF_MM = 1e-7
Metal = tuple[list[Array], list[Array]]


@dataclass(frozen=True, slots=True, eq=False)
class Near:
    """Faces and loose cells, convex pieces of both conductors as triangles (M, 3, 3), counted from `origin` (3,).

    `whole`: nothing was cut away.
    """

    faces: list[Face]
    loose: list[Cell]
    metal: Metal
    origin: Array
    whole: bool

    def cells(self, narrow: float) -> list[Cell]:
        """The cells of what is left, cut where faces look at each other less than `narrow` mm apart."""
        return cut_to_cells(self.faces, self.loose, narrow)

    def key(self) -> bytes:
        """A fingerprint: the same for the same numbers only, wherever the place is."""
        digest = hashlib.sha256()
        for array in self._numbers():
            digest.update(str(array.shape).encode())
            # Adding nothing makes of a negative nothing a plain one.
            digest.update(np.ascontiguousarray(array + 0.0).tobytes())
        return digest.digest()

    def _numbers(self) -> Iterator[Array]:
        bodies = {body: number for number, body in enumerate(dict.fromkeys(each.body for each in self._all()))}
        for face in self.faces:
            yield np.array([bodies[face.body], *face.normal.round(DIGITS)], dtype=float)
            for ring in (face.outline.exterior, *face.outline.interiors):
                yield face.raised(np.asarray(ring.coords)).round(DIGITS)
        for cell in self.loose:
            yield np.array([bodies[cell.body], *cell.normal.round(DIGITS)], dtype=float)
            yield cell.corners
        for pieces in self.metal:
            yield np.array([len(pieces)], dtype=float)
            yield from pieces

    def _all(self) -> list[Face | Cell]:
        return [*self.faces, *self.loose]


def near(faces: Sequence[Face], loose: Sequence[Cell], metal: Metal, longest: float, beside: float) -> Near:
    """What ways no longer than `longest` mm from metal to metal can touch, as drawn. beside: how far in mm a conductor
    takes hold of a surface.
    """
    origin = metal[0][0].reshape(-1, 3)[0]
    low, high = _reach(metal, longest)
    pad = 2.0 * beside + 1e-3
    whole = True
    kept_faces: list[Face] = []
    for face in faces:
        kept, all_of_it = _clipped_face(face, low - pad, high + pad, origin)
        kept_faces += kept
        whole = whole and all_of_it
    cells = [cell for cell in loose if _meets(cell, low - pad, high + pad)]
    whole = whole and len(cells) == len(loose)
    moved = [Cell((each.corners - origin).round(DIGITS), each.normal, each.body) for each in cells]
    pieces = tuple(
        [(piece - origin).round(DIGITS) for each in side for piece in _clipped_piece(each, low, high)] for side in metal
    )
    return Near(kept_faces, moved, (pieces[0], pieces[1]), origin, whole)


def _reach(metal: Metal, longest: float) -> tuple[Array, Array]:
    """The box about all points whose distances from the boxes of both conductors add up to `longest` at most."""
    points = [np.concatenate([piece.reshape(-1, 3) for piece in side]) for side in metal]
    lows, highs = np.array([p.min(axis=0) for p in points]), np.array([p.max(axis=0) for p in points])
    if not math.isfinite(longest):
        return np.full(3, -math.inf), np.full(3, math.inf)
    gaps = np.maximum(np.maximum(lows[0] - highs[1], lows[1] - highs[0]), 0.0)
    # What the two lie apart across an axis has to be gone as well.
    along = np.sqrt(np.maximum(longest**2 - (gaps @ gaps - gaps**2), 0.0))
    # Beyond both the way goes there and back; else it cannot be farther from the nearer one than it is long.
    up, down = (along + highs.sum(axis=0)) / 2.0, (lows.sum(axis=0) - along) / 2.0
    up = np.where(up >= highs.max(axis=0), up, highs.min(axis=0) + along)
    down = np.where(down <= lows.min(axis=0), down, lows.max(axis=0) - along)
    return down - SAME_MM, up + SAME_MM


def _meets(cell: Cell, low: Array, high: Array) -> bool:
    return bool((cell.corners.max(axis=0) >= low).all() and (cell.corners.min(axis=0) <= high).all())


def _clipped_face(face: Face, low: Array, high: Array, origin: Array) -> tuple[list[Face], bool]:
    """What of a face lies within a box, counted from `origin`, and whether that is all of it."""
    from shapely import Polygon, affinity

    corners = face.raised(np.asarray(face.outline.exterior.coords))
    if (corners.max(axis=0) < low).any() or (corners.min(axis=0) > high).any():
        return [], False
    foot = face.normal * float(face.normal @ (face.origin - origin))
    shift = face.frame @ (face.origin - origin - foot)
    outline = affinity.translate(face.outline, *shift)
    within = bool((corners.max(axis=0) <= high).all() and (corners.min(axis=0) >= low).all())
    if not within:
        window = _window(corners - origin - foot, face, low - origin - foot, high - origin - foot)
        if window is None:
            return [], False
        outline = outline.intersection(Polygon(window))
    parts = [part for part in getattr(outline, "geoms", [outline]) if part.geom_type == "Polygon" and part.area > 0.0]
    return [Face(foot, face.frame, face.normal, _rounded(part), face.body) for part in parts], within


def _window(corners: Array, face: Face, low: Array, high: Array) -> Array | None:
    """The outline (N, 2), in the frame of a face, of what of its plane lies within a box; None where nothing does.

    All are counted from the face's place nearest to the origin.
    """
    flat = corners @ face.frame.T
    least, most = flat.min(axis=0) - 1.0, flat.max(axis=0) + 1.0
    ring = np.array([[least[0], least[1]], [most[0], least[1]], [most[0], most[1]], [least[0], most[1]]])
    for axis in range(3):
        for sign, limit in ((1.0, high[axis]), (-1.0, -low[axis])):
            ring = _halved(ring, sign * face.frame[:, axis], limit)
            if len(ring) < 3:
                return None
    return ring


def _halved(ring: Array, normal: Array, limit: float) -> Array:
    """What of a convex outline (N, 2) lies where normal . x <= limit."""
    sides = ring @ normal - limit
    found = []
    for k in range(len(ring)):
        here, there = sides[k], sides[(k + 1) % len(ring)]
        if here <= 0.0:
            found.append(ring[k])
        if here * there < 0.0:
            found.append(ring[k] + here / (here - there) * (ring[(k + 1) % len(ring)] - ring[k]))
    return np.array(found).reshape(-1, 2)


def _rounded(part: Polygon) -> Polygon:
    from shapely import Polygon
    from shapely.geometry.polygon import orient

    def ring(coords: Array) -> Array:
        return np.asarray(coords).round(DIGITS) + 0.0

    plain = Polygon(ring(np.asarray(part.exterior.coords)), [ring(np.asarray(h.coords)) for h in part.interiors])
    return orient((plain if plain.is_valid else part).normalize())


def _clipped_piece(piece: Array, low: Array, high: Array) -> list[Array]:
    """What of a convex piece, as triangles (M, 3, 3), lies within a box: itself, nothing, or a smaller convex piece."""
    points = piece.reshape(-1, 3)
    if (points.min(axis=0) >= low).all() and (points.max(axis=0) <= high).all():
        return [piece]
    left = piece
    for axis in range(3):
        for sign, limit in ((1.0, high[axis]), (-1.0, -low[axis])):
            normal = np.zeros(3)
            normal[axis] = sign
            if math.isfinite(limit) and len(left):
                left = below(_closed(left), normal, float(limit))
    return [_closed(left)] if len(left) else []


def _closed(triangles: Array) -> Array:
    """A convex piece that was cut open as triangles all round, facing outward; what is flat as it is."""
    from scipy.spatial import ConvexHull, QhullError

    points = np.unique(triangles.reshape(-1, 3).round(DIGITS), axis=0)
    try:
        hull = ConvexHull(points)
    except (QhullError, ValueError):
        return triangles
    found = points[hull.simplices]
    normals = np.cross(found[:, 1] - found[:, 0], found[:, 2] - found[:, 0])
    inward = np.einsum("ki,ki->k", normals, hull.equations[:, :3]) < 0.0
    found[inward] = found[inward][:, ::-1]
    return np.asarray(found)
