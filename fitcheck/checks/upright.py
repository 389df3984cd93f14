"""The findings of upright demands: shared by the clear height and the level check."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from fitcheck.checks.concede import concede
from fitcheck.checks.settle import settle_by
from fitcheck.findings import Band, Finding, Rule, Sense, Status, judge
from fitcheck.model.part import Build, State
from fitcheck.model.sections import HeightDemand
from fitcheck.sources import Source
from fitcheck.stack.demands import Distance, ages_of, distance_of, upright
from fitcheck.study import Study

DEMAND_SOURCE = Source(document="the layout's own demand")


def demand_findings(study: Study, kind: str, read: Callable[[Band], Band]) -> list[Finding]:
    """A finding for each limit of each demand of one kind, in file order, in each state. `read` turns the band of the
    distance into that of the value that is limited."""
    heights = study.layout.sections.heights
    if heights is None:
        return []
    found = []
    for demand in heights.so_that:
        if demand.kind == kind:
            distance = distance_of(study.layout, demand)
            for state in ages_of(study, distance):
                found += [
                    concede(study, _finding(study, demand, distance, state, sense, required, read))
                    for sense, required in _limits(demand)
                ]
    return found


def _limits(demand: HeightDemand) -> Iterator[tuple[Sense, float]]:
    if demand.at_least is not None:
        yield Sense.AT_LEAST, demand.at_least.nominal
    if demand.at_most is not None:
        yield Sense.AT_MOST, demand.at_most.nominal
    if demand.within is not None:
        yield Sense.AT_MOST, demand.within.nominal


def _finding(
    study: Study,
    demand: HeightDemand,
    distance: Distance,
    state: State,
    sense: Sense,
    required: float,
    read: Callable[[Band], Band],
) -> Finding:
    heights = study.layout.sections.heights
    assert heights is not None  # noqa: S101 (the demand stands in it)
    seen = upright(study, state, distance)
    band = read(seen.band)
    status = judge(band, required, sense, heights.judge_by)
    resting = tuple(
        name for name in seen.values if name in study.layout.quantities and study.layout.quantities[name].is_guess
    )
    finding = Finding(
        check=demand.kind,
        parts=demand.between,
        build=Build.PROPOSED,
        state=state,
        status=status,
        rule=Rule(name=demand.kind, text="asked for under `heights`", source=DEMAND_SOURCE),
        band=band,
        unit="mm",
        required=required,
        sense=sense,
        points=seen.points,
        reason=f"mesh surfaces count with {seen.loose:.3f} mm" if seen.loose > 5e-4 else "",
        rests_on_guess=resting,
    )
    if status is Status.CANNOT_TELL:
        return replace(
            finding,
            settle_by=settle_by(
                lambda widths: read(upright(study, state, distance, widths).band),
                study.widths,
                seen.values,
                study.layout.quantities,
                required,
                sense,
                heights.judge_by,
            ),
        )
    if status is Status.MET and resting:
        return replace(
            finding,
            status=Status.CANNOT_TELL,
            settle_by=f"measure {resting[0]}",
            reason=f"rests on a guess: {', '.join(resting)}",
        )
    return finding
