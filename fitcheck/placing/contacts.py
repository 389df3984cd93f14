"""Declared contacts: which pieces of a part are excused from a gap because the other part stands on or against them.

The touched piece (a box, a bar, a tray's floor, wall, lip or flange, a group member) is excused against the whole
part that stands on it. Of a prism or a mesh only what lies near the contact is left out: see `Region`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.findings import TOUCH_MM
from fitcheck.model.part import Feature, Part
from fitcheck.placing.chain import Chain
from fitcheck.placing.local import BarSolid, BoxSolid
from fitcheck.placing.placed import Columns, Placed, nominal_bounds, placed_pieces

Interval = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """`standing` stands on or against the plane `feature` of `support`, across `axis`."""

    standing: str
    support: str
    axis: int
    feature: Feature


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """Where a prism or mesh is left out of a gap: within `reach` of a contact's plane and outline.

    The outline is a rectangle: of one face of the support in the plane, what the standing part covers (the two axes
    other than `axis`, in order).
    """

    axis: int
    plane: float
    outline: tuple[Interval, Interval]
    reach: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Excuse:
    """What a contact leaves out of one part: whole pieces by number, and regions of others by number."""

    whole: frozenset[int]
    regions: tuple[tuple[int, Region], ...]


NOTHING_EXCUSED = Excuse(whole=frozenset(), regions=())


def declared(standing: Part, support: Part) -> Iterator[Contact]:
    """The contacts that `standing`'s own words declare with `support`."""
    for placing in standing.placings:
        if placing.touching and placing.reference == support.name:
            yield Contact(
                standing=standing.name,
                support=support.name,
                axis=placing.axis,
                feature=placing.reference_feature,
            )


def excuse(chain: Chain, standing: Part, support: Part, reach: float) -> Excuse:
    """What of `support` is left out of its gap to `standing`; `reach` is the required gap, mm."""
    whole: set[int] = set()
    regions: list[tuple[int, Region]] = []
    over = [_covered(chain, standing, support, axis) for axis in range(3)]
    for contact in declared(standing, support):
        plane = chain.plane(support, contact.axis, contact.feature).nominal
        for number, piece in enumerate(placed_pieces(chain, support)):
            span = nominal_bounds(piece)
            if not _touched(span, contact, plane, over):
                continue
            if isinstance(piece.solid, BoxSolid | BarSolid):
                whole.add(number)
            else:
                regions += [(number, region) for region in _regions(piece, contact, plane, over, reach)]
    return Excuse(whole=frozenset(whole), regions=tuple(regions))


def _covered(chain: Chain, standing: Part, support: Part, axis: int) -> Interval:
    """What the standing part covers along an axis, wherever in their play the two are."""
    low, high = chain.low(standing, axis).nominal, chain.high(standing, axis).nominal
    for part, sign in ((standing, 1), (support, -1)):
        for play in part.play:
            if play.axis == axis:
                below, above = play.most[::sign]
                low, high = low - below, high + above
    return low, high


def _touched(span: list[Interval], contact: Contact, plane: float, over: list[Interval]) -> bool:
    """Whether the piece has its face in the contact's plane, below or beside the standing part."""
    low, high = span[contact.axis]
    face = high if contact.feature in (Feature.HIGH, Feature.INSIDE_LOW) else low
    return abs(face - plane) <= TOUCH_MM and all(
        min(span[k][1], over[k][1]) - max(span[k][0], over[k][0]) > -TOUCH_MM for k in range(3) if k != contact.axis
    )


def _regions(piece: Placed, contact: Contact, plane: float, over: list[Interval], reach: float) -> Iterator[Region]:
    """One region for each face of the piece that lies in the contact's plane, where the standing part covers it."""
    from fitcheck.placing.facets import facets_of  # only where a prism or mesh is stood upon

    facets = facets_of(piece, Columns(()))
    corners = facets.vertices[facets.faces]
    in_plane = (np.abs(corners[:, :, contact.axis] - plane) <= TOUCH_MM).all(axis=1)
    across = [k for k in range(3) if k != contact.axis]
    for face in _joined(facets.faces[in_plane]):
        points = facets.vertices[face][:, across]
        low, high = points.min(axis=0), points.max(axis=0)
        one, two = ((max(float(low[n]), over[k][0]), min(float(high[n]), over[k][1])) for n, k in enumerate(across))
        if one[1] > one[0] and two[1] > two[0]:
            yield Region(axis=contact.axis, plane=plane, outline=(one, two), reach=reach)


def _joined(triangles: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """The corners of each set of triangles that hang together."""
    sets: list[set[int]] = []
    for triangle in triangles.tolist():
        corners = set(triangle)
        apart = [known for known in sets if not known & corners]
        for known in sets:
            if known & corners:
                corners |= known
        sets = [*apart, corners]
    return [np.array(sorted(corners), dtype=np.int64) for corners in sets]
