"""Closed contours of flat pieces: rings of corners and true circles, in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fitcheck.model.shape import Point2, Ring

if TYPE_CHECKING:
    from shapely import Polygon

ROUND_CORNERS = 12
"""A ring with fewer corners is meant as drawn, be it a hexagon or an octagon."""

ROUND_SPREAD_MM = 0.02
"""Corners of a circle are written rounded to hundredths."""

CHORD_MM = 0.01
"""Where a circle must become a ring, its chords stay this near to it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """A circle."""

    centre: Point2
    diameter: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """A closed ring of corners, the first not said again at the end."""

    corners: Ring


Contour = Round | Loop


def rectangle(width: float, height: float) -> Loop:
    return Loop(corners=((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)))


def contour_of(ring: Ring, *, around: bool = False) -> Contour:
    """The ring as it is meant: a circle where at least twelve corners lie evenly on one, else the ring itself.

    `around` tells that the ring was drawn about the curve: then the circle is the one that its sides touch.
    """
    corners = tuple(dict.fromkeys((float(x), float(y)) for x, y in ring))
    if len(corners) < ROUND_CORNERS:
        return Loop(corners=corners)
    (low_x, low_y), (high_x, high_y) = box_of_points(corners)
    centre = ((low_x + high_x) / 2.0, (low_y + high_y) / 2.0)
    radii = [math.dist(centre, corner) for corner in corners]
    sides = [math.dist(one, other) for one, other in zip(corners, (*corners[1:], corners[0]), strict=True)]
    longest = 2.0 * max(radii) * math.sin(1.2 * math.pi / ROUND_CORNERS)
    if max(radii) - min(radii) > ROUND_SPREAD_MM or max(sides) > longest:
        return Loop(corners=corners)
    if around:
        middles = [
            ((x + a) / 2.0, (y + b) / 2.0) for (x, y), (a, b) in zip(corners, (*corners[1:], corners[0]), strict=True)
        ]
        return Round(centre=centre, diameter=2.0 * min(math.dist(centre, middle) for middle in middles))
    return Round(centre=centre, diameter=2.0 * max(radii))


def box_of_points(points: Sequence[Point2]) -> tuple[Point2, Point2]:
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))


def box_of(contour: Contour) -> tuple[Point2, Point2]:
    """(low corner, high corner) of the bounding box."""
    if isinstance(contour, Loop):
        return box_of_points(contour.corners)
    (x, y), r = contour.centre, contour.diameter / 2.0
    return (x - r, y - r), (x + r, y + r)


def moved(contour: Contour, by: Point2) -> Contour:
    if isinstance(contour, Round):
        return Round(centre=(contour.centre[0] + by[0], contour.centre[1] + by[1]), diameter=contour.diameter)
    return Loop(corners=tuple((x + by[0], y + by[1]) for x, y in contour.corners))


def ring_of(contour: Contour, chord_mm: float = CHORD_MM) -> Ring:
    """Corners counter-clockwise; a circle becomes a ring whose chords stay within `chord_mm` of it."""
    if isinstance(contour, Round):
        radius = contour.diameter / 2.0
        share = min(1.0, chord_mm / radius)
        count = max(24, math.ceil(math.pi / math.acos(1.0 - share)))
        angles = [2.0 * math.pi * number / count for number in range(count)]
        (x, y) = contour.centre
        return tuple((x + radius * math.cos(angle), y + radius * math.sin(angle)) for angle in angles)
    return contour.corners if signed_area(contour.corners) > 0.0 else contour.corners[::-1]


def signed_area(corners: Ring) -> float:
    """Positive where the corners run counter-clockwise."""
    after = (*corners[1:], corners[0])
    return sum(x * b - a * y for (x, y), (a, b) in zip(corners, after, strict=True)) / 2.0


def area(contour: Contour) -> float:
    """In mm2; a circle's is exact."""
    if isinstance(contour, Round):
        return math.pi * contour.diameter**2 / 4.0
    return abs(signed_area(contour.corners))


def polygon_of(outline: Contour, openings: Sequence[Contour] = ()) -> Polygon:
    """The material between the contours, circles by chords."""
    from shapely import Polygon

    return Polygon(ring_of(outline), [ring_of(opening) for opening in openings])
