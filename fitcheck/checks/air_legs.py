"""Ways through air between two conductors as drawn and placed, around insulation, with what tolerances may shorten.

As over surfaces: conductors are taken larger by all that they may move against the insulation, solids may come nearer
to each other by what they may move, and lengths on a solid shrink as much as its toleranced sizes may. Insulation
blocks a line only where that runs deeper in it than anything may move. A joint that is not cemented is closed only
where nothing about it can move. Round insulation is drawn within its true surface, round conductors about it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fitcheck.checks.surface_legs import REACH_SHARE, Array, Leg, Solid, SurfaceLegs, conductor, drawn, moved, shape_key
from fitcheck.findings import Point
from fitcheck.geometry.air_paths.field import Play
from fitcheck.geometry.air_paths.metal import surface
from fitcheck.geometry.air_paths.play import longest
from fitcheck.geometry.air_paths.search import Found, TooFine, shortest
from fitcheck.geometry.air_paths.walls import walls_of
from fitcheck.geometry.intersect import union_mesh
from fitcheck.model.part import Part
from fitcheck.placing.local import BarSolid, BoxSolid
from fitcheck.placing.placed import Placed, surface_tolerance

CLOSELY, ROUGHLY = 0.005, 0.05
"""How near each other the bounds are brought: where they judge, and where the way is only shown."""
MOST_TRIANGLES, MOST_ROUND = 1500, 3000
"""Insulation and metal of more triangles within reach are not searched; the straight bound stands. The second where all
insulation is boxes, bars and tubes, of which few planes tell what they block.
"""


class AirLegs(SurfaceLegs):
    """The air around the insulation of one build at one age."""

    def through_air(self, one: Part, other: Part, enough: float) -> Leg | None:
        """The way between two conductors; None where it cannot be worked out: an open mesh, turning, too fine.

        Infinite `value`: no way was found; infinite `low`: there is none.
        """
        farthest = enough * REACH_SHARE
        near = self._near((one, other), farthest)
        found = self._search(one, other, near, enough, farthest)
        if found is None or found.value <= found.low * (1.0 + ROUGHLY):
            return found
        if len(near) == len(self._insulation) and found.value < math.inf:
            return found
        # The way as drawn, and whether there is any, takes all insulation.
        whole = self._search(one, other, self._insulation, None, math.inf)
        if whole is None or (found.low < enough and whole.value > found.value):
            return found
        return replace(whole, low=max(whole.low, found.low))

    def is_open(self, one: Part, other: Part, enough: float) -> bool:
        """Whether no insulation lies within reach of ways of that length."""
        return not self._near((one, other), enough * REACH_SHARE)

    def solid_between(self, start: Point, end: Point) -> float | None:
        """How many mm of a straight line run through insulation as drawn; None where some is an open mesh."""
        solids = self._bodies(self._insulation)
        return None if solids is None else walls_of(solids).solid_on(np.array(start), np.array(end))

    def _search(self, one: Part, other: Part, near: list[Part], enough: float | None, farthest: float) -> Leg | None:
        pieces = [piece for part in near for piece in self._pieces(part)]
        if not pieces or any(surface_tolerance(piece) > 0.0 for piece in pieces):
            return None
        play = self._play((one, other), near)
        solids = None if play is None else self._bodies(near)
        if play is None or solids is None:
            return None
        metal = surface(conductor(self._pieces(one))), surface(conductor(self._pieces(other)))
        plain = all(isinstance(piece.solid, BoxSolid | BarSolid) for piece in pieces)
        most = MOST_ROUND if plain else MOST_TRIANGLES
        if sum(len(faces) for _, faces in solids) + len(metal[0]) + len(metal[1]) > most:
            return None
        own = max(moved(piece, piece, self._study.widths) for piece in pieces)
        given = Play(
            loose=play.loose, slack=play.slack, margin=max(*play.loose, play.slack, own), lean=2.0 * play.shrink
        )
        wanted = None if enough is None else enough / (1.0 - play.shrink)
        accuracy = ROUGHLY if enough is None else CLOSELY

        def searched() -> Found | None:
            self._study.progress(f"way through air {one.name} - {other.name}")
            try:
                return shortest(solids, metal, play=given, enough=wanted, limit=farthest, accuracy=accuracy)
            except TooFine:
                return None

        key = ("through air", shape_key(solids, [(each,) for each in metal]), given, wanted, farthest)
        found = self._study.worked_out(key, searched)
        return None if found is None else _leg(found, solids, given, play.shrink)

    def _joined(self, members: Sequence[Part]) -> list[Solid] | None:
        pieces = [(member, piece) for member in members for piece in self._pieces(member)]
        solids = [_within(piece) for _, piece in pieces]
        groups = [solids] if self._is_rigid(pieces) else [[solid] for solid in solids]
        found = [union_mesh(group) for group in groups]
        if any(one is None for one in found):
            return None
        return [(one[0], np.asarray(one[1], dtype=np.intp)) for one in found if one is not None]


def _leg(found: Found, solids: Sequence[Solid], play: Play, shrink: float) -> Leg:
    line = tuple((float(x), float(y), float(z)) for x, y, z in found.line)
    high = math.inf
    if math.isfinite(found.high):
        high = longest(walls_of(solids), found.line, play.margin) / (1.0 - shrink)
    return Leg(low=float(found.low * (1.0 - shrink)), value=float(found.high), high=float(high), line=line)


def _within(piece: Placed) -> Solid:
    """A piece as drawn, nowhere larger than it is: a bore's facets stand outside its round surface."""
    vertices, faces = drawn(piece)
    if isinstance(piece.solid, BarSolid) and piece.solid.bore is not None:
        vertices = _bore_outside(piece, piece.solid, vertices)
    return vertices, faces


def _bore_outside(piece: Placed, solid: BarSolid, vertices: Array) -> Array:
    rotation = np.array(piece.rotation)
    centre = np.array([form.nominal for form in piece.centre])
    local = (vertices - centre) @ rotation
    across = [axis for axis in range(3) if axis != solid.along]
    radius = np.linalg.norm(local[:, across], axis=1)
    inner = radius < (radius.min() + radius.max()) / 2.0
    sides = len(np.unique(np.round(local[inner][:, across], 6), axis=0))
    local[np.ix_(inner, across)] /= math.cos(math.pi / sides)
    return np.asarray(local @ rotation.T + centre)
