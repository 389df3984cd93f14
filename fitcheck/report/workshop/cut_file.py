"""A cut file: DXF R2010 in mm, full size, closed contours, one layer to be cut."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from fitcheck.makeable.contour import Contour, Round, box_of, ring_of
from fitcheck.makeable.piece import Piece
from fitcheck.model.shape import Point2

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

CUT, CHECK, TEXT, MARK = "CUT", "SCALE_CHECK", "TEXT", "MARK"
LAYERS = ((CUT, 7, True), (CHECK, 3, False), (TEXT, 5, False), (MARK, 4, True))
"""(name, colour number, whether it is plotted)"""

APART_MM = 20.0
LARGE_MM = 100.0
SQUARES = (100.0, 20.0)
"""Side of the scale-check square, for pieces of at least LARGE_MM and for smaller ones."""


def render(piece: Piece, *, layout_file: str, sha256: str) -> bytes:
    """The whole file; equal pieces give equal bytes."""
    with _no_dates():
        document = _new(LAYERS if piece.labels else LAYERS[:-1])
        space = document.modelspace()
        for contour in (piece.outline, *(opening.contour for opening in piece.openings)):
            _contour(space, contour)
        _square(space, piece)
        _words(space, piece, layout_file, sha256)
        for label in piece.labels:
            entity = space.add_text(label.text, height=label.height, dxfattribs={"layer": MARK})
            entity.set_placement(label.at)
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
        space.add_lwpolyline(ring_of(contour), close=True, dxfattribs={"layer": CUT})


def _square(space: Modelspace, piece: Piece) -> None:
    side, (x, y) = square_side(piece), square_corner(piece)
    corners = ((x, y), (x + side, y), (x + side, y + side), (x, y + side))
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": CHECK})
    text = space.add_text(f"{side:g} mm, do not cut", height=side / 16.0, dxfattribs={"layer": CHECK})
    text.set_placement((x + side / 16.0, y + side / 16.0))


def _words(space: Modelspace, piece: Piece, layout_file: str, sha256: str) -> None:
    """What the shop must know, beneath the piece."""
    height = min(max(max(piece.size) / 60.0, 2.0), 10.0)
    low = box_of(piece.outline)[0][1] - APART_MM
    lines = [
        (
            f"{piece.name}    QUANTITY {piece.quantity}    MATERIAL {piece.material or 'not stated'}    "
            f"THICKNESS {piece.thickness.nominal:g} mm"
        ),
        f"cut layer {CUT} only, millimetres, 1:1" + (f"; {MARK} is for engraving or a pen" if piece.labels else ""),
        f"from {layout_file}, sha256 {sha256[:12]}",
    ]
    for number, line in enumerate(lines):
        plain = "".join(letter if letter.isprintable() else " " for letter in line)
        entity = space.add_text(plain, height=height, dxfattribs={"layer": TEXT})
        entity.set_placement((0.0, low - 1.8 * height * number))
