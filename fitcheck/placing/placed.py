"""The pieces of a part where they stand in the case."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.convex import BoxForm, Hull, Piece, Round
from fitcheck.geometry.polygon import convex_parts, rectangles_of
from fitcheck.model.part import Part
from fitcheck.model.shape import Point2, Ring
from fitcheck.placing.chain import Chain
from fitcheck.placing.forms import Form, dot
from fitcheck.placing.local import (
    ORIGIN,
    BarSolid,
    BoxSolid,
    Forms3,
    MeshSolid,
    PrismSolid,
    Solid,
    outline_axes,
)
from fitcheck.placing.rotation import Rotation, Row, is_quarter, product

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One piece in case axes. `low` and `high` are set when its faces are square to the case axes."""

    part: str
    label: str
    solid: Solid
    centre: Forms3
    rotation: Rotation
    low: Forms3 | None = None
    high: Forms3 | None = None

    @property
    def is_square(self) -> bool:
        return self.low is not None

    @property
    def square_corners(self) -> tuple[Forms3, Forms3]:
        """Low and high corner of a square piece."""
        if self.low is None or self.high is None:
            raise ValueError(f"{self.part} {self.label} is not square to the case axes")
        return self.low, self.high

    @property
    def is_convex(self) -> bool:
        """Whether convex pieces make it up exactly."""
        return isinstance(self.solid, BoxSolid | PrismSolid) or (
            isinstance(self.solid, BarSolid) and self.solid.bore is None
        )


def placed_pieces(chain: Chain, part: Part) -> tuple[Placed, ...]:
    """Every piece of a part at the chain's angles and state."""
    turned = chain.rotation(part)
    origins = [chain.origin(part, axis) for axis in range(3)]
    found = []
    for piece in chain.pieces(part):
        rotation = product(turned, piece.rotation)
        skin = _skin(piece.solid, rotation)
        centre = [dot(turned[axis], piece.centre) + origins[axis] + skin[axis] for axis in range(3)]
        low = high = None
        if isinstance(piece.solid, BoxSolid) and is_quarter(rotation):
            half = [dot([abs(share) for share in rotation[axis]], piece.solid.half) for axis in range(3)]
            low = _three([middle - side for middle, side in zip(centre, half, strict=True)])
            high = _three([middle + side for middle, side in zip(centre, half, strict=True)])
        found.append(
            Placed(
                part=part.name,
                label=piece.label,
                solid=piece.solid,
                centre=_three(centre),
                rotation=rotation,
                low=low,
                high=high,
            )
        )
    return tuple(found)


def _skin(solid: Solid, rotation: Rotation) -> Forms3:
    """How far the side faces of a prism may lie off, along the case axes."""
    if not isinstance(solid, PrismSolid):
        return ORIGIN
    first, second = outline_axes(solid.along)
    one, two, three = (solid.skin[0] * row[first] + solid.skin[1] * row[second] for row in rotation)
    return (one, two, three)


def _three(forms: Sequence[Form]) -> Forms3:
    return (forms[0], forms[1], forms[2])


def square_boxes(piece: Placed) -> tuple[Placed, ...] | None:
    """The square boxes that make up a piece exactly: itself, or those of a prism whose sides are all square to the case
    axes; None for any other piece.
    """
    if piece.is_square:
        return (piece,)
    solid = piece.solid
    if not isinstance(solid, PrismSolid) or not is_quarter(piece.rotation):
        return None
    rectangles = _rectangles(solid.rings)
    return None if rectangles is None else tuple(_square_box(piece, solid, *corners) for corners in rectangles)


@lru_cache(maxsize=256)
def _rectangles(rings: tuple[Ring, ...]) -> tuple[tuple[Point2, Point2], ...] | None:
    found = rectangles_of(rings[0], rings[1:])
    return None if found is None else tuple(found)


def _square_box(piece: Placed, solid: PrismSolid, low: Point2, high: Point2) -> Placed:
    """One rectangle of a prism's outline, drawn out to its height."""
    ends = (solid.point(low, False), solid.point(high, True))
    lows, highs = [], []
    for axis in range(3):
        one, other = (dot(piece.rotation[axis], end) for end in ends)
        if one.nominal > other.nominal:
            one, other = other, one
        lows.append(one + piece.centre[axis])
        highs.append(other + piece.centre[axis])
    return replace(piece, low=_three(lows), high=_three(highs))


def size_names(piece: Placed) -> set[str]:
    """The uncertain values that a piece's size depends on."""
    forms: list[Form] = []
    match piece.solid:
        case BoxSolid(half=half):
            forms += half
        case BarSolid(radius=radius, half_length=half_length, bore=bore):
            forms += [radius, half_length] + ([] if bore is None else [bore])
        case PrismSolid(across=across, half_height=half_height):
            forms += [*across, half_height]
    return {name for form in forms for name in form.terms}


@dataclass(frozen=True, slots=True)
class Columns:
    """The order of the uncertain values of a pair, and their widths."""

    names: tuple[str, ...]

    def gradient(self, forms: Sequence[Form]) -> Array:
        """(P, len(forms)): how each form moves per unit of each value."""
        return np.array([[form.terms.get(name, 0.0) for form in forms] for name in self.names]).reshape(
            len(self.names), len(forms)
        )

    def widths(self, widths: Mapping[str, tuple[float, float]]) -> tuple[Array, Array]:
        """(below, above), each (P,)."""
        below = np.array([widths[name][0] for name in self.names])
        above = np.array([widths[name][1] for name in self.names])
        return below, above


def columns_of(a: Placed, b: Placed) -> Columns:
    """The values that move one piece against the other or change its size.

    A shared reference moves both alike and is left out, unless a size of either piece depends on it.
    """
    apart = {name for one, other in zip(a.centre, b.centre, strict=True) for name in (other - one).terms}
    return Columns(tuple(sorted(apart | size_names(a) | size_names(b))))


def convex_of(piece: Placed, columns: Columns) -> list[Piece]:
    """The convex solids that make up a box, bar or prism piece (the bore of a tube is left out: filled)."""
    rotation = np.array(piece.rotation)
    centre = np.array([form.nominal for form in piece.centre])
    moves = columns.gradient(piece.centre)
    match piece.solid:
        case BoxSolid(half=half):
            return [_box(rotation, centre, moves, half, columns)]
        case BarSolid(along=along, radius=radius, half_length=half_length):
            return [
                Round(
                    centre=centre,
                    axis=rotation[:, along].copy(),
                    radius=radius.nominal,
                    half_length=half_length.nominal,
                    centre_moves=moves,
                    radius_moves=columns.gradient([radius])[:, 0],
                    half_length_moves=columns.gradient([half_length])[:, 0],
                )
            ]
        case PrismSolid() as solid:
            return [_prism_hull(piece, solid, ring, columns) for ring in convex_parts(solid.rings[0], solid.rings[1:])]
        case _:
            raise TypeError("a mesh is not made of convex pieces")


_SIGNS = np.array([[x, y, z] for x in (-1.0, 1.0) for y in (-1.0, 1.0) for z in (-1.0, 1.0)])


def _box(rotation: Array, centre: Array, moves: Array, half: Forms3, columns: Columns) -> Hull:
    sides = np.array([form.nominal for form in half])
    side_moves = columns.gradient(half)
    corners = (_SIGNS * sides) @ rotation.T + centre
    corner_moves = moves[None, :, :] + (_SIGNS[:, None, :] * side_moves[None, :, :]) @ rotation.T
    return Hull(
        points=corners,
        moves=corner_moves,
        box=BoxForm(centre=centre, centre_moves=moves, rotation=rotation, half=sides, half_moves=side_moves),
    )


def _prism_hull(piece: Placed, solid: PrismSolid, ring: Sequence[tuple[float, float]], columns: Columns) -> Hull:
    """Outline points at the low end of a prism, then at the high end, and how they move."""
    rotation = np.array(piece.rotation)
    centre = np.array([form.nominal for form in piece.centre])
    moves = columns.gradient(piece.centre)
    first, second = outline_axes(solid.along)
    flat = np.asarray(ring, dtype=float)
    count = len(flat)
    share = np.zeros((2 * count, 3))  # of the overall sizes, so that corners follow them in proportion
    share[:, first] = np.tile(flat[:, 0] / solid.nominal[0], 2)
    share[:, second] = np.tile(flat[:, 1] / solid.nominal[1], 2)
    share[:, solid.along] = np.repeat([-1.0, 1.0], count)
    sizes: list[Form] = [solid.half_height] * 3
    sizes[first], sizes[second] = solid.across
    nominal = np.array([form.nominal for form in sizes])
    size_moves = columns.gradient(sizes)
    return Hull(
        points=(share * nominal) @ rotation.T + centre,
        moves=moves[None, :, :] + (share[:, None, :] * size_moves[None, :, :]) @ rotation.T,
    )


def surface_tolerance(piece: Placed) -> float:
    """How far the piece's surface may lie from where it is drawn, beyond its toleranced sizes; mm."""
    return piece.solid.tolerance if isinstance(piece.solid, MeshSolid) else 0.0


def nominal_bounds(piece: Placed) -> list[tuple[float, float]]:
    """The bounding box of one placed piece at nominal: (low, high) along each axis."""
    if piece.low is not None and piece.high is not None:
        return [(low.nominal, high.nominal) for low, high in zip(piece.low, piece.high, strict=True)]
    bounds = []
    for axis in range(3):
        low, high = _nominal_reach(piece.solid, piece.rotation[axis])
        middle = piece.centre[axis].nominal
        bounds.append((middle + low, middle + high))
    return bounds


def _nominal_reach(solid: Solid, row: Row) -> tuple[float, float]:
    match solid:
        case BoxSolid(half=half):
            span = sum(abs(share) * side.nominal for share, side in zip(row, half, strict=True))
            return -span, span
        case BarSolid(along=along, radius=radius, half_length=half_length):
            lengthwise = min(1.0, abs(row[along]))
            span = radius.nominal * math.sqrt(1.0 - lengthwise**2) + half_length.nominal * lengthwise
            return -span, span
        case PrismSolid(along=along, rings=rings, across=across, half_height=half_height):
            first, second = outline_axes(along)
            scale = [across[k].nominal / solid.nominal[k] for k in (0, 1)]
            flat = [row[first] * u * scale[0] + row[second] * v * scale[1] for u, v in rings[0]]
            rest = abs(row[along]) * half_height.nominal
            return min(flat) - rest, max(flat) + rest
        case MeshSolid(vertices=vertices):
            along_row = vertices @ np.array(row)
            return float(along_row.min()), float(along_row.max())
