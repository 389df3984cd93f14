"""The heights of one layout put together: solved, judged as solved, and laid against the layout as written."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from fitcheck.checks import clear_height, level
from fitcheck.checks.dragged import (
    cable_rows,
    fixed_masses,
    moved_rows,
    movers_of,
    screw_rows_moved,
    weight_rows,
)
from fitcheck.checks.upright import DEMAND_SOURCE
from fitcheck.errors import UsageError
from fitcheck.findings import Finding, Rule, Status
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build, State
from fitcheck.model.quantity import Quantity
from fitcheck.result import Result
from fitcheck.result_heights import ConflictRow, HeightsAnswer, ScrewRow
from fitcheck.stack import feet
from fitcheck.stack.found import found_in, heights_of, with_values
from fitcheck.stack.links import stacks_of
from fitcheck.stack.rationalise import fewest_heights, levelled, said_of_level
from fitcheck.stack.rationalise import said_of as said_of_fewer
from fitcheck.stack.screw_rows import screw_rows
from fitcheck.stack.shop import said_of_shelves
from fitcheck.stack.solve import Beyond, Solved, found_rows, solve
from fitcheck.study import Study

FindingsOf = Callable[[Study, Build], list[Finding]]


@dataclass(frozen=True, kw_only=True)
class Answered:
    """`study` is the layout that the findings speak of: as solved, or as written where nothing solves it."""

    study: Study
    findings: list[Finding]
    heights: HeightsAnswer | None
    screws: tuple[ScrewRow, ...]
    judge_by: str
    notes: tuple[str, ...] = ()


def answer(written: Study, geometric: FindingsOf, stated: FindingsOf) -> Answered:
    """Solve the heights of a study as written. `geometric` and `stated` are the checks to run again.

    A layout that has screws and no heights to be found gets its screws answered. Raises UsageError without either.
    """
    if written.layout.sections.heights is None and written.layout.sections.screws:
        return Answered(
            study=written,
            findings=stated(written, Build.PROPOSED),
            heights=None,
            screws=screw_rows(written),
            judge_by=written.layout.judge_by,
        )
    judge_by = heights_of(written.layout).judge_by
    study = Study(replace(written.layout, judge_by=judge_by), written.meshes, written.progress)
    solved = solve(study)
    if solved.placed is None:
        return _unsolved(study, solved)
    return _solved(study, solved.placed, solved, geometric, stated)


def _solved(study: Study, placed: Study, solved: Solved, geometric: FindingsOf, stated: FindingsOf) -> Answered:
    movers = movers_of(placed, solved.found)
    before = [*geometric(study, Build.PROPOSED), *stated(study, Build.PROPOSED)]
    shapes = geometric(placed, Build.PROPOSED)
    own = _with_level_mends(study, solved, stated(placed, Build.PROPOSED))
    rows = found_rows(solved)
    least = {row.part: row.least_nominal_mm for row in rows if row.least_nominal_mm is not None}
    now = {row.part: row.height_mm for row in rows if row.height_mm is not None}
    old_screws, new_screws = screw_rows(study), screw_rows(placed, least, now)
    moved = [
        *moved_rows(before, [*shapes, *own], movers),
        *screw_rows_moved(old_screws, new_screws, movers),
        *cable_rows(study, placed, movers),
        *weight_rows(study, placed, solved.found),
    ]
    return Answered(
        study=placed,
        findings=[*shapes, *own],
        heights=HeightsAnswer(
            solved=True,
            prefer=heights_of(study.layout).prefer,
            found=rows,
            stacks=stacks_of(placed),
            moved=tuple(dict.fromkeys(moved)),
            supports=_supports(study, placed, solved),
        ),
        screws=new_screws,
        judge_by=solved.basis,
        notes=fixed_masses(placed, solved.found),
    )


def _with_level_mends(written: Study, solved: Solved, findings: list[Finding]) -> list[Finding]:
    """The findings; feet that are not level are told which one height would do, where one does."""
    wanted = heights_of(written.layout)
    mends: dict[tuple[str, ...], str] = {}
    for level_feet in wanted.level_feet:
        picks = levelled(written, solved, level_feet, wanted.prefer)
        if picks:
            mends[tuple(f"{foot} top" for foot in level_feet.feet)] = said_of_level(picks)
    return [
        replace(each, mend=mends[each.parts])
        if each.check == level.NAME and each.status is not Status.MET and each.parts in mends
        else each
        for each in findings
    ]


def _supports(written: Study, placed: Study, solved: Solved) -> tuple[str, ...]:
    """What is to be said of many supports: their shelves, fewer different heights, level feet and shim packs."""
    wanted = heights_of(written.layout)
    said = [*said_of_shelves(solved.found), *_said_of_beyond(solved.beyond)]
    fewer = fewest_heights(solved, wanted.prefer)
    if fewer is not None:
        said.append(fewer if isinstance(fewer, str) else said_of_fewer(fewer, solved))
    for level_feet in wanted.level_feet:
        said += feet.said_of(placed, level_feet)
    return tuple(said)


def _said_of_beyond(beyond: Sequence[Beyond]) -> Iterator[str]:
    """What no heights keep, what stands against it, and what is left to do; a gap of both ages once."""
    aged = ", " + State.END
    titles = {each.condition.title for each in beyond}
    for each in beyond:
        title = each.condition.title
        young = title.replace(aged, f", {State.BEGINNING}")
        if title.endswith(aged) and young in titles:
            continue
        if title.endswith(State.BEGINNING) and title.replace(State.BEGINNING, State.END) in titles:
            title = title.replace(State.BEGINNING, "both ages")
        against = f" together with: {'; '.join(each.against)}" if each.against else ""
        if each.condition.is_gap:
            yield f"no heights keep {title}{against}. Raised or lowered it cannot be had; it takes a move sideways"
        else:
            yield f"no heights from stock keep {title}, tolerances included{against}. That is left to shims"


def _unsolved(study: Study, solved: Solved) -> Answered:
    """No choice of pieces does: what contradicts is not met, whatever the layout as written looks like."""
    as_written = [*clear_height.check(study), *level.check(study)]
    at_odds = [row for row in solved.conflict if row.check] or [_any_demand(row) for row in solved.conflict[:1]]
    findings = [_contradicted(row, solved.conflict) for row in at_odds]
    named = {(finding.check, finding.parts) for finding in findings}
    rest = [
        replace(
            finding,
            status=Status.NOT_CHECKED,
            band=None,
            settle_by="",
            reason="no heights were found that this could be judged with",
        )
        for finding in as_written
        if (finding.check, finding.parts) not in named
    ]
    return Answered(
        study=study,
        findings=[*findings, *rest],
        heights=HeightsAnswer(
            solved=False,
            prefer=heights_of(study.layout).prefer,
            found=found_rows(solved),
            stacks=stacks_of(study),
            conflict=solved.conflict,
            is_smallest=solved.is_smallest,
            supports=said_of_shelves(solved.found),
        ),
        screws=screw_rows(study),
        judge_by=solved.basis,
    )


def _any_demand(row: ConflictRow) -> ConflictRow:
    """Limits can be at odds among themselves, such as two pieces on hand for three pads."""
    return replace(row, check="heights")


def _contradicted(row: ConflictRow, conflict: tuple[ConflictRow, ...]) -> Finding:
    others = "; ".join(other.what for other in conflict if other.what != row.what)
    by = "" if row.by is None else f"; it alone would have to give way by {row.by:.2f} {row.unit}"
    return Finding(
        check=row.check,
        parts=row.parts,
        build=Build.PROPOSED,
        status=Status.NOT_MET,
        rule=Rule(name=row.check, text=row.what, source=DEMAND_SOURCE),
        reason=(f"no heights keep this together with: {others}" if others else "no heights reach this") + by,
    )


def found_sizes(layout: Layout, result: Result) -> dict[str, Quantity]:
    """Value name -> found height with its band, for the layout that the result is about."""
    rows = {row.part: row for row in result.heights.found} if result.heights is not None else {}
    sizes: dict[str, Quantity] = {}
    for each in found_in(layout):
        for part, size in zip(each.parts, each.written, strict=True):
            row = rows.get(part)
            if row is None or row.height_mm is None:
                raise UsageError(
                    f"no height was found for {part}, so there is no solved layout to write\n"
                    "    mend: look what contradicts, and let one of those requirements give way"
                )
            sizes[size.name] = replace(size, nominal=row.height_mm, below=row.below_mm, above=row.above_mm)
    return sizes


def with_found(layout: Layout, result: Result) -> Layout:
    """The layout with the heights of the result in it; as it is where the result has none."""
    if result.heights is None or not result.heights.solved:
        return layout
    sizes = found_sizes(layout, result)
    return with_values(layout, lambda value: sizes.get(value.name, value))
