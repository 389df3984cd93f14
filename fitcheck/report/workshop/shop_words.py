"""What a shop asks about every piece, answered in the same words on the drawing, in the cut file and in the list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from fitcheck.makeable.arcs import curve_sides, radii_of
from fitcheck.makeable.contour import Round
from fitcheck.makeable.material import Kind
from fitcheck.makeable.piece import Joined, Piece
from fitcheck.report.wording import listed
from fitcheck.report.workshop.dimensions import number, with_any_band
from fitcheck.report.workshop.origin import Origin

NOT_STATED = "NOT STATED: settle before cutting"

SETTLE = "SETTLE FIRST"

CHECKED_BY = (
    "The workshop that ordered it checks the sizes against the part in the vehicle and signs for that on the drawing; "
    "the shop that cuts has no part to check against"
)

FINISH = {
    Kind.METAL: "Deburr all edges, break sharp corners by 0.3 to 0.5",
    Kind.PLASTIC: "Scrape burrs off all edges, break sharp corners by 0.3 to 0.5",
    Kind.LAMINATE: "Smooth all edges, break them by about 0.3, leave no loose fibres; draw the dust off, it is harmful",
    Kind.SOFT: "Edges as cut, square to the face; neither stretch it nor press it together while it is cut",
    Kind.WOOD: "Smooth the edges with abrasive paper, leave no splinters",
    Kind.UNKNOWN: "Leave no burrs, splinters or sharp edges, as suits the material",
}

_INSULATES = "It must not conduct: no metal swarf, no pencil or metal marking left on it; clean it after cutting."

CARE = {
    Kind.METAL: "It conducts: keep it, its burrs and its swarf away from live parts. It is made without insulation.",
    Kind.PLASTIC: _INSULATES,
    Kind.LAMINATE: _INSULATES,
    Kind.SOFT: "It must not conduct: cut it on a clean table, leave no metal dust, pencil or metal marking on it.",
    Kind.WOOD: "No insulator when damp: keep it away from live parts.",
    Kind.UNKNOWN: "The material is not known to the tables: settle it, and whether it may conduct, before cutting.",
}


def care_words(made: Piece | Joined) -> str:
    """How to keep it where live parts are; of a material that no table knows nothing is promised."""
    return CARE[Kind.UNKNOWN if made.is_metal is None else made.worked_as]


OWN_TOLERANCE = {"gauge": "±0.5", "dummy": "±0.2"}
"""What is fitcheck's own needs no agreement: gauges and the dummy carry their tolerance."""

MOST_NAMED = 6
"""A note names so many parts; the list in the folder names them all."""


def some_of(names: Sequence[str]) -> str:
    """ "m1, m2 and m3", or the first few "and 134 more, see what_to_make.txt"."""
    if len(names) <= MOST_NAMED:
        return listed(names)
    return f"{', '.join(names[:MOST_NAMED])} and {len(names) - MOST_NAMED} more, see what_to_make.txt"


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
        yield f"{FINISH[piece.worked_as]}; no coating or other finish is asked for"


def tolerance_words(piece: Piece, origin: Origin) -> str:
    """What goes for sizes without a tolerance of their own."""
    return OWN_TOLERANCE.get(piece.kind, origin.tolerance)


def settle_words(piece: Piece, *, with_sources: bool = True) -> Iterator[str]:
    """All that is open before it is cut, in sentences without their full stop: who checks it, then the remarks."""
    if piece.kind == "part":
        yield CHECKED_BY
    for remark in piece.remarks:
        yield f"{remark.text}. Source: {remark.source}" if with_sources else remark.text


def curve_words(piece: Piece) -> Iterator[str]:
    """Arcs by their radius, and how true they and free curves are to what was judged, without a full stop."""
    contours = (piece.outline, *(opening.contour for opening in piece.openings))
    arcs = [span for contour in contours for span in radii_of(contour)]
    if arcs:
        counts = Counter(radius_text(span.radius) for span in arcs)
        named = ", ".join(f"{count} × {text}" if count > 1 else text for text, count in counts.items())
        yield (
            f"Arcs: {named}. The layout has them as short straight pieces, which the arcs that are cut follow within "
            f"{max(0.001, max(span.off for span in arcs)):.3f} mm"
        )
    curves = [curve_sides(contour) for contour in contours]
    sides, off = sum(count for count, _ in curves), max(off for _, off in curves)
    if sides:
        yield (
            f"A free curve is cut as {sides} straight pieces: a smooth curve through their corners is within "
            f"{max(0.001, off):.3f} mm of them"
        )


def radius_text(radius: float) -> str:
    return f"R{number(radius)}"


def size_words(piece: Piece, origin: Origin) -> str:
    """The overall sizes with the band of each, the longer side first, and what goes for the others."""
    sign = "⌀" if isinstance(piece.outline, Round) else ""
    face = [piece.width] if sign else sorted((piece.width, piece.height), key=lambda size: -size.nominal)
    sizes = " × ".join(with_any_band(value, sign) for value in face)
    third = f"{piece.measure} {with_any_band(piece.thickness)}"
    return f"{sizes}, {third}; tolerance where none is given: {tolerance_words(piece, origin)}"
