"""Two parts that can move in their play: the smallest distance over all positions that they can take.

A tolerance is unknown but fixed; a part with play will stand anywhere in it. So what counts in each build is the least
distance over its positions, and its band is worked out in three ways: `low` from the bound over all values, the play
being one of them; `value` at a position that was found, in the play as stated; `high` likewise, in the play that every
build has. A part is not pushed through another: it goes until they touch.

Play moves parts bodily along the case axes, so a position of two parts is one shift of the second against the first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from operator import attrgetter
from types import MappingProxyType

from fitcheck.findings import TOUCH_MM, Band, Point
from fitcheck.model.part import Part, Play
from fitcheck.placing.forms import Widths
from fitcheck.placing.many import ManyPair
from fitcheck.placing.oblique import ObliquePair
from fitcheck.placing.pair import STAY, PiecePair, Shift
from fitcheck.placing.square import SquarePair

STEPS = 30
STILL_MM = 1e-7
"""A step shorter than this moves nothing any more."""

Ends = Callable[[Play], tuple[float, float]]
AXES = "xyz"
ENDS: Mapping[str, Ends] = MappingProxyType(
    {"usual": attrgetter("usual"), "sure": attrgetter("sure"), "most": attrgetter("most")}
)
"""How far parts can go: as stated, as every build has it, and as it may be at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """The box of shifts of the second part against the first, mm."""

    low: Shift
    high: Shift

    def held(self, shift: Shift) -> Shift:
        """The nearest shift that the play allows."""
        one, two, three = (min(max(by, low), high) for by, low, high in zip(shift, self.low, self.high, strict=True))
        return (one, two, three)

    def corners(self) -> Iterator[Shift]:
        ends = [sorted({low, high}) for low, high in zip(self.low, self.high, strict=True)]
        yield from ((x, y, z) for x in ends[0] for y in ends[1] for z in ends[2])

    def farthest(self, position: Position) -> Shift:
        """As far as the play goes the way that brings them nearer; where that way has no part, it stays."""
        length = math.hypot(*position.toward)
        one, two, three = (
            by if abs(along) <= 1e-9 * length else (high if along > 0.0 else low)
            for by, along, low, high in zip(position.shift, position.toward, self.low, self.high, strict=True)
        )
        return (one, two, three)


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """A shift at which the two are nearest, and which way the second goes to come nearer, from where they last stood
    apart."""

    shift: Shift
    toward: Point


def reach_of(one: Part, other: Part, ends: Ends) -> Reach:
    """How far the second part can go against the first; both may have play."""
    low, high = [0.0] * 3, [0.0] * 3
    for part, sign in ((one, -1), (other, 1)):
        for play in part.play:
            below, above = ends(play)[::sign]
            low[play.axis] -= below
            high[play.axis] += above
    return Reach(low=(low[0], low[1], low[2]), high=(high[0], high[1], high[2]))


def names_of(one: Part, other: Part) -> frozenset[str]:
    """The values that stand for the play of the two."""
    return frozenset(play.free.name for part in (one, other) for play in part.play)


def widths_of(one: Part, other: Part, ends: Ends) -> dict[str, tuple[float, float]]:
    return {play.free.name: ends(play) for part in (one, other) for play in part.play}


def moves_of(one: Part, other: Part, shift: Shift, ends: Ends) -> tuple[Shift, Shift]:
    """Where each of the two stands off its drawn place when the second is that far off the first. The second moves as
    far as it can, the first does the rest."""
    own = {play.axis: ends(play) for play in other.play}
    sides = [own.get(axis, (0.0, 0.0)) for axis in range(3)]
    x, y, z = (min(max(by, -below), above) for by, (below, above) in zip(shift, sides, strict=True))
    return _from((x, y, z), shift), (x, y, z)


def held_at(part: Part, moves: Shift) -> Part:
    """The part held at one place of its play: there it is drawn, and moves no more."""
    held = tuple(
        replace(
            play,
            free=replace(play.free, nominal=moves[play.axis], below=0.0, above=0.0),
            usual=(0.0, 0.0),
            sure=(0.0, 0.0),
        )
        for play in part.play
    )
    return replace(part, play=held)


def words_for(one: Part, other: Part, shift: Shift, touching: bool) -> str:
    """Where in its play each part stands, in words; empty where it is as drawn."""
    said = []
    for part, moves in zip((one, other), moves_of(one, other, shift, ENDS["usual"]), strict=True):
        ends = {play.axis: play.usual for play in part.play}
        gone = {axis: by for axis, by in enumerate(moves) if abs(by) > STILL_MM}
        if gone:
            ended = all(by > ends[axis][1] - STILL_MM or by < STILL_MM - ends[axis][0] for axis, by in gone.items())
            far = "at the far end of" if ended else "within"
            by_axis = ", ".join(f"{AXES[axis]} {by:+.4g}" for axis, by in gone.items())
            said.append(f"{far} {part.name}'s play ({by_axis} mm)")
    met = "touching, " if touching and said else ""
    return met + " and ".join(said)


def nearest_position(pairs: Sequence[PiecePair], widths: Widths, still: Widths, reach: Reach, shift: Shift) -> Position:
    """Where two parts of those pieces come nearest, the second moved by `shift` and by its play.

    `widths` hold the play alone, `still` nothing. Convex pieces are solved; of others the nearest that was found.
    """
    simple = list(_simple(pairs))
    slack = max(abs(by) for by in shift) * 2.0
    bounds = sorted((pair.least(widths) - slack, number) for number, pair in enumerate(simple))
    best, found = math.inf, Position(shift=STAY, toward=STAY)
    for bound, number in bounds:
        if bound >= best:
            break
        value, position = _slid(simple[number], still, reach, shift)
        if value < best:
            best, found = value, position
    return found


def _simple(pairs: Sequence[PiecePair]) -> Iterator[PiecePair]:
    for pair in pairs:
        if isinstance(pair, ManyPair):
            yield from _simple(pair.pairs)
        else:
            yield pair


def _slid(pair: PiecePair, still: Widths, reach: Reach, shift: Shift) -> tuple[float, Position]:
    """The nearest that two pieces come, sliding from where they are drawn, or from the best corner of the play.

    Half the distance squared falls along the line between the nearest points, and bends no faster than these come
    together: so each step goes as far as that line, with a run-up that is dropped where it leads away (an accelerated
    projected gradient, with restarts).
    """

    def at(by: Shift) -> tuple[float, tuple[Point, Point]]:
        return _apart(pair, still, plus(shift, by))

    here = STAY
    if not _is_convex(pair):
        here = min((STAY, *reach.corners()), key=lambda by: at(by)[0])
    ahead, pace = here, 1.0
    seen = at(ahead)
    value, toward = seen[0], STAY
    for _ in range(STEPS):
        if seen[0] <= TOUCH_MM:
            return seen[0], Position(shift=ahead, toward=toward)
        toward = _from(*seen[1])
        following = reach.held(plus(ahead, toward))
        reached = at(following)
        if reached[0] >= value:
            if ahead == here:
                break
            ahead, pace = here, 1.0
            seen = at(ahead)
            continue
        step = _from(following, here)
        next_pace = (1.0 + math.sqrt(1.0 + 4.0 * pace * pace)) / 2.0
        here, value, seen = following, reached[0], reached
        if math.hypot(*step) < STILL_MM or value <= TOUCH_MM:
            break
        ahead = reach.held(plus(following, _times(step, (pace - 1.0) / next_pace)))
        pace = next_pace
        if ahead != here:
            seen = at(ahead)
    return value, Position(shift=here, toward=toward)


def _is_convex(pair: PiecePair) -> bool:
    return isinstance(pair, SquarePair) or (isinstance(pair, ObliquePair) and pair.is_single)


def _apart(pair: PiecePair, still: Widths, shift: Shift) -> tuple[float, tuple[Point, Point]]:
    """How far two pieces are apart at nominal, and between which points."""
    if isinstance(pair, ObliquePair) and pair.is_single:  # without the bounds, which are dear
        found = pair.nominal(shift)
        return found.distance, (found.point_a, found.point_b)
    spread = pair.spread(still, shift)
    return spread.value, spread.points


def plus(one: Shift, other: Shift) -> Shift:
    return (one[0] + other[0], one[1] + other[1], one[2] + other[2])


def _from(end: Shift, start: Shift) -> Shift:
    return (end[0] - start[0], end[1] - start[1], end[2] - start[2])


def _times(shift: Shift, share: float) -> Shift:
    return (shift[0] * share, shift[1] * share, shift[2] * share)


def clipped(anywhere: float, rest: float) -> float:
    """A distance over positions, seen that a part is not pushed through another: down to touching, and no deeper than
    the two overlap as they rest."""
    return max(anywhere, min(0.0, rest))


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """The bands at the positions tried: as the part rests, where the bound over all values and positions was proven,
    and in the play as stated, as every build has it, and as it may be at most."""

    rest: Band
    anywhere: Band
    usual: Sequence[Band]
    sure: Sequence[Band]
    most: Sequence[Band]

    def band(self) -> Band:
        """The band of the least distance over all positions."""
        rest = self.rest
        high = clipped(min(band.high for band in self.sure), rest.high)
        value = min(high, clipped(min(band.value for band in self.usual), rest.value))
        low = min(value, clipped(self.anywhere.low, rest.low))
        rss_low = clipped(min(band.rss_low for band in self.most), rest.rss_low)
        rss_high = clipped(min(band.rss_high for band in self.sure), rest.rss_high)
        return Band(
            value=value,
            low=low,
            high=high,
            rss_low=min(value, max(low, rss_low)),
            rss_high=max(value, min(high, rss_high)),
        )
