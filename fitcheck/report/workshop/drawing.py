"""The dimensioned drawing of a piece: its face, its edge, sizes, openings from the datum, notes for the shop."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from fitcheck.makeable.arcs import Span, curve_sides, is_smooth, spans_of
from fitcheck.makeable.contour import Contour, Loop, Round, box_of
from fitcheck.makeable.laser import hole_name
from fitcheck.makeable.piece import WAYS, Piece
from fitcheck.model.shape import Point2
from fitcheck.report.workshop.dimensions import (
    APART,
    MOST_RUNNING,
    level,
    number,
    plumb,
    with_band,
)
from fitcheck.report.workshop.face import PaperFrame, draw_face
from fitcheck.report.workshop.origin import Origin
from fitcheck.report.workshop.paper import SHEETS, Paper
from fitcheck.report.workshop.shop_words import (
    NOT_STATED,
    SETTLE,
    care_words,
    curve_words,
    finish_words,
    flat_words,
    settle_words,
    some_of,
    tolerance_words,
)
from fitcheck.report.workshop.title_block import EDGE, NOTES, Block, Field, Notes, Title, draw_frame, field_of

SCALES = ((2, 1), (1, 1), (1, 2), (1, 5), (1, 10), (1, 20), (1, 50), (1, 100))
"""The recommended scales of ISO 5455 that a workshop drawing needs; from memory."""

SMALL_ENOUGH = (1, 5)
"""A drawing smaller than this goes on the larger sheet, if that makes it larger."""

LEFT, BELOW, RIGHT, ABOVE, BETWEEN = 28.0, 30.0, 9.0, 9.0, 20.0


def fit(width: float, height: float, depth: float) -> tuple[str, tuple[int, int]]:
    """The sheet and the standard scale for a face of that size with an edge view beside it, all in mm."""
    choices = [(sheet, _largest_scale(field_of(sheet), width, height, depth)) for sheet in ("A4", "A3")]
    (small, on_small), (large, on_large) = choices
    if _value(on_small) >= _value(SMALL_ENOUGH) or _value(on_large) <= _value(on_small):
        return small, on_small
    return large, on_large


def _value(scale: tuple[int, int]) -> float:
    return scale[0] / scale[1]


def _largest_scale(free: Field, width: float, height: float, depth: float) -> tuple[int, int]:
    across, up = free.width - LEFT - RIGHT - BETWEEN, free.height - BELOW - ABOVE
    for scale in SCALES:
        if (width + depth) * _value(scale) <= across and height * _value(scale) <= up:
            return scale
    return SCALES[-1]


def draw(paper: Paper, piece: Piece, origin: Origin, *, number: str = "", cut_file: str = "") -> None:
    """One page, and more where the notes need them. `number` is the drawing's own; `cut_file` the path of the file that
    goes with it, "" where there is none.
    """
    width, height = piece.size
    depth = piece.thickness.nominal
    sheet, scale = fit(width, height, depth)
    blocks = _blocks(piece)
    title = replace(_title(piece, origin, sheet, f"{scale[0]}:{scale[1]}"), number=number, cut_file=cut_file)
    notes_page(paper, title, blocks, lambda: _views(paper, piece, field_of(sheet), _value(scale)))


def notes_page(paper: Paper, title: Title, blocks: Sequence[Block], views: Callable[[], None]) -> None:
    """The views with the notes in their column; what does not fit goes on further pages with the same block."""
    wide, high = SHEETS[title.sheet]
    free = field_of(title.sheet)
    top, foot = high - EDGE - 1.0, free.y + 2.0
    narrow = Notes(paper, wide - EDGE - NOTES + 3.0, top, NOTES - 6.0, foot)
    broad = Notes(paper, free.x + 3.0, top, free.width - 6.0, foot)
    first, rest = narrow.split(blocks)
    later = []
    while rest:
        page, rest = broad.split(rest)
        later.append(page)
    for number_, page in enumerate([first, *later]):
        draw_frame(paper, replace(title, pages=f"page {number_ + 1} of {1 + len(later)}"))
        if number_ == 0:
            views()
        (narrow if number_ == 0 else broad).set(page)


def _title(piece: Piece, origin: Origin, sheet: str, scale: str) -> Title:
    return Title(
        origin=origin,
        part=piece.name,
        material=piece.material or NOT_STATED,
        thickness=with_band(piece.thickness),
        measure=piece.measure,
        quantity=str(piece.quantity),
        scale=scale,
        sheet=sheet,
        pages="",
        tolerance=tolerance_words(piece, origin),
        is_checked=piece.kind == "part",
    )


def _views(paper: Paper, piece: Piece, free: Field, scale: float) -> None:
    width, height = (side * scale for side in piece.size)
    depth = piece.thickness.nominal * scale
    spare = free.width - LEFT - RIGHT - BETWEEN - width - depth
    x = free.x + LEFT + max(0.0, spare) / 2.0
    y = free.y + BELOW + max(0.0, free.height - BELOW - ABOVE - height) / 2.0
    at: PaperFrame = ((x, y), scale)
    draw_face(paper, piece, at)
    _sizes(paper, piece, at)
    _edge_view(paper, piece, (x + width + BETWEEN, y), scale)


def datum(piece: Piece) -> Point2:
    """Where running sizes count from: the low corner, or the centre of a round piece."""
    return piece.outline.centre if isinstance(piece.outline, Round) else (0.0, 0.0)


def running_values(piece: Piece, axis: int) -> list[float]:
    """What is measured from the datum along one axis of the face, ascending; not the overall size, nor the datum."""
    zero = datum(piece)[axis]
    found: set[float] = set()
    contours: list[Contour] = [opening.contour for opening in piece.openings]
    if isinstance(piece.outline, Loop):
        contours.append(piece.outline)
    for contour in contours:
        if isinstance(contour, Round):
            found.add(round(contour.centre[axis] - zero, 3))
        else:
            found |= {round(span.start[axis] - zero, 3) for span in dimensioned(contour)}
    said = {0.0} if isinstance(piece.outline, Round) else {0.0, round(piece.size[axis], 3)}
    return sorted(found - said)


def dimensioned(loop: Loop) -> list[Span]:
    """The spans of a ring whose starts are given a size: not those that lie within a free curve."""
    spans = spans_of(loop)
    _, off = curve_sides(loop)
    if not off:
        return list(spans)
    before = (spans[-1], *spans)
    return [span for one, span in zip(before, spans, strict=False) if not is_smooth(one, span)]


def _has_room(piece: Piece, axis: int, scale: float) -> bool:
    values = running_values(piece, axis)
    return 0 < len(values) <= MOST_RUNNING and len(values) * APART <= piece.size[axis] * scale + 6.0 * APART


def _sizes(paper: Paper, piece: Piece, frame: PaperFrame) -> None:
    (x, y), scale = frame
    sign = "⌀" if isinstance(piece.outline, Round) else ""
    zero = datum(piece)
    rulers = ((level(paper), x, y, piece.width), (plumb(paper), y, x, piece.height))
    for axis, (ruler, start, edge, overall) in enumerate(rulers):
        across = edge - 9.0
        if _has_room(piece, axis, scale):
            ruler.running(start + zero[axis] * scale, scale, running_values(piece, axis), edge - 6.0, edge)
            across = edge - 22.0
        if axis == 0 or not sign:
            ruler.overall(start, start + piece.size[axis] * scale, across, edge, with_band(overall, sign))


def _edge_view(paper: Paper, piece: Piece, at: Point2, scale: float) -> None:
    """The piece seen along its face from the right, with the steps of its outline that show."""
    depth, height = piece.thickness.nominal * scale, piece.size[1] * scale
    paper.box(*at, depth, height, "outline")
    for step in visible_steps(piece):
        y = at[1] + step * scale
        paper.line([(at[0], y), (at[0] + depth, y)], "edge")
    if isinstance(piece.outline, Round):
        middle = at[1] + height / 2.0
        paper.line([(at[0] - 2.0, middle), (at[0] + depth + 2.0, middle)], "centre")
    name = "t " if piece.is_flat else ""
    level(paper).overall(at[0], at[0] + depth, at[1] - 9.0, at[1], name + with_band(piece.thickness))
    paper.text(
        (at[0] + depth / 2.0, at[1] + height + 2.5),
        f"{'edge' if piece.is_flat else 'side'}, from the right",
        2.3,
        anchor="middle",
    )


EDGE_TURN = math.radians(20.0)
"""A contour that turns by less in a corner is a curve there, and shows no edge."""


def visible_steps(piece: Piece) -> list[float]:
    """Heights at which an edge of the outline, or the rim of a bulge, shows as a line when seen from the right."""
    if isinstance(piece.outline, Round):
        return []
    corners = piece.outline.corners
    top = piece.size[1]
    found = set()
    for before, (x, y), after in zip((corners[-1], *corners), corners, (*corners[1:], corners[0]), strict=False):
        turn = math.atan2(after[1] - y, after[0] - x) - math.atan2(y - before[1], x - before[0])
        is_edge = abs(math.remainder(turn, 2.0 * math.pi)) > EDGE_TURN or (y - before[1]) * (after[1] - y) < 0.0
        if not is_edge or not 1e-6 < y < top - 1e-6:
            continue
        if x >= min(_rightmost(corners, y + 1e-4), _rightmost(corners, y - 1e-4)) - 1e-3:
            found.add(round(y, 4))
    return sorted(found)


def _rightmost(corners: Sequence[Point2], y: float) -> float:
    hits = [
        x1 + (x2 - x1) * (y - y1) / (y2 - y1)
        for (x1, y1), (x2, y2) in zip(corners, (*corners[1:], corners[0]), strict=True)
        if (y1 > y) != (y2 > y)
    ]
    return max(hits, default=float("-inf"))


# --- notes ------------------------------------------------------------------------------------------------------------


def _blocks(piece: Piece) -> list[Block]:
    blocks: list[Block] = []
    if piece.openings:
        where = "from the centre" if isinstance(piece.outline, Round) else "from corner 0"
        blocks.append(("head", f"Openings, right through, x and y {where}"))
        blocks += [("row", opening_row(piece, index)) for index in range(len(piece.openings))]
    blocks.append(("head", "To make"))
    blocks += [("text", text) for text in _to_make(piece)]
    settle = list(settle_words(piece))
    if settle:
        blocks += [("head", SETTLE), *(("text", f"{text}.") for text in settle)]
    return blocks


def opening_row(piece: Piece, index: int) -> str:
    """One line of the table: name, size, place, and what it is for."""
    opening, zero = piece.openings[index], datum(piece)
    contour = opening.contour
    if isinstance(contour, Round):
        size = f"⌀{number(contour.diameter)}"
        x, y = contour.centre
    else:
        low, high = box_of(contour)
        size = f"{number(high[0] - low[0])} × {number(high[1] - low[1])}"
        size += "" if is_rectangle(contour) else " (as drawn)"
        x, y = low
    place = f"x {number(x - zero[0])}, y {number(y - zero[1])}"
    what = "" if isinstance(contour, Round) else "low corner "
    return f"{hole_name(index)}: {size} at {what}{place}" + (f"; {opening.says}" if opening.says else "")


def is_rectangle(loop: Loop) -> bool:
    low, high = box_of(loop)
    wanted = {(x, y) for x in (low[0], high[0]) for y in (low[1], high[1])}
    return len(loop.corners) == 4 and set(loop.corners) == wanted


def _to_make(piece: Piece) -> list[str]:
    says = [f"For {some_of(piece.of_parts)}."] if piece.of_parts not in ((), (piece.name,)) else []
    if piece.stack:
        says.append(f"{piece.stack[0].upper()}{piece.stack[1:]}.")
    if piece.is_flat:
        says += [f"{text}." for text in flat_words(piece)]
    if piece.lies:
        x, y = (WAYS.get(word, word) for word in piece.lies)
        says.append(f"Built in, x of this drawing runs {x} in the vehicle, y {y}.")
    if not piece.is_flat:
        says.append("Longer than it is wide: saw, turn or fold it; no cut file is made.")
    says += [f"{text}." for text in finish_words(piece)]
    says.append(care_words(piece))
    says += [f"{text[0].upper()}{text[1:]}." for text in (*curve_words(piece), *piece.says)]
    general = [value for value in (piece.width, piece.height, piece.thickness) if value.basis.startswith("ISO 2768")]
    if general:
        sizes = dict.fromkeys(f"{number(value.nominal)} ±{number(value.above)}" for value in general)
        says.append(f"By {general[0].basis}: {', '.join(sizes)}.")
    return says
