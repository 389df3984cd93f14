"""The volume that two overlapping parts share."""

from __future__ import annotations

from fitcheck.model.part import Part
from fitcheck.placing.chain import Chain
from fitcheck.placing.placed import Columns, Placed, placed_pieces

Box = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]


def shared_volume(chain: Chain, one: Part, other: Part) -> tuple[float | None, str]:
    """(mm3, what to say of it): None, with the reason, where either part is not closed."""
    first, second = placed_pieces(chain, one), placed_pieces(chain, other)
    if all(piece.is_square for piece in (*first, *second)):
        boxes = [box for a in first for b in second if (box := _common(a, b)) is not None]
        return union_of_boxes(boxes), ""
    return _faceted(first, second)


def _common(a: Placed, b: Placed) -> Box | None:
    """What two square boxes share at nominal."""
    (lows_a, highs_a), (lows_b, highs_b) = a.square_corners, b.square_corners
    spans = []
    for k in range(3):
        low = max(lows_a[k].nominal, lows_b[k].nominal)
        high = min(highs_a[k].nominal, highs_b[k].nominal)
        if high <= low:
            return None
        spans.append((low, high))
    return (spans[0], spans[1], spans[2])


def union_of_boxes(boxes: list[Box]) -> float:
    """Volume of the union of square boxes, mm3: each cell of the grid of all their faces counts once."""
    cuts = [sorted({end for box in boxes for end in box[k]}) for k in range(3)]
    total = 0.0
    for x in range(len(cuts[0]) - 1):
        for y in range(len(cuts[1]) - 1):
            for z in range(len(cuts[2]) - 1):
                cell = ((cuts[0][x], cuts[0][x + 1]), (cuts[1][y], cuts[1][y + 1]), (cuts[2][z], cuts[2][z + 1]))
                if any(_holds(box, cell) for box in boxes):
                    total += (cell[0][1] - cell[0][0]) * (cell[1][1] - cell[1][0]) * (cell[2][1] - cell[2][0])
    return total


def _holds(box: Box, cell: Box) -> bool:
    return all(low <= cell[k][0] and cell[k][1] <= high for k, (low, high) in enumerate(box))


def _faceted(first: tuple[Placed, ...], second: tuple[Placed, ...]) -> tuple[float | None, str]:
    from fitcheck.placing.shared_solid import SharedSolid
    from fitcheck.placing.side import is_closed, side_of

    nothing = Columns(())
    shared, round_error = [], False
    for a in first:
        for b in second:
            for piece in (a, b):
                if not is_closed(piece):
                    return None, f"the mesh of {piece.part} is not closed, so there is no shared volume"
            one, other = side_of(a, nothing, ()), side_of(b, nothing, ())
            round_error = round_error or bool(one.error or other.error)
            overlap = SharedSolid(one, other).overlap()
            if overlap is None:
                return None, f"the shared volume of {a.part} and {b.part} could not be worked out"
            shared.append(overlap.volume_mm3)
    many = len(first) * len(second) > 1
    return sum(shared), "the shared volume is at most this: of facets, piece by piece" if round_error or many else ""
