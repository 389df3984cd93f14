"""Write values back into the text of a layout file: only the values change, comments, order and layout stay.

A value is edited at the place where it is written. What several parts share (a shape, `like`, an alias) stands in one
place; a part that shall differ from what is read there gets a shape of its own, or the alias is written out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from fitcheck.errors import LayoutErrors, Mark, Problem
from fitcheck.layoutfile.tree import Branch, Item, Row, Scalar
from fitcheck.layoutfile.write_aliases import without_aliases
from fitcheck.layoutfile.write_shapes import Edit, OwnShapes
from fitcheck.layoutfile.yamltext import parse
from fitcheck.model.layout import Layout
from fitcheck.model.quantity import Quantity

_MM = ("", "mm")
_ANCHOR = re.compile(r"&\S+\s+")


def rewritten(text: str, layout: Layout, new: Mapping[str, Quantity]) -> str:
    """The layout's text with new lengths: value name -> the value as it shall stand, in mm.

    A part that shares its shape with one that is to stay, or to become something else, gets a shape of its own; an
    alias between them is written out, and the anchor stays. Raises LayoutErrors where that is not possible.
    """
    root, problems = parse(text, layout.file)
    if root is None:
        raise LayoutErrors(problems)
    text, root, layout = without_aliases(text, root, layout, new)
    bare_mm = _bare_mm(root)
    by_mark, edits = _settled(text, root, layout, new, bare_mm=bare_mm)
    wanted = set(by_mark)
    for item in _items(root):
        if item.at in wanted and not (isinstance(item, Branch) and "value" not in item.entries):
            edits += _edits(text, item, by_mark[item.at], bare_mm=bare_mm)
            wanted.discard(item.at)
    for edit in sorted(edits, key=lambda each: each.start, reverse=True):
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


def _settled(
    text: str, root: Item, layout: Layout, new: Mapping[str, Quantity], *, bare_mm: bool
) -> tuple[dict[Mark, Quantity], list[Edit]]:
    """Place -> new value there, and the edits that give shapes of their own where the values of one place differ."""
    found: dict[Mark, Quantity] = {}
    edits: list[Edit] = []
    problems = []
    apart: set[Mark] = set()
    for name, value in new.items():
        old = layout.quantities[name]
        if old.at in apart:
            continue
        sharing = [each for each in layout.quantities.values() if each.at == old.at]
        minds = {(new.get(each.name, each).nominal, *_widths(new.get(each.name, each))) for each in sharing}
        if len(minds) > 1:
            apart.add(old.at)
            wishes = {
                each.name.rpartition(".")[0]: value_text(new[each.name], bare_mm=bare_mm) if each.name in new else None
                for each in sharing
            }
            own = OwnShapes(source=text, root=root, shared_at=old.at, wishes=wishes)
            if own.settle():
                edits += own.edits
                homes = [each.name for each in sharing if own.is_home(each.name.rpartition(".")[0])]
                found |= [(old.at, new[home]) for home in homes if home in new]
                continue
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
    return found, edits


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


def _edits(source: str, item: Item, value: Quantity, *, bare_mm: bool) -> Iterator[Edit]:
    if isinstance(item, Scalar):
        yield Edit(start=_after_anchor(source, item), end=item.ends, text=value_text(value, bare_mm=bare_mm))
        return
    if not isinstance(item, Branch):
        return
    number = item.entries["value"][1]
    if isinstance(number, Scalar):
        in_full = _in_full(item, value, bare_mm=bare_mm)
        yield Edit(start=_after_anchor(source, number), end=number.ends, text=in_full)
        for key in ("tolerance", "unit"):
            held = item.entries.get(key)
            if held is not None and isinstance(held[1], Scalar):
                told = _tolerance(value) if key == "tolerance" else "mm"
                yield Edit(start=_after_anchor(source, held[1]), end=held[1].ends, text=told)


def _after_anchor(source: str, scalar: Scalar) -> int:
    """Where a scalar itself begins: an anchor before it stays, because aliases stand for it."""
    anchor = _ANCHOR.match(source, scalar.starts, scalar.ends)
    return scalar.starts if anchor is None else anchor.end()


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
