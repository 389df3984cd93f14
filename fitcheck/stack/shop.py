"""What can be built: pieces of stock for each height to be found, and the limits on their number."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitcheck.stack.found import Found, Pick

Floats = NDArray[np.float64]
Shelf = tuple[tuple[float, int | None], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A bound on pieces: at most `most` of the weighted columns. `title` is what a report calls it."""

    title: str
    columns: Mapping[int, float]
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A number of pieces of one thickness in one found height."""

    of: str
    size: float


@dataclass(frozen=True, kw_only=True)
class Shop:
    """A column for each thickness of each found height, and the limits on pieces."""

    found: Mapping[str, Found]
    columns: tuple[Column, ...]
    limits: tuple[Limit, ...]

    def of(self, name: str) -> list[int]:
        return [k for k, column in enumerate(self.columns) if column.of == name]

    def height_row(self, rates: Mapping[str, float]) -> Floats:
        return np.array([rates.get(column.of, 0.0) * column.size for column in self.columns])

    def pieces_row(self, weights: Mapping[str, float]) -> Floats:
        """Weights on the number of pieces; a height cut to measure is one piece whatever its size."""
        return np.array([weights.get(c.of, 0.0) if self.found[c.of].stock else 0.0 for c in self.columns], dtype=float)

    def limit_row(self, limit: Limit) -> Floats:
        row = np.zeros(len(self.columns))
        for k, weight in limit.columns.items():
            row[k] = weight
        return row

    def picks(self, counts: Floats) -> dict[str, Pick]:
        """The pieces of each height; `counts` are the columns' values, whole or nearly."""
        made = {}
        for name, each in self.found.items():
            if not each.stock:
                (k,) = self.of(name)
                made[name] = whole_piece(round(float(counts[k])) * self.columns[k].size)
                continue
            pieces = sorted(
                (self.columns[k].size for k in self.of(name) for _ in range(round(float(counts[k])))), reverse=True
            )
            made[name] = Pick(height=round(math.fsum(pieces), 9), pieces=tuple(pieces))
        return made


def whole_piece(height: float) -> Pick:
    """A height that is cut from one piece to measure."""
    rounded = round(height, 9)
    return Pick(height=rounded, pieces=(rounded,))


def shop_of(found: Sequence[Found]) -> Shop:
    """The columns and limits of the heights to be found.

    Parts that are tied each need their own pieces. Two heights that state the same counted stock share one shelf.
    """
    columns: list[Column] = []
    limits: list[Limit] = []
    for each in found:
        first = len(columns)
        sizes = [size for size, _ in each.stock] or [each.step or 1.0]
        columns += [Column(of=each.name, size=size) for size in sizes]
        if each.stock and each.at_most_pieces is not None:
            held = dict.fromkeys(range(first, len(columns)), 1.0)
            title = f"at most {each.at_most_pieces} {_pieces(each.at_most_pieces)} in {each.name}"
            limits.append(Limit(title=title, columns=held, most=each.at_most_pieces))
    for stock, users in shelves(found).items():
        for size, count in stock:
            if count is not None:
                held = {
                    k: float(len(user.parts))
                    for user in users
                    for k, column in enumerate(columns)
                    if column.of == user.name and column.size == size
                }
                title = f"{count} {_pieces(count)} of {size:g} on hand for {_names(users)}"
                limits.append(Limit(title=title, columns=held, most=count))
    return Shop(found={each.name: each for each in found}, columns=tuple(columns), limits=tuple(limits))


def shelves(found: Sequence[Found]) -> dict[Shelf, list[Found]]:
    """Each counted stock with the heights that draw on it. Stocks that differ in any entry are two shelves."""
    shared: dict[Shelf, list[Found]] = {}
    for each in found:
        if any(count is not None for _, count in each.stock):
            shared.setdefault(each.stock, []).append(each)
    return shared


def said_of_shelves(found: Sequence[Found]) -> tuple[str, ...]:
    """Who draws on which counted shelf, in words, where more than one part does; empty otherwise."""
    held = shelves(found)
    if sum(len(user.parts) for users in held.values() for user in users) < 2:
        return ()
    said = [f"shelf {_written(stock)}: {_drawn(users)}" for stock, users in held.items()]
    if len(held) > 1:
        said.append(
            f"these are {len(held)} shelves, each with pieces of its own, because what is stated for them differs; if "
            "it is one shelf in truth, state the same stock for all"
        )
    return tuple(said)


def _drawn(users: Sequence[Found]) -> str:
    alone = sum(len(user.parts) for user in users) == 1
    return f"for {_names(users)} alone" if alone else f"counted once for {_names(users)} together"


def _written(stock: Shelf) -> str:
    return ", ".join(f"{size:g}" if count is None else f"{count} of {size:g}" for size, count in stock)


def _names(users: Sequence[Found]) -> str:
    return ", ".join(name for user in users for name in user.parts)


def _pieces(count: int) -> str:
    return "piece" if count == 1 else "pieces"
