"""Layouts written as text, placed and measured: what the tests of the engine share."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from itertools import combinations, product
from pathlib import Path
from random import Random
from types import MappingProxyType
from typing import Any

from fitcheck.errors import Mark
from fitcheck.findings import Finding
from fitcheck.layoutfile.read import read_text
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build, State
from fitcheck.model.quantity import Quantity
from fitcheck.placing.measure import Measure
from fitcheck.run import MeshShelf, check_study
from fitcheck.study import Pair, Study

BEGINNING, END = State.BEGINNING, State.END
SHELF = MeshShelf()
"""One shelf for all tests: a mesh file is read once."""


def layout(text: str, folder: Path = Path()) -> Layout:
    """The layout of a text that starts at `parts:` (or above); indented as a whole as one likes."""
    return read_text("fitcheck: 1\n" + textwrap.dedent(text), "bay.yaml", folder)


def study(text: str | Layout, folder: Path = Path()) -> Study:
    return Study(layout(text, folder) if isinstance(text, str) else text, SHELF)


def pair_of(placed: Study, one: str, other: str) -> Pair:
    first, second = placed.layout.by_name[one], placed.layout.by_name[other]
    return Pair(one=first, other=second, rule=placed.rule_for(first, second))


def measure(
    placed: Study, one: str, other: str, state: State = BEGINNING, *, with_contacts: bool = False
) -> Measure | None:
    return placed.measure(pair_of(placed, one, other), state, with_contacts=with_contacts)


def measured(placed: Study, one: str, other: str, state: State = BEGINNING) -> Measure:
    """The pair as it stands, contacts and all."""
    found = measure(placed, one, other, state)
    assert found is not None
    return found


def band(text: str | Layout, one: str, other: str, folder: Path = Path()) -> tuple[float, float, float]:
    """(value, low, high) of the distance of two parts, contacts not excused."""
    found = measured(study(text, folder), one, other).band
    return found.value, found.low, found.high


def findings(
    text: str, check: str = "", folder: Path = Path(), *, build: Build = Build.PROPOSED
) -> tuple[Finding, ...]:
    """Everything that `check` finds, or what one check finds."""
    result = check_study(study(text, folder), build)
    return tuple(finding for finding in result.findings if check in ("", finding.check))


def only(text: str, check: str, *parts: str, folder: Path = Path()) -> Finding:
    """The one finding of a check (about these parts)."""
    (found,) = (one for one in findings(text, check, folder) if not parts or sorted(one.parts) == sorted(parts))
    return found


def uncertain(written: Layout) -> list[Quantity]:
    """The values that have a band, in file order."""
    return [value for value in written.quantities.values() if not value.is_exact and value.unit != "kg"]


def built(written: Layout, values: Mapping[str, float]) -> Layout:
    """One build: the same words, every value exactly what it came out as (those not named: nominal)."""
    parts = _with_values(written.parts, values)
    quantities = {name: _as_built(value, values) for name, value in written.quantities.items()}
    return replace(written, parts=parts, quantities=MappingProxyType(quantities))


def _as_built(value: Quantity, values: Mapping[str, float]) -> Quantity:
    return replace(value, nominal=values.get(value.name, value.nominal), below=0.0, above=0.0, basis="exact")


def _with_values(node: Any, values: Mapping[str, float]) -> Any:
    if isinstance(node, Quantity):
        return _as_built(node, values)
    if isinstance(node, Mark):
        return node
    if isinstance(node, tuple):
        return tuple(_with_values(item, values) for item in node)
    if is_dataclass(node) and not isinstance(node, type):
        changed = {field.name: _with_values(getattr(node, field.name), values) for field in fields(node)}
        return replace(node, **changed)
    return node


def draws(values: Iterable[Quantity], count: int, seed: int) -> Iterator[dict[str, float]]:
    """Builds within tolerance: half of them anywhere in the bands, half with most values at an end."""
    values, random = list(values), Random(seed)  # noqa: S311 (no secret)
    for number in range(count):
        drawn = {}
        for value in values:
            ends = (value.low, value.high)
            anywhere = random.uniform(*ends)
            drawn[value.name] = anywhere if number % 2 or random.random() < 0.2 else random.choice(ends)
        yield drawn


def corners(values: Iterable[Quantity]) -> Iterator[dict[str, float]]:
    """Every build with all values at an end."""
    values = list(values)
    for ends in product(*((value.low, value.high) for value in values)):
        yield {value.name: end for value, end in zip(values, ends, strict=True)}


def pairs(written: Layout) -> list[tuple[str, str]]:
    return list(combinations([part.name for part in written.parts], 2))
