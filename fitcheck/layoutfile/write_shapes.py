"""A shape of its own for a part that shares one: what is to be inserted or replaced in the text of a layout file.

A part that takes its shape over by `like`, or names one under `shapes`, gets the shape written out under its own key,
with its own sizes. The place that was shared keeps what it says to the others.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from fitcheck.errors import Mark
from fitcheck.layoutfile.tree import Branch, Item, Row, Scalar, child

_FLOW_MARKS = ",[]{}#\n"
"""A text with one of these means something else between brackets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """Characters from `start` up to `end` give way to `text`."""

    start: int
    end: int
    text: str


@dataclass(kw_only=True)
class OwnShapes:
    """One size that several parts read from the place `shared_at`.

    `wishes` are by part: what the size shall be there, as a layout writes it; None: as it stands.
    """

    source: str
    root: Item
    shared_at: Mark
    wishes: Mapping[str, str | None]
    edits: list[Edit] = field(default_factory=list)
    _says: dict[str, str | None] = field(default_factory=dict)

    def settle(self) -> bool:
        """Fill `edits`; False where the size is shared by something else than `like` and `shapes`."""
        homes = [part for part in self.wishes if self.is_home(part)]
        if len(homes) > 1:
            return False
        self._says = {part: self.wishes[part] for part in homes}
        return all(self._give(part) for part in self.wishes)

    def is_home(self, part: str) -> bool:
        """Whether the shared place is in the part's own shape, so that the size is edited there."""
        return isinstance(self._written(part, "shape"), Branch)

    def _written(self, part: str, key: str) -> Item | None:
        parts = child(self.root, "parts")
        entry = None if parts is None else child(parts, part)
        return None if entry is None else child(entry, key)

    def _give(self, part: str) -> bool:
        """Give a part its own shape where what it takes over will not be what it wants."""
        if part in self._says:
            return True
        shape, like = self._written(part, "shape"), self._written(part, "like")
        if isinstance(shape, Scalar):
            taken = None
        elif isinstance(like, Scalar) and like.text in self.wishes and self._give(like.text):
            taken = self._says[like.text]
        else:
            return False
        wish = self.wishes[part]
        self._says[part] = wish
        if wish == taken:
            return True
        drawn = self._drawn(part)
        if drawn is None:
            return False
        text = self._text(drawn, wish)
        if isinstance(shape, Scalar):
            self.edits.append(Edit(start=shape.starts, end=shape.ends, text=text))
        elif isinstance(like, Scalar):
            self.edits.append(self._before_like(part, like, text))
        return True

    def _drawn(self, part: str) -> Item | None:
        """The shape that a part has, written out, wherever it stands."""
        shape = self._written(part, "shape")
        if isinstance(shape, Scalar):
            shapes = child(self.root, "shapes")
            return None if shapes is None else child(shapes, shape.text)
        like = self._written(part, "like")
        return shape if shape is not None or not isinstance(like, Scalar) else self._drawn(like.text)

    def _before_like(self, part: str, like: Scalar, text: str) -> Edit:
        parts = child(self.root, "parts")
        entry = None if parts is None else child(parts, part)
        start = self.source.rfind("like", 0, like.starts)
        if self.source[start - 1] in "'\"":
            start -= 1
        if isinstance(entry, Branch) and not entry.flow:
            between = "\n" + " " * (entry.entries["like"][0].column - 1)
        else:
            between = ", "
        return Edit(start=start, end=start, text=f"shape: {text}{between}")

    def _text(self, item: Item, wish: str | None) -> str:
        """An item in one line, the shared size as wished."""

        def stands_for(each: Item) -> str | None:
            is_number = not isinstance(each, Branch) or "value" in each.entries
            return wish if each.at == self.shared_at and is_number and not isinstance(each, Row) else None

        return in_one_line(item, stands_for)


def in_one_line(item: Item, stands_for: Callable[[Item], str | None] = lambda _: None) -> str:
    """An item as text between brackets; `stands_for` may give another text for some of what it holds."""
    other = stands_for(item)
    if other is not None:
        return other
    if isinstance(item, Row):
        return f"[{', '.join(in_one_line(each, stands_for) for each in item.items)}]"
    if isinstance(item, Branch):
        entries = (f"{_quoted(key)}: {in_one_line(value, stands_for)}" for key, (_, value) in item.entries.items())
        return "{" + ", ".join(entries) + "}"
    return (
        item.text
        if item.plain and not any(mark in item.text for mark in _FLOW_MARKS)
        else _quoted(item.text, always=True)
    )


def _quoted(text: str, *, always: bool = False) -> str:
    """A text in quotes, always or where it would mean something else between brackets."""
    plain = text.replace(" ", "").replace("_", "").replace("-", "")
    if not always and plain.isalnum():
        return text
    doubled = text.replace("'", "''")
    return f"'{doubled}'"
