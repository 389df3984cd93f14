"""The tables of a study: findings, mass ledger, cut list, fasteners, and what was taken as exact."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from fitcheck.findings import Finding
from fitcheck.model.layout import Layout
from fitcheck.model.quantity import Quantity
from fitcheck.report import as_ledger_csv
from fitcheck.report.table import Cell, Table
from fitcheck.report.wording import spare, worst_first
from fitcheck.report.workshop.made import Made
from fitcheck.result import Result
from fitcheck.result_heights import ScrewRow
from fitcheck.result_study import StudyResult

FINDINGS_HEAD = (
    "status", "check", "parts", "layout", "build", "state", "value", "low", "high", "rss_low", "rss_high", "unit",
    "sense", "required", "to_spare", "from_x_mm", "from_y_mm", "from_z_mm", "to_x_mm", "to_y_mm", "to_z_mm",
    "reason", "to_settle", "to_mend", "rests_on_guess", "rule", "rule_says", "source",
)  # fmt: skip

CUT_HEAD = (
    "part", "piece_mm", "piece_below_mm", "piece_above_mm", "pieces", "material", "length_mm", "width_mm", "kind",
    "how", "for_parts", "stack", "files", "to_settle",
)  # fmt: skip

FASTENER_HEAD = (
    "screw", "what", "standard", "thread", "property_class", "length_mm", "length_half_mm", "places", "spare", "to_buy",
    "torque_nm", "grip_mm", "shortest_mm", "longest_mm", "remark",
)  # fmt: skip

EXACT_HEAD = ("value_of", "nominal", "below", "above", "unit", "taken_as", "known_by", "file", "line")


def tables(study: StudyResult, layout: Layout, made: Iterable[Made]) -> tuple[Table, ...]:
    """Every table of a study, also those without rows, which say why there are none."""
    whole = study.as_written
    return (
        Table(name="findings", sheet="Findings", head=FINDINGS_HEAD, rows=tuple(_findings(study)), keys=3),
        as_ledger_csv.table(whole.balance),
        Table(
            name="cut_list",
            sheet="Cut list",
            head=CUT_HEAD,
            rows=tuple(_cut_list(made)),
            none="nothing in the layout is made in a workshop",
        ),
        Table(
            name="fasteners",
            sheet="Fasteners",
            head=FASTENER_HEAD,
            rows=tuple(_fasteners(whole.screws, layout)),
            keys=2,
            none="the layout states no screws",
        ),
    )


def taken_as_exact(study: StudyResult) -> Table:
    """What no band speaks for: values without a tolerance or an instrument, and guesses."""
    whole = study.as_written
    rows = [_value(value, "exact") for value in whole.taken_as_exact]
    rows += [_value(value, "a guess") for value in whole.guesses]
    return Table(
        name="taken_as_exact",
        sheet="Values taken as exact",
        head=EXACT_HEAD,
        rows=tuple(rows),
        none="every value has a tolerance or an instrument",
    )


def _value(value: Quantity, taken_as: str) -> tuple[Cell, ...]:
    band = (value.below, value.above)
    at = value.at
    return (value.name, value.nominal, *band, value.unit, taken_as, value.known_by, at.file, at.line or None)


def _findings(study: StudyResult) -> Iterator[tuple[Cell, ...]]:
    """Those of the layout as written, then those of the layout with the found heights where it is another; each worst
    first."""
    for layout, result in _judged(study):
        for finding in worst_first(result.findings, result.judge_by):
            yield _finding(finding, layout, result.judge_by)


def _judged(study: StudyResult) -> Iterator[tuple[str, Result]]:
    yield "as written", study.as_written
    if study.heights is None or study.heights.heights is None:
        return
    if study.heights_differ or not study.heights_found:
        yield "with the found heights" if study.heights_found else "heights not found", study.heights


def _finding(finding: Finding, layout: str, judge_by: str) -> tuple[Cell, ...]:
    band = finding.band
    bounds = (None,) * 5 if band is None else (band.value, band.low, band.high, band.rss_low, band.rss_high)
    asked = (None, None) if finding.required is None else (finding.sense.value, finding.required)
    points = (None,) * 6 if finding.points is None else (*finding.points[0], *finding.points[1])
    return (
        finding.status.value, finding.check, "; ".join(finding.parts), layout, finding.build, finding.state, *bounds,
        finding.unit, *asked, spare(finding, judge_by), *points, finding.reason, finding.settle_by, finding.mend,
        "; ".join(finding.rests_on_guess), finding.rule.name, finding.rule.text, str(finding.rule.source),
    )  # fmt: skip


def _cut_list(made: Iterable[Made]) -> Iterator[tuple[Cell, ...]]:
    """A row for each kind of piece, with the name that its drawing, cut file and solids share."""
    for each in made:
        third = (None,) * 3 if each.third is None else (each.third.nominal, each.third.below, each.third.above)
        yield (
            each.name, *third, each.quantity, each.material, *(each.size or (None, None)), each.kind, each.how,
            "; ".join(each.for_parts), each.stack, each.stem, "; ".join(each.to_settle),
        )  # fmt: skip


def _fasteners(rows: Iterable[ScrewRow], layout: Layout) -> Iterator[tuple[Cell, ...]]:
    """A row for each kind of screw, then for the washers and nuts that go with it."""
    screws = {screw.name: screw for screw in layout.sections.screws}
    for row in rows:
        screw = screws[row.screw]
        spare = 0 if screw.spare is None else round(screw.spare.nominal)
        window = (None, None) if row.window_mm is None else row.window_mm
        counts: tuple[Cell, ...] = (row.places or None, spare, row.places + spare if row.places else None)
        yield (
            row.screw, "screw", screw.head or "", row.thread, screw.property_class or "", row.length_mm,
            None if row.length_mm is None else row.length_pm_mm, *counts, row.torque_nm, row.grip_mm, *window,
            _remark(row),
        )  # fmt: skip
        loose = [("washer", clamped.washer) for clamped in screw.clamps if clamped.washer]
        loose += [("nut", screw.into_nut)] if screw.into_nut else []
        for (what, standard), each in Counter(loose).items():
            several = (None, None, None) if not row.places else (row.places * each, spare * each, None)
            bought = None if not row.places else (row.places + spare) * each
            yield (
                row.screw, what, standard, row.thread, "", None, None, several[0], several[1], bought, None, None,
                None, None, "",
            )  # fmt: skip


def _remark(row: ScrewRow) -> str:
    if row.length_mm is not None:
        return ""
    if row.window_mm is None:
        return "no length can be told: see the notes in the study"
    return (
        f"no preferred length fits; {row.opened_by} opens the window" if row.opened_by else "no preferred length fits"
    )
