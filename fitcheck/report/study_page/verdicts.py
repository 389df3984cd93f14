"""The top of the page: the verdict in plain words, the few things that decide it, and what to do next."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fitcheck.findings import Status, Verdict
from fitcheck.report.as_text import tally, verdict_words
from fitcheck.report.as_text_study import part_title, said_of_all
from fitcheck.report.study_page.rows import Row
from fitcheck.report.text_heights import pieces_text
from fitcheck.report.wording import counted, plain
from fitcheck.result_study import StudyResult

MOST_DECIDING = 5
MOST_STEPS = 6

_ACCURACY = re.compile(r"(.+ to ± )([0-9.]+).*")

_NOT_A_STEP = "no single value settles it"

_SENTENCE = {
    Verdict.FITS: "All that was checked holds, whatever the parts turn out to be within the stated tolerances.",
    Verdict.FITS_UNDER_CONCESSION: "All holds, but some only because somebody signed for less than the rule asks.",
    Verdict.DOES_NOT_FIT: "At least one requirement is missed even if every part comes out at its kindest.",
    Verdict.CANNOT_TELL: "Nothing is shown to be wrong, but not all is known closely enough, or not all was checked.",
}

_MOOD = {
    Verdict.FITS: Status.MET,
    Verdict.FITS_UNDER_CONCESSION: Status.UNDER_CONCESSION,
    Verdict.DOES_NOT_FIT: Status.NOT_MET,
    Verdict.CANNOT_TELL: Status.CANNOT_TELL,
}
"""The status whose sign a verdict carries."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What one part of the study says."""

    title: str
    words: str
    tally: str
    mood: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Something to do next, and for what: the rows that it is about, or the section of the page that says more."""

    text: str
    rows: tuple[Row, ...] = ()
    section: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """`mood` is the class of the sign; `more` how many places in trouble are not among `deciding`, `more_steps` how
    many things to do not among `steps`."""

    word: str
    mood: str
    sentence: str
    remarks: tuple[str, ...]
    parts: tuple[Part, ...]
    deciding: tuple[Row, ...]
    more: int
    steps: tuple[Step, ...]
    more_steps: int


def head_of(study: StudyResult, rows: Sequence[Row]) -> Head:
    troubled = [row for row in rows if row.finding.status is not Status.MET]
    once = _once(troubled)
    steps = (*_of_heights(study), *_steps(once))
    return Head(
        word=study.verdict.value,
        mood=_mood(study.verdict),
        sentence=_SENTENCE[study.verdict],
        remarks=tuple(said_of_all(study)),
        parts=tuple(
            Part(title=part_title(study, one), words=verdict_words(one), tally=tally(one), mood=_mood(one.verdict))
            for one in study.results
        ),
        deciding=tuple(once[:MOST_DECIDING]),
        more=len(once[MOST_DECIDING:]),
        steps=steps[:MOST_STEPS],
        more_steps=len(steps[MOST_STEPS:]),
    )


def _mood(verdict: Verdict) -> str:
    return _MOOD[verdict].value.replace(" ", "-")


def _once(troubled: Iterable[Row]) -> list[Row]:
    """The worst row of each check and pair of parts, so that one place at two ages does not crowd out another."""
    once: dict[tuple[str, frozenset[str], str, str], Row] = {}
    for row in troubled:
        finding = row.finding
        once.setdefault((finding.check, frozenset(finding.parts), finding.rule.rule_set, row.layout), row)
    return list(once.values())


def _steps(rows: Iterable[Row]) -> list[Step]:
    """What the findings ask for, those that one act answers together, in the order of how bad they are.

    Where several ask for the same value, the finest accuracy asked for answers all of them. Two parts that nothing is
    known to mend are one thing to do, whatever is amiss between them.
    """
    wanted: dict[object, list[tuple[float, str, Row]]] = {}
    for row in rows:
        if row.do and row.do != _NOT_A_STEP:
            accuracy = _ACCURACY.fullmatch(row.do)
            stem: object = frozenset(row.finding.parts) if row.is_unaided and row.finding.parts else row.do
            stem, width = (accuracy[1], float(accuracy[2])) if accuracy else (stem, 0.0)
            wanted.setdefault(stem, []).append((width, row.do, row))
    steps = []
    for asked in wanted.values():
        text = min(asked, key=lambda one: one[0])[1]
        steps.append(Step(text=text[:1].upper() + text[1:], rows=tuple(row for _, _, row in asked)))
    return steps


def _of_heights(study: StudyResult) -> list[Step]:
    """What the heights that were asked for lead to; nothing where the layout has them already."""
    answer = None if study.heights is None else study.heights.heights
    if answer is None or not answer.found:
        return []
    if not answer.solved:
        return [Step(text="No heights do: give way on a requirement or add to the stock", section="heights")]
    if not study.heights_differ:
        return []
    chosen = (
        f"{row.part} {plain(row.height_mm or 0.0, 2)} mm ({pieces_text(row)})"
        for row in answer.found
        if not row.same_as
    )
    return [Step(text=f"Go on with the heights found: {', '.join(chosen)}", section="heights")]


def about(rows: Sequence[Row]) -> str:
    """For what a step is: "gap between m1 and case", "5 findings"."""
    return rows[0].subject if len(rows) == 1 else counted(len(rows), "finding")
