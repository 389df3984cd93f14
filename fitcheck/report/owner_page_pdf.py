"""The owner's page as one A4 page of PDF; the same page, the same bytes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitcheck.report.owner_page import END_ISOLATE, ISOLATE, Bar, OwnerPage
from fitcheck.report.owner_page_drawing import (
    BAR_HEIGHT,
    SIDE_HEIGHT,
    WIDTH,
    Disc,
    Drawing,
    Item,
    Shape,
    Words,
    bar,
    most_of,
    plan,
    side,
)
from fitcheck.report.owner_page_units import kept_with_unit

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_PT = 72.0 / 25.4
_PAGE = (210.0, 297.0)
_EDGE = 11.0
_FULL = _PAGE[0] - 2.0 * _EDGE
_GUTTER = 4.0
_FAMILY = {False: "owner", True: "owner-bold"}
_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
"""A family that knows arrows, discs and most alphabets; it comes with the plotting library."""

_COLOURS = {
    "paper": "#ffffff", "ink": "#1c1c1c", "quiet": "#4a4a4a", "faint": "#808080", "body": "#ececec", "pack": "#cfdff0",
    "before": "#9a9a9a", "after": "#2b6aa8", "over": "#a3341f", "rule": "#c8c8c8",
}  # fmt: skip

_ISOLATES = (ISOLATE, END_ISOLATE)

_SMALLEST = 0.6
"""A page with long texts is set smaller, down to this share; the longest texts that a page can hold fit at it."""


def render(page: OwnerPage) -> bytes:
    """The whole file. The size of the letters is the largest at which all fits on the page."""
    return _largest(page).finished()


def room_left_mm(page: OwnerPage) -> float:
    """What stays free at the foot of the sheet; below zero, something would run off it."""
    return _largest(page).left


def _largest(page: OwnerPage) -> _Sheet:
    share = 1.0
    while share > _SMALLEST:
        sheet = _Sheet(page, share)
        if sheet.left >= 0.0:
            return sheet
        share -= 0.04
    return _Sheet(page, _SMALLEST)


class _Sheet:
    """One page being set from the top; `y` is the distance from the top edge in mm."""

    def __init__(self, page: OwnerPage, share: float) -> None:
        from reportlab.pdfgen.canvas import Canvas

        _register_fonts()
        self.share = share
        self._bytes = BytesIO()
        self.canvas: Canvas = Canvas(
            self._bytes, pagesize=(_PAGE[0] * _PT, _PAGE[1] * _PT), invariant=1, pageCompression=1, lang="en"
        )
        self.canvas.setTitle(f"{page.subject}: {page.title}")
        self.y = 10.0
        self._set(page)

    @property
    def left(self) -> float:
        """What is left above the lower edge, in mm."""
        return _PAGE[1] - 8.0 - self.y

    def finished(self) -> bytes:
        self.canvas.showPage()
        self.canvas.save()
        return self._bytes.getvalue()

    # --- the page ---------------------------------------------------------------------------------------------------

    def _set(self, page: OwnerPage) -> None:
        self.y = self._text(_EDGE, self.y, _FULL, page.title, 5.2, bold=True)
        self.y = self._text(_EDGE, self.y, _FULL, page.subject, 3.2, style="quiet") + 1.5
        self._headline(page)
        third = (_FULL - 2.0 * _GUTTER) / 3.0
        self._columns(third, [("Taken out", page.out), ("Put in", page.came), ("Kept", page.kept)])
        self._heading("What the axles carry")
        most = most_of(page.bars)
        for one in page.bars:
            self._load(one, most)
        self.y = self._text(
            _EDGE,
            self.y + 0.6,
            _FULL,
            page.legend,
            2.4,
            style="quiet",
        )
        self.y += 2.0
        self._draw(side(page.vehicle), _EDGE, self.y, WIDTH)
        self._draw(plan(page.vehicle), _PAGE[0] - _EDGE - WIDTH, self.y, WIDTH)
        self.y += SIDE_HEIGHT + 1.0
        half = (_FULL - _GUTTER) / 2.0
        self._columns(half, [("What changes", page.changes), ("How sure this is", page.sure)])
        self._columns(half, [("What to look after", page.look_after), ("Be careful", page.cautions)])
        self._slips()
        self.y = self._text(
            _EDGE,
            self.y + 1.5,
            _FULL,
            page.origin,
            2.3,
            style="quiet",
        )

    def _headline(self, page: OwnerPage) -> None:
        top = self.y
        bottom = self._text(_EDGE + 5.0, top + 1.6, _FULL - 7.0, page.headline, 3.4, bold=True) + 1.2
        style = {"bad": "over", "open": "faint"}.get(page.mood, "after")
        self._rectangle(_EDGE, top, _FULL, bottom - top, line=style, thick=0.5, dashed=page.mood == "open")
        self._rectangle(_EDGE, top, 2.4, bottom - top, fill=style)
        self.y = bottom + 0.6

    def _heading(self, text: str) -> None:
        self.y = self._text(_EDGE, self.y + 2.0, _FULL, text, 3.1, bold=True) + 0.4

    def _columns(self, width: float, columns: Sequence[tuple[str, Sequence[str]]]) -> None:
        top, ends = self.y + 2.0, []
        for number, (title, texts) in enumerate(columns):
            x = _EDGE + number * (width + _GUTTER)
            y = self._text(x, top, width, title, 3.1, bold=True) + 0.4
            for text in texts or ("nothing",):
                self._words("•", x, y + 2.9 * self.share * 0.8, 2.9)
                y = self._text(x + 3.0, y, width - 3.0, text, 2.9) + 0.3
            ends.append(y)
        self.y = max(ends)

    def _load(self, one: Bar, most: float) -> None:
        self._rule(self.y)
        name, margin = 28.0, 62.0
        self._text(_EDGE, self.y + 2.0, name, one.name, 2.9)
        self._draw(bar(one, most), _EDGE + name, self.y + 0.6, WIDTH)
        x = _EDGE + name + WIDTH + 4.0
        y = self._text(x, self.y + 0.8, margin, one.margin, 3.1, bold=True, style="over" if one.is_over else "ink")
        y = self._text(x, y + 0.2, margin, one.figures, 2.4, style="quiet")
        self.y = max(self.y + BAR_HEIGHT, y + 0.6)

    def _slips(self) -> None:
        self._heading("Weighed when the work was done")
        width = (_FULL - 2.0 * _GUTTER) / 3.0

        def blanks(names: Sequence[str]) -> None:
            for number, name in enumerate(names):
                x = _EDGE + number * (width + _GUTTER)
                self._text(x, self.y, width, name, 2.5, style="quiet")
                self._rule(self.y + 7.5, x, width, "ink")
            self.y += 8.5

        blanks(("front axle", "rear axle", "whole vehicle"))
        room = max(12.0, min(40.0, self.left - 22.0))
        self._rectangle(_EDGE, self.y, _FULL, room, line="faint", dashed=True)
        self._text(_EDGE + 1.5, self.y + 1.0, _FULL, "room for the scale slips", 2.5, style="quiet")
        self.y += room + 1.5
        blanks(("name", "date", "signature"))

    # --- marks on paper -----------------------------------------------------------------------------------------------

    def _text(
        self, x: float, y: float, width: float, text: str, size: float, *, bold: bool = False, style: str = "ink"
    ) -> float:
        """Wrapped lines from the top edge y; gives the y below them."""
        size *= self.share
        for line in self._lines(_drawable(kept_with_unit(text)), _FAMILY[bold], size * _PT, width * _PT):
            self._words(line, x, y + 0.95 * size, size / self.share, bold=bold, style=style)
            y += 1.25 * size
        return y

    def _lines(self, text: str, font: str, points: float, width: float) -> Iterable[str]:
        """Broken at plain spaces, and within a word only where it is longer than the line."""

        def fits(part: str) -> bool:
            return bool(self.canvas.stringWidth(_as_seen(part), font, points) <= width)

        line = ""
        for word in text.split(" "):
            longer = f"{line} {word}" if line else word
            if fits(longer):
                line = longer
                continue
            if line:
                yield line
            while len(word) > 1 and not fits(word):
                cut = max((end for end in range(1, len(word)) if fits(word[:end])), default=1)
                yield word[:cut]
                word = word[cut:]
            line = word
        yield line

    def _words(self, text: str, x: float, y: float, size: float, *, bold: bool = False, style: str = "ink") -> None:
        self.canvas.setFillColor(_COLOURS[style])
        self.canvas.setFont(_FAMILY[bold], size * self.share * _PT)
        self.canvas.drawString(x * _PT, (_PAGE[1] - y) * _PT, _as_seen(text).replace("\u00a0", " "))

    def _rule(self, y: float, x: float = _EDGE, width: float = _FULL, style: str = "rule") -> None:
        self._path([(x, y), (x + width, y)], line=style, width=0.2)

    def _rectangle(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        line: str = "",
        fill: str = "",
        thick: float = 0.3,
        dashed: bool = False,
    ) -> None:
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        self._path(corners, line=line, fill=fill, width=thick, dashed=dashed, closed=True)

    def _path(
        self,
        points: Sequence[tuple[float, float]],
        *,
        line: str = "",
        fill: str = "",
        width: float = 0.3,
        dashed: bool = False,
        closed: bool = False,
    ) -> None:
        self._pen(line, fill, width, dashed)
        path = self.canvas.beginPath()
        for number, (x, y) in enumerate(points):
            (path.lineTo if number else path.moveTo)(x * _PT, (_PAGE[1] - y) * _PT)
        if closed:
            path.close()
        self.canvas.drawPath(path, stroke=int(bool(line)), fill=int(bool(fill)))

    def _pen(self, line: str, fill: str, width: float, dashed: bool = False) -> None:
        if line:
            self.canvas.setStrokeColor(_COLOURS[line])
            self.canvas.setLineWidth(width * _PT)
        if fill:
            self.canvas.setFillColor(_COLOURS[fill])
        self.canvas.setDash(*([1.5 * _PT, 1.2 * _PT], 0) if dashed else ([], 0))

    def _draw(self, drawing: Drawing, x: float, y: float, width: float) -> None:
        """A drawing with its top left corner there, as wide as said."""
        scale = width / drawing.width
        for item in drawing.items:
            self._item(item, x, y, scale)

    def _item(self, item: Item, x: float, y: float, scale: float) -> None:
        match item:
            case Words():
                size = item.size * scale
                points = size * self.share * _PT
                seen = _as_seen(_drawable(item.text))
                wide = self.canvas.stringWidth(seen, _FAMILY[item.bold], points) / _PT
                back = {"start": 0.0, "middle": wide / 2.0, "end": wide}[item.anchor]
                at = (x + item.at[0] * scale - back, y + item.at[1] * scale)
                self._words(_drawable(item.text), *at, size, bold=item.bold, style=item.style)
            case Disc():
                self._pen(item.line, item.fill, item.width * scale)
                self.canvas.circle(
                    (x + item.centre[0] * scale) * _PT,
                    (_PAGE[1] - y - item.centre[1] * scale) * _PT,
                    item.radius * scale * _PT,
                    stroke=int(bool(item.line)),
                    fill=int(bool(item.fill)),
                )
            case Shape():
                self._path(
                    [(x + px * scale, y + py * scale) for px, py in item.points],
                    line=item.line,
                    fill=item.fill,
                    width=item.width * scale,
                    dashed=item.dashed,
                    closed=item.closed,
                )


def _fonts() -> dict[bool, Path]:
    import matplotlib as mpl

    folder = Path(mpl.get_data_path()) / "fonts" / "ttf"
    return {bold: folder / name for bold, name in _FILES.items()}


def _register_fonts() -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    # Anew for each file: a font remembers which letters it has written, and that would reach into the next one.
    for bold, path in _fonts().items():
        pdfmetrics.registerFont(TTFont(_FAMILY[bold], str(path)))


def _drawable(text: str) -> str:
    """Joined letters joined; what the family does not hold is shown as a box, never left out."""
    import arabic_reshaper
    from reportlab.pdfbase import pdfmetrics

    known: Any = pdfmetrics.getFont(_FAMILY[False]).face.charToGlyph
    text = arabic_reshaper.reshape(text)
    return "".join(letter if ord(letter) in known or letter in _ISOLATES else "□" for letter in text)


def _as_seen(text: str) -> str:
    """One line in the order in which its letters stand on paper from left to right."""
    from bidi import get_display

    seen: str = get_display(text, base_dir="L")
    return "".join(letter for letter in seen if letter not in _ISOLATES)
