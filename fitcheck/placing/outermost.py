"""The largest bounding box that a part can have, whatever its values within their bands."""

from __future__ import annotations

import math

from fitcheck.model.part import Part
from fitcheck.placing.chain import Chain
from fitcheck.placing.local import MeshSolid
from fitcheck.placing.turns import STILL, travels

Box = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]


def outermost(chain: Chain, part: Part) -> Box:
    """(low, high) along x, y, z, mm; no build within the bands reaches beyond."""
    widths = chain.extra.widths
    more = turn_swing(chain, part) + max(
        (piece.solid.tolerance for piece in chain.pieces(part) if isinstance(piece.solid, MeshSolid)), default=0.0
    )
    sides = [(chain.low(part, k).low(widths) - more, chain.high(part, k).high(widths) + more) for k in range(3)]
    return (sides[0], sides[1], sides[2])


def turn_swing(chain: Chain, part: Part) -> float:
    """How far uncertain turn angles can carry any point of the part along any axis, mm; 0 without them."""
    swing = list(STILL)
    for angle, travel in travels(chain, part):
        for axis in range(3):
            swing[axis] += travel[axis] * math.radians(max(chain.extra.widths[angle.name]))
    return max(swing)
