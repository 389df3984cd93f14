"""Turn angles that have a tolerance: which ones move a pair, and bounds over all of them.

Everything else is affine and handled exactly; angles are not. The bound over a range of angles is found by halving it:
the value at the middle of a range, less what the fastest point can travel over half of it, bounds the whole range. The
least certain range is halved until what is left to gain is small, so the answer is always safe and its looseness known.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from fitcheck.findings import Point
from fitcheck.model.part import Feature, Part
from fitcheck.model.quantity import Quantity
from fitcheck.placing.chain import Chain
from fitcheck.placing.forms import Widths
from fitcheck.placing.pair import Lowest

LOOSENESS_MM = 0.005
LOOSENESS_SHARE = 0.02
"""Halving stops when no more than this can be gained: a length, or a share of what the turns take off."""

Cell = tuple[tuple[float, float], ...]
Travel = tuple[float, float, float]
"""Bound on how far any point of a part goes along each case axis per radian of one angle; mm."""

Evaluate = Callable[[Mapping[str, float]], Sequence[Lowest]]
"""Angles (name -> degrees) to the lower bounds of which the least counts, each with its direction."""


@dataclass(frozen=True, slots=True)
class Turning:
    """One uncertain angle of a pair: degrees either way, and how far it can move the two parts against each other along
    each case axis, per degree.
    """

    name: str
    nominal: float
    below: float
    above: float
    travel: Travel

    def speed(self, direction: Point | None) -> float:
        """Bound on the relative travel along a direction, mm per degree; None: along the worst one."""
        if direction is None:
            return math.hypot(*self.travel)
        return sum(abs(share) * along for share, along in zip(direction, self.travel, strict=True))


def turnings(chain: Chain, one: Part, other: Part, widths: Widths) -> tuple[Turning, ...]:
    """The uncertain angles that two parts depend on, with the fastest relative travel that each can cause."""
    speeds: dict[str, Travel] = {}
    angles: dict[str, Quantity] = {}
    for part in (one, other):
        for angle, travel in travels(chain, part):
            angles[angle.name] = angle
            speeds[angle.name] = _sum(speeds.get(angle.name, STILL), travel)
    return tuple(
        Turning(name, angle.nominal, *widths[name], _per_degree(speeds[name]))
        for name, angle in angles.items()
        if any(widths[name])
    )


STILL: Travel = (0.0, 0.0, 0.0)


def _per_degree(travel: Travel) -> Travel:
    return (math.radians(travel[0]), math.radians(travel[1]), math.radians(travel[2]))


def _sum(one: Travel, other: Travel) -> Travel:
    return (one[0] + other[0], one[1] + other[1], one[2] + other[2])


def travels(chain: Chain, part: Part) -> Iterator[tuple[Quantity, Travel]]:
    """Each uncertain angle that moves the part, and how far any point of the part goes per radian of it.

    An angle may come more than once; the travels then add up.
    """
    for axis in range(3):
        for angle, travel in _plane_travels(chain, part, axis, None):
            along = [0.0, 0.0, 0.0]
            along[axis] = travel
            yield angle, (along[0], along[1], along[2])


def _plane_travels(chain: Chain, part: Part, axis: int, feature: Feature | None) -> Iterator[tuple[Quantity, float]]:
    """How far a plane of the part (None: any point of it) goes along an axis, per radian of each uncertain angle."""
    placing = part.placings[axis] if part.placings else None
    if placing is None or feature is not placing.feature:
        for turn in part.turns:
            turns_about_axis = len(part.turns) == 1 and turn.axis == axis
            if not turn.angle.is_exact and not turns_about_axis:
                yield turn.angle, chain.swing_radius(part)
    if placing is not None and placing.reference is not None:
        reference = chain.layout.by_name[placing.reference]
        yield from _plane_travels(chain, reference, axis, placing.reference_feature)


def lowest_over(turning: tuple[Turning, ...], bounds_at: Evaluate, most: int) -> tuple[float, float]:
    """(proven lower bound, looseness) of the least of some bounded values over all angles.

    `most` limits the evaluations; the bound is proven whatever the limit, only looser.
    """
    if not turning:
        return min(bound.value for bound in bounds_at({})), 0.0
    count = itertools.count()

    def measured(cell: Cell) -> tuple[float, float]:
        angles = {turn.name: (low + high) / 2 for turn, (low, high) in zip(turning, cell, strict=True)}
        found = bounds_at(angles)
        halves = [(turn, (high - low) / 2) for turn, (low, high) in zip(turning, cell, strict=True)]
        proven = min(
            max(bound.floor, bound.value - sum(turn.speed(bound.direction) * half for turn, half in halves))
            for bound in found
        )
        return min(bound.value for bound in found), proven

    whole = tuple((turn.nominal - turn.below, turn.nominal + turn.above) for turn in turning)
    best, bound = measured(whole)
    middle = best
    heap = [(bound, next(count), whole)]
    used = 1
    while used < most and best - heap[0][0] > max(LOOSENESS_MM, LOOSENESS_SHARE * (middle - heap[0][0])):
        _, _, cell = heapq.heappop(heap)
        for half in _halves(cell, turning):
            value, bound = measured(half)
            best = min(best, value)
            heapq.heappush(heap, (bound, next(count), half))
            used += 1
    return heap[0][0], best - heap[0][0]


def _halves(cell: Cell, turning: tuple[Turning, ...]) -> Iterator[Cell]:
    """The cell cut in two across the angle that moves most."""
    widest = max(range(len(cell)), key=lambda k: turning[k].speed(None) * (cell[k][1] - cell[k][0]))
    low, high = cell[widest]
    middle = (low + high) / 2
    for ends in ((low, middle), (middle, high)):
        yield (*cell[:widest], ends, *cell[widest + 1 :])
