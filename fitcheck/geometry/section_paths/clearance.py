"""Clearance in a section: the shortest way through air, around insulation.

A shortest way is a taut string: straight from corner to corner of the insulation that sticks out, leaving metal at a
corner of it or square to an edge. So the graph of those stretches that lie in air holds it, and its length is exact.
Floating metal is crossed for nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fitcheck.geometry.section_paths.air import Air, Indices
from fitcheck.geometry.section_paths.crossings import crossings
from fitcheck.geometry.section_paths.graph import Node, Step, shortest, way_of
from fitcheck.geometry.section_paths.metal import A, B, Metals, nearest_on
from fitcheck.geometry.section_paths.rings import Array
from fitcheck.geometry.section_paths.section import Leg, Over, Way


def clearance_way(air: Air, contour: tuple[Array, Array, Array], metals: Metals) -> Way | None:
    """The shortest way through air from conductor a to conductor b; None when insulation encloses one of them."""
    if B in metals.touched_by(A):
        return Way(legs=())
    legs = shortest(("metal", A), ("metal", B), _Strings(air, contour, metals).steps)
    return None if legs is None else way_of(legs)


class _Strings:
    """The taut stretches of a section, found when they are asked for.

    Nodes are ("metal", owner) and ("corner", index) of the insulation; a piece of metal is left from its own points.
    """

    def __init__(self, air: Air, contour: tuple[Array, Array, Array], metals: Metals) -> None:
        starts, ends, self._lips = contour
        self._air, self._metals = air, metals
        # Where metal enters insulation, the string may end on neither's corner but on the line where they meet.
        where, edges = crossings(metals.starts, metals.ends, starts, ends)
        self._points = np.concatenate([metals.corners, where])
        self._owners: Indices = np.concatenate([metals.corner_owners, metals.owners[edges]])

    def steps(self, node: Node) -> Iterator[Step]:
        kind, index = node
        if kind == "corner":
            yield from self._from_points(self._lips[[index]], without=-1)
            return
        for other in self._metals.touched_by(index):
            yield Step(("metal", other), Leg(Over.METAL, (0.0, 0.0), (0.0, 0.0)))
        yield from self._from_points(self._points[self._owners == index], without=index)
        yield from self._off_edges(index)

    def _from_points(self, points: Array, without: int) -> Iterator[Step]:
        """From points to every corner of insulation, and to the points and the nearest on every edge of other metal."""
        metals = self._metals
        edges, ends = np.flatnonzero(metals.owners != without), self._owners != without
        feet = nearest_on(metals.starts[edges], metals.ends[edges], points[:, None])
        names = self._names(np.concatenate([self._owners[ends], metals.owners[edges]]))
        for row, point in enumerate(points):
            targets = np.concatenate([self._lips, self._points[ends], feet[row]])
            seen = self._air.joins(np.broadcast_to(point, targets.shape), targets)
            for column in np.flatnonzero(seen).tolist():
                yield Step(names[column], _leg(point, targets[column]))

    def _names(self, owners: Indices) -> list[Node]:
        """The nodes of all corners of insulation, then of metal of those owners."""
        corners: list[Node] = [("corner", number) for number in range(len(self._lips))]
        return [*corners, *(("metal", owner) for owner in owners.tolist())]

    def _off_edges(self, owner: int) -> Iterator[Step]:
        """From the edges of one piece of metal square to corners of insulation and to points of other metal."""
        metals = self._metals
        own = np.flatnonzero(metals.owners == owner)
        others = self._owners != owner
        targets = np.concatenate([self._lips, self._points[others]])
        names = self._names(self._owners[others])
        for edge in own.tolist():
            feet = nearest_on(metals.starts[edge], metals.ends[edge], targets)
            for row in np.flatnonzero(self._air.joins(feet, targets)).tolist():
                yield Step(names[row], _leg(feet[row], targets[row]))


def _leg(start: Array, end: Array) -> Leg:
    return Leg(Over.AIR, (float(start[0]), float(start[1])), (float(end[0]), float(end[1])))
