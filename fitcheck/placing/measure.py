"""The distance of two parts over all their pieces and every toleranced value that places, sizes or turns them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

from fitcheck.findings import TOUCH_MM, Band, Point
from fitcheck.model.part import Part
from fitcheck.model.shape import Group, Mesh, Prism
from fitcheck.placing.chain import Chain
from fitcheck.placing.contacts import NOTHING_EXCUSED, Excuse, declared
from fitcheck.placing.forms import Form, Widths, is_helper, root_sum_square
from fitcheck.placing.pair import STAY, Lowest, PiecePair, Shift, Spread
from fitcheck.placing.placed import Placed, placed_pieces, surface_tolerance
from fitcheck.placing.play import (
    ENDS,
    Position,
    Reach,
    Tried,
    clipped,
    moves_of,
    names_of,
    nearest_position,
    plus,
    reach_of,
    widths_of,
    words_for,
)
from fitcheck.placing.turns import Turning, lowest_over, turnings

EVALUATIONS = 150
"""At most this many evaluations of a pair over uncertain angles; the bound is proven whatever the number."""

EVALUATIONS_HIGH = 40
"""The upper bound decides only between *not met* and *cannot tell*, and is dearer."""
CLEARLY_FARTHER_MM = 20.0

Value = TypeVar("Value")
Matcher = Callable[[Placed, Placed, tuple[Excuse, Excuse], int, int], PiecePair | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """The band of one pair. `looseness` is how much wider than true the bounds may be, `error` how much too small
    the value, both in mm. `values` are the uncertain values that matter to it. `points_lowest` are where it may become
    least. `moves` say where in their play the two are nearest, as far as every build lets them: how far off their drawn
    places, mm. `in_play` tells that the value is not that of the drawn places."""

    band: Band
    points: tuple[Point, Point]
    values: tuple[str, ...]
    error: float = 0.0
    looseness: float = 0.0
    note: str = ""
    points_lowest: tuple[Point, Point] | None = None
    moves: tuple[Shift, Shift] = (STAY, STAY)
    in_play: bool = False


class PartPair:
    """Two parts whose distance can be asked for, with what contacts excuse left out.

    `match` makes a piece pair of two placed pieces (None: nothing of it is left to measure).
    """

    def __init__(
        self,
        chain: Chain,
        one: Part,
        other: Part,
        match: Matcher,
        excused: tuple[Excuse, Excuse] = (NOTHING_EXCUSED, NOTHING_EXCUSED),
        evaluations: int = EVALUATIONS,
    ) -> None:
        self.one, self.other = one, other
        self._chain, self._match, self._excused, self._evaluations = chain, match, excused, evaluations
        self._at_angles: dict[object, tuple[list[PiecePair], Chain]] = {}
        self.pairs = self._pairs_of(chain)

    @property
    def is_empty(self) -> bool:
        """Whether contacts leave nothing to measure."""
        return not self.pairs

    def _pairs_of(self, chain: Chain) -> list[PiecePair]:
        first, second = placed_pieces(chain, self.one), placed_pieces(chain, self.other)
        found = []
        for i, a in enumerate(first):
            if i in self._excused[0].whole:
                continue
            for j, b in enumerate(second):
                if j in self._excused[1].whole:
                    continue
                pair = self._match(a, b, self._excused, i, j)
                if pair is not None:
                    found.append(pair)
        return found

    def measure(self, widths: Widths | None = None, shift: Shift = STAY) -> Measure:
        """The band with the values' own widths, or with others; `shift` moves the second part.

        Of parts that can move, that of the smallest distance over all positions in their play.
        """
        widths = self._chain.extra.widths if widths is None else widths
        return self._in_play(widths, shift) if self.plays else self._held(widths, shift)

    @cached_property
    def plays(self) -> frozenset[str]:
        """The values that stand for how far the two parts can move."""
        return names_of(self.one, self.other)

    def _in_play(self, widths: Widths, shift: Shift) -> Measure:
        still = {**widths, **dict.fromkeys(self.plays, (0.0, 0.0))}
        rest, anywhere = self._held(still, shift), self._held(widths, shift)
        measures = {STAY: rest}
        alone = {name: width if is_helper(name) else (0.0, 0.0) for name, width in widths.items()}
        found: dict[Reach, Position] = {}
        at: dict[str, list[Shift]] = {}
        for word, ends in ENDS.items():
            reach = reach_of(self.one, self.other, ends)
            if reach not in found:
                free = {**alone, **widths_of(self.one, self.other, ends)}
                found[reach] = nearest_position(self.pairs, free, alone, reach, shift)
            at[word] = [STAY, found[reach].shift, reach.farthest(found[reach])]
            for position in at[word]:
                if position not in measures:
                    measures[position] = self._held(still, plus(shift, position))
        tried = {word: [measures[position].band for position in positions] for word, positions in at.items()}
        band = Tried(rest=rest.band, anywhere=anywhere.band, **tried).band()
        nearest = at["usual"][1]
        moved, _ = moves_of(self.one, self.other, nearest, ENDS["usual"])
        here = measures[nearest]
        where = words_for(self.one, self.other, nearest, band.value <= TOUCH_MM)
        seen = [rest, here, anywhere]
        return Measure(
            band=band,
            points=(plus(here.points[0], moved), plus(here.points[1], moved)),
            points_lowest=anywhere.points_lowest,
            moves=moves_of(self.one, self.other, at["sure"][1], ENDS["sure"]),
            values=tuple(sorted({name for each in seen for name in each.values} - self.plays)),
            error=max(each.error for each in seen),
            looseness=max(each.looseness for each in measures.values()),
            note="; ".join(filter(None, (here.note, where))),
            in_play=bool(where),
        )

    def _held(self, widths: Widths, shift: Shift) -> Measure:
        """The same with the parts held where they are; play is an uncertain value like any other here."""
        turning = turnings(self._chain, self.one, self.other, widths)
        by_pair = _spreads(self.pairs, widths, shift)
        spreads = list(by_pair.values())
        nearest = min(spreads, key=lambda spread: spread.value)
        floors = self._floors(widths, shift) if turning or self._needs_floors else []
        low, high, looseness = self._bounds(by_pair, turning, widths, shift, floors)
        low = max(low, min(floors, default=-math.inf))
        value = min(nearest.value, high)
        if nearest.error and floors:
            # Facets may understate the distance; the planes of the parts cannot.
            nothing = {name: (0.0, 0.0) for name in widths if not is_helper(name)}
            value = max(value, min(self._floors(nothing, shift)))
        falls, rises = self._turn_effects(nearest.value, turning, shift)
        rss_low = min(spread.value - root_sum_square([*spread.falls.values(), *falls.values()]) for spread in spreads)
        rss_high = min(spread.value + root_sum_square([*spread.rises.values(), *rises.values()]) for spread in spreads)
        matter = {
            name
            for spread in spreads
            if spread.low <= high
            for name in (*spread.falls, *spread.rises)
            if abs(spread.falls.get(name, 0.0)) + abs(spread.rises.get(name, 0.0)) > 1e-9
        }
        return Measure(
            band=Band(
                value=value,
                low=min(low, value),
                high=high,
                rss_low=max(low, rss_low),
                rss_high=min(high, rss_high),
            ),
            points=nearest.points,
            points_lowest=min(spreads, key=lambda spread: spread.low).points,
            values=tuple(sorted(name for name in matter | {turn.name for turn in turning} if not is_helper(name))),
            error=nearest.error,
            looseness=looseness,
            note=next((spread.note for spread in spreads if spread.note), ""),
        )

    def _bounds(
        self,
        spreads: Mapping[int, Spread],
        turning: tuple[Turning, ...],
        widths: Widths,
        shift: Shift,
        floors: list[float],
    ) -> tuple[float, float, float]:
        if not turning:
            found = spreads.values()
            return min(spread.low for spread in found), min(spread.high for spread in found), 0.0
        # Any one pair of pieces bounds the distance from above; the nearest at nominal does it well.
        nearest = min(spreads, key=lambda k: spreads[k].value)

        def lows(angles: Mapping[str, float]) -> list[Lowest]:
            pairs, turned = self._turned(angles, widths)
            return _lowest(pairs, turned, shift, floors)

        def minus_highs(angles: Mapping[str, float]) -> list[Lowest]:
            pairs, turned = self._turned(angles, widths)
            near = pairs[min(nearest, len(pairs) - 1)]
            return [Lowest(-near.spread(turned, shift).high)]

        low, loose_low = lowest_over(turning, lows, self._evaluations)
        minus_high, loose_high = lowest_over(turning, minus_highs, EVALUATIONS_HIGH)
        return low, -minus_high, max(loose_low, loose_high)

    @property
    def turns(self) -> bool:
        """Whether an uncertain turn moves the two against each other: then every measure is dear."""
        return bool(turnings(self._chain, self.one, self.other, self._chain.extra.widths))

    def lowest(self, shift: Shift = STAY, *, straight: bool = False) -> float:
        """`measure(shift=shift).band.low` without the rest; `straight` takes uncertain turns at their nominal."""
        widths = self._chain.extra.widths
        if straight:
            held = {turn.name: (0.0, 0.0) for turn in turnings(self._chain, self.one, self.other, widths)}
            return self.measure({**widths, **held}, shift).band.low
        anywhere = self._lowest(widths, shift)
        if anywhere >= 0.0 or not self.plays:
            return anywhere
        return clipped(anywhere, self._lowest({**widths, **dict.fromkeys(self.plays, (0.0, 0.0))}, shift))

    def _lowest(self, widths: Widths, shift: Shift) -> float:
        """`_held(widths, shift).band.low` without the rest."""
        if turnings(self._chain, self.one, self.other, widths) or self._needs_floors:
            return self._held(widths, shift).band.low
        return min(bound.value for bound in _lowest(self.pairs, widths, shift, []))

    @property
    def _needs_floors(self) -> bool:
        """Whether the planes of whole parts can prove more than their pieces: several pieces may share a plane."""
        return any(isinstance(part.shape, Group | Mesh | Prism) for part in (self.one, self.other))

    def _floors(self, widths: Widths, shift: Shift) -> list[float]:
        """For each piece pair, a lower bound at every turn: how far their outermost planes stand apart.

        Planes that go back to the same one keep their distance exactly, also that of a group's highest member.
        """
        chain = self._chain.swept(widths)
        touching = touching_axes(self.one, self.other)
        first = [outermost_planes(chain, self.one, piece, touching) for piece in placed_pieces(chain, self.one)]
        second = [outermost_planes(chain, self.other, piece, touching) for piece in placed_pieces(chain, self.other)]
        held = {**widths, **chain.extra.helpers}  # the forms above have made their helper values by now

        def apart(a: list[Planes], b: list[Planes], k: int) -> float:
            return max(
                max((high[k][0] - low[k][1]).low(held) + shift[k], (low[k][0] - high[k][1]).low(held) - shift[k])
                for low in a
                for high in b
            )

        return [max(apart(a, b, k) for k in range(3)) for a in self._left(first, 0) for b in self._left(second, 1)]

    def _left(self, pieces: Sequence[Value], side: int) -> list[Value]:
        """The pieces of one side that no contact excuses as a whole."""
        return [piece for number, piece in enumerate(pieces) if number not in self._excused[side].whole]

    def _turned(self, angles: Mapping[str, float], widths: Widths) -> tuple[list[PiecePair], Widths]:
        """The piece pairs at other angles, and the widths there: the helper values belong to the turned chain."""
        key = tuple(sorted(angles.items()))
        if key not in self._at_angles:
            chain = self._chain.at(angles)
            pairs = self._pairs_of(chain)
            self._at_angles[key] = (pairs, chain)
        pairs, chain = self._at_angles[key]
        return pairs, {**widths, **chain.extra.helpers}

    def _turn_effects(
        self, value: float, turning: tuple[Turning, ...], shift: Shift
    ) -> tuple[dict[str, float], dict[str, float]]:
        """How far each uncertain angle alone lowers and raises the nominal distance."""
        falls, rises = {}, {}
        for turn in turning:
            found = [
                self._nominal_at({turn.name: angle}, shift) - value
                for angle in (turn.nominal - turn.below, turn.nominal + turn.above)
            ]
            falls[turn.name], rises[turn.name] = min(0.0, *found), max(0.0, *found)
        return falls, rises

    def _nominal_at(self, angles: Mapping[str, float], shift: Shift) -> float:
        pairs, widths = self._turned(angles, self._chain.extra.widths)
        return min(spread.value for spread in _spreads(pairs, widths, shift).values())


Planes = list[tuple[Form, Form]]
"""Low and high plane along each axis."""


def touching_axes(one: Part, other: Part) -> frozenset[int]:
    """The axes across which one part's words put a face of it on a face of the other."""
    pairs = ((one, other), (other, one))
    return frozenset(contact.axis for standing, support in pairs for contact in declared(standing, support))


def outermost_planes(chain: Chain, part: Part, piece: Placed, touching: frozenset[int]) -> list[Planes]:
    """Planes that no build of a piece reaches beyond: those of its part, and its own if it is square and does not turn.

    The surface of a mesh may lie off by its tolerance, except across a declared contact: there the words put the two
    faces on one another as they are.
    """
    surface = surface_tolerance(piece)
    off = [0.0 if k in touching else surface for k in range(3)]
    found = [[(chain.low(part, k) - off[k], chain.high(part, k) + off[k]) for k in range(3)]]
    if piece.is_square and all(turn.angle.is_exact for turn in part.turns):
        lows, highs = piece.square_corners
        found.append(list(zip(lows, highs, strict=True)))
    return found


def _lowest(pairs: list[PiecePair], widths: Widths, shift: Shift, floors: list[float]) -> list[Lowest]:
    """The lower bounds that can count, each with its direction; of the rest the quick bound stands in."""
    if len(floors) != len(pairs):
        floors = [-math.inf] * len(pairs)
    slack = max(abs(by) for by in shift) * 2.0
    bounds = sorted((pair.least(widths) - slack, k) for k, pair in enumerate(pairs))
    found: list[Lowest] = []
    nearest = math.inf
    for number, (bound, k) in enumerate(bounds):
        if bound > nearest + CLEARLY_FARTHER_MM:
            # Farther than what is nearest here by more than any turn within its band is likely to make good; their own
            # bounds stay in the list, so that the answer is proven all the same.
            found += [Lowest(farther, None, floors[other]) for farther, other in bounds[number:]]
            break
        lowest = pairs[k].lowest(widths, shift)
        found.append(replace(lowest, floor=floors[k]))
        nearest = min(nearest, lowest.value)
    return found


def _spreads(pairs: list[PiecePair], widths: Widths, shift: Shift) -> dict[int, Spread]:
    """The spreads of the piece pairs that can matter, by number: nearest first, the rest left out by a quick bound."""
    if len(pairs) == 1:
        return {0: pairs[0].spread(widths, shift)}
    # The quick bound knows nothing of the shift, so its length comes off.
    slack = max(abs(by) for by in shift) * 2.0
    bounds = sorted((pair.least(widths) - slack, k) for k, pair in enumerate(pairs))
    found: dict[int, Spread] = {}
    nearest = math.inf
    for bound, k in bounds:
        if bound > nearest:
            break
        found[k] = pairs[k].spread(widths, shift)
        nearest = min(nearest, found[k].high)
    return found
