"""Gap rules that the heights must keep too, found by placing a choice and measuring it.

Each gap that a choice leaves unmet forbids a span of lifts of one part against the other. How far the span reaches is
measured by moving one part past the other. A gap never grows faster than the two are moved apart, so steps as long as
what it lacks never pass over a lift that would do.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from fitcheck.findings import TOUCH_MM, Band
from fitcheck.model.part import Build, State
from fitcheck.placing.forms import Widths
from fitcheck.placing.measure import Measure
from fitcheck.placing.pair import STAY, Shift
from fitcheck.stack.conditions import Either, Way
from fitcheck.stack.demands import Distance, face_plane
from fitcheck.stack.found import Found, Pick, with_heights
from fitcheck.stack.needs import NOMINAL, RSS, WORST, probed
from fitcheck.study import Pair, Study

_UPRIGHT = 0.5
"""A gap is upright when at least this share of its line runs up or down."""

BOTH = (1.0, -1.0)

_MOST_STEPS = 250
"""A longer way past a part is found in further rounds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """A pair that a rule speaks of and that the heights move, in one state. `above` is how much each height lifts the
    underside of the second part off the top of the first, `below` that of the first off the second. `shifts` is whether
    the heights only move the two, and do not change either."""

    pair: Pair
    state: State
    title: str
    above: Mapping[str, float]
    below: Mapping[str, float]
    shifts: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmet:
    """A gap that a choice leaves unmet: by how much (mm), and what would mend it. `is_upright` is whether one part
    stands above the other; a sideways gap may be mended by heights, but need not be."""

    title: str
    parts: tuple[str, str]
    is_upright: bool
    lacks: float
    eithers: tuple[Either, ...]


class UprightGaps:
    """The gap rules of a layout whose heights are to be found. `written` is as written."""

    def __init__(self, written: Study, found: Sequence[Found]) -> None:
        self._written, self._found = written, tuple(found)
        self._beside: set[str] = set()
        self.watched = tuple(self._watch())

    def placed(self, picks: Mapping[str, Pick]) -> Study:
        """The layout with a choice of heights."""
        layout = with_heights(self._written.layout, self._found, picks)
        return Study(layout, self._written.meshes, self._written.progress)

    def unmet(
        self,
        placed: Study,
        picks: Mapping[str, Pick],
        basis: str,
        *,
        leave_out: Container[str] = (),
        only: Container[str] | None = None,
    ) -> list[Unmet]:
        """The gaps that a choice leaves unmet, in file order; of the titles asked for."""
        found = []
        for watched in self.watched:
            if watched.title in leave_out or (only is not None and watched.title not in only):
                continue
            if (unmet := self._unmet(placed, watched, picks, basis)) is not None:
                found.append(unmet)
        return found

    def _watch(self) -> Iterator[Watched]:
        probe = Study(probed(self._written.layout), self._written.meshes)
        own = {part for each in self._found for part in each.parts}
        for pair in _ruled(self._written):
            one, other = pair.names
            aged = len(self._written.states) > 1 and self._written.changes_with_age(pair)
            for state in self._written.states if aged else self._written.states[:1]:
                above, below = (_rates(probe, state, self._found, names) for names in ((one, other), (other, one)))
                if any(above.values()) or any(below.values()):
                    yield Watched(
                        pair=pair,
                        state=state,
                        title=f"gap {one} - {other} at least {pair.required:g}" + (f", {state}" if aged else ""),
                        above=above,
                        below=below,
                        shifts=not own & {one, other} and not self._written.touch(pair),
                    )

    def _unmet(self, placed: Study, watched: Watched, picks: Mapping[str, Pick], basis: str) -> Unmet | None:
        pair, state = watched.pair, watched.state
        # The pair as written names the parts; placed, they have their found sizes.
        pair = Pair(
            one=placed.layout.by_name[pair.names[0]], other=placed.layout.by_name[pair.names[1]], rule=pair.rule
        )
        required = pair.required
        if _far_apart(placed, pair, state, required):
            return None
        measure = placed.measure(pair, state, with_contacts=True)
        if measure is None or (lacks := required - reached(measure.band, basis)) <= TOUCH_MM:
            return None
        sides = _upright_sides(placed, self._written, pair, state, measure)
        # What once stood beside may pass on either side, also when it is half past.
        is_upright = bool(sides) and watched.title not in self._beside
        if not is_upright:
            if "enclosure" in (pair.one.role, pair.other.role):
                return None  # Over the wall of the case is no place for what belongs inside.
            self._beside.add(watched.title)
            sides = BOTH
        search = _Search(placed, watched, pair, basis, required, picks, passes=not is_upright and watched.shifts)
        eithers = tuple(self._eithers(search, sides))
        return None if not eithers else Unmet(
            title=watched.title, parts=pair.names, is_upright=is_upright, lacks=lacks, eithers=eithers
        )  # fmt: skip

    def _eithers(self, search: _Search, sides: Sequence[float]) -> Iterator[Either]:
        """What the measured choice says of all choices, and what it says of those with as many pieces."""
        varying = [
            each
            for each in self._found
            if each.stock
            and any(each.per_piece)
            and (search.watched.above[each.name] or search.watched.below[each.name])
        ]
        exact = search.straight_upon(sides, varying)
        if exact is not None:
            yield Either(title=search.watched.title, ways=(exact,))
            return
        several = [each for each in varying if len(search.picks[each.name].pieces) > 1]
        if several and (alone := search.ways(sides, search.widths(several, further=None))):
            yield Either(title=search.watched.title, ways=alone)
        fewer = tuple(
            Way(heights={}, pieces={each.name: -1.0}, least=1.0 - len(search.picks[each.name].pieces))
            for each in several
        )
        if ways := search.ways(sides, search.placed.widths):
            yield Either(title=search.watched.title, ways=(*ways, *fewer))


@dataclass(frozen=True)
class _Search:
    """One unmet pair, and how far one part must be moved past the other."""

    placed: Study
    watched: Watched
    pair: Pair
    basis: str
    required: float
    picks: Mapping[str, Pick]
    passes: bool
    """Whether one part may be moved past the other, and not only off it."""

    def ways(self, sides: Sequence[float], widths: Widths) -> tuple[Way, ...]:
        """The lifts that would do, above and below; none where the choice itself does with these widths, or where
        heights have no say."""
        lacks = self._lacks(widths, STAY)
        if lacks <= TOUCH_MM:
            return ()
        found = []
        for side in sides:
            rates = self.watched.above if side > 0.0 else self.watched.below
            if any(rates.values()):
                now = sum(rate * self.picks[name].height for name, rate in rates.items())
                by = self._past(side, widths, lacks) if self.passes else lacks
                found.append(Way(heights=rates, pieces={}, least=now + by))
        return tuple(found)

    def straight_upon(self, sides: Sequence[float], varying: Sequence[Found]) -> Way | None:
        """The one way with the tolerance of each piece in it, where that takes off just what is measured with other
        numbers of pieces: then the two come straight upon one another. None otherwise, and without such tolerances."""
        if len(sides) != 1 or self.basis != WORST or self.passes or not varying:
            return None
        rates = self.watched.above if sides[0] > 0.0 else self.watched.below
        takes = {
            each.name: abs(rates[each.name]) * each.per_piece[0 if rates[each.name] > 0.0 else 1] for each in varying
        }
        if not any(rates.values()):
            return None
        single = self._lacks(self.widths(varying, further=None), STAY)
        more = self._lacks(self.widths(varying, further=1), STAY)
        numbers = (len(self.picks[name].pieces) * each for name, each in takes.items())
        if abs(more - single - sum(numbers)) > TOUCH_MM / 2:
            return None
        now = sum(rate * self.picks[name].height for name, rate in rates.items())
        return Way(
            heights=rates,
            pieces={name: -each for name, each in takes.items()},
            least=now + single - sum(takes.values()),
        )

    def widths(self, varying: Sequence[Found], *, further: int | None) -> Widths:
        """The widths with one piece in each of these heights, or with some further pieces than are chosen."""
        other = {
            size.name: each.widths(1 if further is None else len(self.picks[each.name].pieces) + further)
            for each in varying
            for size in each.written
        }
        return {**self.placed.widths, **other}

    def _lacks(self, widths: Widths, shift: Shift) -> float:
        parts = self.placed.part_pair(self.pair, self.watched.state, with_contacts=True)
        return self.required - reached(parts.measure(widths, shift).band, self.basis)

    def _past(self, side: float, widths: Widths, lacks: float) -> float:
        """How far the second part must go up (or down, for side -1) until the gap is kept."""
        axis, sign = self.placed.layout.up
        # By root-sum-square the direction of the gap decides which tolerances count, so the bound may grow faster.
        share = 0.5 if self.basis == RSS else 1.0
        moved = 0.0
        for _ in range(_MOST_STEPS):
            moved += max(share * lacks, TOUCH_MM / 2)
            shift = [0.0, 0.0, 0.0]
            shift[axis] = side * sign * moved
            lacks = self._lacks(widths, (shift[0], shift[1], shift[2]))
            if lacks <= TOUCH_MM / 2:
                return moved
        return moved


def reached(band: Band, basis: str) -> float:
    """What a gap is sure to reach."""
    return band.value if basis == NOMINAL else band.judged(basis)[0]


def _ruled(study: Study) -> Iterator[Pair]:
    """The pairs of the proposed build that a gap rule speaks of, in file order."""
    for one, other in combinations(study.layout.in_build(Build.PROPOSED), 2):
        pair = Pair(one=one, other=other, rule=study.rule_for(one, other))
        if pair.rule is not None and not study.excused_altogether(pair):
            yield pair


def _far_apart(study: Study, pair: Pair, state: State, required: float) -> bool:
    """Whether the largest bounding boxes already keep the rule."""
    boxes = study.bounds(state)
    sides = zip(boxes[pair.one.name], boxes[pair.other.name], strict=True)
    return any(max(a[0] - b[1], b[0] - a[1]) >= required for a, b in sides)


def _rates(probe: Study, state: State, found: Sequence[Found], stacked: tuple[str, str]) -> dict[str, float]:
    """How much each found height lifts the underside of the second part away from the top of the first."""
    lower, upper = stacked
    distance = Distance(lower=face_plane(probe.layout, lower, "top"), upper=face_plane(probe.layout, upper, "bottom"))
    terms = distance.form(probe.chain(state)).terms
    rates = {each.name: sum(terms.get(size.name, 0.0) for size in each.written) for each in found}
    return {name: rate if abs(rate) > 1e-9 else 0.0 for name, rate in rates.items()}


def _upright_sides(study: Study, written: Study, pair: Pair, state: State, measure: Measure) -> tuple[float, ...]:
    """On which side of the first part the second one belongs: above (1), below (-1), or either; none where the two
    stand beside one another.

    Parts that touch or overlap lie the way on which they are least in one another, in the order that they were drawn.
    """
    up, sign = study.layout.up
    if measure.band.value > TOUCH_MM:
        rise = (measure.points[1][up] - measure.points[0][up]) * sign
        return () if abs(rise) < _UPRIGHT * measure.band.value else (1.0,) if rise > 0 else (-1.0,)
    apart = [max(_beyond(study, pair, state, axis)) for axis in range(3)]
    if apart[up] < max(apart) - TOUCH_MM:
        return ()
    return _drawn_sides(written, pair, state)


def _drawn_sides(written: Study, pair: Pair, state: State) -> tuple[float, ...]:
    """On which side the second part was drawn; either, where the middle of one is deep within the other."""
    up, sign = written.layout.up
    chain = written.chain(state)
    ends = [
        (chain.low(part, up).nominal, chain.high(part, up).nominal)
        for part in (written.layout.by_name[name] for name in pair.names)
    ]
    (middle, half), (other, other_half) = (((high + low) / 2, (high - low) / 2) for low, high in ends)
    if abs(other - middle) < max(half, other_half) / 2:
        return BOTH
    return (float(sign),) if other > middle else (float(-sign),)


def _beyond(study: Study, pair: Pair, state: State, axis: int) -> tuple[float, float]:
    """How far the second part begins beyond the end of the first along an axis, and the first beyond the second."""
    chain = study.chain(state)
    one, other = (study.layout.by_name[name] for name in pair.names)
    return (
        (chain.low(other, axis) - chain.high(one, axis)).nominal,
        (chain.low(one, axis) - chain.high(other, axis)).nominal,
    )
