"""The face of a piece on paper: its contours, the names of its openings, the radii of its arcs."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from fitcheck.makeable.arcs import Span, radii_of
from fitcheck.makeable.contour import Contour, Loop, Round, box_of, ring_of
from fitcheck.makeable.laser import hole_name
from fitcheck.makeable.piece import Piece
from fitcheck.model.shape import Point2
from fitcheck.report.workshop.dimensions import SMALL
from fitcheck.report.workshop.paper import INK, Paper
from fitcheck.report.workshop.seats import Seat, Seats, around, beside, within
from fitcheck.report.workshop.shop_words import radius_text

PaperFrame = tuple[Point2, float]
"""Where the datum corner stands on paper, and how many mm of paper one mm of the piece takes."""

WIDE_MM = 8.0
"""On paper: into an opening as wide as this its name is written."""

MOST_RADII = 12
"""So many radii are written on the face; the notes name all of them."""


def draw_face(paper: Paper, piece: Piece, frame: PaperFrame) -> None:
    """The contours first, then what is written, where it is clear of them."""
    seats = Seats()
    for contour in (piece.outline, *(opening.contour for opening in piece.openings)):
        _contour(paper, contour, frame, seats)
    for index, opening in enumerate(piece.openings):
        _name(paper, hole_name(index), opening.contour, frame, seats)
    for text, span in _radii(piece):
        _radius(paper, text, span, frame, seats)
    if isinstance(piece.outline, Loop):
        corner = on_paper((0.0, 0.0), frame)
        paper.line(
            [corner, (corner[0] - 2.6, corner[1] - 1.5), (corner[0] - 1.5, corner[1] - 2.6)],
            closed=True,
            fill=INK,
        )
        paper.text((corner[0] - 3.2, corner[1] - 4.6), "0", SMALL, bold=True, anchor="end")


def on_paper(point: Point2, frame: PaperFrame) -> Point2:
    (x, y), scale = frame
    return (x + point[0] * scale, y + point[1] * scale)


def _contour(paper: Paper, contour: Contour, frame: PaperFrame, seats: Seats) -> None:
    ring = [on_paper(corner, frame) for corner in ring_of(contour, 0.1 / frame[1])]
    seats.line(ring, closed=True)
    if isinstance(contour, Loop):
        paper.line([on_paper(corner, frame) for corner in ring_of(contour)], "outline", closed=True)
        return
    (x, y), radius = on_paper(contour.centre, frame), contour.diameter * frame[1] / 2.0
    paper.circle((x, y), radius, "outline")
    reach, kind = radius + 1.8, "centre" if radius > 6.0 else "thin"
    for line in ([(x - reach, y), (x + reach, y)], [(x, y - reach), (x, y + reach)]):
        paper.line(line, kind)
        seats.line(line)


def _name(paper: Paper, text: str, contour: Contour, frame: PaperFrame, seats: Seats) -> None:
    low, high = (on_paper(corner, frame) for corner in box_of(contour))
    wide = paper.width_of(text, SMALL, bold=True)
    is_round = isinstance(contour, Round)
    choices = list(around(low, high, wide, SMALL, is_round=is_round))
    if not is_round and min(high[0] - low[0], high[1] - low[1]) > WIDE_MM:
        choices = [*within(low, high, wide, SMALL), *choices]
    seat = seats.take(choices, wide, SMALL)
    _leader(paper, seat, wide)
    paper.text(seat.at, text, SMALL, bold=True)


def _radii(piece: Piece) -> Iterator[tuple[str, Span]]:
    """Each radius of each contour once, with how often it is there."""
    found = []
    for contour in (piece.outline, *(opening.contour for opening in piece.openings)):
        arcs = radii_of(contour)
        counts = Counter(radius_text(span.radius) for span in arcs)
        firsts = {radius_text(span.radius): span for span in reversed(arcs)}
        found += [(f"{counts[text]} × {text}" if counts[text] > 1 else text, span) for text, span in firsts.items()]
    yield from found[:MOST_RADII]


def _radius(paper: Paper, text: str, span: Span, frame: PaperFrame, seats: Seats) -> None:
    tip, centre = on_paper(span.middle, frame), on_paper(span.centre, frame)
    away = max(math.dist(tip, centre), 1e-9)
    way = ((tip[0] - centre[0]) / away, (tip[1] - centre[1]) / away)
    wide = paper.width_of(text, SMALL)
    seat = seats.take(list(beside(tip, way, wide, SMALL)), wide, SMALL)
    _leader(paper, seat, wide)
    inward = 1.0 if (seat.at[0] + wide / 2.0 - tip[0]) * way[0] + (seat.at[1] - tip[1]) * way[1] < 0.0 else -1.0
    paper.arrow(tip, (way[0] * inward, way[1] * inward), 1.9)
    paper.text(seat.at, text, SMALL)


def _leader(paper: Paper, seat: Seat, wide: float) -> None:
    """From the nearer end of the text to what it speaks of."""
    if seat.tip is None:
        return
    x, y = seat.at
    start = (x - 0.4, y + 0.3 * SMALL) if seat.tip[0] < x + wide / 2.0 else (x + wide + 0.4, y + 0.3 * SMALL)
    paper.line([start, seat.tip])
