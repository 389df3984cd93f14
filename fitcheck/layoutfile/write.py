"""Write values back into the text of a layout file: only the values change, comments, order and layout stay.

A value is edited at the place where it is written. What several parts share (a shape, `like`, an alias) stands in one
place, so all that is read from there must be given the same new value.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fitcheck.errors import LayoutErrors, Mark, Problem
from fitcheck.layoutfile.tree import Branch, Item, Row, Scalar
from fitcheck.layoutfile.yamltext import parse
from fitcheck.model.layout import Layout
from fitcheck.model.quantity import Quantity

_MM = ("", "mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edit:
    """Characters from `start` up to `end` give way to `text`."""

    start: int
    end: int
    text: str


def rewritten(text: str, layout: Layout, new: Mapping[str, Quantity]) -> str:
    """The layout's text with new lengths: value name -> the value as it shall stand, in mm.

    Raises LayoutErrors where a value is shared with one that is to stay or to become something else.
    """
    root, problems = parse(text, layout.file)
    if root is None:
        raise LayoutErrors(problems)
    by_mark = _by_mark(layout, new)
    wanted = set(by_mark)
    bare_mm = _bare_mm(root)
    edits: list[_Edit] = []
    for item in _items(root):
        if item.at in wanted and not (isinstance(item, Branch) and "value" not in item.entries):
            edits += _edits(item, by_mark[item.at], bare_mm=bare_mm)
            wanted.discard(item.at)
    for edit in sorted(edits, key=lambda each: each.start, reverse=True):
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


def _by_mark(layout: Layout, new: Mapping[str, Quantity]) -> dict[Mark, Quantity]:
    """Place -> new value; a place that several values are read from must be of one mind."""
    found: dict[Mark, Quantity] = {}
    problems = []
    for name, value in new.items():
        old = layout.quantities[name]
        sharing = [each for each in layout.quantities.values() if each.at == old.at]
        minds = {(new.get(each.name, each).nominal, *_widths(new.get(each.name, each))) for each in sharing}
        if len(minds) > 1:
            others = ", ".join(each.name for each in sharing if each.name != name)
            problems.append(
                Problem(
                    old.at,
                    f"{name} is written here together with {others}, which shall not have the same value",
                    "give the part a shape of its own, then write the heights again",
                )
            )
        found[old.at] = value
    if problems:
        raise LayoutErrors(problems)
    return found


def _widths(value: Quantity) -> tuple[float, float]:
    return value.below, value.above


def _bare_mm(root: Item) -> bool:
    """Whether a bare number is a length in mm."""
    if not isinstance(root, Branch) or "units" not in root.entries:
        return True
    units = root.entries["units"][1]
    length = units.entries.get("length") if isinstance(units, Branch) else None
    return length is None or (isinstance(length[1], Scalar) and length[1].text in _MM)


def _items(item: Item) -> Iterator[Item]:
    """Every item of the tree, the outer before what it holds."""
    yield item
    if isinstance(item, Row):
        for each in item.items:
            yield from _items(each)
    elif isinstance(item, Branch):
        for _, value in item.entries.values():
            yield from _items(value)


def _edits(item: Item, value: Quantity, *, bare_mm: bool) -> Iterator[_Edit]:
    if isinstance(item, Scalar):
        yield _Edit(start=item.starts, end=item.ends, text=value_text(value, bare_mm=bare_mm))
        return
    if not isinstance(item, Branch):
        return
    number = item.entries["value"][1]
    if isinstance(number, Scalar):
        in_full = _in_full(item, value, bare_mm=bare_mm)
        yield _Edit(start=number.starts, end=number.ends, text=in_full)
        for key in ("tolerance", "unit"):
            held = item.entries.get(key)
            if held is not None and isinstance(held[1], Scalar):
                told = _tolerance(value) if key == "tolerance" else "mm"
                yield _Edit(start=held[1].starts, end=held[1].ends, text=told)


def _in_full(item: Branch, value: Quantity, *, bare_mm: bool) -> str:
    """The number of {value: …, tolerance: …}, and after it the entries that it lacks."""
    missing = []
    if "tolerance" not in item.entries and not value.is_exact:
        missing.append(f"tolerance: {_tolerance(value)}")
    if "unit" not in item.entries and not bare_mm:
        missing.append("unit: mm")
    between = ", " if item.flow else "\n" + " " * (item.entries["value"][0].column - 1)
    return between.join([f"{value.nominal:.9g}", *missing])


def _tolerance(value: Quantity) -> str:
    if value.below == value.above:
        return f"{value.above:.9g}"
    return f"+{value.above:.9g}/-{value.below:.9g}"


def value_text(value: Quantity, *, bare_mm: bool = True) -> str:
    """A length as a layout writes it.

    >>> from fitcheck.model.quantity import Quantity
    >>> value_text(Quantity(name="pad.z", nominal=13.0, unit="mm", below=0.2, above=0.2))
    '13 ± 0.2'
    """
    unit = "" if bare_mm else " mm"
    number = f"{value.nominal:.9g}"
    if value.is_exact:
        return number + unit
    if value.below == value.above:
        return f"{number} ± {value.above:.9g}{unit}"
    return f"{number} +{value.above:.9g}/-{value.below:.9g}{unit}"
