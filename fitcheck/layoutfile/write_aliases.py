"""An alias written out, where what stands behind it shall no longer be the same for all: the anchor stays for others.

Only the alias itself gives way to the text that it stands for; every value keeps its meaning, so that the layout can be
edited as if it had been written without that alias.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import yaml

from fitcheck.errors import Mark
from fitcheck.layoutfile.tree import Branch, Item, Path, Row, Scalar, child
from fitcheck.layoutfile.write_shapes import Edit, in_one_line
from fitcheck.layoutfile.yamltext import LOADER, parse
from fitcheck.model.layout import Layout
from fitcheck.model.quantity import Quantity

_COORDINATES = {"x": 0, "y": 1, "z": 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Alias:
    """An alias in the text: where in the tree, and from which character up to which."""

    path: Path
    start: int
    end: int
    at: Mark


def without_aliases(text: str, root: Item, layout: Layout, new: Mapping[str, Quantity]) -> tuple[str, Item, Layout]:
    """The text, its tree and the layout with every alias written out that stands between a value and what it shall be.

    The same three where no alias does.
    """
    found = list(aliases(text, layout.file))
    if not found:
        return text, root, layout
    homes = {name: home for name in new for name, home in _homes(root, layout, layout.quantities[name].at)}
    apart = _apart(root, found, homes, layout, new)
    if not apart:
        return text, root, layout
    edits = [
        Edit(start=each.start, end=each.end, text=in_one_line(item))
        for each in apart
        if (item := _at(root, each.path)) is not None
    ]
    for edit in sorted(edits, key=lambda each: each.start, reverse=True):
        text = text[: edit.start] + edit.text + text[edit.end :]
    grown, _ = parse(text, layout.file)
    assert grown is not None  # noqa: S101 (the same values, in other words)
    return text, grown, _moved(layout, apart, edits, homes, grown)


def aliases(text: str, file: str) -> Iterator[Alias]:
    """Every alias of a text that parses, in order."""
    stack: list[list[str | int]] = []
    path: list[str | int] = []
    for event in yaml.parse(text, Loader=LOADER):
        if isinstance(event, yaml.CollectionEndEvent):
            stack.pop()
            if path:
                path.pop()
        elif isinstance(event, yaml.NodeEvent):
            is_key = bool(stack) and stack[-1][0] == "map" and len(stack[-1]) == 1
            if is_key:
                stack[-1].append(event.value if isinstance(event, yaml.ScalarEvent) else "")
                continue
            step = _step(stack)
            if isinstance(event, yaml.AliasEvent) and event.start_mark and event.end_mark:
                where = event.start_mark
                at = Mark(file, where.line + 1, where.column + 1)
                yield Alias(path=(*path, *step), start=where.index, end=event.end_mark.index, at=at)
            elif isinstance(event, yaml.CollectionStartEvent):
                path += step
                stack.append(["map"] if isinstance(event, yaml.MappingStartEvent) else ["row", 0])


def _step(stack: list[list[str | int]]) -> tuple[str | int, ...]:
    """The key or number under which the next item stands; what is open is moved on."""
    if not stack:
        return ()
    top = stack[-1]
    if top[0] == "map":
        return (top.pop(),)
    number = top[1]
    assert isinstance(number, int)  # noqa: S101 (a row counts its items)
    top[1] = number + 1
    return (number,)


def _homes(root: Item, layout: Layout, at: Mark) -> Iterator[tuple[str, Path]]:
    """The values that are written at one place, each with its own way there through the tree."""
    places = [path for path, item in _paths(root, ()) if item.at == at and _is_number(item)]
    for name, value in layout.quantities.items():
        if value.at == at:
            part = next((upper for upper in _uppers(name) if upper in layout.by_name), "")
            home = _home(root, part, name[len(part) + 1 :], places)
            if home is not None:
                yield name, home


def _uppers(name: str) -> Iterator[str]:
    """What a value's name begins with, longest first: pad.low_corner, pad."""
    while "." in name:
        name = name.rpartition(".")[0]
        yield name


def _is_number(item: Item) -> bool:
    """Whether an item is a value, and no mapping that begins where its first value does."""
    return isinstance(item, Scalar) or (isinstance(item, Branch) and "value" in item.entries)


def _home(root: Item, part: str, size: str, places: Sequence[Path]) -> Path | None:
    """The way to a size of a part: in its own shape, in the named one, or in that of the part that it is like."""
    seen: set[str] = set()
    while part not in seen:
        seen.add(part)
        entry = _at(root, ("parts", part))
        own = [path for path in places if path[:2] == ("parts", part)]
        if entry is None or own:
            return _of_size(own, size)
        shape, like = child(entry, "shape"), child(entry, "like")
        if isinstance(shape, Scalar):
            return _of_size([path for path in places if path[:2] == ("shapes", shape.text)], size)
        if not isinstance(like, Scalar):
            return None
        part = like.text
    return None


def _of_size(places: Sequence[Path], size: str) -> Path | None:
    """The place that is this size's, such as z or low_corner.z: one number may stand for several of a part."""
    *uppers, last = size.split(".")
    meant = [path for path in places if path[-1] in (last, _COORDINATES.get(last, last))]
    if len(meant) > 1:
        named = {*uppers} if uppers else {"shape"}
        meant = [path for path in meant if path[0] == "shapes" or named <= {*path}]
    return meant[0] if len(meant) == 1 else None


def _apart(
    root: Item, found: Sequence[Alias], homes: Mapping[str, Path], layout: Layout, new: Mapping[str, Quantity]
) -> list[Alias]:
    """The aliases that stand for something that will change, but for those behind which all shall change alike."""

    def wish(name: str) -> tuple[float, float, float]:
        value = new.get(name, layout.quantities[name])
        return value.nominal, value.below, value.above

    changing = {id(_at(root, homes[name])) for name in new if name in homes}
    anchored = {
        layout.quantities[name].at: wish(name)
        for name, home in homes.items()
        if not any(_is_under(home, alias.path) for alias in found)
    }
    apart = []
    for alias in found:
        item = _at(root, alias.path)
        is_inside = any(
            name in new and alias.path != home and _is_under(alias.path, home) for name, home in homes.items()
        )
        if item is None or not (is_inside or any(id(each) in changing for _, each in _paths(item, ()))):
            continue
        behind = [name for name, home in homes.items() if _is_under(home, alias.path)]
        alike = all(anchored.get(layout.quantities[name].at) == wish(name) for name in behind)
        if is_inside or not behind or not alike:
            apart.append(alias)
    return apart


def _is_under(path: Path, upper: Path) -> bool:
    return path[: len(upper)] == upper


def _moved(
    layout: Layout, apart: Sequence[Alias], edits: Sequence[Edit], homes: Mapping[str, Path], root: Item
) -> Layout:
    """The layout with every value at its place in the new text."""
    longer = {edit.start: len(edit.text) - (edit.end - edit.start) for edit in edits}

    def place(value: Quantity) -> Mark:
        home = homes.get(value.name)
        if home is not None and any(_is_under(home, alias.path) for alias in apart):
            item = _at(root, home)
            return value.at if item is None else item.at
        before = (each for each in apart if each.at.line == value.at.line and each.at.column < value.at.column)
        return replace(value.at, column=value.at.column + sum(longer[each.start] for each in before))

    quantities = {name: replace(value, at=place(value)) for name, value in layout.quantities.items()}
    return replace(layout, quantities=MappingProxyType(quantities))


def _paths(item: Item, path: Path) -> Iterator[tuple[Path, Item]]:
    yield path, item
    if isinstance(item, Row):
        for number, each in enumerate(item.items):
            yield from _paths(each, (*path, number))
    elif isinstance(item, Branch):
        for key, (_, value) in item.entries.items():
            yield from _paths(value, (*path, key))


def _at(root: Item, path: Path) -> Item | None:
    item: Item | None = root
    for step in path:
        item = None if item is None else child(item, step)
    return item
