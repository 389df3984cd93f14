"""The page of a check, as it explains itself, parted into its headings."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup


@dataclass(frozen=True, slots=True, kw_only=True)
class RulePage:
    """`parts` are (heading, paragraphs)."""

    check: str
    title: str
    parts: tuple[tuple[str, tuple[Markup, ...]], ...]


def rule_pages(pages: Mapping[str, str], checks: Sequence[str]) -> list[RulePage]:
    """The pages of the checks that the study ran, in the order in which they are given."""
    return [_page(check, text) for check, text in pages.items() if check in checks]


def _page(check: str, text: str) -> RulePage:
    title, _, rest = text.partition("\n")
    return RulePage(check=check, title=title.strip(), parts=tuple(_parts(rest)))


def _parts(text: str) -> Iterator[tuple[str, tuple[Markup, ...]]]:
    """Headings start at the margin, what belongs to them is set in."""
    heading, lines = "", list[str]()
    for line in [*text.splitlines(), "end"]:
        if line and not line[0].isspace():
            if heading or any(lines):
                yield heading, _paragraphs(lines)
            heading, lines = line.strip(), []
        else:
            lines.append(line.strip())


def _paragraphs(lines: Sequence[str]) -> tuple[Markup, ...]:
    joined = "\n".join(lines).split("\n\n")
    return tuple(worded(" ".join(paragraph.split())) for paragraph in joined if paragraph.strip())


_IN_THE_LAYOUT = re.compile(r"(\(in the layout: [^()]*\))")


def in_small(text: str) -> list[tuple[str, str]]:
    """(words, what is to be written in the layout, "" at the end), one after the other as the text says them."""
    pieces = [*_IN_THE_LAYOUT.split(text), ""]
    return [(words, code) for words, code in zip(pieces[::2], pieces[1::2], strict=True) if words or code]


def worded(text: str) -> Markup:
    """Words between backquotes are what a layout file says."""
    pieces = text.split("`")
    return Markup("").join(
        Markup("<code>{}</code>").format(piece) if at % 2 else Markup("{}").format(piece)
        for at, piece in enumerate(pieces)
    )
