"""Gap rules that the heights must keep too: between parts of which the choice moves one above the other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fitcheck.findings import TOUCH_MM, Sense
from fitcheck.model.part import Build, State
from fitcheck.placing.forms import Form
from fitcheck.placing.measure import Measure
from fitcheck.stack.found import Found, Pick, height_of
from fitcheck.stack.needs import Need
from fitcheck.study import Pair, Study


def unmet_gaps(
    study: Study, probe: Study, found: Sequence[Found], picks: Mapping[str, Pick], basis: str
) -> Iterator[Need]:
    """A need for each gap rule that the chosen heights leave unmet and that other heights can mend.

    `study` is the layout with the chosen heights, `probe` the same with a band on every length. A gap never grows
    faster than the two parts are moved apart, so a need never rules out heights that would do.
    """
    for pair in study.pairs(Build.PROPOSED):
        if pair.rule is None or study.excused_altogether(pair):
            continue
        for state in study.states:
            rates = rising(probe, pair, state, found)
            if not rates:
                continue
            measure = study.measure(pair, state, with_contacts=True)
            if measure is None or not _short(measure, pair.required, basis):
                continue
            turned = _sense(study, pair, state, measure)
            if turned:
                yield _need(study, pair, state, measure, {name: turned * rate for name, rate in rates.items()}, picks)


def _short(measure: Measure, required: float, basis: str) -> bool:
    return measure.band.judged(basis)[0] < required - TOUCH_MM


def rising(probe: Study, pair: Pair, state: State, found: Sequence[Found]) -> dict[str, float]:
    """How much each height lifts the second part of a pair away from the first; empty: it moves neither."""
    chain = probe.chain(state)
    up, sign = probe.layout.up
    apart = (_middle(probe, state, pair.other.name) - _middle(probe, state, pair.one.name)) * float(sign)
    rates: dict[str, float] = {}
    for each in found:
        rate = 0.0
        for size in each.written:
            rate += apart.terms.get(size.name, 0.0)
        for part, turned in ((pair.other, 1.0), (pair.one, 1.0)):
            own = height_of(probe.layout, part)
            if own is not None and any(own.name == size.name for size in each.written):
                # Its facing side moves by half its height more than its middle does.
                above = apart.nominal > 0
                faces = (1.0 if above else -1.0) * turned
                rate -= 0.5 * faces
        if abs(rate) > 1e-9:
            rates[each.name] = rate
    del chain, up
    return rates
