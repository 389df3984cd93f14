"""The exact choice: an integer program over pieces of stock, solved in turn for each thing that matters.

First what the layout prefers (least height in all, or fewest pieces in all), then the other of the two, then the
thickest pieces, so that equal layouts always give equal answers. Solver: HiGHS, through scipy.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fitcheck.findings import TOUCH_MM
from fitcheck.stack.found import MOST_PIECES, Found, Pick
from fitcheck.stack.needs import NOMINAL, RSS, WORST, Need
from fitcheck.stack.solver import optimum

LEAST_HEIGHT = "least height"

# The solver may miss a row by 1e-7; half of what counts as reaching a limit leaves room for that on both sides.
_SLACK_MM = TOUCH_MM / 2

Floats = NDArray[np.float64]


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


@dataclass(kw_only=True)
class Shop:
    """What can be built: a column for each thickness of each found height, and the limits on pieces."""

    found: Mapping[str, Found]
    columns: tuple[Column, ...]
    limits: tuple[Limit, ...]
    cuts: dict[str, list[tuple[Floats, float]]] = field(default_factory=dict)
    """Tangents of root-sum-square needs, by the need's title: coefficients on the columns, least value."""

    def of(self, name: str) -> list[int]:
        return [k for k, column in enumerate(self.columns) if column.of == name]

    def height_row(self, rates: Mapping[str, float]) -> Floats:
        return np.array([rates.get(column.of, 0.0) * column.size for column in self.columns])

    def pieces_row(self, weights: Mapping[str, float]) -> Floats:
        """Weights on the number of pieces; a height cut to measure is one piece whatever its size."""
        return np.array([weights.get(c.of, 0.0) if self.found[c.of].stock else 0.0 for c in self.columns], dtype=float)

    def picks(self, counts: Floats) -> dict[str, Pick]:
        made = {}
        for name, each in self.found.items():
            if not each.stock:
                (k,) = self.of(name)
                height = round(float(counts[k]) * self.columns[k].size, 9)
                made[name] = Pick(height=height, pieces=(height,))
                continue
            pieces = sorted(
                (self.columns[k].size for k in self.of(name) for _ in range(round(float(counts[k])))), reverse=True
            )
            made[name] = Pick(height=round(math.fsum(pieces), 9), pieces=tuple(pieces))
        return made


def shop_of(found: Sequence[Found]) -> Shop:
    """The columns and limits of the heights to be found.

    Parts that are tied each need their own pieces. Two heights that state the same counted stock share one shelf.
    """
    columns: list[Column] = []
    limits: list[Limit] = []
    shelves: dict[tuple[tuple[float, int | None], ...], list[Found]] = {}
    for each in found:
        first = len(columns)
        sizes = [size for size, _ in each.stock] or [each.step or 1.0]
        columns += [Column(of=each.name, size=size) for size in sizes]
        if each.stock and each.at_most_pieces is not None:
            held = dict.fromkeys(range(first, len(columns)), 1.0)
            pieces = "piece" if each.at_most_pieces == 1 else "pieces"
            title = f"at most {each.at_most_pieces} {pieces} in {each.name}"
            limits.append(Limit(title=title, columns=held, most=each.at_most_pieces))
        if any(count is not None for _, count in each.stock):
            shelves.setdefault(each.stock, []).append(each)
    for stock, users in shelves.items():
        for size, count in stock:
            if count is not None:
                held = {
                    k: float(len(user.parts))
                    for user in users
                    for k, column in enumerate(columns)
                    if column.of == user.name and column.size == size
                }
                names = ", ".join(name for user in users for name in user.parts)
                pieces = "piece" if count == 1 else "pieces"
                title = f"{count} {pieces} of {size:g} on hand for {names}"
                limits.append(Limit(title=title, columns=held, most=count))
    return Shop(found={each.name: each for each in found}, columns=tuple(columns), limits=tuple(limits))


def choose(
    shop: Shop, needs: Sequence[Need], basis: str, prefer: str, ties: Iterable[tuple[str, str]] = ()
) -> dict[str, Pick] | None:
    """The best choice by the linear needs (and the tangents held so far), None if there is none. `ties` are pairs of
    heights that shall be equal."""
    count = len(shop.columns)
    parts = {name: float(len(each.parts)) for name, each in shop.found.items()}
    goals = [shop.height_row(parts), shop.pieces_row(parts)]
    if prefer != LEAST_HEIGHT:
        goals.reverse()
    goals.append(np.array([-parts[column.of] * column.size**2 for column in shop.columns]))
    rows = [*_rows(shop, needs, basis), *_limit_rows(shop, shop.limits)]
    rows += [(shop.height_row({one: 1.0, other: -1.0}), -_SLACK_MM, _SLACK_MM) for one, other in ties]
    counts: Floats | None = None
    for goal in goals:
        if counts is not None and not goal.any():
            continue
        solved = _solve(shop, goal, rows)
        if solved is None:
            break
        counts = np.round(solved[:count])
        rows.append((goal, -math.inf, float(goal @ counts) + _SLACK_MM))
    return None if counts is None else shop.picks(counts)


def is_possible(shop: Shop, needs: Sequence[Need], limits: Sequence[Limit], basis: str) -> bool:
    """Whether some stack of pieces keeps to just these needs and limits."""
    rows = [*_rows(shop, needs, basis), *_limit_rows(shop, limits)]
    return _solve(shop, np.zeros(len(shop.columns)), rows) is not None


def shortfall(
    shop: Shop, needs: Sequence[Need], limits: Sequence[Limit], basis: str, relaxed: Need | Limit
) -> float | None:
    """How far one need (mm) or limit (pieces) must give way for the rest to hold; None if giving way does not help."""
    rows: list[Row] = []
    rows += [row for need in needs if need is not relaxed for row in _rows(shop, [need], basis)]
    rows += [row for limit in limits if limit is not relaxed for row in _limit_rows(shop, [limit])]
    if isinstance(relaxed, Need):
        giving = [(np.append(row, 1.0), low, high) for row, low, high in _rows(shop, [relaxed], basis)]
    else:
        giving = [(np.append(row, -1.0), low, high) for row, low, high in _limit_rows(shop, [relaxed])]
    wide = [(np.append(row, 0.0), low, high) for row, low, high in rows]
    goal = np.append(np.zeros(len(shop.columns)), 1.0)
    solved = _solve(shop, goal, wide + giving)
    return None if solved is None else max(0.0, float(solved[-1]))


def least(found: Sequence[Found], needs: Sequence[Need], basis: str) -> dict[str, float] | None:
    """The least heights that would do if they could be cut to any measure from one piece; None if nothing does.

    Where several heights can share a rise, the sum over all parts is least, then the earlier heights.
    """
    shop = shop_of([_uncut(each) for each in found])
    ones = dict.fromkeys(shop.found, 1)
    rows: list[Row] = []
    for need in needs:
        base = need.base - need.deviation(basis, shop.found, ones)
        rows.append((shop.height_row(need.rates), -base, math.inf))
    weights = np.array([float(len(shop.found[column.of].parts)) for column in shop.columns])
    heights: Floats | None = None
    for goal in (weights, np.arange(len(shop.columns), 0.0, -1.0)):
        solved = _solve(shop, goal, rows, whole=False)
        if solved is None:
            return None
        heights = solved
        rows.append((goal, -math.inf, float(goal @ solved) + _SLACK_MM))
    assert heights is not None  # noqa: S101 (the loop ran twice)
    return {column.of: round(float(height), 6) for column, height in zip(shop.columns, heights, strict=True)}


def _uncut(found: Found) -> Found:
    return Found(
        parts=found.parts,
        written=found.written,
        stock=(),
        step=1.0,
        at_most_pieces=None,
        tolerance=found.tolerance,
        per_piece=found.per_piece,
    )


Row = tuple[Floats, float, float]


def _rows(shop: Shop, needs: Iterable[Need], basis: str) -> list[Row]:
    rows: list[Row] = []
    for need in needs:
        heights = shop.height_row(need.rates)
        if basis == RSS and any(one.per_piece(shop.found[one.of]) for one in need.own):
            # No fewer than one piece each: a first bound, which the tangents tighten.
            rows.append((heights, need.deviation(RSS, shop.found, dict.fromkeys(shop.found, 1)) - need.base, math.inf))
            rows += [(row, low, math.inf) for row, low in shop.cuts.get(need.title, [])]
            continue
        rising = _per_piece(shop, need) if basis == WORST else {}
        none = {name: 0 if each.stock else 1 for name, each in shop.found.items()}
        fixed = 0.0 if basis == NOMINAL else need.deviation(basis, shop.found, none)
        rows.append((heights - shop.pieces_row(rising), fixed - need.base - _SLACK_MM, math.inf))
    return rows


def _per_piece(shop: Shop, need: Need) -> dict[str, float]:
    rising: dict[str, float] = {}
    for one in need.own:
        rising[one.of] = rising.get(one.of, 0.0) + one.per_piece(shop.found[one.of])
    return rising


def add_tangent(shop: Shop, need: Need, picks: Mapping[str, Pick]) -> None:
    """Bound a root-sum-square deviation from below by its tangent at a choice: it is convex in the piece counts, so no
    choice that keeps to the need is ever cut off."""
    pieces = {name: len(pick.pieces) for name, pick in picks.items()}
    at = need.deviation(RSS, shop.found, pieces)
    root = at - need.straight
    slopes: dict[str, float] = {}
    for one in need.own:
        each = one.deviation(shop.found[one.of], pieces[one.of])
        slopes[one.of] = slopes.get(one.of, 0.0) + (each / root * one.per_piece(shop.found[one.of]) if root else 0.0)
    constant = at - sum(slope * pieces[name] for name, slope in slopes.items() if shop.found[name].stock)
    row = shop.height_row(need.rates) - shop.pieces_row(slopes)
    shop.cuts.setdefault(need.title, []).append((row, constant - need.base - _SLACK_MM))


def _limit_rows(shop: Shop, limits: Iterable[Limit]) -> list[Row]:
    rows: list[Row] = []
    for limit in limits:
        row = np.zeros(len(shop.columns))
        for k, weight in limit.columns.items():
            row[k] = weight
        rows.append((row, -math.inf, float(limit.most)))
    return rows


def _solve(shop: Shop, goal: Floats, rows: Sequence[Row], *, whole: bool = True) -> Floats | None:
    """The columns' values at the goal's least, None if no values keep to the rows. A further column is a slack."""
    from scipy.optimize import Bounds, LinearConstraint

    count, width = len(shop.columns), len(goal)
    every = [(_padded(shop, name, width), 1.0, math.inf) for name in shop.found] if whole else []
    matrix = [*rows, *every]
    constraints = []
    if matrix:
        left, lows, highs = zip(*matrix, strict=True)
        constraints.append(LinearConstraint(np.array(left), lows, highs))
    most = np.full(width, math.inf)
    for k, column in enumerate(shop.columns):
        if whole and shop.found[column.of].stock:
            most[k] = MOST_PIECES
    kinds = np.zeros(width)
    kinds[:count] = 1.0 if whole else 0.0
    return optimum(goal, constraints, Bounds(0.0, most), integrality=kinds)


def _padded(shop: Shop, name: str, width: int) -> Floats:
    row = np.zeros(width)
    row[shop.of(name)] = 1.0
    return row
