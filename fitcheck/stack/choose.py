"""The exact choice, solved in turn for each thing that matters.

First what the layout prefers (least height in all, or fewest pieces in all), then the other of the two, then the
thickest pieces, so that equal layouts always give equal answers.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from fitcheck.stack.conditions import Condition
from fitcheck.stack.found import Found, Pick
from fitcheck.stack.program import SLACK_MM, Program
from fitcheck.stack.shop import Floats, Shop, shop_of

LEAST_HEIGHT = "least height"


def goals_of(shop: Shop, prefer: str) -> list[Floats]:
    """What matters, first things first, as weights on the columns: the less the better."""
    parts = {name: float(len(each.parts)) for name, each in shop.found.items()}
    goals = [shop.height_row(parts), shop.pieces_row(parts)]
    if prefer != LEAST_HEIGHT:
        goals.reverse()
    return [*goals, np.array([-parts[column.of] * column.size**2 for column in shop.columns])]


def best_by(program: Program, goals: Iterable[Floats]) -> Floats | None:
    """The columns' values that are best by the first goal, of those by the next, and so on; None if there are none."""
    values: Floats | None = None
    for goal in goals:
        if values is not None and not goal.any():
            continue
        found = program.best(goal)
        if found is None:
            break
        values = found
        width = len(goal)
        program.require(goal, -math.inf, float(goal @ np.round(values[:width])) + SLACK_MM)
    return values


def choose(
    shop: Shop, conditions: Iterable[Condition], basis: str, prefer: str, ties: Iterable[tuple[str, str]] = ()
) -> dict[str, Pick] | None:
    """The best choice that keeps to the conditions, None if there is none. `ties` are pairs of heights that shall be
    equal."""
    program = Program(shop, conditions, basis)
    for one, other in ties:
        program.require(shop.height_row({one: 1.0, other: -1.0}), -SLACK_MM, SLACK_MM)
    values = best_by(program, goals_of(shop, prefer))
    return None if values is None else shop.picks(values)


def is_possible(shop: Shop, conditions: Iterable[Condition], basis: str) -> bool:
    """Whether some stack of pieces keeps to just these conditions."""
    return Program(shop, conditions, basis).is_possible()


def shortfall(
    shop: Shop, conditions: Iterable[Condition], basis: str, giving: Condition
) -> tuple[float, dict[str, Pick]] | None:
    """How far one of the conditions, a demand (mm) or a limit (pieces), must give way for the rest to hold, and the
    choice that then does; None if giving way does not help."""
    program = Program(shop, conditions, basis, giving=giving)
    values = program.best(np.append(np.zeros(len(shop.columns)), 1.0))
    return None if values is None else (max(0.0, float(values[-1])), shop.picks(values))


def least(found: Sequence[Found], conditions: Iterable[Condition], basis: str) -> dict[str, Pick] | None:
    """The least heights that would do if they could be cut to any measure from one piece; None if nothing does.

    Where several heights can share a rise, the sum over all parts is least, then the earlier heights.
    """
    shop = shop_of([replace(each, stock=(), step=1.0, at_most_pieces=None) for each in found])
    program = Program(shop, (each for each in conditions if each.limit is None), basis, whole=False)
    weights = np.array([float(len(shop.found[column.of].parts)) for column in shop.columns])
    values: Floats | None = None
    for goal in (weights, np.arange(len(shop.columns), 0.0, -1.0)):
        values = program.best(goal)
        if values is None:
            return None
        program.require(goal, -math.inf, float(goal @ values) + SLACK_MM)
    assert values is not None  # noqa: S101 (the loop ran twice)
    return program.picks(values)
