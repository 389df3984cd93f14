"""A part's own inertia and how far it may be off: by its sizes, its surface, its turn, or as the layout states it.

Unless the layout states it, the mass is taken as spread evenly over the shape; how a maker spread it inside is not
known, and no band speaks of that.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.geometry import solids
from fitcheck.geometry.composite import M2_PER_MM2
from fitcheck.geometry.solids import Array, Solid
from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Box
from fitcheck.placing.chain import Chain
from fitcheck.placing.local import MeshSource, bounds_along
from fitcheck.placing.rotation import IDENTITY
from fitcheck.weights.shape_solids import loose_share, reaches
from fitcheck.weights.size_steps import added_up, change_by_sizes, solid_at

Ends = tuple[float, float, float]
"""Low, nominal and high of a value."""


@dataclass(frozen=True, kw_only=True, eq=False)
class OwnInertia:
    """About the part's own centre in case axes, (3, 3) in kg m2; half-widths without what the mass alone adds."""

    tensor: Array
    worst: Array
    rss: Array


def own_inertia(chain: Chain, part: Part, solid: Solid | None, mass: Quantity, meshes: MeshSource) -> OwnInertia:
    """The tensor and its half-widths. `solid` is the part's own, None where its shape gives no volume."""
    rotation, spans = np.array(chain.rotation(part)), _spans(chain, part)
    if part.inertia is not None:
        tensor = np.array(part.inertia)
        worst, rss = added_up(list(_stated(part, rotation)), (3, 3))
    elif solid is not None and not isinstance(part.shape, Box):
        tensor = solid.inertia(mass.nominal)
        worst, rss = (each * mass.high for each in _of_shape(part, solid, rotation, meshes))
        skin = _skin(part, solid, meshes, spans) * mass.high
        worst, rss = worst + skin, np.hypot(rss, skin)
    else:
        # A box; or mass and centre are given for a shape without a volume: then its box, filled evenly.
        tensor = solids.box([nominal for _, nominal, _ in spans]).inertia(mass.nominal)
        worst, rss = (each * mass.high for each in added_up(list(_of_a_box(spans, rotation)), (3, 3)))
    by_turn = _turning(part, tensor, worst)
    return OwnInertia(tensor=_turned(rotation, tensor), worst=worst + by_turn, rss=np.hypot(rss, by_turn))


def _spans(chain: Chain, part: Part) -> list[Ends]:
    """The part's sizes along its own axes."""
    bounds = [bounds_along(chain.pieces(part), row, chain.extra, f"{part.name}/own") for row in IDENTITY]
    sides, held = [high - low for low, high in bounds], chain.extra.widths
    return [(side.low(held), side.nominal, side.high(held)) for side in sides]


def _turned(rotation: Array, tensor: Array) -> Array:
    return np.asarray(rotation @ tensor @ rotation.T)


def _turning(part: Part, tensor: Array, worst: Array) -> float:
    """What uncertain turns may add to any entry: turned by an angle, no entry changes by more than the spread of the
    principal values times the chord of the angle.
    """
    unsure = sum(math.radians(max(turn.angle.below, turn.angle.above)) for turn in part.turns)
    if unsure == 0.0:
        return 0.0
    principal = np.linalg.eigvalsh(tensor)
    spread = float(principal[-1] - principal[0] + 2.0 * np.linalg.norm(worst))
    return 2.0 * math.sin(min(unsure, math.pi) / 2.0) * spread


def _stated(part: Part, rotation: Array) -> Iterable[tuple[Array, Array]]:
    """Each entry as the layout states it deviates by itself; the two of a product of inertia are one value."""
    for row, column in zip(*np.triu_indices(3), strict=True):
        half = 0.0 if part.inertia_half is None else part.inertia_half[row][column]
        if half:
            entry = np.zeros((3, 3))
            entry[row, column] = entry[column, row] = half
            yield _turned(rotation, -entry), _turned(rotation, entry)


def _of_a_box(sides: Iterable[Ends], rotation: Array) -> Iterable[tuple[Array, Array]]:
    """Per kilogram: each side at its low and its high end, in squares, so that no side works on another."""
    for axis, (low, nominal, high) in enumerate(sides):
        across = np.diag([0.0 if other == axis else M2_PER_MM2 / 12.0 for other in range(3)])
        yield (
            _turned(rotation, across * (max(low, 0.0) ** 2 - nominal**2)),
            _turned(rotation, across * (high**2 - nominal**2)),
        )


def _of_shape(part: Part, solid: Solid, rotation: Array, meshes: MeshSource) -> tuple[Array, Array]:
    """(worst, rss) half-widths per kilogram. A size adds to a plain body's inertia in squares: by itself."""

    def figure(ends: Mapping[str, float]) -> Array:
        held = solid_at(part, meshes, ends) if ends else solid
        return _turned(rotation, held.inertia(1.0))

    return change_by_sizes(part, figure)


def _skin(part: Part, solid: Solid, meshes: MeshSource, spans: Sequence[Ends]) -> float:
    """Per kilogram, what a surface that lies elsewhere may change of any entry.

    A share of the volume comes or goes, at most as far from the centre as the farthest point of the shape; the centre
    moves by no more than that share of the way. However the mass lies within that reach, no entry exceeds its square.
    """
    share = loose_share(part.shape, solid.volume, meshes)
    if share == 0.0:
        return 0.0
    most = math.hypot(*reaches(solid, [(nominal, high) for _, nominal, high in spans])) ** 2 * M2_PER_MM2
    return min(most, (share + share**2) * most + share * float(np.abs(solid.inertia(1.0)).max()))
