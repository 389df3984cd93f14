"""Ways over insulation between two conductors as drawn and placed, with what tolerances may shorten.

Conductors are taken larger by all that they may move against the insulation, and lengths on a solid shrink as much as
its toleranced sizes may. Round insulation is drawn with its corners on the circle, round conductors about it, so that
facets only shorten a way.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.findings import Point
from fitcheck.geometry.intersect import union_mesh
from fitcheck.geometry.surface_paths.cells import Cell, cells_of
from fitcheck.geometry.surface_paths.search import Found, ground_of, search
from fitcheck.model.part import Part, State
from fitcheck.placing.facets import facets_of
from fitcheck.placing.local import BarSolid, MeshSolid
from fitcheck.placing.placed import Columns, Placed, columns_of, placed_pieces, surface_tolerance
from fitcheck.placing.turns import turnings
from fitcheck.study import Study

Array = NDArray[np.float64]
Solid = tuple[Array, NDArray[np.intp]]

MOST_CELLS = 60_000
"""More cells than this within reach are not searched; the straight bound stands."""
REACH_SHARE = 1.5
"""Cells on no way shorter than this share of what is asked for are left out of large meshes."""
FEW_CELLS = 3000


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A way over surfaces: `low` proven over all builds within tolerance, `value` the way as drawn along `line`, `high`
    no build has more. Infinite `value`: no surface joins the two within reach.
    """

    low: float
    value: float
    high: float
    line: tuple[Point, ...]


class SurfaceLegs:
    """Insulation of one build at one age."""

    def __init__(
        self, study: Study, state: State, insulation: Sequence[Part], cemented: Sequence[tuple[str, str]], narrow: float
    ) -> None:
        self._study, self._state, self._narrow = study, state, narrow
        self._insulation = list(insulation)
        self._groups = _groups([part.name for part in insulation], cemented)
        self._solids: dict[str, list[Solid] | None] = {}

    def leg(self, one: Part, other: Part, enough: float) -> Leg | None:
        """The way between two conductors; None where it cannot be worked out: nothing to walk on, open or turning."""
        near = self._near((one, other), enough * REACH_SHARE)
        if not near:
            return None
        loose, rest = self._looseness((one, other), near)
        solids = self._bodies(near)
        if loose is None or solids is None:
            return None
        cells, _ = cells_of(solids, self._narrow)
        pieces = (_conductor(self._pieces(one)), _conductor(self._pieces(other)))
        limit = math.inf
        if len(cells) > FEW_CELLS:
            limit = enough * REACH_SHARE
            cells = _within(cells, pieces, limit + sum(loose))
        if not cells or len(cells) > MOST_CELLS:
            return None
        ground = ground_of(cells, pieces, self._narrow, slack=rest.slack, loose=loose)
        if {claw.hub for claw in ground.claws} != {0, 1}:
            return None
        self._study.progress(f"way over surfaces {one.name} - {other.name}")
        found = search(ground, enough=enough / (1.0 - rest.shrink), limit=limit)
        return _leg(found, rest.shrink, sum(loose) * 2.0)

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
                members = [member for member in self._insulation if member.name in group]
                self._solids[key] = _joined([piece for member in members for piece in self._pieces(member)])
            solids = self._solids[key]
            if solids is None:
                return None
            found += solids
        return found

    def _looseness(
        self, conductors: tuple[Part, Part], near: Sequence[Part]
    ) -> tuple[tuple[float, float] | None, _Rest]:
        """How far each conductor may move against the insulation, and what else may shorten a way."""
        drifts = []
        for conductor in conductors:
            each = [self._drift(conductor, part) for part in near]
            if any(drift is None for drift in each):
                return None, _Rest(slack=0.0, shrink=0.0)
            drifts.append(max(drift for drift in each if drift is not None))
        between = [self._drift(one, other) for k, one in enumerate(near) for other in near[k + 1 :]]
        if any(drift is None for drift in between):
            return None, _Rest(slack=0.0, shrink=0.0)
        slack = max((drift for drift in between if drift is not None), default=0.0)
        shrink = max(_shrink(piece, self._study.widths) for part in near for piece in self._pieces(part))
        return (drifts[0], drifts[1]), _Rest(slack=slack, shrink=min(shrink, 0.5))

    def _drift(self, part: Part, against: Part) -> float | None:
        """How far in mm a point of a part may lie off its drawn place beside another; None where it may turn."""
        chain, widths = self._study.chain(self._state), self._study.widths
        if turnings(chain, part, against, widths):
            return None
        most = 0.0
        for held in self._pieces(against):
            for piece in self._pieces(part):
                columns = columns_of(piece, held)
                width = np.max(np.abs(np.stack(columns.widths(widths))), axis=0) if columns.names else np.zeros(0)
                apart = facets_of(piece, columns).moves - columns.gradient(held.centre)[None]
                own = facets_of(held, columns).moves - columns.gradient(held.centre)[None]
                moved = _farthest(apart, width) + _farthest(own, width)
                most = max(most, moved + surface_tolerance(piece) + surface_tolerance(held))
        return most


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rest:
    slack: float
    shrink: float


def _leg(found: Found, shrink: float, longer: float) -> Leg:
    line = tuple((float(x), float(y), float(z)) for x, y, z in found.line)
    high = found.high / (1.0 - shrink) + longer
    return Leg(low=found.low * (1.0 - shrink), value=found.high, high=high, line=line)


def _farthest(moves: Array, width: Array) -> float:
    """The farthest a vertex goes, moves (V, P, 3) per unit of values that may be `width` (P,) off."""
    if not moves.size:
        return 0.0
    return float(np.linalg.norm(np.einsum("vpd,p->vd", np.abs(moves), width), axis=1).max())


def _shrink(piece: Placed, widths: object) -> float:
    """The largest share by which a toleranced size of a piece may fall short."""
    if isinstance(piece.solid, MeshSolid):
        size = float(np.ptp(piece.solid.vertices, axis=0).min())
        return 2.0 * surface_tolerance(piece) / max(size, 1e-9)
    columns = columns_of(piece, piece)
    if not columns.names:
        return 0.0
    facets = facets_of(piece, columns)
    rotation = np.array(piece.rotation)
    local = (facets.vertices - facets.vertices.mean(axis=0)) @ rotation
    own = facets.moves - columns.gradient(piece.centre)[None]
    width = np.max(np.abs(np.stack(columns.widths(widths))), axis=0)  # type: ignore[arg-type]
    moved = np.einsum("vpd,p->vd", np.abs(own @ rotation), width)
    reach = np.abs(local).max(axis=0)
    return float((moved.max(axis=0) / np.maximum(reach, 1e-9)).max())


def _conductor(pieces: Sequence[Placed]) -> list[Array]:
    """Convex pieces of metal as triangles; what is not known to be convex goes triangle by triangle."""
    found: list[Array] = []
    for piece in pieces:
        facets = facets_of(piece, Columns(()))
        triangles = facets.vertices[facets.faces]
        if piece.is_square or (isinstance(piece.solid, BarSolid) and piece.solid.bore is None):
            found.append(triangles)
        else:
            found += list(triangles[:, None])
    return found


def _joined(pieces: Sequence[Placed]) -> list[Solid] | None:
    solids: list[Solid] = []
    for piece in pieces:
        facets = facets_of(piece, Columns(()))
        vertices = facets.vertices
        if isinstance(piece.solid, BarSolid):
            vertices = _on_the_circle(piece, piece.solid, vertices)
        solids.append((vertices, np.asarray(facets.faces, dtype=np.intp)))
    whole = union_mesh(solids)
    return None if whole is None else [(whole[0], np.asarray(whole[1], dtype=np.intp))]


def _on_the_circle(piece: Placed, solid: BarSolid, vertices: Array) -> Array:
    """The corners of the outer facets drawn in onto the true round surface."""
    rotation = np.array(piece.rotation)
    centre = np.array([form.nominal for form in piece.centre])
    local = (vertices - centre) @ rotation
    across = [axis for axis in range(3) if axis != solid.along]
    radius = np.linalg.norm(local[:, across], axis=1)
    outer = radius > solid.radius.nominal
    local[np.ix_(outer, across)] *= (solid.radius.nominal / radius[outer])[:, None]
    return np.asarray(local @ rotation.T + centre)


def _groups(names: Sequence[str], cemented: Sequence[tuple[str, str]]) -> dict[str, set[str]]:
    """Each name with all that it is cemented to."""
    found = {name: {name} for name in names}
    for one, other in cemented:
        if one in found and other in found:
            whole = found[one] | found[other]
            for name in whole:
                found[name] = whole
    return found


def _within(cells: Sequence[Cell], pieces: tuple[list[Array], list[Array]], limit: float) -> list[Cell]:
    """Cells through which a way no longer than `limit` may run, by their distance from both conductors' boxes."""
    low = np.array([cell.corners.min(axis=0) for cell in cells])
    high = np.array([cell.corners.max(axis=0) for cell in cells])
    both = np.zeros(len(cells))
    for side in pieces:
        points = np.concatenate([piece.reshape(-1, 3) for piece in side])
        gap = np.maximum(np.maximum(low - points.max(axis=0), points.min(axis=0) - high), 0.0)
        both += np.linalg.norm(gap, axis=1)
    return [cell for cell, length in zip(cells, both, strict=True) if length <= limit]
