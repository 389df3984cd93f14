"""Gap rules that the heights must keep too: between parts of which one stands above the other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from fitcheck.findings import TOUCH_MM, Sense
from fitcheck.model.part import Build, State
from fitcheck.placing.measure import Measure
from fitcheck.stack.demands import Distance, face_plane
from fitcheck.stack.found import Found, Pick
from fitcheck.stack.needs import Need
from fitcheck.study import Pair, Study

_UPRIGHT = 0.5
"""A gap is upright when at least this share of its line runs up or down; a shallower one is not for heights to mend."""


def unmet_gaps(
    study: Study, probe: Study, found: Sequence[Found], picks: Mapping[str, Pick], basis: str
) -> Iterator[Need]:
    """A need for each upright gap rule that the chosen heights leave unmet and that other heights can mend.

    `study` is the layout with the chosen heights, `probe` the same with a band on every length. A gap never grows
    faster than the two parts are moved apart, so a need never rules out heights that would do.
    """
    for pair in _ruled(study):
        for state in study.states:
            if _far_apart(study, pair, state) or not any(rates_of(probe, state, found, pair.names).values()):
                continue
            measure = study.measure(pair, state, with_contacts=True)
            if measure is None or measure.band.judged(basis)[0] >= pair.required - TOUCH_MM:
                continue
            stacked = _stacked(study, pair, state, measure)
            if stacked is None:
                continue
            rates = rates_of(probe, state, found, stacked)
            if any(rates.values()):
                yield _need(study, pair, state, measure, rates, picks)


def _ruled(study: Study) -> Iterator[Pair]:
    """The pairs of the proposed build that a gap rule speaks of, in file order."""
    for one, other in combinations(study.layout.in_build(Build.PROPOSED), 2):
        pair = Pair(one=one, other=other, rule=study.rule_for(one, other))
        if pair.rule is not None and not study.excused_altogether(pair):
            yield pair


def _far_apart(study: Study, pair: Pair, state: State) -> bool:
    """Whether the largest bounding boxes already keep the rule."""
    boxes = study.bounds(state)
    sides = zip(boxes[pair.one.name], boxes[pair.other.name], strict=True)
    return any(max(a[0] - b[1], b[0] - a[1]) >= pair.required for a, b in sides)


def rates_of(probe: Study, state: State, found: Sequence[Found], stacked: tuple[str, str]) -> dict[str, float]:
    """How much each found height lifts the underside of the second part away from the top of the first."""
    lower, upper = stacked
    distance = Distance(lower=face_plane(probe.layout, lower, "top"), upper=face_plane(probe.layout, upper, "bottom"))
    terms = distance.form(probe.chain(state)).terms
    return {each.name: sum(terms.get(size.name, 0.0) for size in each.written) for each in found}


def _stacked(study: Study, pair: Pair, state: State, measure: Measure) -> tuple[str, str] | None:
    """(lower, upper) of an upright gap; None for one that runs sideways."""
    up, sign = study.layout.up
    one, other = pair.names
    if measure.band.value > TOUCH_MM:
        rise = (measure.points[1][up] - measure.points[0][up]) * sign
        if abs(rise) < _UPRIGHT * measure.band.value:
            return None
    else:
        chain = study.chain(state)
        middles = [(chain.low(part, up) + chain.high(part, up)).nominal / 2 for part in (pair.one, pair.other)]
        rise = (middles[1] - middles[0]) * sign
    return (one, other) if rise > 0 else (other, one)


def _need(
    study: Study, pair: Pair, state: State, measure: Measure, rates: Mapping[str, float], picks: Mapping[str, Pick]
) -> Need:
    band = measure.band
    reached = sum(rate * picks[name].height for name, rate in rates.items())
    aged = f", {state}" if len(study.states) > 1 else ""
    rss = band.value - band.rss_low
    return Need(
        title=f"gap {pair.one.name} - {pair.other.name} at least {pair.required:g}{aged}",
        check="gap",
        parts=pair.names,
        state=state,
        sense=Sense.AT_LEAST,
        required=pair.required,
        base=band.value - pair.required - reached,
        rates=rates,
        worst=band.value - band.low,
        straight=rss,
    )
