"""The tables and sentences of the text report as pieces of a page: the same words, in elements instead of columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from markupsafe import Markup, escape

from fitcheck.report.look import Look
from fitcheck.report.owner_page_units import kept_with_unit

_LONG = 16
"""Table rows that are read at a glance."""


class _Item(Markup):
    """An entry of a list, until those beside it are put into one."""


class _Heading(Markup):
    """Where a new group begins."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """What stands under one heading, the heading in plain words; empty before the first."""

    title: str
    body: Markup

    @property
    def is_long(self) -> bool:
        """Whether a reader may want it folded away."""
        return self.body.count("<tr>") > _LONG


@dataclass(frozen=True, slots=True, kw_only=True)
class PageLook(Look):
    """Gives elements where `Look` gives lines of text. Everything that it is told is escaped.

    `links` are the finished links that stand under a cell with this text.
    """

    links: Mapping[str, Markup] = field(default_factory=dict)

    def spell(self, text: str) -> str:
        return text

    def paint(self, text: str, code: str) -> str:
        return text

    def paragraph(self, text: str, *, indent: str = "", hang: str | None = None) -> list[str]:
        words = kept_with_unit(text)
        if words.startswith("- "):
            return [_Item(Markup("<li>{}</li>").format(words[2:]))]
        return [Markup("<p{}>{}</p>").format(Markup(' class="under"') if len(indent) > 2 else "", words)]

    def heading(self, text: str) -> list[str]:
        return [_Heading(escape(text))]

    def table(self, head: Sequence[str], rows: Sequence[Sequence[str]], *, left: int, indent: str = "  ") -> list[str]:
        cells = Markup("").join(_head(text, at < left) for at, text in enumerate(head))
        body = Markup("").join(
            Markup("<tr>{}</tr>").format(
                Markup("").join(_cell(text, at, left, self.links.get(text, Markup(""))) for at, text in enumerate(row))
            )
            for row in rows
        )
        return [
            Markup(
                '<div class="wide" tabindex="0" role="group" aria-label="table: {}"><table><thead><tr>{}</tr></thead>'
                "<tbody>{}</tbody></table></div>"
            ).format(", ".join(filter(None, head)), cells, body)
        ]


def _head(text: str, words: bool) -> Markup:
    if not text:
        return Markup("<td></td>")
    return Markup('<th scope="col"{}>{}</th>').format(Markup("") if words else Markup(' class="n"'), text)


def _cell(text: str, at: int, left: int, links: Markup) -> Markup:
    if at == 0:
        return Markup('<th scope="row">{}</th>').format(text)
    kind = Markup("") if at < left else Markup(' class="n"')
    return Markup("<td{}>{}{}</td>").format(kind, kept_with_unit(text), links)


def groups(lines: Sequence[str]) -> list[Group]:
    """What a text section made with a `PageLook`, parted at its headings."""
    parted: list[tuple[str, list[str]]] = [("", [])]
    for line in lines:
        if isinstance(line, _Heading):
            parted.append((line.unescape(), []))
        else:
            parted[-1][1].append(line)
    return [Group(title=title, body=_joined(body)) for title, body in parted if title or body]


def _joined(lines: Sequence[str]) -> Markup:
    """One after another, neighbouring entries in one list."""
    pieces, listed = list[Markup](), False
    for line in lines:
        item = isinstance(line, _Item)
        if item != listed:
            pieces.append(Markup("<ul>") if item else Markup("</ul>"))
        listed = item
        pieces.append(escape(line))
    return Markup("").join([*pieces, Markup("</ul>") if listed else Markup("")])
