"""Ways over insulation between two conductors as drawn and placed, with what tolerances may shorten.

Conductors are taken larger by all that they may move against the insulation, solids may come nearer to each other by
what they may move, and lengths on a solid shrink as much as its toleranced sizes may. What is cemented or drawn of
several pieces is one solid only if nothing in it can move or change its size: else its joints are walked, which is
never longer. A mesh whose surface may lie off is not walked on. Round insulation is drawn with its corners on the
circle, round conductors about it, so that facets only shorten a way.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.findings import Point
from fitcheck.geometry.intersect import union_mesh
from fitcheck.geometry.surface_paths.cells import Cell, Face, faces_of
from fitcheck.geometry.surface_paths.claws import is_convex
from fitcheck.geometry.surface_paths.search import Found
from fitcheck.geometry.surface_paths.staged import Asked, shortest
from fitcheck.model.part import Part, State
from fitcheck.placing.facets import facets_of
from fitcheck.placing.forms import Widths
from fitcheck.placing.local import BarSolid
from fitcheck.placing.placed import Columns, Placed, columns_of, placed_pieces, surface_tolerance
from fitcheck.placing.turns import turnings
from fitcheck.study import Study

Array = NDArray[np.float64]
Solid = tuple[Array, NDArray[np.intp]]

REACH_SHARE = 1.5
"""No bound is looked for that is higher than this share of what is asked for."""
ROUNDING_MM = 1e-9
MOST_CONVEX = 4000
"""Metal of more triangles than this goes triangle by triangle."""
TURNS_OF_A_BORE = 2.0
"""A shortest way turns from a bore onto an end face where it goes in and where it comes out, and no oftener."""
MOST_SHRINK = 0.5
"""Sizes that may fall short by more than this share are not known well enough to walk on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A way over surfaces: `low` proven over all builds within tolerance, `value` the way as drawn along `line`, `high`
    no build has more. Infinite `value`: no surface joins the two within reach. `gave_up`: `low` is not the best that
    could be proven, for the search ended before that.
    """

    low: float
    value: float
    high: float
    line: tuple[Point, ...]
    gave_up: bool = False


class SurfaceLegs:
    """Insulation of one build at one age."""

    def __init__(
        self, study: Study, state: State, insulation: Sequence[Part], cemented: Sequence[tuple[str, str]]
    ) -> None:
        self._study, self._state = study, state
        self._insulation = list(insulation)
        self._groups = _groups([part.name for part in insulation], cemented)
        self._solids: dict[str, list[Solid] | None] = {}
        self._faces: dict[tuple[str, ...], tuple[list[Face], list[Cell]]] = {}

    def leg(self, one: Part, other: Part, enough: float, narrow: float, hold: float) -> Leg | None:
        """The way between two conductors, openings less than `narrow` mm wide bridged, and less than `hold` to a
        conductor.

        None where it cannot be worked out: nothing to walk on, open or turning.
        """
        farthest = enough * REACH_SHARE
        near = self._near((one, other), farthest)
        if not near:
            return None
        pieces = [piece for part in near for piece in self._pieces(part)]
        if any(surface_tolerance(piece) > 0.0 for piece in pieces):
            return None
        play = self._play((one, other), near)
        solids = None if play is None else self._bodies(near)
        if play is None or solids is None:
            return None
        names = tuple(part.name for part in near)
        if names not in self._faces:
            self._faces[names] = faces_of(solids)
        facets = _Facets(
            bulge=sum(max(map(_bulge, self._pieces(part))) for part in (one, other)),
            share=min(map(_chord_share, pieces)),
            turns=TURNS_OF_A_BORE * sum(map(_bore_chord, pieces)),
        )
        asked = Asked(
            narrow=narrow,
            hold=hold,
            slack=play.slack,
            loose=play.loose,
            enough=enough / (1.0 - play.shrink) + facets.turns,
            longest=farthest / (1.0 - play.shrink) + facets.turns,
        )

        def worked(key: object, make: Callable[[], Found | None]) -> Found | None:
            self._study.progress(f"way over surfaces {one.name} - {other.name}")
            return self._study.worked_out(("over surfaces", key), make)

        metal = (conductor(self._pieces(one)), conductor(self._pieces(other)))
        found = shortest(*self._faces[names], metal, asked, worked)
        return None if found is None else _leg(found, play, facets, farthest)

    def _near(self, conductors: tuple[Part, Part], within: float) -> list[Part]:
        """Insulation between the two, with all that is cemented to it."""
        bounds = self._study.bounds(self._state)
        boxes = [np.array(bounds[part.name], dtype=float) for part in conductors]
        found = set()
        for part in self._insulation:
            box = np.array(bounds[part.name], dtype=float)
            gaps = [np.maximum(np.maximum(box[:, 0] - b[:, 1], b[:, 0] - box[:, 1]), 0.0) for b in boxes]
            if sum(float(np.linalg.norm(gap)) for gap in gaps) <= within:
                found |= self._groups[part.name]
        return [part for part in self._insulation if part.name in found]

    def _pieces(self, part: Part) -> tuple[Placed, ...]:
        return placed_pieces(self._study.chain(self._state), part)

    def _bodies(self, near: Sequence[Part]) -> list[Solid] | None:
        """Each part or cemented group as closed meshes; None where one is open."""
        found: list[Solid] = []
        done: set[str] = set()
        for part in near:
            if part.name in done:
                continue
            group = self._groups[part.name]
            done |= group
            key = min(group)
            if key not in self._solids:
                self._solids[key] = self._joined([member for member in self._insulation if member.name in group])
            solids = self._solids[key]
            if solids is None:
                return None
            found += solids
        return found

    def _joined(self, members: Sequence[Part]) -> list[Solid] | None:
        pieces = [(member, piece) for member in members for piece in self._pieces(member)]
        solids = [drawn(piece) for _, piece in pieces]
        groups = [solids] if self._is_rigid(pieces) else [[solid] for solid in solids]
        found = [union_mesh(group) for group in groups]
        return None if any(one is None for one in found) else [_solid(*one) for one in found if one is not None]

    def _is_rigid(self, pieces: Sequence[tuple[Part, Placed]]) -> bool:
        """Whether several pieces keep their sizes and places to each other."""
        if len(pieces) == 1:
            return True
        widths = self._study.widths
        first = pieces[0][1]
        columns = [columns_of(piece, first) for _, piece in pieces]
        names = {name for each in columns for name in each.names}
        turning = any(turnings(self._study.chain(self._state), pieces[0][0], part, widths) for part, _ in pieces)
        return not turning and not any(max(widths[name], default=0.0) > ROUNDING_MM for name in names)

    def _play(self, conductors: tuple[Part, Part], near: Sequence[Part]) -> Play | None:
        """How far all may move against each other; None where something may turn."""
        loose = [[self._drift(conductor, part) for part in near] for conductor in conductors]
        between = [self._drift(one, other) for one in near for other in near if one is not other]
        within = [self._inner(part) for part in near]
        known = [drift for each in (*loose, between) for drift in each if drift is not None]
        if len(known) < sum(len(each) for each in (*loose, between)):
            return None
        shrink = max(_shrink(piece, self._study.widths) for part in near for piece in self._pieces(part))
        if shrink >= MOST_SHRINK:
            return None
        first, second = (max(drift for drift in each if drift is not None) for each in loose)
        slack = max([drift for drift in between if drift is not None] + within, default=0.0)
        return Play(loose=(first, second), slack=slack, shrink=shrink)

    def _inner(self, part: Part) -> float:
        """How far the pieces of one part may move against each other; 0 for a part of one piece."""
        pieces = self._pieces(part)
        if len(pieces) == 1:
            return 0.0
        return max(moved(piece, held, self._study.widths) for held in pieces for piece in pieces if piece is not held)

    def _drift(self, part: Part, against: Part) -> float | None:
        """How far in mm a point of a part may lie off its drawn place beside another; None where it may turn."""
        chain, widths = self._study.chain(self._state), self._study.widths
        if turnings(chain, part, against, widths):
            return None
        return max(
            moved(piece, held, widths) + surface_tolerance(piece)
            for held in self._pieces(against)
            for piece in self._pieces(part)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Play:
    """How far in mm each conductor, and solids among themselves, may be nearer than drawn; by what share lengths on a
    solid may be shorter.
    """

    loose: tuple[float, float]
    slack: float
    shrink: float


def shape_key(solids: Sequence[Solid], metal: Sequence[Sequence[Array]]) -> bytes:
    """A fingerprint of solids and conductors: the same for the same numbers only."""
    digest = hashlib.sha256()
    for arrays in (*solids, *metal):
        digest.update(str([(array.shape, array.dtype.str) for array in arrays]).encode())
        for array in arrays:
            digest.update(np.ascontiguousarray(array).tobytes())
    return digest.digest()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Facets:
    """How much in mm round conductors stand out for being drawn with flat sides, and what share of its length a way
    over round insulation keeps. `turns` mm: by how much a way may read too long that turns from bores onto end faces,
    for the flat sides of a bore cut into it and the end faces reach as far.
    """

    bulge: float
    share: float
    turns: float


def _leg(found: Found, play: Play, facets: _Facets, farthest: float) -> Leg:
    """The bound reaches no farther than insulation was looked for."""
    line = tuple((float(x), float(y), float(z)) for x, y, z in found.line)
    high = (found.high + facets.bulge) / facets.share
    high = high / (1.0 - play.shrink) + 2.0 * sum(play.loose) + 4.0 * play.slack
    low = min(max(found.low - facets.turns, 0.0) * (1.0 - play.shrink), farthest)
    return Leg(low=float(low), value=float(found.high), high=float(high), line=line, gave_up=found.gave_up)


def moved(piece: Placed, held: Placed, widths: Widths) -> float:
    """How far any point of a piece may lie off its place beside another, either changing its size too."""
    columns = columns_of(piece, held)
    if not columns.names:
        return 0.0
    width = np.max(np.abs(np.stack(columns.widths(widths))), axis=0)
    middle = columns.gradient(held.centre)[None]
    return sum(_farthest(facets_of(one, columns).moves - middle, width) for one in (piece, held))


def _farthest(moves: Array, width: Array) -> float:
    """The farthest a vertex goes, moves (V, P, 3) per unit of values that may be `width` (P,) off."""
    if not moves.size:
        return 0.0
    return float(np.linalg.norm(np.einsum("vpd,p->vd", np.abs(moves), width), axis=1).max())


def _shrink(piece: Placed, widths: Widths) -> float:
    """The largest share by which a toleranced size of a piece may fall short."""
    columns = columns_of(piece, piece)
    if not columns.names:
        return 0.0
    facets = facets_of(piece, columns)
    rotation = np.array(piece.rotation)
    centre = np.array([form.nominal for form in piece.centre])
    reach = np.abs((facets.vertices - centre) @ rotation).max(axis=0)
    width = np.max(np.abs(np.stack(columns.widths(widths))), axis=0)
    own = (facets.moves - columns.gradient(piece.centre)[None]) @ rotation
    moved = np.einsum("vpd,p->vd", np.abs(own), width).max(axis=0)
    return float((moved / np.maximum(reach, 1e-9)).max())


def conductor(pieces: Sequence[Placed]) -> list[Array]:
    """Convex pieces of metal as triangles; what is not convex goes triangle by triangle."""
    found: list[Array] = []
    for piece in pieces:
        facets = facets_of(piece, Columns(()))
        triangles = facets.vertices[facets.faces]
        if len(triangles) <= MOST_CONVEX and is_convex(triangles):
            found.append(triangles)
        else:
            found += list(triangles[:, None])
    return found


def drawn(piece: Placed) -> Solid:
    facets = facets_of(piece, Columns(()))
    vertices = facets.vertices
    if isinstance(piece.solid, BarSolid):
        vertices = _on_the_circle(piece, piece.solid, vertices)
    return _solid(vertices, facets.faces)


def _solid(vertices: Array, faces: NDArray[np.integer]) -> Solid:
    return vertices, np.asarray(faces, dtype=np.intp)


def _on_the_circle(piece: Placed, solid: BarSolid, vertices: Array) -> Array:
    """The corners of the outer facets drawn in onto the true round surface."""
    local, radius, across = _about_axis(piece, solid, vertices)
    outer = radius > solid.radius.nominal
    local[np.ix_(outer, across)] *= (solid.radius.nominal / radius[outer])[:, None]
    return np.asarray(local @ np.array(piece.rotation).T + _centre(piece))


def _about_axis(piece: Placed, solid: BarSolid, vertices: Array) -> tuple[Array, Array, NDArray[np.intp]]:
    """Vertices in the bar's own axes, how far each is from its axis, and which two axes are across."""
    local = (vertices - _centre(piece)) @ np.array(piece.rotation)
    across = np.flatnonzero(np.arange(3) != solid.along)
    return local, np.linalg.norm(local[:, across], axis=1), across


def _centre(piece: Placed) -> Array:
    return np.array([form.nominal for form in piece.centre])


def _bulge(piece: Placed) -> float:
    """How far in mm the corners of a round piece drawn with flat sides stand out over it."""
    if not isinstance(piece.solid, BarSolid):
        return 0.0
    _, radius, _ = _about_axis(piece, piece.solid, facets_of(piece, Columns(())).vertices)
    return float(radius.max()) - piece.solid.radius.nominal


def _bore_chord(piece: Placed) -> float:
    """How far in mm the flat sides of a bore cut into it; 0 without one."""
    if not isinstance(piece.solid, BarSolid) or piece.solid.bore is None:
        return 0.0
    _, radius, _ = _about_axis(piece, piece.solid, facets_of(piece, Columns(())).vertices)
    sides = np.count_nonzero(radius < piece.solid.radius.nominal) // 2
    return float(piece.solid.bore.nominal * (1.0 - np.cos(np.pi / sides)))


def _chord_share(piece: Placed) -> float:
    """The share of a way over a round piece that one over its flat sides keeps at least; 1 for others.

    Least in the middle of a side, seen from the axis.
    """
    bulge = _bulge(piece)
    if not isinstance(piece.solid, BarSolid) or bulge <= 0.0:
        return 1.0
    return float(piece.solid.radius.nominal / (piece.solid.radius.nominal + bulge))


def _groups(names: Sequence[str], cemented: Sequence[tuple[str, str]]) -> dict[str, set[str]]:
    """Each name with all that it is cemented to."""
    found = {name: {name} for name in names}
    for one, other in cemented:
        if one in found and other in found:
            whole = found[one] | found[other]
            for name in whole:
                found[name] = whole
    return found
