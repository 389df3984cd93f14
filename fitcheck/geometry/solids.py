"""Volume, centroid and second moment of solids of even density, exact for every shape made of flat and round faces.

Box, cylinder, tube and tray are given with the low corner of their bounding box at zero; prism and mesh in the
coordinates of their outline and vertices. `Solid.moved` puts any of them elsewhere.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Span = tuple[Array, Array]

M2_PER_MM2 = 1e-6

AT_ONCE = 250_000
"""Triangles of a mesh worked on together."""

ACROSS = ((1, 2), (0, 2), (0, 1))
"""The two axes of an outline that is drawn out along x, y or z."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Solid:
    """A solid of even density: volume in mm3, centroid (3,) in mm, second_moment (3, 3) in mm5.

    `second_moment` is the integral of r rT over the volume, r from the centroid: its diagonal holds the integrals of
    x2, y2, z2. `inertia` makes an inertia tensor of it.
    """

    volume: float
    centroid: Array
    second_moment: Array

    def moved(self, rotation: Array, shift: Array) -> Solid:
        """The solid with each point p at rotation (3, 3) times p plus shift (3,)."""
        return Solid(
            volume=self.volume,
            centroid=rotation @ self.centroid + shift,
            second_moment=rotation @ self.second_moment @ rotation.T,
        )

    def inertia(self, mass_kg: float) -> Array:
        """The inertia tensor (3, 3) about the centroid in kg m2, off-diagonal -sum m x y, for a mass spread evenly."""
        spread = self.second_moment * (mass_kg / self.volume * M2_PER_MM2)
        return np.asarray(np.trace(spread) * np.eye(3) - spread, dtype=np.float64)


def box(size: Sequence[float]) -> Solid:
    """A box of sizes x, y, z."""
    sides = np.array(size, dtype=np.float64)
    volume = float(sides.prod())
    return Solid(volume=volume, centroid=sides / 2.0, second_moment=np.diag(volume * sides**2 / 12.0))


def cylinder(diameter: float, length: float, along: int) -> Solid:
    """A round bar along axis 0, 1 or 2."""
    return tube(diameter, 0.0, length, along)


def tube(outside: float, inside: float, length: float, along: int) -> Solid:
    """A round bar with a round hole right through: two diameters and a length, along axis 0, 1 or 2."""
    volume = math.pi / 4.0 * (outside**2 - inside**2) * length
    middle, moment = np.full(3, outside / 2.0), np.full(3, volume * (outside**2 + inside**2) / 16.0)
    middle[along], moment[along] = length / 2.0, volume * length**2 / 12.0
    return Solid(volume=volume, centroid=middle, second_moment=np.diag(moment))


def prism(
    outline: Sequence[Sequence[float]], holes: Sequence[Sequence[Sequence[float]]], height: float, along: int
) -> Solid:
    """An outline with holes drawn out from 0 to `height` along an axis; sound rings, either way round.

    Outline coordinates are [y, z], [x, z], [x, y] for along 0, 1, 2, and stay as they are. Raises ValueError where the
    outline less its holes has no area.
    """
    zero = np.array(outline[0], dtype=np.float64)
    area, first, second = _ring_moments(outline, zero)
    for hole in holes:
        less = _ring_moments(hole, zero)
        area, first, second = area - less[0], first - less[1], second - less[2]
    if area <= 0.0:
        raise ValueError("the outline less its holes has no area")
    flat = first / area
    u, v = ACROSS[along]
    centroid = np.full(3, height / 2.0)
    centroid[[u, v]] = flat + zero
    moment = np.zeros((3, 3))
    moment[np.ix_((u, v), (u, v))] = (second - area * np.outer(flat, flat)) * height
    moment[along, along] = area * height**3 / 12.0
    return Solid(volume=area * height, centroid=centroid, second_moment=moment)


def _ring_moments(ring: Sequence[Sequence[float]], zero: Array) -> tuple[float, Array, Array]:
    """Area, first moments (2,) and second moments (2, 2) about `zero` of what a ring encloses (Green's theorem)."""
    here = np.array(ring, dtype=np.float64) - zero
    after = np.roll(here, -1, axis=0)
    doubled = here[:, 0] * after[:, 1] - after[:, 0] * here[:, 1]
    area = doubled.sum() / 2.0
    first = (doubled[:, None] * (here + after)).sum(axis=0) / 6.0
    pairs = 2.0 * (_outer(here, here) + _outer(after, after)) + _outer(here, after) + _outer(after, here)
    second = (doubled[:, None, None] * pairs).sum(axis=0) / 24.0
    way_round = math.copysign(1.0, area)
    return float(area * way_round), first * way_round, second * way_round


def _outer(a: Array, b: Array) -> Array:
    return np.asarray(a[:, :, None] * b[:, None, :], dtype=np.float64)


def tray(
    inside: Sequence[float],
    wall: float,
    floor: float,
    *,
    lip: tuple[float, float] | None = None,
    flange: tuple[float, float] | None = None,
) -> Solid:
    """An open-topped case of `tray_boxes`."""
    pieces = [(low, high) for low, high in tray_boxes(inside, wall, floor, lip=lip, flange=flange)]
    return union([box(tuple(high - low)).moved(np.eye(3), low) for low, high in pieces if (high > low).all()])


def tray_boxes(
    inside: Sequence[float],
    wall: float,
    floor: float,
    *,
    lip: tuple[float, float] | None = None,
    flange: tuple[float, float] | None = None,
) -> list[Span]:
    """A tray as (low, high) corners of boxes that touch and never overlap; zero is its bounding box's low corner.

    `inside` is the hollow, from the floor's upper face to the rim. `lip` (inward) and `flange` (outward) are width and
    thickness, their tops flush with the rim. Order: floor, four walls, four of the lip, four of the flange; a ring's
    four are low x, high x, low y, high y. Raises ValueError for a lip that closes the opening or reaches the floor.
    """
    if lip and (2.0 * lip[0] > min(inside[0], inside[1]) or lip[1] > inside[2]):
        raise ValueError("the lip is larger than the hollow")
    out = flange[0] if flange else 0.0
    hollow_low = np.array([out + wall, out + wall, floor])
    hollow_high = hollow_low + np.array(inside, dtype=np.float64)
    side = np.array([1.0, 1.0, 0.0])
    shell_low, shell_high = hollow_low - wall * side, hollow_high + wall * side
    boxes = [(np.array([out, out, 0.0]), np.array([shell_high[0], shell_high[1], floor]))]
    boxes += _ring(shell_low, shell_high, wall)
    if lip:
        boxes += _ring(_to_thickness(hollow_low, hollow_high, lip[1]), hollow_high, lip[0])
    if flange:
        low = _to_thickness(shell_low, shell_high, flange[1])
        boxes += _ring(low - out * side, shell_high + out * side, out)
    return boxes


def _to_thickness(low: Array, high: Array, thickness: float) -> Array:
    return np.array([low[0], low[1], high[2] - thickness])


def _ring(low: Array, high: Array, width: float) -> list[Span]:
    """The four boxes of a rectangular ring of one width, along the inside of a box."""
    x = np.array([width, 0.0, 0.0])
    near_x, far_x = np.array([low[0] + width, high[1], high[2]]), np.array([high[0] - width, low[1], low[2]])
    near_y = np.array([high[0] - width, low[1] + width, high[2]])
    far_y = np.array([low[0] + width, high[1] - width, low[2]])
    return [(low, near_x), (far_x, high), (low + x, near_y), (far_y, high - x)]


def mesh(vertices: Array, faces: NDArray[np.int64]) -> Solid:
    """A closed mesh wound outward, vertices (V, 3) and faces (F, 3), as signed tetrahedra from its middle.

    A mesh that leaks gives numbers without meaning, so ask its health first. Raises ValueError where the volume is not
    positive.
    """
    used = np.zeros(len(vertices), dtype=bool)
    used[faces] = True
    # From the middle of the mesh: about a far origin the moments would drown in rounding.
    middle = (vertices[used].min(axis=0) + vertices[used].max(axis=0)) / 2.0
    volume, moment, about_middle = 0.0, np.zeros(3), np.zeros((3, 3))
    for start in range(0, len(faces), AT_ONCE):
        corners = vertices[faces[start : start + AT_ONCE]] - middle
        volumes = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6.0
        sums = corners.sum(axis=1)
        volume += float(volumes.sum())
        moment += (volumes[:, None] * sums).sum(axis=0) / 4.0
        about_middle += np.einsum("f,fi,fj->ij", volumes, sums, sums) / 20.0
        about_middle += np.einsum("f,fki,fkj->ij", volumes, corners, corners) / 20.0
    if volume <= 0.0:
        raise ValueError("the mesh encloses no volume or is inside out")
    centroid = moment / volume
    return Solid(
        volume=volume,
        centroid=centroid + middle,
        second_moment=about_middle - volume * np.outer(centroid, centroid),
    )


def surface_of(vertices: Array, faces: NDArray[np.int64]) -> float:
    """The area of all triangles of a mesh, mm2."""
    doubled = 0.0
    for start in range(0, len(faces), AT_ONCE):
        a, b, c = (vertices[faces[start : start + AT_ONCE, k]] for k in range(3))
        doubled += float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum())
    return doubled / 2.0


def union(solids: Sequence[Solid]) -> Solid:
    """Several solids that do not overlap, as one of even density. Raises ValueError for none."""
    if not solids:
        raise ValueError("no solids to unite")
    volume = sum(solid.volume for solid in solids)
    centroid = np.asarray(sum(solid.volume * solid.centroid for solid in solids)) / volume
    moment = np.zeros((3, 3))
    for solid in solids:
        arm = solid.centroid - centroid
        moment += solid.second_moment + solid.volume * np.outer(arm, arm)
    return Solid(volume=volume, centroid=centroid, second_moment=moment)
