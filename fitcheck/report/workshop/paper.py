"""Sheets of paper in mm, for what must be to scale; the same marks, the same bytes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING

from fitcheck.model.shape import Point2
from fitcheck.report.pdf_letters import as_seen, drawable, register

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

PT = 72.0 / 25.4
INK = "#1c1c1c"
QUIET = "#4a4a4a"

SHEETS = {"A4": (297.0, 210.0), "A3": (420.0, 297.0)}
"""Width and height in mm, lying."""

LINES: dict[str, tuple[float, tuple[float, ...]]] = {
    "outline": (0.5, ()),
    "edge": (0.3, ()),
    "thin": (0.18, ()),
    "centre": (0.18, (5.0, 1.2, 0.8, 1.2)),
    "overlap": (0.18, (2.0, 1.5)),
    "frame": (0.35, ()),
}
"""Width in mm and dashes in mm by what the line stands for."""


class Paper:
    """One PDF. Points are mm from the lower left corner of the page; letters are given by their em height in mm."""

    def __init__(self, title: str) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self._fonts = _fonts()
        self._bytes = BytesIO()
        self.canvas: Canvas = Canvas(self._bytes, invariant=1, pageCompression=1, lang="en")
        self.canvas.setTitle(title)
        # A viewer that fits pages to the paper would spoil the scale.
        self.canvas.setViewerPreference("PrintScaling", "None")
        self._has_page = False

    def page(self, width: float, height: float) -> None:
        """Begin a page of that size in mm."""
        if self._has_page:
            self.canvas.showPage()
        self.canvas.setPageSize((width * PT, height * PT))
        self.canvas.setLineJoin(0)
        self._has_page = True

    def finished(self) -> bytes:
        self.canvas.showPage()
        self.canvas.save()
        return self._bytes.getvalue()

    # --- lines --------------------------------------------------------------------------------------------------------

    def line(self, points: Sequence[Point2], kind: str = "thin", *, closed: bool = False, fill: str = "") -> None:
        self.rings([points], kind, closed=closed, fill=fill)

    def rings(
        self, rings: Sequence[Sequence[Point2]], kind: str = "thin", *, closed: bool = True, fill: str = ""
    ) -> None:
        """Several rings as one path, so that inner ones stay empty where it is filled."""
        self._pen(kind)
        path = self.canvas.beginPath()
        for ring in rings:
            for number, (x, y) in enumerate(ring):
                (path.lineTo if number else path.moveTo)(x * PT, y * PT)
            if closed:
                path.close()
        if fill:
            self.canvas.setFillColor(fill)
        self.canvas.drawPath(path, stroke=1, fill=int(bool(fill)), fillMode=0)

    def circle(self, centre: Point2, radius: float, kind: str = "thin", *, fill: str = "") -> None:
        self._pen(kind)
        if fill:
            self.canvas.setFillColor(fill)
        self.canvas.circle(centre[0] * PT, centre[1] * PT, radius * PT, stroke=1, fill=int(bool(fill)))

    def box(self, x: float, y: float, width: float, height: float, kind: str = "thin", *, fill: str = "") -> None:
        self.line([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], kind, closed=True, fill=fill)

    def arrow(self, tip: Point2, way: Point2, length: float = 2.6) -> None:
        """A slim filled arrow head; `way` is the unit direction that it points in."""
        (x, y), (dx, dy) = tip, way
        back = (x - dx * length, y - dy * length)
        half = length * 0.16
        self.canvas.setFillColor(INK)
        path = self.canvas.beginPath()
        path.moveTo(x * PT, y * PT)
        path.lineTo((back[0] - dy * half) * PT, (back[1] + dx * half) * PT)
        path.lineTo((back[0] + dy * half) * PT, (back[1] - dx * half) * PT)
        path.close()
        self.canvas.drawPath(path, stroke=0, fill=1)

    def _pen(self, kind: str) -> None:
        width, dashes = LINES[kind]
        self.canvas.setStrokeColor(INK)
        self.canvas.setLineWidth(width * PT)
        self.canvas.setDash([dash * PT for dash in dashes], 0)

    @contextmanager
    def window(self, x: float, y: float, width: float, height: float) -> Iterator[None]:
        """What is drawn meanwhile shows inside this rectangle only."""
        self.canvas.saveState()
        path = self.canvas.beginPath()
        path.rect(x * PT, y * PT, width * PT, height * PT)
        self.canvas.clipPath(path, stroke=0, fill=0)
        yield
        self.canvas.restoreState()

    # --- letters ------------------------------------------------------------------------------------------------------

    def text(
        self,
        at: Point2,
        text: str,
        size: float = 2.8,
        *,
        anchor: str = "start",
        bold: bool = False,
        upright: bool = False,
        ink: str = INK,
        ground: bool = False,
    ) -> None:
        """One line on its base line; `upright` reads from below. `ground` clears the paper behind the letters."""
        seen = self._seen(text)
        wide = self.width_of(text, size, bold=bold)
        back = {"start": 0.0, "middle": wide / 2.0, "end": wide}[anchor]
        self.canvas.saveState()
        self.canvas.translate(at[0] * PT, at[1] * PT)
        if upright:
            self.canvas.rotate(90)
        if ground:
            self.canvas.setFillColor("#ffffff")
            box = (-back - 0.4, -0.3 * size, wide + 0.8, 1.3 * size)
            self.canvas.rect(*(value * PT for value in box), stroke=0, fill=1)
        self.canvas.setFillColor(ink)
        self.canvas.setFont(self._font(bold), size * PT)
        self.canvas.drawString(-back * PT, 0.0, seen)
        self.canvas.restoreState()

    def _font(self, bold: bool) -> str:
        return self._fonts["bold" if bold else "plain"]

    def _seen(self, text: str) -> str:
        text = text if text.isascii() else as_seen(drawable(text, self._font(False)))
        return "".join(letter if letter.isprintable() else " " for letter in text)

    def width_of(self, text: str, size: float, *, bold: bool = False) -> float:
        return float(self.canvas.stringWidth(self._seen(text), self._font(bold), size * PT)) / PT

    def fitted(self, text: str, width: float, size: float, *, bold: bool = False) -> tuple[str, float]:
        """The text and the size at which it fits: smaller down to six tenths, then cut with an ellipsis."""
        least = 0.6 * size
        wide = self.width_of(text, size, bold=bold)
        if wide <= width:
            return text, size
        if wide * least / size <= width:
            return text, size * width / wide
        while len(text) > 1 and self.width_of(text + "…", least, bold=bold) > width:
            text = text[:-1]
        return text + "…", least

    def wrapped(self, text: str, width: float, size: float, *, bold: bool = False) -> Iterator[str]:
        """Lines no wider than `width`; broken at blanks, within a word only where that is wider than a line."""
        line = ""
        for word in text.split():
            longer = f"{line} {word}" if line else word
            if self.width_of(longer, size, bold=bold) <= width:
                line = longer
                continue
            if line:
                yield line
            while len(word) > 1 and self.width_of(word, size, bold=bold) > width:
                cut = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or self._fits(word[:n], width, size, bold))
                yield word[:cut]
                word = word[cut:]
            line = word
        yield line

    def _fits(self, text: str, width: float, size: float, bold: bool) -> bool:
        return self.width_of(text, size, bold=bold) <= width


@cache
def _fonts() -> dict[str, str]:
    """Read once: which letters a file has used is kept by file, so that one does not reach into the next."""
    return register("workshop")
