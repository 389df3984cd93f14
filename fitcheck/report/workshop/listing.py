"""The list that goes with the files: what to make of what, how often, and what to settle first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fitcheck.makeable.dummy import CLEARANCE_MM
from fitcheck.makeable.piece import Joined, Piece
from fitcheck.makeable.worklist import Worklist
from fitcheck.report.workshop.dimensions import number, with_band
from fitcheck.report.workshop.drawing import CARE, Origin

WIDTH = 110

CUT_WORDS = (
    "Cut files are DXF R2010 in millimetres, 1:1, with no allowance for the width of the cut. Cut layer CUT only; the "
    "square on layer SCALE_CHECK has the side that is written in it, and layer TEXT repeats quantity, material and "
    "thickness."
)

DUMMY_WORDS = (
    "Dummy module, for a dry fit before modules are moved: cut all panels of one kit from the sheet that is named, "
    "slide the crosswise panels down over the lengthwise ones, press the plates `bottom` and `top` onto the tabs. "
    "Slots suit a sheet as thick as stated, with {clearance:g} mm to spare: measure the sheet first. "
    "Measure the outside before use; it shows the size of the module, not its weight, and carries none."
)

GAUGE_WORDS = (
    "Gauges go between parts by hand: long end must enter, short end must not. They are to be of a sheet that does not "
    "conduct, milled or cut by water jet, for a laser chars the edge; never use a metal one near live parts."
)


def render(work: Worklist, stems: Mapping[int, str], origin: Origin, without: Sequence[str]) -> str:
    """`stems` gives the file name of each piece by its number; `without` says which kinds of file are missing."""
    lines = [
        f"{origin.title}",
        f"from {origin.layout_file}, SHA-256 {origin.sha256}, made on {origin.made_on}",
        "",
        "CHECK EACH SIZE AGAINST THE PART BEFORE CUTTING.",
        "",
        *_wrapped(CUT_WORDS),
    ]
    numbered = list(enumerate(work.pieces))
    for kind, heading, words in (
        ("part", "Parts", ""),
        ("gauge", "Gauges", GAUGE_WORDS),
        ("dummy", "Dummy module", DUMMY_WORDS.format(clearance=CLEARANCE_MM)),
    ):
        chosen = [(index, piece) for index, piece in numbered if piece.kind == kind]
        if chosen or (kind == "part" and work.joined):
            lines += ["", heading, "-" * len(heading), *(_wrapped(words) if words else ())]
        for index, piece in chosen:
            lines += _piece_lines(piece, stems[index])
        if kind == "part":
            for part in work.joined:
                lines += _joined_lines(part)
    if work.skipped or without:
        lines += ["", "Not made", "--------"]
        for text in (*work.skipped, *without):
            lines += _wrapped(text)
    return "\n".join(lines) + "\n"


def _piece_lines(piece: Piece, stem: str) -> Iterator[str]:
    yield ""
    yield f"{piece.quantity} × {piece.name}: {piece.material or 'MATERIAL NOT STATED'}, {_size(piece)}"
    yield f"    files {stem}"
    if piece.kind == "dummy":
        return
    says = [f"for {', '.join(piece.of_parts)}", piece.stack, *piece.says]
    for text in filter(None, says):
        yield from _wrapped(text, "    ")
    if piece.kind == "gauge":
        return
    yield from _wrapped(CARE[piece.is_metal], "    ")
    for remark in piece.remarks:
        yield from _wrapped(f"settle: {remark.text}. Source: {remark.source}", "    ")


def _size(piece: Piece) -> str:
    sizes = f"{number(piece.size[0])} × {number(piece.size[1])}, {piece.measure} {with_band(piece.thickness)} mm"
    return sizes if piece.is_flat else f"{sizes}; sawn or turned, no cut file"


def _joined_lines(part: Joined) -> Iterator[str]:
    yield ""
    yield f"1 × {part.part}: {part.material or 'MATERIAL NOT STATED'}; no cut file"
    for text in (part.why, *part.says, CARE[part.is_metal]):
        yield from _wrapped(text, "    ")


def _wrapped(text: str, indent: str = "") -> list[str]:
    import textwrap

    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)
