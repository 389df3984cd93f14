"""Where on insulation a way between two live parts can be cut off: the flat face beneath a stretch of it.

A face counts if it is square to a case axis. The stretch runs along one of the two axes in the face; what is to cut it
off stands or is cut square across.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fitcheck.checks.directions import way
from fitcheck.checks.live_trials import Bench, box_gap
from fitcheck.checks.potentials import is_insulation
from fitcheck.findings import Point
from fitcheck.model.layout import Layout
from fitcheck.model.part import Part
from fitcheck.placing.facets import facets_of
from fitcheck.placing.outermost import Box
from fitcheck.placing.placed import Columns, placed_pieces

Array = NDArray[np.float64]

SQUARE = 1.0 - 1e-9
OFF_MM = 1e-3
"""How far the corners of a way found may lie off the surface that it runs over."""
DEEPEST_MM = 25.0
"""A face farther below a stretch through air is not looked at."""
MOST_SITES = 2
FACES = {
    "up": "upper face",
    "down": "lower face",
    "left": "left face",
    "right": "right face",
    "forward": "front face",
    "rearward": "rear face",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A face of `body` across the axis `normal`, looking to `sign`, at `plane` mm, over which a stretch runs along the
    axis `run`, of which tolerances leave `start` to `end` mm free.

    `facing` is where on the axis `across` the conductors at both ends stand opposite each other.
    """

    body: Part
    normal: int
    sign: int
    plane: float
    run: int
    start: float
    end: float
    across: int
    facing: tuple[float, float]

    @property
    def length(self) -> float:
        return self.end - self.start

    @property
    def halfway(self) -> float:
        return (self.start + self.end) / 2.0

    def face(self, layout: Layout) -> str:
        return f"the {FACES[way(layout, self.normal, self.sign)]} of {self.body.name}"


def sites(bench: Bench) -> list[Site]:
    """The places on the way of a pair, longest stretch first."""
    line = _straightened(bench.finding.way or bench.finding.points or ())
    stretches = sorted(pairwise(line), key=lambda ends: -float(np.linalg.norm(np.subtract(*ends))))
    boxes = [bench.study.bounds(bench.state)[part.name] for part in bench.over]
    stretches = [ends for ends in stretches if not any(all(_off(end, box) <= OFF_MM for end in ends) for box in boxes)]
    found = [site for stretch in stretches for site in _beneath(bench, *stretch)]
    return found[:MOST_SITES]


def _straightened(line: Sequence[Point]) -> list[Point]:
    """The line without the corners at which it goes straight on."""
    found: list[Point] = []
    for point in line:
        while len(found) > 1 and _goes_straight_on(found[-2], found[-1], point):
            found.pop()
        found.append(point)
    return found


def _goes_straight_on(start: Point, corner: Point, end: Point) -> bool:
    before, after = np.subtract(corner, start), np.subtract(end, corner)
    whole = float(np.linalg.norm(before + after))
    return float(np.linalg.norm(before) + np.linalg.norm(after)) - whole <= OFF_MM * OFF_MM


def _beneath(bench: Bench, one: Point, other: Point) -> Iterator[Site]:
    """The nearest face beneath the middle of a stretch, if there is one."""
    middle = (np.array(one) + np.array(other)) / 2.0
    run = int(np.argmax(np.abs(np.subtract(one, other))))
    near: list[tuple[float, Part, int, int, float]] = []
    for part in bench.layout.in_build(bench.build):
        if is_insulation(part) and part.potential is None:
            near += [(face[0], part, *face[1:]) for face in _faces(bench, part, middle) if face[1] != run]
    if not near:
        return
    _, body, normal, sign, plane = min(near, key=lambda each: each[0])
    across = 3 - run - normal
    first, second = sorted((one, other), key=lambda point: point[run])
    low, high = _metal_at(bench, first), _metal_at(bench, second)
    start, end = _clear(first[run], second[run], low, high, run)
    yield Site(
        body=body,
        normal=normal,
        sign=sign,
        plane=plane,
        run=run,
        start=start,
        end=end,
        across=across,
        facing=_facing(low, high, across),
    )


def _faces(bench: Bench, part: Part, point: Array) -> Iterator[tuple[float, int, int, float]]:
    """(depth of the point above it, axis, sign, plane) of the square faces of a part beneath a point."""
    for piece in placed_pieces(bench.study.chain(bench.state), part):
        facets = facets_of(piece, Columns(()))
        corners = facets.vertices[facets.faces]
        normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        sizes = np.linalg.norm(normals, axis=1)
        normals, corners = normals[sizes > 0.0] / sizes[sizes > 0.0, None], corners[sizes > 0.0]
        for axis in range(3):
            for sign in (1, -1):
                for triangle in corners[normals[:, axis] * sign > SQUARE]:
                    plane = float(triangle[0, axis])
                    depth = sign * (float(point[axis]) - plane)
                    if -OFF_MM <= depth <= DEEPEST_MM and _holds(np.delete(triangle, axis, 1), np.delete(point, axis)):
                        yield abs(depth), axis, sign, plane


def _holds(triangle: Array, point: Array) -> bool:
    """Whether a flat triangle (3, 2) holds a point (2,), its edge counted in."""
    sides = np.roll(triangle, -1, axis=0) - triangle
    to = point - triangle
    turns = sides[:, 0] * to[:, 1] - sides[:, 1] * to[:, 0]
    lengths = np.linalg.norm(sides, axis=1)
    return bool(np.all(turns >= -OFF_MM * lengths) or np.all(turns <= OFF_MM * lengths))


def _metal_at(bench: Bench, end: Point) -> Box:
    """The outermost box of the conductor on the way at which a stretch ends, or nearest to it."""
    bounds = bench.study.bounds(bench.state)
    return min((bounds[part.name] for part in bench.route), key=lambda box: _off(end, box))


def _clear(one: float, other: float, low: Box, high: Box, axis: int) -> tuple[float, float]:
    """What tolerances leave of a stretch along an axis between two conductors; all of it where they do not face."""
    start, end = max(one, low[axis][1]), min(other, high[axis][0])
    return (start, end) if start < end else (one, other)


def _facing(one: Box, other: Box, axis: int) -> tuple[float, float]:
    """Where on an axis two conductors stand opposite; where they do not, the room between them."""
    low, high = max(one[axis][0], other[axis][0]), min(one[axis][1], other[axis][1])
    return (low, high) if low <= high else (high, low)


def _off(point: Point, box: Box) -> float:
    x, y, z = point
    return box_gap(((x, x), (y, y), (z, z)), box)
