"""A cut file: DXF R2010 in mm, full size, closed contours, one layer to be cut."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from fitcheck.makeable.arcs import spans_of
from fitcheck.makeable.contour import Contour, Round, box_of, box_of_points
from fitcheck.makeable.piece import Piece
from fitcheck.model.shape import Point2
from fitcheck.report.workshop.origin import Origin
from fitcheck.report.workshop.shop_words import (
    NOT_STATED,
    curve_words,
    finish_words,
    flat_words,
    settle_words,
    size_words,
)

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

CUT, CHECK, TEXT, MARK = "CUT", "SCALE_CHECK", "TEXT", "MARK"
LAYERS = ((CUT, 7, True), (CHECK, 3, False), (TEXT, 6, False), (MARK, 4, True))
"""(name, colour number, whether it is plotted)"""

LETTERS = 100
"""The longest line of text."""

APART_MM = 20.0
LARGE_MM = 100.0
SQUARES = (100.0, 20.0)
"""Side of the scale-check square, for pieces of at least LARGE_MM and for smaller ones."""


def render(piece: Piece, origin: Origin, *, drawing: str = "") -> bytes:
    """The whole file; equal pieces give equal bytes. `drawing` is the path of the drawing that goes with it."""
    with _no_dates():
        document = _new(LAYERS if piece.labels else LAYERS[:-1])
        space = document.modelspace()
        for contour in (piece.outline, *(opening.contour for opening in piece.openings)):
            _contour(space, contour)
        _square(space, piece)
        _words(space, piece, origin, drawing)
        for label in piece.labels:
            entity = space.add_text(_as_written(label.text), height=label.height, dxfattribs={"layer": MARK})
            entity.set_placement(label.at)
        _extents(document, piece)
        text = io.StringIO()
        document.write(text)
    return document.encode(text.getvalue())


@contextmanager
def _no_dates() -> Iterator[None]:
    """Without the dates and random identities that the library would write."""
    import ezdxf

    options = ezdxf.options  # type: ignore[attr-defined]  # its documented name, though the package lists no exports
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def square_side(piece: Piece) -> float:
    return SQUARES[0] if max(piece.size) >= LARGE_MM else SQUARES[1]


def square_corner(piece: Piece) -> Point2:
    """Low corner of the scale-check square: to the right of the piece, clear of it."""
    return piece.size[0] + APART_MM, 0.0


def _new(layers: Sequence[tuple[str, int, bool]]) -> Drawing:
    from ezdxf.filemanagement import new

    document = new("R2010", units=4)
    document.header["$INSUNITS"] = 4
    document.header["$MEASUREMENT"] = 1
    document.header["$LUNITS"] = 2
    for name, colour, plotted in layers:
        document.layers.add(name, color=colour).dxf.plot = int(plotted)
    return document


def _contour(space: Modelspace, contour: Contour) -> None:
    if isinstance(contour, Round):
        space.add_circle(contour.centre, contour.diameter / 2.0, dxfattribs={"layer": CUT})
    else:
        corners = [(*span.start, span.bulge) for span in spans_of(contour)]
        space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": CUT})


LETTER_WIDTH = 0.9
"""About how wide a letter of a line font is, as a share of its height; for the extents of the drawing only."""


def _extents(document: Drawing, piece: Piece) -> None:
    """From where to where the drawing reaches: programs zoom to it when they open the file."""
    space, side, (x, y) = document.modelspace(), square_side(piece), square_corner(piece)
    points = [*box_of(piece.outline), (x, y), (x + side, y + side)]
    for entity in space.query("TEXT"):
        (x, y, _), tall = entity.dxf.insert, entity.dxf.height
        points += [(x, y - 0.3 * tall), (x + LETTER_WIDTH * tall * len(entity.dxf.text), y + tall)]
    low, high = box_of_points(points)
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
    space.reset_extents((*low, 0.0), (*high, 0.0))
    space.reset_limits(low, high)


def _square(space: Modelspace, piece: Piece) -> None:
    side, (x, y) = square_side(piece), square_corner(piece)
    corners = ((x, y), (x + side, y), (x + side, y + side), (x, y + side))
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": CHECK})
    text = space.add_text(f"{side:g} mm, do not cut", height=side / 16.0, dxfattribs={"layer": CHECK})
    text.set_placement((x + side / 16.0, y + side / 16.0))


def _words(space: Modelspace, piece: Piece, origin: Origin, drawing: str) -> None:
    """What the shop must know, beneath the piece."""
    height = min(max(max(piece.size) / 60.0, 2.0), 10.0)
    low = box_of(piece.outline)[0][1] - APART_MM
    # The first line is what a shop looks for, so it is never broken.
    headline = (
        f"{piece.name} | QUANTITY {piece.quantity} | MATERIAL {piece.material or NOT_STATED} | "
        f"THICKNESS {piece.thickness.nominal:g} mm"
    )
    wrapped = [line for text in _sentences(piece, origin, drawing) for line in textwrap.wrap(text, LETTERS)]
    for number, line in enumerate([headline, *wrapped]):
        entity = space.add_text(_as_written(line), height=height, dxfattribs={"layer": TEXT})
        entity.set_placement((0.0, low - 1.8 * height * number))


def _sentences(piece: Piece, origin: Origin, drawing: str) -> Iterator[str]:
    yield (
        f"Millimetres, 1:1. Cut layer {CUT} only; {CHECK} and {TEXT} are to be read, not cut"
        + (f"; {MARK} is to be engraved or written" if piece.labels else "")
        + "."
    )
    for text in (*flat_words(piece), f"Sizes {size_words(piece, origin)}", *finish_words(piece)):
        yield f"{text}."
    for text in filter(None, (piece.stack, *curve_words(piece), *piece.says)):
        yield f"{text[0].upper()}{text[1:]}."
    for text in settle_words(piece, with_sources=False):
        yield f"SETTLE FIRST: {text}."
    with_it = f"Drawing: {drawing}. " if drawing else ""
    yield f"{with_it}From {origin.layout_file}, SHA-256 {origin.sha256[:12]}, made on {origin.made_on}."


def _as_written(text: str) -> str:
    """Without what a reader of the file would take for a control code: "%%d" would show as a degree sign. Signs that
    the line fonts of drawing programs lack are written as those fonts have them.
    """
    plain = "".join(letter if letter.isprintable() else " " for letter in text)
    plain = plain.replace("%%", "% %").replace("^", "^ ")
    return plain.replace("–", "-").replace("⌀", "%%c")
