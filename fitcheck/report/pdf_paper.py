"""A4 pages being filled from the top: text, tables and pictures flow from one page to the next."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

from fitcheck.report.pdf_letters import as_seen, drawable, register

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

PT = 72.0 / 25.4
PAGE = (210.0, 297.0)
EDGE = 15.0
FULL = PAGE[0] - 2.0 * EDGE
_TOP = 14.0
_FOOT = 282.0
"""Nothing but the page's own foot stands below this."""

_TALLEST = _FOOT - _TOP - 12.0
_OVER = 1.5
"""Left free over a picture."""
_SQUEEZED = 0.94
"""So much of its size is enough for a picture that then need not go to the next page."""

_LINE = 1.28
_CELL = 0.9

COLOURS = {
    "ink": "#1c2229", "quiet": "#4d5660", "faint": "#8b95a0", "rule": "#c9ccd0", "back": "#eceae4", "bar": "#4f7396",
    "wrong": "#e4dccf",
}  # fmt: skip

_WHOLE = "whole"
"""The drawing of how many pages there are: used on each page, made when the last is full."""
_WHOLE_AT = PAGE[0] - EDGE - 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """`width` in mm. A drawn column calls its cell with the left, the top and the width of the room it has."""

    head: str
    width: float
    right: bool = False
    bold: bool = False


Draw = Callable[[float, float, float], None]
CellOf = str | Draw


class Paper:
    """One file. Lengths in mm, `y` the distance from the top edge; what is set moves `y` down, and a page is turned
    when it is full. `foot` stands at the foot of each page, beside its number.
    """

    def __init__(self, *, title: str, foot: str) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self._fonts = register("study")
        self._bytes = BytesIO()
        self._canvas: Canvas = Canvas(
            self._bytes, pagesize=(PAGE[0] * PT, PAGE[1] * PT), invariant=1, pageCompression=1, lang="en"
        )
        self._canvas.setTitle(title)
        self._foot = foot
        self._number = 1
        self.y = _TOP

    # --- pages --------------------------------------------------------------------------------------------------------

    def turn(self) -> None:
        """A new page."""
        self._close()
        self._canvas.showPage()
        self._number += 1
        self.y = _TOP

    def need(self, height: float) -> None:
        """Turn the page unless so much room is left on it."""
        if self.y + height > _FOOT and self.y > _TOP:
            self.turn()

    def finished(self) -> bytes:
        """The whole file, each page numbered "page n of m"."""
        self._close()
        self._canvas.beginForm(_WHOLE)
        self.words(str(self._number), _WHOLE_AT, _FOOT + 5.0, 2.3, colour="quiet")
        self._canvas.endForm()
        self._canvas.showPage()
        self._canvas.save()
        return self._bytes.getvalue()

    def _close(self) -> None:
        self.path([(EDGE, _FOOT + 1.5), (EDGE + FULL, _FOOT + 1.5)], line="rule", width=0.2)
        self.words(self._shortened(self._foot, 2.3, FULL - 26.0), EDGE, _FOOT + 5.0, 2.3, colour="quiet")
        told = f"page {self._number} of"
        self.words(told, _WHOLE_AT - 0.8 - self.wide(told, 2.3), _FOOT + 5.0, 2.3, colour="quiet")
        self._canvas.doForm(_WHOLE)

    # --- what flows ---------------------------------------------------------------------------------------------------

    def heading(self, text: str, *, room: float = 30.0) -> None:
        """A heading that is also a bookmark; it is not left alone at the foot of a page."""
        self.need(room)
        self.y += 3.0
        key = f"at-{self._number}-{self.y:.1f}"
        self._canvas.bookmarkHorizontal(key, 0, (PAGE[1] - self.y) * PT)
        self._canvas.addOutlineEntry(text, key, level=0)
        self.text(text, 4.2, style="bold")
        self.path([(EDGE, self.y), (EDGE + FULL, self.y)], line="ink", width=0.35)
        self.y += 1.8

    def text(
        self,
        text: str,
        size: float = 3.1,
        *,
        style: str = "plain",
        colour: str = "ink",
        indent: float = 0.0,
        right: float = 0.0,
    ) -> None:
        """Wrapped lines, `right` the room left free at their ends."""
        for line in self.lines(text, size, FULL - indent - right, style):
            self.need(_LINE * size)
            self.words(line, EDGE + indent, self.y + 0.95 * size, size, style=style, colour=colour)
            self.y += _LINE * size

    def bullets(self, texts: Sequence[str], size: float = 3.1, *, colour: str = "ink") -> None:
        for text in texts:
            self.need(_LINE * size)
            self.words("•", EDGE + 0.5, self.y + 0.95 * size, size, colour=colour)
            self.text(text, size, indent=4.0, colour=colour)
            self.y += 0.5

    def fixed(self, lines: Sequence[str], size: float = 2.4) -> None:
        """Lines of equally wide letters as they are, such as a table made of characters."""
        for line in lines:
            self.need(_LINE * size)
            self.words(drawable(line, self._fonts["mono"]), EDGE, self.y + 0.95 * size, size, style="mono")
            self.y += _LINE * size

    def picture(self, png: bytes) -> None:
        """A picture as wide as the page, with its top left corner here; a little less where only so it still fits here,
        and less where a page is not tall enough.
        """
        from reportlab.lib.utils import ImageReader

        image = ImageReader(BytesIO(png))
        across, up = image.getSize()
        self.y += _OVER if self.y > _TOP else 0.0
        height, room = self.tall(png), _FOOT - self.y
        if room >= _SQUEEZED * height:
            height = min(height, room)
        self.need(height)
        at = (EDGE * PT, (PAGE[1] - self.y - height) * PT)
        self._canvas.drawImage(image, *at, width=height * across / up * PT, height=height * PT)
        self.y += height + 3.0

    def tall(self, png: bytes) -> float:
        """How tall a picture is on paper, at most as a page with a heading over it allows."""
        from reportlab.lib.utils import ImageReader

        across, up = ImageReader(BytesIO(png)).getSize()
        return float(min(_TALLEST, FULL * up / across))

    def table(self, columns: Sequence[Column], rows: Sequence[Sequence[CellOf]], size: float = 2.7) -> None:
        """Rows that are never torn, the head again on each page."""
        self._head(columns, size)
        for row in rows:
            cells = list(self._set(columns, row, size))
            height = max(1, *(len(lines) for lines, _ in cells)) * _LINE * size + 2.0 * _CELL
            if self.y + height > _FOOT:
                self.turn()
                self._head(columns, size)
            x = EDGE
            for column, (lines, draw) in zip(columns, cells, strict=True):
                self._cell(column, lines, x, size)
                if draw is not None:
                    draw(x, self.y + _CELL, column.width - 2.0)
                x += column.width
            self.y += height
            self.path([(EDGE, self.y), (EDGE + FULL, self.y)], line="rule", width=0.15)
        self.y += 2.0

    def _head(self, columns: Sequence[Column], size: float) -> None:
        heads = [self.lines(column.head, size, column.width - 2.0, "bold") for column in columns]
        height = max(len(lines) for lines in heads) * _LINE * size + 2.0 * _CELL
        self.need(height + 12.0)
        self.box(EDGE, self.y, FULL, height, fill="back")
        x = EDGE
        for column, lines in zip(columns, heads, strict=True):
            self._cell(Column(head="", width=column.width, right=column.right, bold=True), lines, x, size)
            x += column.width
        self.y += height

    def _set(
        self, columns: Sequence[Column], row: Sequence[CellOf], size: float
    ) -> Iterator[tuple[list[str], Draw | None]]:
        for column, cell in zip(columns, row, strict=True):
            if isinstance(cell, str):
                style = "bold" if column.bold else "plain"
                yield self.lines(cell, size, column.width - 2.0, style), None
            else:
                yield [""], cell

    def _cell(self, column: Column, lines: Sequence[str], x: float, size: float) -> None:
        style = "bold" if column.bold else "plain"
        for number, line in enumerate(lines):
            back = column.width - 2.0 - self.wide(line, size, style) if column.right else 0.0
            self.words(line, x + 1.0 + back, self.y + _CELL + (number * _LINE + 0.95) * size, size, style=style)

    # --- marks --------------------------------------------------------------------------------------------------------

    def lines(self, text: str, size: float, width: float, style: str = "plain") -> list[str]:
        """The text broken at spaces and line ends, and within a word only where it is longer than the line."""
        return [
            line
            for piece in text.split("\n")
            for line in self._broken(drawable(piece, self._fonts[style]), size, width, style)
        ]

    def _broken(self, text: str, size: float, width: float, style: str) -> Iterator[str]:
        line = ""
        for word in text.split(" "):
            longer = f"{line} {word}" if line else word
            if self.wide(longer, size, style) <= width:
                line = longer
                continue
            if line:
                yield line
            line = word
            while len(line) > 1 and self.wide(line, size, style) > width:
                cut = next(
                    end
                    for end in range(len(line) - 1, 0, -1)
                    if end == 1 or self.wide(line[:end], size, style) <= width
                )
                yield line[:cut]
                line = line[cut:]
        yield line

    def _shortened(self, text: str, size: float, width: float) -> str:
        text = drawable(text, self._fonts["plain"])
        while len(text) > 1 and self.wide(text, size) > width:
            text = text[:-2] + "…"
        return text

    def wide(self, text: str, size: float, style: str = "plain") -> float:
        return float(self._canvas.stringWidth(as_seen(text), self._fonts[style], size * PT)) / PT

    def words(self, text: str, x: float, y: float, size: float, *, style: str = "plain", colour: str = "ink") -> None:
        """One line of drawable letters with its foot at y."""
        self._canvas.setFillColor(COLOURS[colour])
        self._canvas.setFont(self._fonts[style], size * PT)
        self._canvas.drawString(x * PT, (PAGE[1] - y) * PT, as_seen(text))

    def box(
        self, x: float, y: float, width: float, height: float, *, fill: str = "", line: str = "", thick: float = 0.3
    ) -> None:
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        self.path(corners, fill=fill, line=line, width=thick, closed=True)

    def path(
        self,
        points: Sequence[tuple[float, float]],
        *,
        line: str = "",
        fill: str = "",
        width: float = 0.3,
        closed: bool = False,
        dashed: bool = False,
    ) -> None:
        if line:
            self._canvas.setStrokeColor(COLOURS[line])
            self._canvas.setLineWidth(width * PT)
        if fill:
            self._canvas.setFillColor(COLOURS[fill])
        self._canvas.setDash(*([1.5 * PT, 1.2 * PT], 0) if dashed else ([], 0))
        path = self._canvas.beginPath()
        for number, (x, y) in enumerate(points):
            (path.lineTo if number else path.moveTo)(x * PT, (PAGE[1] - y) * PT)
        if closed:
            path.close()
        self._canvas.drawPath(path, stroke=int(bool(line)), fill=int(bool(fill)))
