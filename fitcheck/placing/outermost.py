"""The largest bounding box that a part can have, whatever its values within their bands."""

from __future__ import annotations

from fitcheck.model.part import Part
from fitcheck.placing.chain import Chain
from fitcheck.placing.local import MeshSolid

Box = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]


def outermost(chain: Chain, part: Part) -> Box:
    """(low, high) along x, y, z, mm; no build within the bands reaches beyond. The chain is a swept one."""
    widths = chain.extra.widths
    more = surface_off(chain, part)
    sides = [(chain.low(part, k).low(widths) - more, chain.high(part, k).high(widths) + more) for k in range(3)]
    return (sides[0], sides[1], sides[2])


def surface_off(chain: Chain, part: Part) -> float:
    """How far the surface of a part's meshes may lie off, mm; 0 for plain shapes."""
    return max(
        (piece.solid.tolerance for piece in chain.pieces(part) if isinstance(piece.solid, MeshSolid)), default=0.0
    )
