"""A whole study as plain text: the verdict of all, then what each verb says, one after another."""

from __future__ import annotations

from fitcheck.report import as_text
from fitcheck.report.look import PLAIN, Look
from fitcheck.result import Result
from fitcheck.result_study import StudyResult

CHECK = "Fit of the layout as written"
BALANCE = "Weight and balance"
FOUND = "Fit with the heights found"
NOT_FOUND = "Heights asked for, not found"
SCREWS = "Screws"


def render(study: StudyResult, look: Look = PLAIN) -> str:
    """The whole text, lines of at most `look.width` characters (a single longer word excepted)."""
    lines = as_text.title(study.check, look)
    lines += ["", f"STUDY VERDICT: {look.paint(study.verdict.value.upper(), '1')}"]
    rows = [(part_title(study, one), as_text.verdict_words(one), as_text.tally(one)) for one in study.results]
    lines += look.table(("part of the study", "says", "findings"), rows, left=3)
    for text in said_of_all(study):
        lines += look.paragraph(text, indent="  ")
    for number, result in enumerate(study.results, 1):
        lines += _banner(f"PART {number}. {part_title(study, result)}", look)
        lines += as_text.body(result if result is not study.heights else study.heights_alone or result, look)
    return "\n".join([*lines, *as_text.cautions(look)]) + "\n"


def verdict_line(study: StudyResult, look: Look = PLAIN) -> str:
    """The verdict of all and of each part in one line, for those who want no more."""
    parts = "; ".join(f"{result.verb}: {result.verdict.value}" for result in study.results)
    return look.spell(f"{study.check.file}: {study.verdict.value} ({parts})")


def part_title(study: StudyResult, result: Result) -> str:
    """What a part of the study answers, in words."""
    if result is study.check:
        return CHECK
    if result is study.balance:
        return BALANCE
    if result.heights is None:
        return SCREWS
    return FOUND if result.heights.solved else NOT_FOUND


def said_of_all(study: StudyResult) -> list[str]:
    """How the verdict of all comes from those of the parts."""
    said = ["The verdict of all is the worst of them."] if len({one.verdict for one in study.results}) > 1 else []
    if study.heights_found and study.heights is not None and study.heights.verdict != study.check.verdict:
        said.append(
            f"As written: {study.check.verdict.value}; with the heights found: {study.heights.verdict.value}. To go on "
            "with the found heights, use the solved layout from now on."
        )
    if study.heights_found and not study.heights_differ:
        said.append("The layout already has the heights found, so the same holds with them.")
    return said


def _banner(text: str, look: Look) -> list[str]:
    rule = "=" * look.width
    return ["", "", rule, look.spell(text), rule]
