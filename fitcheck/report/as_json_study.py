"""A whole study as one result file: the layout as written, and beside it what the found heights make of it."""

from __future__ import annotations

from typing import Any

from fitcheck.report.as_json import finding_entry, result_entry, written
from fitcheck.report.result_file import SolvedEntry
from fitcheck.result import Result
from fitcheck.result_study import StudyResult


def render(study: StudyResult) -> str:
    """One JSON object and a final newline, in the same format as the result of a single verb."""
    sections: dict[str, Any] = {"verdicts": {result.verb: result.verdict for result in study.results}}
    if study.heights is not None:
        sections["solved"] = _solved(study.heights, found=study.heights_found)
    return written(result_entry(study.as_written, **sections))


def _solved(heights: Result, *, found: bool) -> SolvedEntry:
    return SolvedEntry(
        heights_found=found,
        verdict=heights.verdict,
        judge_by="rss" if heights.judge_by == "rss" else "worst case",
        findings=tuple(finding_entry(finding) for finding in heights.findings),
        notes=heights.notes,
    )
