"""The toleranced values inside a piece of the model."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from fitcheck.errors import Mark
from fitcheck.model.quantity import Quantity


def quantities_of(node: object) -> Iterator[Quantity]:
    """Every toleranced value in a part, a shape, a placing, in the order of their fields."""
    if isinstance(node, Quantity):
        yield node
    elif isinstance(node, tuple):
        for item in node:
            yield from quantities_of(item)
    elif is_dataclass(node) and not isinstance(node, type | Mark):
        for each in fields(node):
            yield from quantities_of(getattr(node, each.name))
