"""How text is laid out: width, character set, colour, paragraphs and tables."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

_ASCII = str.maketrans(
    {"±": "+/-", "–": "-", "−": "-", "…": "...", "²": "2", "³": "3", "×": "x", "·": ".", "°": " deg", "≥": ">="}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What the reader's screen can show. `colour` adds bold and hue to words that stand there anyway."""

    width: int = 100
    ascii_only: bool = False
    colour: bool = False

    def spell(self, text: str) -> str:
        """The text in characters that the screen has; the user's own words are left to the writer's encoding."""
        return text.translate(_ASCII) if self.ascii_only else text

    def paint(self, text: str, code: str) -> str:
        return f"\x1b[{code}m{text}\x1b[0m" if self.colour and code else text

    def paragraph(self, text: str, *, indent: str = "", hang: str | None = None) -> list[str]:
        """Wrapped lines; `hang` is the indent of the second line and on (default: as the first)."""
        later = indent if hang is None else hang
        return textwrap.wrap(
            self.spell(text),
            self.width,
            initial_indent=indent,
            subsequent_indent=later,
            break_on_hyphens=False,
        )

    def heading(self, text: str) -> list[str]:
        """A blank line, the words, and a rule under them as long as the words."""
        words = self.spell(text)
        return ["", words, "-" * len(words)]

    def table(self, head: Sequence[str], rows: Sequence[Sequence[str]], *, left: int, indent: str = "  ") -> list[str]:
        """Columns padded to their widest cell; the first `left` are ranged left, the others right.

        Should the lines come out too wide, the last left-ranged column is wrapped within its cell.
        """
        cells = [[self.spell(cell) for cell in row] for row in (head, *rows)]
        widths = [max(len(row[column]) for row in cells) for column in range(len(head))]
        excess = len(indent) + sum(widths) + 2 * (len(widths) - 1) - self.width
        if excess > 0 and left:
            widths[left - 1] = max(12, widths[left - 1] - excess)
        lines: list[str] = []
        for row in cells:
            lines += self._table_row(row, widths, left, indent)
        return lines

    @staticmethod
    def _table_row(row: Sequence[str], widths: Sequence[int], left: int, indent: str) -> list[str]:
        broken = textwrap.wrap(row[left - 1], widths[left - 1], break_on_hyphens=False) if left else []
        first, more = (broken[0], broken[1:]) if broken else (row[left - 1], [])
        cells = [
            (first if column == left - 1 else cell).ljust(width) if column < left else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        hang = indent + "".join(" " * (width + 2) for width in widths[: left - 1])
        return [(indent + "  ".join(cells)).rstrip(), *(hang + line for line in more)]


PLAIN = Look()
"""For files: 100 columns, UTF-8, no colour."""
