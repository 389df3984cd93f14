"""Demands and upright gap rules as linear needs on the heights to be found.

    margin = base + sum over heights of rate * height - deviation >= 0

Where a plane stands is affine in every size, so the rate of each height is exact. The deviation is a sum in the worst
case and a root-sum-square otherwise; it depends on the choice through the number of pieces alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from fitcheck.findings import Sense
from fitcheck.model.layout import Layout
from fitcheck.model.part import State
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import HeightDemand, LevelFeet
from fitcheck.placing.forms import counts_in_full, fall, rise, root_sum_square
from fitcheck.stack.demands import Distance, ages_of, distance_of, face_plane, upright
from fitcheck.stack.found import Found, with_values
from fitcheck.study import Study

NOMINAL, WORST, RSS = "nominal", "worst case", "rss"
BASES = (NOMINAL, WORST, RSS)

PROBE_MM = 1e-3
"""An exact value gets this half-width where its share in a distance is asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """How one found height's own error acts on a need: `share` of it, of height `of`, in the sense `falls`."""

    of: str
    share: float
    falls: bool

    def deviation(self, found: Found, pieces: int) -> float:
        below, above = found.widths(pieces)
        return self.share * (below if self.falls else above)

    def per_piece(self, found: Found) -> float:
        return self.share * found.per_piece[0 if self.falls else 1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One side of one demand in one state; all in mm.

    `rates` is by the name of each Found. `worst` and `straight` are deviations of everything but the found heights:
    summed, and the part of the root-sum-square that always adds up; `squares` is the sum of the squares of the rest.
    """

    title: str
    check: str
    parts: tuple[str, ...]
    state: str
    sense: Sense
    required: float
    base: float
    rates: Mapping[str, float]
    worst: float = 0.0
    straight: float = 0.0
    squares: float = 0.0
    own: tuple[Own, ...] = ()

    def deviation(self, basis: str, found: Mapping[str, Found], pieces: Mapping[str, int]) -> float:
        """What the margin loses to tolerances."""
        if basis == NOMINAL:
            return 0.0
        each = [one.deviation(found[one.of], pieces[one.of]) for one in self.own]
        if basis == WORST:
            return self.worst + sum(each)
        return self.straight + root_sum_square([self.squares**0.5, *each])

    def margin(
        self, basis: str, found: Mapping[str, Found], heights: Mapping[str, float], pieces: Mapping[str, int]
    ) -> float:
        reached = self.base + sum(rate * heights[name] for name, rate in self.rates.items())
        return reached - self.deviation(basis, found, pieces)


def probed(layout: Layout) -> Layout:
    """The layout with a band on every length, so that every length shows in the forms with its share."""

    def touch(value: Quantity) -> Quantity:
        return replace(value, below=PROBE_MM, above=PROBE_MM) if value.is_exact and value.unit == "mm" else value

    return with_values(layout, touch)


def needs_of(study: Study, found: Sequence[Found], demands: Sequence[HeightDemand]) -> list[Need]:
    """The needs of every demand, in file order, in each age where the two differ. `study` is as written."""
    probe = Study(probed(study.layout), study.meshes)
    needs: list[Need] = []
    for demand in demands:
        distance = distance_of(study.layout, demand)
        ages = ages_of(study, distance)
        for state in ages:
            for sense, required, words in _limits(demand):
                title = f"{demand.kind} {demand.between[0]} - {demand.between[1]} {words}"
                blank = _blank(title, demand.kind, demand.between, state, sense, required, aged=len(ages) > 1)
                needs.append(_need(study, probe, found, blank, distance))
    return needs


def feet_needs(study: Study, found: Sequence[Found], feet: LevelFeet) -> list[Need]:
    """The needs of feet that shall be level, of those pairs that the heights have a say in; at the beginning of life.
    All have one title: the feet are level together or not at all."""
    probe = Study(probed(study.layout), study.meshes)
    within = feet.within.nominal
    parts = tuple(f"{foot} top" for foot in feet.feet)
    title = f"feet under {feet.under} level within {within:g}: {', '.join(feet.feet)}"
    needs = []
    for one, other in combinations(feet.feet, 2):
        distance = Distance(lower=face_plane(study.layout, one, "top"), upper=face_plane(study.layout, other, "top"))
        for sense, required in ((Sense.AT_LEAST, -within), (Sense.AT_MOST, within)):
            blank = _blank(title, "level", parts, State.BEGINNING, sense, required, aged=False)
            needs.append(_need(study, probe, found, blank, distance))
    return [need for need in needs if any(need.rates.values())]


def _limits(demand: HeightDemand) -> Iterator[tuple[Sense, float, str]]:
    """Each limit of a demand: its sense, its number, and the words for it. Both sides of a level share their words."""
    if demand.at_least is not None:
        yield Sense.AT_LEAST, demand.at_least.nominal, f"at least {demand.at_least.nominal:g}"
    if demand.at_most is not None:
        yield Sense.AT_MOST, demand.at_most.nominal, f"at most {demand.at_most.nominal:g}"
    if demand.within is not None:
        within = demand.within.nominal
        yield Sense.AT_LEAST, -within, f"within {within:g}"
        yield Sense.AT_MOST, within, f"within {within:g}"


def _blank(
    title: str, check: str, parts: tuple[str, ...], state: State, sense: Sense, required: float, *, aged: bool
) -> Need:
    return Need(
        title=f"{title}, {state}" if aged else title,
        check=check,
        parts=parts,
        state=state,
        sense=sense,
        required=required,
        base=0.0,
        rates={},
    )


def _need(study: Study, probe: Study, found: Sequence[Found], blank: Need, distance: Distance) -> Need:
    """The need of one side: `probe` gives the shares of all lengths, `study` those of what has a band."""
    state = State(blank.state)
    shares, seen = distance.form(probe.chain(state)), upright(study, state, distance)
    real = seen.form
    turned = 1.0 if blank.sense is Sense.AT_LEAST else -1.0
    rates: dict[str, float] = {}
    own: list[Own] = []
    base = turned * (real.nominal - blank.required)
    for each in found:
        for size in each.written:
            share = turned * shares.terms.get(size.name, 0.0)
            if share:
                rates[each.name] = rates.get(each.name, 0.0) + share
                own.append(Own(of=each.name, share=abs(share), falls=share > 0))
                base -= share * size.nominal
    heights = {size.name for each in found for size in each.written}
    worst, straight, squares = seen.loose, seen.loose, 0.0
    for name, share in real.terms.items():
        if name in heights:
            continue
        width = seen.widths[name]
        loss = -fall(share, width) if turned > 0 else rise(share, width)
        worst += loss
        if counts_in_full(name):
            straight += loss
        else:
            squares += loss * loss
    return replace(blank, base=base, rates=rates, own=tuple(own), worst=worst, straight=straight, squares=squares)
