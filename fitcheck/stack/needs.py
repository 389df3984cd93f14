"""Demands and upright gap rules as linear needs on the heights to be found.

    margin = base + sum over heights of rate * height - deviation >= 0

Where a plane stands is affine in every size, so the rate of each height is exact. The deviation is a sum in the worst
case and a root-sum-square otherwise; it depends on the choice through the number of pieces alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fitcheck.findings import Sense
from fitcheck.model.layout import Layout
from fitcheck.model.part import State
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import HeightDemand
from fitcheck.placing.forms import Form, fall, is_helper, rise, root_sum_square
from fitcheck.stack.demands import Distance, Upright, distance_of, upright
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
    """The needs of every demand, in file order, in each state that the layout has. `study` is as written."""
    probe = Study(probed(study.layout), study.meshes)
    needs: list[Need] = []
    for demand in demands:
        distance = distance_of(study.layout, demand)
        for state in study.states:
            needs += _sides(study, probe, state, found, demand, distance)
    return needs


def _sides(
    study: Study, probe: Study, state: State, found: Sequence[Found], demand: HeightDemand, distance: Distance
) -> list[Need]:
    form = distance.form(probe.chain(state))
    seen = upright(study, state, distance)
    limits: list[tuple[Sense, float]] = []
    if demand.at_least is not None:
        limits.append((Sense.AT_LEAST, demand.at_least.nominal))
    if demand.at_most is not None:
        limits.append((Sense.AT_MOST, demand.at_most.nominal))
    if demand.within is not None:
        limits += [(Sense.AT_LEAST, -demand.within.nominal), (Sense.AT_MOST, demand.within.nominal)]
    titled = f"{demand.kind} {demand.between[0]} - {demand.between[1]}"
    return [
        _need(
            found,
            Need(
                title=f"{titled} {sense.value} {required:g}" + (f", {state}" if len(study.states) > 1 else ""),
                check=demand.kind,
                parts=demand.between,
                state=state,
                sense=sense,
                required=required,
                base=0.0,
                rates={},
                worst=seen.loose,
                straight=seen.loose,
            ),
            form,
            seen,
        )
        for sense, required in limits
    ]


def _need(found: Sequence[Found], blank: Need, probe: Form, seen: Upright) -> Need:
    """The need of one side: `probe` gives the shares of all lengths, `seen` those of what has a band."""
    real = seen.form
    turned = 1.0 if blank.sense is Sense.AT_LEAST else -1.0
    rates: dict[str, float] = {}
    own: list[Own] = []
    base = turned * (real.nominal - blank.required)
    for each in found:
        for size in each.written:
            share = turned * probe.terms.get(size.name, 0.0)
            if share:
                rates[each.name] = rates.get(each.name, 0.0) + share
                own.append(Own(of=each.name, share=abs(share), falls=share > 0))
                base -= share * size.nominal
    heights = {size.name for each in found for size in each.written}
    worst, straight, squares = blank.worst, blank.straight, 0.0
    for name, share in real.terms.items():
        if name in heights:
            continue
        width = seen.widths[name]
        loss = -fall(share, width) if turned > 0 else rise(share, width)
        worst += loss
        if is_helper(name):
            straight += loss
        else:
            squares += loss * loss
    return replace(blank, base=base, rates=rates, own=tuple(own), worst=worst, straight=straight, squares=squares)
