"""The shortest way looked for where it matters first: as far as judging needs, then farther, until one is found.

What proves a bound is searched only about the two conductors. A longer way is no more than followed: it is told and
drawn, and decides nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.geometry.surface_paths.cells import Cell, Face
from fitcheck.geometry.surface_paths.near import OFF_MM, Metal, Near, near
from fitcheck.geometry.surface_paths.search import Found, ground_of, search

MOST_CELLS = 60_000
"""More cells than this within reach are not searched."""
FEW_CELLS = 3000
"""No way is followed farther than a bound needs it over more cells than this."""
FARTHER = 6.0
"""Each next look goes so many times as far."""
Worked = Callable[[object, Callable[[], Found | None]], Found | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """All in mm. `narrow`: narrower openings are bridged; `hold`: from how far conductors take hold of a surface;
    `slack`, `loose`: how much nearer solids among themselves, and each conductor, may be than drawn; `enough`: a way so
    long need not be known better; `longest`: nor a bound be higher.
    """

    narrow: float
    hold: float
    slack: float
    loose: tuple[float, float]
    enough: float
    longest: float


def shortest(
    faces: Sequence[Face], loose_cells: Sequence[Cell], metal: Metal, asked: Asked, worked: Worked
) -> Found | None:
    """The bound is proven up to `longest`; the way may be longer, and infinite where none was found.

    None where no surface is to be had at all: neither conductor takes hold of one, or there are too many. `worked`: the
    figures of a search by its key, or what it gives, so that two places that are alike are searched once.
    """
    found: Found | None = None
    reach = asked.longest
    while True:
        place = near(faces, loose_cells, metal, reach + sum(asked.loose) + asked.slack, asked.hold + asked.slack)
        first = found is None

        def looked(place: Near = place, first: bool = first) -> Found | None:
            return _looked(place, asked, bound=first)

        here = worked((place.key(), asked, first), looked)
        if here is not None:
            here = replace(here, line=here.line + place.origin)
            found = here if found is None else _joined(found, here, asked.enough)
        if found is None:
            return None
        if here is None or found.high <= reach or place.whole:
            return _sound(found)
        reach *= FARTHER


def _looked(place: Near, asked: Asked, *, bound: bool) -> Found | None:
    """What is found in one place; `bound`: with the bound, else no more than a way."""
    cells = place.cells(asked.narrow) if place.metal[0] and place.metal[1] else []
    if len(cells) > (MOST_CELLS if bound else FEW_CELLS):
        return None
    nothing = Found(asked.longest, math.inf, np.empty((0, 3)), 0, 0)
    if not cells:
        return nothing
    ground = ground_of(
        cells, place.metal, asked.narrow, hold=asked.hold, slack=asked.slack, loose=asked.loose, proven=bound
    )
    if {claw.hub for claw in ground.claws} != {0, 1}:
        return nothing
    return search(ground, enough=asked.enough, limit=asked.longest)


def _joined(found: Found, farther: Found, enough: float) -> Found:
    """The bound of one look with the shorter way of two."""
    best = farther if farther.high < found.high else found
    gave_up = found.gave_up and best.high >= enough
    return replace(found, high=best.high, line=best.line, steps=found.steps + farther.steps, gave_up=gave_up)


def _sound(found: Found) -> Found | None:
    """None where no way joins the two: nothing says that they are apart by a surface at all."""
    if not math.isfinite(found.high) and not found.steps:
        return None
    return replace(found, low=max(found.low - OFF_MM, 0.0))
