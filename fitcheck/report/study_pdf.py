"""The study as a PDF file for the bench: verdict, what decides it, sections, tables, cautions, sources."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fitcheck.findings import Finding, Status, Verdict
from fitcheck.report import as_text, as_text_study, text_balance, text_heights, text_screws, text_vehicle
from fitcheck.report.cautions import NOT_AN_APPROVAL, WORKSHOP
from fitcheck.report.environment import in_words
from fitcheck.report.files_read import FileRead
from fitcheck.report.look import Look
from fitcheck.report.pdf_gaps import gap_table
from fitcheck.report.pdf_paper import EDGE, FULL, Column, Paper
from fitcheck.report.text_findings import SHAPE, decisive, in_one_line
from fitcheck.report.wording import BASIS, as_stated, counted
from fitcheck.result import Result
from fitcheck.result_study import StudyResult

_VERDICT_SIGN = {
    Verdict.FITS: "[=]",
    Verdict.FITS_UNDER_CONCESSION: "[C]",
    Verdict.DOES_NOT_FIT: "[X]",
    Verdict.CANNOT_TELL: "[?]",
}

_MOST_DECIDING = 8
_MOST_SECTIONS = 12
_MOST_NAMES = 60
_HEADING = 12.0
"""What a heading takes; over pictures it stays on the page of the first."""

_LOOK = Look(width=124)
"""As many equally wide letters as go across the sheet."""


def render(
    study: StudyResult, pictures: Mapping[str, bytes], *, made_on: str, version: str, read: Sequence[FileRead] = ()
) -> bytes:
    """The whole file; equal input gives equal bytes. `pictures` are file names to content, of which the PNG views
    ("plan", "side", "end", and with "solved_" before), sections, electrical paths and stacks are shown.
    """
    whole = study.as_written
    title = whole.title or whole.file
    # What is cut off where a path is long must not be the caution.
    foot = f"a calculation, not an approval · {made_on} · {whole.sha256[:16]} · fitcheck {version} · {whole.file}"
    paper = Paper(title=f"Study: {title}", foot=foot)
    _front(paper, study, whole, made_on, version, read)
    paper.turn()
    _views(paper, pictures, "The proposed build as written", "")
    _views(paper, pictures, "The proposed build with the heights found", "solved_")
    _sections(paper, pictures, "section", "Sections at the tightest gap of each kind, the least to spare first")
    _sections(paper, pictures, "path", "Electrical paths, the worst first, each on a section that holds it")
    _findings(paper, study, whole)
    _heights(paper, study, whole, pictures)
    _screws(paper, whole)
    _weights(paper, whole)
    _close(paper, study, whole)
    return paper.finished()


def _front(
    paper: Paper, study: StudyResult, whole: Result, made_on: str, version: str, read: Sequence[FileRead]
) -> None:
    paper.text(whole.title or whole.file, 6.2, style="bold")
    paper.y += 0.5
    judged = f"Study of the layout {whole.file}, judged by {BASIS[whole.judge_by]}. fitcheck {version}, {made_on}."
    paper.text(judged, 2.9, colour="quiet")
    paper.text(f"Fingerprint of the layout file (SHA-256): {whole.sha256}", 2.5, colour="quiet")
    paper.y += 2.5
    _verdict(paper, study)
    paper.y += 1.5
    paper.text(f"{NOT_AN_APPROVAL} Read the cautions near the end before anybody picks up a tool.", 2.9)
    worst = _deciding(study)
    if worst:
        paper.heading("What decides it, and what to do")
        paper.bullets(worst[:_MOST_DECIDING])
        if len(worst) > _MOST_DECIDING:
            paper.text(f"and {len(worst) - _MOST_DECIDING} more in the table of findings", 2.9, indent=4.0)
    paper.heading("What the verdict does not speak of")
    paper.bullets(whole.not_covered, 2.9)
    _rests_on(paper, whole, read)


def _verdict(paper: Paper, study: StudyResult) -> None:
    top = paper.y
    paper.y += 2.0
    verdict = study.verdict
    paper.text(f"{_VERDICT_SIGN[verdict]}  {verdict.value.upper()}", 6.0, style="bold", indent=5.0, right=3.0)
    paper.text(as_text.SENTENCE[verdict], 3.1, indent=5.0, right=3.0)
    for one in study.results:
        name = as_text_study.part_title(study, one)
        paper.text(f"{name}: {as_text.verdict_words(one)} ({as_text.tally(one)})", 2.9, indent=5.0, right=3.0)
    for said in as_text_study.said_of_all(study):
        paper.text(said, 2.9, indent=5.0, right=3.0, colour="quiet")
    paper.y += 2.0
    paper.box(EDGE, top, FULL, paper.y - top, line="ink", thick=0.6)
    paper.box(EDGE, top, 2.2, paper.y - top, fill="ink")


def _deciding(study: StudyResult) -> list[str]:
    written = study.as_written
    fitted = set(study.check.findings)
    said = []
    for one in decisive(written):
        result = study.check if one in fitted else written
        said.append(f"{SHAPE[one.status]} {in_one_line(one, result)}")
    if study.heights is not None and study.heights.verdict in (Verdict.DOES_NOT_FIT, Verdict.CANNOT_TELL):
        which = "with the heights found" if study.heights_found else "heights"
        known = set(written.findings)
        said += [
            f"{SHAPE[one.status]} {which}: {in_one_line(one, study.heights)}"
            for one in decisive(study.heights)
            if one not in known
        ]
    return said


def _rests_on(paper: Paper, whole: Result, read: Sequence[FileRead]) -> None:
    paper.heading("What it rests on")
    texts = []
    exact = [value.name for value in whole.taken_as_exact]
    if exact:
        more = f" and {len(exact) - _MOST_NAMES} more" if len(exact) > _MOST_NAMES else ""
        texts.append(
            f"{counted(len(exact), 'value')} taken as exact, because no tolerance or instrument is stated; if any of "
            f"them is off, no band here shows it: {', '.join(exact[:_MOST_NAMES])}{more}"
        )
    texts += [f"{counted(one.count, 'value')} by {one.basis}: {one.says} [{one.source}]" for one in whole.defaults]
    texts += [
        f"a guess: {one.name} = {as_stated(one.nominal)} {one.unit} (-{as_stated(one.below)}/+{as_stated(one.above)}); "
        "what rests on it is never called met"
        for one in whole.guesses
    ]
    texts += [f"note: {text}" for text in whole.notes]
    texts = texts or ["Every size and mass has a tolerance or an instrument."]
    texts += [f"file: {one.words}" for one in read]
    texts.append(f"worked out with {in_words()}")
    paper.bullets(texts, 2.8)


def _views(paper: Paper, pictures: Mapping[str, bytes], title: str, prefix: str) -> None:
    shown = [pictures[name] for name in (f"{prefix}{view}.png" for view in ("plan", "side", "end")) if name in pictures]
    if shown:
        paper.heading(title, room=_HEADING + paper.tall(shown[0]))
        for png in shown:
            paper.picture(png)


def _numbered(pictures: Mapping[str, bytes], stem: str) -> list[bytes]:
    """The PNG pictures stem_1, stem_2, ... in the order of their numbers."""
    count = sum(name.startswith(f"{stem}_") and name.endswith(".png") for name in pictures)
    return [pictures[f"{stem}_{number}.png"] for number in range(1, count + 1)]


def _sections(paper: Paper, pictures: Mapping[str, bytes], stem: str, title: str) -> None:
    every = _numbered(pictures, stem)
    if not every:
        return
    paper.heading(title, room=_HEADING + paper.tall(every[0]))
    if len(every) > _MOST_SECTIONS:
        paper.text(f"{_MOST_SECTIONS} of {len(every)}; the others are in the folder of pictures.", 2.8, colour="quiet")
    for png in every[:_MOST_SECTIONS]:
        paper.picture(png)


def _findings(paper: Paper, study: StudyResult, whole: Result) -> None:
    paper.heading("Findings on the layout as written, worst first", room=60.0)
    gap_table(paper, whole)
    if study.heights_found and not study.heights_differ:
        paper.bullets(["The layout already has the heights found, so the same holds with them."])
    elif study.heights is not None and study.heights.heights is not None:
        titles = ("Findings on the heights asked for", "Findings with the heights found, worst first")
        paper.heading(titles[study.heights_found])
        gap_table(paper, study.heights)


def _heights(paper: Paper, study: StudyResult, whole: Result, pictures: Mapping[str, bytes]) -> None:
    if whole.heights is None or study.heights is None:
        return
    _from_text(paper, text_heights.section(whole.heights, _LOOK, study.heights.judge_by))
    for png in _numbered(pictures, "stack"):
        paper.picture(png)


def _screws(paper: Paper, whole: Result) -> None:
    _from_text(paper, text_screws.section(whole.screws, _LOOK))


def _weights(paper: Paper, whole: Result) -> None:
    if whole.balance is None:
        return
    _from_text(paper, text_balance.section(whole.balance, _LOOK, ledger=True))
    if whole.balance.vehicle is not None:
        _from_text(paper, text_vehicle.section(whole.balance.vehicle, _LOOK, whole=True))


def _from_text(paper: Paper, lines: Sequence[str]) -> None:
    """Lines of the text report, their underlined headings as headings."""
    for number, line in enumerate(lines):
        following = lines[number + 1] if number + 1 < len(lines) else ""
        if line and following == "-" * len(line):
            paper.heading(line)
        elif line and not set(line) <= {"-"}:
            paper.fixed([line])


def _close(paper: Paper, study: StudyResult, whole: Result) -> None:
    paper.heading("Before anybody picks up a tool")
    paper.bullets(WORKSHOP)
    paper.text(NOT_AN_APPROVAL, 3.1, style="bold")
    paper.heading("What was checked, and where each rule was read")
    columns = [Column(head="check", width=34.0), Column(head="rule", width=86.0), Column(head="source", width=60.0)]
    paper.table(columns, list(_sources((*whole.findings, *study.findings))))


def _sources(findings: Sequence[Finding]) -> Iterator[tuple[str, str, str]]:
    seen = dict.fromkeys(
        (one.check, ": ".join(filter(None, (one.rule.name, one.rule.text))), str(one.rule.source))
        for one in findings
        if one.status is not Status.NOT_CHECKED
    )
    yield from sorted(seen)
