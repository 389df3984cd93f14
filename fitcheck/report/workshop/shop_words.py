"""What a shop asks about every piece, answered in the same words on the drawing, in the cut file and in the list."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.makeable.contour import Round
from fitcheck.makeable.piece import Piece
from fitcheck.report.workshop.dimensions import with_any_band
from fitcheck.report.workshop.origin import Origin

NOT_STATED = "NOT STATED: settle before cutting"

DEBURR = "Deburr all edges, break sharp corners by 0.3 to 0.5"

CARE = {
    True: "It conducts: keep it, its burrs and its swarf away from live parts; insulate where the layout asks for it.",
    False: "It must not conduct: no metal swarf, no pencil or metal marking left on it; clean it after cutting.",
    None: "The material is not known to the tables: settle it, and whether it may conduct, before cutting.",
}


def flat_words(piece: Piece) -> Iterator[str]:
    """How a piece of sheet is to be cut, in sentences without their full stop."""
    yield "Flat, cut right through: no bends, no pockets, and contours without allowance for the width of the cut"
    if piece.openings:
        yield "All openings are plain: not tapped, not countersunk"
    side = "the side that is marked is the one that is seen here" if piece.labels else "either side may lie up"
    yield f"Turn and nest it as suits, whichever way the sheet was rolled; {side}"
    if piece.labels:
        yield f"To be marked by engraving or a pen, not cut: {'; '.join(label.text for label in piece.labels)}"


def finish_words(piece: Piece) -> Iterator[str]:
    """What is done to it after cutting."""
    if piece.kind == "dummy":
        yield "Edges as cut; do not sand the slots"
    else:
        yield f"{DEBURR}; no coating or other finish is asked for"


def size_words(piece: Piece, origin: Origin) -> str:
    """The overall sizes with the band of each, and what goes for the others."""
    sign = "⌀" if isinstance(piece.outline, Round) else ""
    face = [piece.width] if sign else [piece.width, piece.height]
    sizes = " × ".join(with_any_band(value, sign) for value in face)
    third = f"{piece.measure} {with_any_band(piece.thickness)}"
    return f"{sizes}, {third}; tolerance where none is given: {origin.tolerance}"
