"""The result as plain text for a person at a bench: the verdict first, then what it rests on, worst first."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.findings import Status, Verdict
from fitcheck.model.quantity import Quantity
from fitcheck.report import text_balance, text_findings, text_heights, text_screws, text_vehicle
from fitcheck.report.cautions import NOT_AN_APPROVAL, WORKSHOP
from fitcheck.report.look import PLAIN, Look
from fitcheck.report.wording import BASIS, WORST_FIRST, as_stated, counted, plain
from fitcheck.result import Result, Room

_NAMES_SHOWN = 40

SENTENCE = {
    Verdict.FITS: "Everything that was checked fits, whatever the parts turn out to be within the stated tolerances.",
    Verdict.FITS_UNDER_CONCESSION: "It fits only because somebody signed for it: see what stands under concession.",
    Verdict.DOES_NOT_FIT: "As laid out it does not fit, even if every part came out at the kind end of its tolerance.",
    Verdict.CANNOT_TELL: (
        "Nothing is shown not to fit, but not all is known closely enough, or not all that is stated was checked."
    ),
}

_WEIGHED = {Verdict.FITS: "both builds are weighed in full", Verdict.CANNOT_TELL: "cannot tell what a build weighs"}
"""What the verdict words mean where nothing is fitted and everything is weighed."""

_ON_WHEELS = {
    Verdict.FITS: "at or below every stated limit; not an approval",
    Verdict.DOES_NOT_FIT: "a stated limit is passed, or a figure contradicts another",
    Verdict.CANNOT_TELL: "cannot tell whether the stated limits hold",
}
"""The same where the vehicle has limits."""


def render(result: Result, look: Look = PLAIN) -> str:
    """The whole report, lines of at most `look.width` characters (a single longer word excepted)."""
    lines = [*title(result, look), *body(result, look), *cautions(look)]
    return "\n".join(lines) + "\n"


def body(result: Result, look: Look) -> list[str]:
    """The lines between the title and the cautions, the verdict first."""
    lines = _verdict(result, look)
    lines += text_findings.deciding(result, look)
    lines += _not_covered(result, look)
    lines += _rests_on(result, look)
    if result.heights is not None:
        lines += text_heights.section(result.heights, look, result.judge_by)
    lines += text_screws.section(result.screws, look)
    lines += text_findings.sections(result, look)
    if result.balance is not None:
        lines += text_balance.section(result.balance, look, ledger=result.verb == "balance")
        if result.balance.vehicle is not None:
            lines += text_vehicle.section(result.balance.vehicle, look, whole=result.verb == "balance")
    lines += _room(result.room, look)
    return lines + _notes(result, look)


def verdict_line(result: Result, look: Look = PLAIN) -> str:
    """The verdict and the tally in one line, for those who want no more."""
    return look.spell(f"{result.file}: {result.verdict.value} ({tally(result)})")


def tally(result: Result) -> str:
    """How many findings of each status: "2 not met, 14 met"."""
    counts = [(status, sum(one.status is status for one in result.findings)) for status in WORST_FIRST]
    return ", ".join(f"{number} {status.value}" for status, number in counts if number) or "no findings"


def title(result: Result, look: Look) -> list[str]:
    """The layout's title, and which file it was."""
    words = look.spell(result.title or result.file)
    return [
        words,
        "=" * len(words),
        *look.paragraph(f"{result.file}, fingerprint {result.sha256[:12]}, judged by {BASIS[result.judge_by]}"),
    ]


def verdict_words(result: Result) -> str:
    """The verdict; of a weighing, where nothing is fitted, what it means there."""
    limited = result.balance is not None and result.balance.vehicle is not None and result.balance.vehicle.limits
    words = (_ON_WHEELS if limited else _WEIGHED) if result.verb == "balance" else {}
    return words.get(result.verdict, result.verdict.value)


def _verdict(result: Result, look: Look) -> list[str]:
    weighing = result.verb == "balance"
    word = verdict_words(result)
    lines = ["", f"VERDICT: {look.paint(word.upper(), '1')}"]
    if not weighing:
        lines += look.paragraph(SENTENCE[result.verdict], indent="  ")
    lines += look.paragraph(f"Findings: {tally(result)}.", indent="  ")
    unchecked = sum(finding.status is Status.NOT_CHECKED for finding in result.findings)
    if unchecked:
        lines += look.paragraph(
            f"Besides, {counted(unchecked, 'thing')} stated in the layout {'was' if unchecked == 1 else 'were'} not "
            "checked; the verdict says nothing of them.",
            indent="  ",
        )
    if result.judge_by == "rss":
        lines += look.paragraph(
            "The layout asks for root-sum-square bands. They leave out the rare builds in which many errors fall the "
            "same way; the worst case stands beside each value.",
            indent="  ",
        )
    return lines


def _not_covered(result: Result, look: Look) -> list[str]:
    if not result.not_covered:
        return []
    return look.heading("What the verdict does not speak of") + _bullets(result.not_covered, look)


def _bullets(texts: Sequence[str], look: Look) -> list[str]:
    return [line for text in texts for line in look.paragraph(f"- {text}", indent="  ", hang="    ")]


def _rests_on(result: Result, look: Look) -> list[str]:
    lines = look.heading("What it rests on")
    number = len(result.taken_as_exact)
    said = f"{counted(number, 'value')} taken as exact, because no tolerance or instrument is stated. "
    said += "If any of them is off, no band here shows it:"
    lines += look.paragraph(said if number else "Every size and mass has a tolerance or an instrument.", indent="  ")
    lines += look.paragraph(_names(result.taken_as_exact), indent="      ")
    for default in result.defaults:
        lines += look.paragraph(
            f"{counted(default.count, 'value')} by {default.basis}: {default.says} [{default.source}]",
            indent="  ",
            hang="      ",
        )
    for guess in result.guesses:
        lines += look.paragraph(
            f"a guess: {guess.name} = {as_stated(guess.nominal)} {guess.unit} "
            f"(-{as_stated(guess.below)}/+{as_stated(guess.above)}); what rests on it is never called met",
            indent="  ",
            hang="      ",
        )
    return lines + _counted(result, look)


def _names(values: Sequence[Quantity]) -> str:
    shown = ", ".join(value.name for value in values[:_NAMES_SHOWN])
    more = len(values) - _NAMES_SHOWN
    return f"{shown} and {more} more" if more > 0 else shown


def _counted(result: Result, look: Look) -> list[str]:
    counts = result.counted
    if counts is None:
        return []
    return look.paragraph(
        f"{counted(counts.parts, 'part')} make {counted(counts.pairs, 'pair')}: {counts.measured} measured, "
        f"{counts.far_apart} too far apart for any rule to bite and only counted.",
        indent="  ",
    )


def _room(rooms: Sequence[Room], look: Look) -> list[str]:
    if not rooms:
        return []
    ways = [way for way, _, _ in rooms[0].ways]
    lines = look.heading("Room left: how far each part could move alone before a finding would change [mm]")
    rows = [(room.part, _stopper(room), *(_way(room, way) for way in ways)) for room in rooms]
    return lines + look.table(("part", "stopped first by", *ways), rows, left=2)


def _way(room: Room, way: str) -> str:
    distance = next(distance for word, distance, _ in room.ways if word == way)
    return f"> {plain(room.limit_mm, 0)}" if distance is None else plain(distance, 2)


def _stopper(room: Room) -> str:
    stops = [(distance, way, what) for way, distance, what in room.ways if distance is not None]
    if not stops:
        return "nothing near"
    _, way, what = min(stops)
    return f"{way}: {what}" if what else way


def _notes(result: Result, look: Look) -> list[str]:
    return look.heading("Notes") + _bullets(result.notes, look) if result.notes else []


def cautions(look: Look) -> list[str]:
    """What is always said to those who do the work."""
    return look.heading("Before anybody picks up a tool") + _bullets((*WORKSHOP, NOT_AN_APPROVAL), look)
