"""The parts of a build as matter for a probe, each piece with how far its surface may recede.

Pieces move with the values of the layout. What moves them all alike opens nothing; so a piece recedes by what it may
move against the pieces near it, whose gap to it is what a probe would enter by. (Carry every point of a path along with
the pieces about it: each of them then lies off by no more than what the near ones move against each other.)
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.probe_matter import Block, Matter, Skin
from fitcheck.model.part import Part, State
from fitcheck.placing.chain import Chain
from fitcheck.placing.facets import facets_of
from fitcheck.placing.forms import Form, Widths
from fitcheck.placing.local import BoxSolid
from fitcheck.placing.placed import Columns, Placed, placed_pieces, size_names, square_boxes, surface_tolerance
from fitcheck.study import Study

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """One piece: its matter still without slack, the forms of its low and high side along each axis, and by how much
    its surface may recede of itself, beyond what those forms say."""

    part: str
    matter: Matter
    low: tuple[Form, Form, Form]
    high: tuple[Form, Form, Form]
    own: float


def matter_of(study: Study, state: State, parts: Iterable[Part], near_mm: float) -> dict[str, list[Matter]]:
    """The matter of each part, by name; pieces within `near_mm` of each other count as near."""
    chain = study.chain(state).swept(study.widths)
    pieces = [
        replace(found, own=found.own + _turning(chain, part))
        for part in parts
        for piece in placed_pieces(chain, part)
        for found in _pieces(piece, chain)
    ]
    widths = chain.extra.widths
    matter: dict[str, list[Matter]] = {}
    for piece in pieces:
        moves = max((_against(piece, other, near_mm, widths) for other in pieces), default=0.0)
        matter.setdefault(piece.part, []).append(replace(piece.matter, slack=piece.own + moves))
    return matter


def _pieces(placed: Placed, chain: Chain) -> list[_Piece]:
    boxes = square_boxes(placed)
    if boxes is not None:
        return [_square(box) for box in boxes]
    return [_other(placed, chain)]


def _turning(chain: Chain, part: Part) -> float:
    """How far an uncertain turn may carry any point of the part, mm; nothing of that is in its forms."""
    widths = chain.extra.widths
    degrees = sum(max(widths.get(turn.angle.name, (0.0, 0.0))) for turn in part.turns)
    return math.sqrt(3.0) * chain.swing_radius(part) * math.radians(degrees) if degrees else 0.0


def _square(placed: Placed) -> _Piece:
    low, high = placed.square_corners
    first, last = (np.array([form.nominal for form in corner]) for corner in (low, high))
    block = Block(middle=(first + last) / 2.0, rotation=np.eye(3), half=(last - first) / 2.0)
    return _Piece(part=placed.part, matter=block, low=low, high=high, own=0.0)


def _other(placed: Placed, chain: Chain) -> _Piece:
    """A piece that moves with its middle, and whose surface moves against that by its sizes."""
    columns = Columns(tuple(sorted(size_names(placed))))
    facets = facets_of(placed, columns)
    below, above = columns.widths(chain.extra.widths)
    sizes = facets.moves - columns.gradient(placed.centre)[None]
    grows = (np.abs(sizes) * np.maximum(below, above)[None, :, None]).sum(axis=1)
    own = float(np.linalg.norm(grows, axis=1).max(initial=0.0)) + surface_tolerance(placed) + facets.error
    matter: Matter = Skin(triangles=facets.vertices[facets.faces])
    if isinstance(placed.solid, BoxSolid):
        half = np.array([form.nominal for form in placed.solid.half])
        middle = np.array([form.nominal for form in placed.centre])
        matter = Block(middle=middle, rotation=np.array(placed.rotation), half=half)
    return _Piece(part=placed.part, matter=matter, low=placed.centre, high=placed.centre, own=own)


def _against(piece: _Piece, other: _Piece, near_mm: float, widths: Widths) -> float:
    """How far one piece may move against another where both are near, mm; 0 where they are nowhere near each other."""
    if piece is other:
        return 0.0
    lows = [np.array(each.matter.bounds[0]) - near_mm for each in (piece, other)]
    highs = [np.array(each.matter.bounds[1]) + near_mm for each in (piece, other)]
    low, high = np.maximum(*lows), np.minimum(*highs)
    if (low > high).any():
        return 0.0
    moves = [_along(piece, other, axis, (float(low[axis]), float(high[axis])), widths) for axis in range(3)]
    return float(np.linalg.norm(moves))


def _along(piece: _Piece, other: _Piece, axis: int, span: tuple[float, float], widths: Widths) -> float:
    """The most that two pieces move against each other along an axis, anywhere in a span of it.

    Between their sides they stretch evenly, beyond a side they go with it; so the most is at an end of a piece or of
    the span.
    """
    ends = [form[axis].nominal for each in (piece, other) for form in (each.low, each.high)]
    places = [*span, *(end for end in ends if span[0] < end < span[1])]
    most = 0.0
    for place in places:
        apart = _moved(piece, axis, place) - _moved(other, axis, place)
        most = max(most, apart.high(widths), -apart.low(widths))
    return most


def _moved(piece: _Piece, axis: int, place: float) -> Form:
    """How a point of a piece at a place on an axis moves."""
    low, high = piece.low[axis], piece.high[axis]
    length = high.nominal - low.nominal
    share = min(1.0, max(0.0, (place - low.nominal) / length)) if length > 0.0 else 0.0
    return (low - low.nominal) * (1.0 - share) + (high - high.nominal) * share
