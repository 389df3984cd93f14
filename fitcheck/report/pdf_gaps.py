"""The table of findings on paper, the worst first, each with its band drawn beside what is required."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from fitcheck.findings import Finding, Sense, Status
from fitcheck.report.pdf_paper import CellOf, Column, Draw, Paper
from fitcheck.report.text_findings import SHAPE, is_figure
from fitcheck.report.wording import (
    band_places,
    counted,
    floored,
    has_width,
    judged_range,
    mending,
    requirement,
    settling,
    spare,
    subject,
    worst_first,
)
from fitcheck.result import Result

_MOST_ROWS = 400
_TALL = 3.4
_BOTH_AGES = "both ages"

_COLUMNS = (
    Column(head="status", width=24.0, bold=True),
    Column(head="of what", width=53.0),
    Column(head="found, judged band", width=32.0, right=True),
    Column(head="required", width=28.0, right=True),
    Column(head="to spare", width=14.0, right=True),
    Column(head="band and limit", width=29.0),
)


def gap_table(paper: Paper, result: Result) -> None:
    """All findings that hold something against a rule. Pairs that just do not overlap are counted, as are the rows
    that are too many; figures held against nothing, such as a mass, stand in the tables of weights.
    """
    ordered = worst_first(result.findings, result.judge_by)
    free = [one for one in ordered if one.check == "overlap" and one.status is Status.MET]
    rows = _joined_ages([one for one in ordered if one not in free and not is_figure(one)])
    paper.text(
        "In each strip the dark bar is the judged band, the tick the value as drawn (of parts with play where that is "
        "worst), the thick upright line the limit; the tinted side is the wrong one.",
        2.6,
        colour="quiet",
    )
    paper.y += 1.0
    paper.table(_COLUMNS, [_row(paper, one, result) for one in rows[:_MOST_ROWS]], 2.5)
    if len(rows) > _MOST_ROWS:
        paper.text(f"{counted(len(rows) - _MOST_ROWS, 'further finding')}, none worse: see findings.csv.", 2.7)
    if free:
        pairs = len({one.parts for one in free})
        paper.text(
            f"{SHAPE[Status.MET]} no overlap in {counted(pairs, 'pair')} of which no more is asked or found.", 2.7
        )


def _joined_ages(findings: Sequence[Finding]) -> list[Finding]:
    """One finding where both ages say the same."""
    states: dict[Finding, list[str]] = {}
    for one in findings:
        states.setdefault(replace(one, state=""), []).append(one.state)
    return [replace(one, state=_BOTH_AGES if len(ages) > 1 else ages[0]) for one, ages in states.items()]


def _row(paper: Paper, finding: Finding, result: Result) -> tuple[CellOf, ...]:
    left = spare(finding, result.judge_by)
    return (
        f"{SHAPE[finding.status]} {finding.status.value}",
        "\n".join(_words(finding)),
        judged_range(finding, result.judge_by),
        requirement(finding),
        "" if left is None else floored(left, band_places(finding)),
        _strip(paper, finding, result.judge_by),
    )


def _words(finding: Finding) -> Iterator[str]:
    """What it is about, and for all that is not met also why and what to do."""
    ages = {"", "beginning of life"}
    yield subject(finding) if finding.state in ages else f"{subject(finding)}, {finding.state}"
    if finding.status is Status.MET:
        return
    if finding.reason:
        yield finding.reason
    if finding.mend:
        yield f"to mend: {mending(finding)}"
    if finding.settle_by:
        yield f"to settle: {settling(finding)}"
    if finding.rests_on_guess:
        yield f"rests on a guess: {', '.join(finding.rests_on_guess)}"


def _strip(paper: Paper, finding: Finding, judge_by: str) -> CellOf:
    band, required = finding.band, finding.required
    if band is None or required is None or finding.check == "overlap":
        return ""
    low, high = band.judged(judge_by)
    ends = (min(low, required, 0.0), max(high, required, 0.0))
    margin = 0.06 * (ends[1] - ends[0]) or 1.0
    # Zero is where parts touch: the strip starts there unless the band reaches below it.
    bottom, top = (ends[0] - margin if ends[0] < 0.0 else 0.0), ends[1] + margin
    at_least = finding.sense is Sense.AT_LEAST

    def draw(x: float, y: float, width: float) -> None:
        def at(value: float) -> float:
            return x + width * (value - bottom) / (top - bottom)

        limit, middle = at(required), y + _TALL / 2.0
        wrong = (x, limit - x) if at_least else (limit, x + width - limit)
        paper.box(wrong[0], y, wrong[1], _TALL, fill="wrong")
        paper.box(x, y, width, _TALL, line="faint", thick=0.15)
        if has_width(band):
            paper.box(at(low), middle - 0.55, max(at(high) - at(low), 0.3), 1.1, fill="bar")
        value = at(band.value)
        paper.path([(value, middle - 1.1), (value, middle + 1.1)], line="bar", width=0.45)
        paper.path([(limit, y - 0.3), (limit, y + _TALL + 0.3)], line="ink", width=0.55)

    drawn: Draw = draw
    return drawn
