"""The frame of a drawing: border, title block in five rows, column for notes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.report.workshop.origin import Origin
from fitcheck.report.workshop.paper import QUIET, SHEETS, Paper

EDGE = 8.0
ROW = 8.4
BLOCK = 5.0 * ROW
NOTES = 76.0
SIGN_HERE = "sizes checked against the part before cutting, by who ordered: name, date"


@dataclass(frozen=True, slots=True, kw_only=True)
class Title:
    """What the block says. `pages` is "1 of 2"; `scale` as written, such as "1:5". `measure` is what `thickness` is:
    that, or the length of a bar. `number` is the drawing's own, `cut_file` the path of the cut file that goes with it,
    "" where there is none. `tolerance` goes for sizes that have none. `is_checked` is True where somebody has a part to
    check the sizes against.
    """

    origin: Origin
    part: str
    material: str
    thickness: str
    measure: str
    quantity: str
    scale: str
    sheet: str
    pages: str
    tolerance: str
    number: str = ""
    cut_file: str = ""
    is_checked: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """The free area for views, mm on paper."""

    x: float
    y: float
    width: float
    height: float


def field_of(sheet: str) -> Field:
    width, height = SHEETS[sheet]
    return Field(x=EDGE, y=EDGE + BLOCK, width=width - 2.0 * EDGE - NOTES, height=height - 2.0 * EDGE - BLOCK)


def draw_frame(paper: Paper, title: Title) -> None:
    """Begin a page with its border, its block, and the line of the notes' column."""
    width, height = SHEETS[title.sheet]
    origin = title.origin
    paper.page(width, height)
    paper.box(EDGE, EDGE, width - 2.0 * EDGE, height - 2.0 * EDGE, "frame")
    free = field_of(title.sheet)
    paper.line([(free.x + free.width, free.y), (free.x + free.width, free.y + free.height)], "thin")
    rows: list[list[tuple[str, str, float]]] = [
        [("part", title.part, 5.0), ("quantity", title.quantity, 1.3), ("made on", origin.made_on, 2.0)],
        [
            ("material", title.material, 3.5),
            (f"{title.measure}, mm", title.thickness, 3.0),
            ("scale", title.scale, 1.0),
            ("sheet", f"{title.sheet}, {title.pages}", 1.6),
        ],
        [("for", origin.title, 5.0), ("sizes in mm; tolerance where none is given", title.tolerance, 4.0)],
        [
            ("drawing number", title.number, 3.6),
            ("cut file", title.cut_file or "none", 3.8),
            ("layout file and its SHA-256", f"{origin.layout_file}   {origin.sha256[:12]}", 3.0),
        ],
        [
            ("ordered by (workshop)", "", 3.0),
            ("contact: name, telephone or mail", "", 3.0),
            (SIGN_HERE if title.is_checked else "remarks", "", 4.4),
        ],
    ]
    for number, row in enumerate(rows):
        _row(paper, EDGE + BLOCK - ROW * (number + 1), width - 2.0 * EDGE, row, is_top=number == 0)


def _row(paper: Paper, y: float, width: float, cells: Sequence[tuple[str, str, float]], *, is_top: bool) -> None:
    paper.line([(EDGE, y + ROW), (EDGE + width, y + ROW)], "frame" if is_top else "thin")
    x, whole = EDGE, sum(share for _, _, share in cells)
    for number, (label, value, share) in enumerate(cells):
        wide = width * share / whole
        if number:
            paper.line([(x, y), (x, y + ROW)], "thin")
        bold = is_top
        shown, size = paper.fitted(value, wide - 3.0, 3.6 if is_top else 3.0, bold=bold)
        paper.text((x + 1.5, y + 1.9), shown, size, bold=bold)
        paper.text((x + 1.5, y + ROW - 2.6), label, 2.2, ink=QUIET)
        x += wide


Block = tuple[str, str]
"""(style, text) of one note: "head", "row" or "text"."""

_STYLES = {"head": (2.9, True, 2.2), "row": (2.5, False, 0.3), "text": (2.4, False, 0.9)}
"""Letter height, whether bold, and space before it, in mm."""


class Notes:
    """Text set from the top of a column down to `foot`, mm on paper."""

    def __init__(self, paper: Paper, x: float, top: float, width: float, foot: float) -> None:
        self.paper, self.x, self.top, self.width, self.foot = paper, x, top, width, foot

    def split(self, blocks: Sequence[Block]) -> tuple[list[Block], list[Block]]:
        """The blocks that one column holds, and the rest. A heading stays with what it heads; only a block that no
        column of this width holds is broken, and something is always held.
        """
        room, held = self.top - self.foot, 0
        for style, text in blocks:
            tall = self._height(style, text)
            if tall > room:
                break
            room -= tall
            held += 1
        if held == len(blocks):
            return list(blocks), []
        style, text = blocks[held]
        if self._height(style, text) > self.top - self.foot:
            start, end = self._broken(style, text, room, must=held == 0)
            if start:
                return [*blocks[:held], (style, start)], [(style, end), *blocks[held + 1 :]]
        if held > 1 and blocks[held - 1][0] == "head":
            held -= 1
        return list(blocks[:held]), list(blocks[held:])

    def _height(self, style: str, text: str) -> float:
        size, _, before = _STYLES[style]
        return before + 1.35 * size * len(self._lines(style, text))

    def _broken(self, style: str, text: str, room: float, *, must: bool) -> tuple[str, str]:
        """As many words as the room holds, and the rest; at least one word where `must` is set."""
        words = text.split()
        low, high = int(must), len(words) - 1
        while low < high:
            middle = (low + high + 1) // 2
            if self._height(style, " ".join(words[:middle])) <= room:
                low = middle
            else:
                high = middle - 1
        return " ".join(words[:low]), " ".join(words[low:])

    def set(self, blocks: Sequence[Block]) -> None:
        y = self.top
        for style, text in blocks:
            size, bold, before = _STYLES[style]
            y -= before
            for line in self._lines(style, text):
                y -= 1.35 * size
                self.paper.text((self.x, y + 0.3 * size), line, size, bold=bold)

    def _lines(self, style: str, text: str) -> list[str]:
        size, bold, _ = _STYLES[style]
        return list(self.paper.wrapped(text, self.width, size, bold=bold))
