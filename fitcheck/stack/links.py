"""The stack table: an upright distance as a signed list of everything that makes it."""

from __future__ import annotations

from dataclasses import replace

from fitcheck.model.layout import Layout
from fitcheck.model.part import State
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import HeightDemand
from fitcheck.placing.forms import Form, Widths, fall, rise
from fitcheck.result_heights import LinkRow, StackRow
from fitcheck.stack.demands import Distance, ages_of, distance_of, upright
from fitcheck.stack.found import heights_of
from fitcheck.stack.needs import probed
from fitcheck.study import Study


def stacks_of(study: Study) -> tuple[StackRow, ...]:
    """The stack of every demand, in file order, in each age where the two ages differ; one for all that is asked of
    the same distance."""
    probe = Study(probed(study.layout), study.meshes)
    rows: dict[tuple[str, str], StackRow] = {}
    for demand in heights_of(study.layout).so_that:
        distance = distance_of(study.layout, demand)
        ages = ages_of(study, distance)
        for age in ages:
            row = _stack(study, probe, demand, distance, age, aged=len(ages) > 1)
            before = rows.get((row.title, row.state))
            if before is not None:
                row = replace(before, required=tuple(dict.fromkeys((*before.required, *row.required))))
            rows[(row.title, row.state)] = row
    return tuple(rows.values())


def _stack(
    study: Study, probe: Study, demand: HeightDemand, distance: Distance, state: State, *, aged: bool
) -> StackRow:
    seen = upright(study, state, distance)
    links = links_of(distance.form(probe.chain(state)), seen.form, study.layout, seen.widths)
    return StackRow(
        title=f"{demand.kind} {demand.between[0]} - {demand.between[1]}",
        parts=distance.parts,
        state=state if aged else "",
        band=seen.band,
        required=_required(demand),
        links=links,
        rest_mm=seen.band.value - sum(link.factor * link.nominal_mm for link in links),
    )


def _required(demand: HeightDemand) -> tuple[tuple[str, float], ...]:
    stated = (("at least", demand.at_least), ("at most", demand.at_most), ("within", demand.within))
    return tuple((word, value.nominal) for word, value in stated if value is not None)


def links_of(probe: Form, real: Form, layout: Layout, widths: Widths) -> tuple[LinkRow, ...]:
    """The values of a form in the order of the layout. `probe` shares them all out, the exact ones too."""
    worst = {name: rise(share, widths[name]) - fall(share, widths[name]) for name, share in real.terms.items()}
    whole = sum(worst.values())
    squares = sum(width * width for width in worst.values())
    order = {name: number for number, name in enumerate(layout.quantities)}
    rows = []
    for name, factor in sorted(probe.terms.items(), key=lambda term: order.get(term[0], len(order))):
        value = layout.quantities.get(name)
        if value is None:
            continue
        width = worst.get(name, 0.0)
        rows.append(
            LinkRow(
                value=name,
                factor=factor,
                nominal_mm=value.nominal,
                below_mm=value.below,
                above_mm=value.above,
                known_by=how_known(value),
                share_worst=width / whole if whole else 0.0,
                share_rss=width * width / squares if squares else 0.0,
            )
        )
    return tuple(row for row in rows if row.nominal_mm or row.share_worst)


def how_known(value: Quantity) -> str:
    """Where a value's band comes from, in words."""
    if value.is_exact:
        return "taken as exact"
    return value.basis if not value.known_by or value.known_by in value.basis else f"{value.basis}, {value.known_by}"
