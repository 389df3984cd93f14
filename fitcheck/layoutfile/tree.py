"""The layout file as a tree of mappings, sequences and scalars that remember where they stand.

Every scalar stays text here: what it means is the business of the key it stands under ("8.8" is a property class, "12"
a length, "1" a part's name).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from fitcheck.errors import Mark

Path = tuple[str | int, ...]
Plain = dict[str, "Plain"] | list["Plain"] | str | None

_NULL = ("", "~", "null", "Null", "NULL")


@dataclass(slots=True, kw_only=True)
class Scalar:
    """One text; `plain` when it stands without quotes. `ends` is the offset of its end in the file."""

    text: str
    at: Mark
    plain: bool
    starts: int
    ends: int

    @property
    def is_null(self) -> bool:
        return self.plain and self.text in _NULL


@dataclass(slots=True, kw_only=True)
class Branch:
    """A mapping: `entries` by key, each with the mark of its key; `doubtful` when an entry had to be left out."""

    at: Mark
    flow: bool
    doubtful: bool = False
    entries: dict[str, tuple[Mark, Item]] = field(default_factory=dict)


@dataclass(slots=True, kw_only=True)
class Row:
    """A sequence; `doubtful` when a problem with it is known and what it holds cannot be relied on."""

    at: Mark
    flow: bool
    doubtful: bool = False
    items: list[Item] = field(default_factory=list)


Item = Scalar | Branch | Row


def plain(item: Item) -> Plain:
    """The tree as dicts, lists and texts; an empty value is None."""
    if isinstance(item, Scalar):
        return None if item.is_null else item.text
    if isinstance(item, Row):
        return [plain(each) for each in item.items]
    return {key: plain(value) for key, (_, value) in item.entries.items()}


def child(item: Item, step: str | int) -> Item | None:
    """The item under one key or number, None where there is none."""
    if isinstance(item, Branch) and isinstance(step, str):
        found = item.entries.get(step)
        return found[1] if found else None
    if isinstance(item, Row) and isinstance(step, int) and 0 <= step < len(item.items):
        return item.items[step]
    return None


def real_path(root: Item, location: Sequence[str | int]) -> Path:
    """The part of a location that stands in the tree; steps in < or [ name no place and are skipped."""
    item = root
    path: list[str | int] = []
    for step in location:
        below = child(item, step)
        if below is not None:
            item = below
            path.append(step)
        elif not (isinstance(step, str) and step[:1] in "<["):
            break
    return tuple(path)


def at_path(root: Item, path: Sequence[str | int]) -> Item:
    """The item at a path (or the nearest above it that is there)."""
    return _last(root, path)[1]


def value_mark(root: Item, location: Sequence[str | int]) -> Mark:
    """Where the value at a location stands (or the nearest above it that does)."""
    return _last(root, location)[1].at


def key_mark(root: Item, location: Sequence[str | int]) -> Mark:
    """Where the key of a location stands; for an item of a sequence, the item itself."""
    above, item, step = _last(root, location)
    return above.entries[step][0] if isinstance(above, Branch) and isinstance(step, str) else item.at


def _last(root: Item, location: Sequence[str | int]) -> tuple[Item | None, Item, str | int | None]:
    """The item at a location, what it stands in, and under which key or number."""
    above: Item | None = None
    item = root
    step: str | int | None = None
    for step in real_path(root, location):
        above, item = item, child(item, step) or item
    return above, item, step


def prune(root: Item, path: Path) -> None:
    """Take the item at a path out of the tree."""
    above = root
    for step in path[:-1]:
        below = child(above, step)
        if below is None:
            return
        above = below
    last = path[-1]
    if isinstance(above, Branch) and isinstance(last, str):
        above.entries.pop(last, None)
    elif isinstance(above, Row) and isinstance(last, int) and last < len(above.items):
        del above.items[last]


def doubtful_paths(item: Item, path: Path = ()) -> list[Path]:
    """Where the doubtful mappings and sequences stand, last ones first, so that they can be pruned in that order."""
    if isinstance(item, Scalar):
        return []
    own = [path] if item.doubtful else []
    if isinstance(item, Row):
        below: list[tuple[str | int, Item]] = list(enumerate(item.items))
    else:
        below = [(key, value) for key, (_, value) in item.entries.items()]
    return [found for key, value in reversed(below) for found in doubtful_paths(value, (*path, key))] + own
