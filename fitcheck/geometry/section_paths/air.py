"""Where the air of a section is: which straight stretches run through none of its insulation."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.section_paths.rings import Array, Flags, edges_of, sticking_out, tidy
from fitcheck.geometry.section_paths.section import SAME_MM, Insulator, Section

Indices = NDArray[np.int64]

ACUTE = 100.0
"""Corners down to about one degree stay sharp while a body is grown and shrunk again."""


class Air:
    """Everything outside the insulation. Joints that are closed are not air, surfaces may be touched."""

    def __init__(self, bodies: Sequence[Any]) -> None:
        import shapely

        # Closing first: a joint of two bodies whose coordinates differ in the last digit is still shut. Shrinking after
        # it lets a stretch run along a surface, and past a corner, without counting as inside.
        closed = shapely.union_all(shapely.buffer(list(bodies), SAME_MM, join_style="mitre")) if bodies else None
        self._solid = None if closed is None else shapely.buffer(closed, -2.0 * SAME_MM, join_style="mitre")
        if self._solid is not None:
            shapely.prepare(self._solid)

    def joins(self, starts: Array, ends: Array) -> Flags:
        """(M,) whether the straight stretch between two points lies in the air. starts, ends: (M, 2)."""
        import shapely

        if self._solid is None or not len(starts):
            return np.ones(len(starts), dtype=bool)
        stretches = shapely.linestrings(np.stack([starts, ends], axis=1))
        return ~np.asarray(shapely.intersects(self._solid, stretches), dtype=bool)


def bodies_of(section: Section) -> list[Any]:
    """The insulating bodies as shapely polygons, cemented ones made one; a body may then be of several pieces."""
    import shapely

    single = [_polygon(body) for body in section.insulators]
    groups = _merged([set(group) for group in section.cemented])
    cemented = set().union(*groups)
    joined = [_as_one([single[index] for index in sorted(group)]) for group in groups]
    found = [single[index] for index in range(len(single)) if index not in cemented]
    return [part for body in [*found, *joined] for part in shapely.get_parts(body)]


def _merged(groups: list[set[int]]) -> list[set[int]]:
    """Groups that share a member are one group."""
    found: list[set[int]] = []
    for group in groups:
        sharing = [other for other in found if other & group]
        found = [other for other in found if not other & group]
        found.append(group.union(*sharing))
    return found


def _as_one(bodies: list[Any]) -> Any:
    """One body without the joints inside it, also where their faces differ in the last digit."""
    import shapely

    grown = shapely.union_all(shapely.buffer(bodies, SAME_MM, join_style="mitre", mitre_limit=ACUTE))
    return shapely.buffer(grown, -SAME_MM, join_style="mitre", mitre_limit=ACUTE)


def _polygon(body: Insulator) -> Any:
    import shapely

    return shapely.Polygon(
        tidy(body.outline, closed=True).tolist(), [tidy(hole, closed=True).tolist() for hole in body.holes]
    )


def rings_of(body: Any) -> list[Array]:
    """The rings of a polygon, each with matter on its left."""
    from shapely.geometry.polygon import orient

    body = orient(body)
    return [tidy(ring.coords[:-1], closed=True) for ring in (body.exterior, *body.interiors)]


def contour(bodies: Sequence[Any]) -> tuple[Array, Array, Array]:
    """Starts and ends (E, 2) of all edges of all bodies, matter on the left, and the corners that stick out (L, 2)."""
    starts, ends, lips = [np.empty((0, 2))], [np.empty((0, 2))], [np.empty((0, 2))]
    for body in bodies:
        for ring in rings_of(body):
            first, last = edges_of(ring, closed=True)
            starts.append(first)
            ends.append(last)
            lips.append(ring[sticking_out(ring)])
    return np.concatenate(starts), np.concatenate(ends), np.concatenate(lips)
