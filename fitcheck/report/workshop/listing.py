"""The list that goes with the files: what to make of what, how often, and what to settle first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitcheck.makeable.dummy import CLEARANCE_MM
from fitcheck.makeable.piece import Joined, Piece
from fitcheck.makeable.worklist import NO_TOLERANCE, Worklist
from fitcheck.report.workshop.dimensions import number, with_band
from fitcheck.report.workshop.names import Stems
from fitcheck.report.workshop.origin import Origin
from fitcheck.report.workshop.shop_words import CHECKED_BY, NOT_STATED, SETTLE, care_words, curve_words

WIDTH = 110

CUT_WORDS = (
    "Cut files are DXF R2010 in millimetres, 1:1, one file for each kind of piece, which is drawn once; its name says "
    "how often to cut it, of what, and how thick; where two parts' names would make the same file, -no2 stands behind "
    "the second. Contours have no allowance for the width of the cut. Cut layer CUT "
    "only: the square on layer SCALE_CHECK has the side that is written in it, layer TEXT answers what a shop asks, "
    "and what stands on layer MARK is to be engraved or written with a pen. What has a cut file is flat, without "
    "bends, threads or countersinks."
)

DUMMY_WORDS = (
    "Dummy module, for a dry fit before modules are moved: cut all panels of one kit from the sheet that is named, "
    "slide the crosswise panels down over the lengthwise ones, press the plates `bottom` and `top` onto the tabs. "
    "Slots suit a sheet as thick as stated, with {clearance:g} mm to spare: measure the sheet first. "
    "A laser leaves their corners sharp; after a router, file them out. "
    "Measure the outside before use; it shows the size of the module, not its weight, and carries none."
)

GAUGE_WORDS = (
    "Gauges go between parts by hand: long end must enter, short end must not. They are to be of a sheet that does not "
    "conduct, milled or cut by water jet, for a laser chars the edge; never use a metal one near live parts."
)


def render(work: Worklist, stems: Stems, origin: Origin, without: Sequence[str]) -> str:
    """`without` says which kinds of file are missing."""
    lines = [
        f"{origin.title}",
        f"from {origin.layout_file}, SHA-256 {origin.sha256}, made on {origin.made_on}",
        "",
        *_wrapped(f"{SETTLE}, for every part: {CHECKED_BY[0].lower()}{CHECKED_BY[1:]}."),
        "",
        *_wrapped(CUT_WORDS),
    ]
    named = list(zip(work.pieces, stems.pieces, strict=True))
    for kind, heading, words in (
        ("part", "Parts", ""),
        ("gauge", "Gauges", GAUGE_WORDS),
        ("dummy", "Dummy module", DUMMY_WORDS.format(clearance=CLEARANCE_MM)),
    ):
        chosen = [(piece, stem) for piece, stem in named if piece.kind == kind]
        if chosen or (kind == "part" and work.joined):
            lines += ["", heading, "-" * len(heading), *(_wrapped(words) if words else ())]
        said: tuple[str, ...] = ()
        for piece, stem in chosen:
            if kind == "dummy" and piece.says != said:
                said = piece.says
                lines += ["", *(line for text in said for line in _wrapped(f"{text[0].upper()}{text[1:]}."))]
            lines += _piece_lines(piece, stem)
        if kind == "part":
            for part, stem in zip(work.joined, stems.joined, strict=True):
                lines += _joined_lines(part, stem)
                if not work.general:
                    lines += _wrapped(f"{SETTLE}: {NO_TOLERANCE.text}", "    ")
    if work.skipped or without:
        lines += ["", "Not made", "--------"]
        for text in (*work.skipped, *without):
            lines += _wrapped(text)
    return "\n".join(lines) + "\n"


def _piece_lines(piece: Piece, stem: str) -> Iterator[str]:
    yield ""
    yield f"{piece.quantity} × {piece.name}: {_material(piece)}, {_size(piece)}"
    yield f"    files {stem}"
    if piece.kind == "dummy":
        return
    parts = f"for {', '.join(piece.of_parts)}" if piece.of_parts != (piece.name,) else ""
    says = [parts, piece.stack, *curve_words(piece), *piece.says]
    for text in filter(None, says):
        yield from _wrapped(text, "    ")
    if piece.kind == "gauge":
        return
    yield from _wrapped(care_words(piece), "    ")
    for remark in piece.remarks:
        yield from _wrapped(f"{SETTLE}: {remark.text}. Source: {remark.source}", "    ")


def _material(made: Piece | Joined) -> str:
    return made.material or f"MATERIAL {NOT_STATED}"


def _size(piece: Piece) -> str:
    sizes = f"{number(max(piece.size))} × {number(min(piece.size))}, {piece.measure} {with_band(piece.thickness)} mm"
    return sizes if piece.is_flat else f"{sizes}; sawn or turned, no cut file"


def _joined_lines(part: Joined, stem: str) -> Iterator[str]:
    yield ""
    yield f"{part.quantity} × {part.part}: {_material(part)}; no cut file"
    yield f"    files {stem}"
    parts = f"for {', '.join(part.of_parts)}" if part.quantity > 1 else ""
    for text in filter(None, (parts, part.why, *part.says, care_words(part))):
        yield from _wrapped(text, "    ")


def _wrapped(text: str, indent: str = "") -> list[str]:
    import textwrap

    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)
