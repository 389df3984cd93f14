"""Findings in words: the ones that need reading in full, the ones that are met in a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fitcheck.findings import Finding, Status
from fitcheck.model.part import State
from fitcheck.report.look import Look
from fitcheck.report.strip import legend, strip
from fitcheck.report.wording import (
    BASIS,
    as_found,
    band_places,
    counted,
    floored,
    has_width,
    judged_range,
    listed,
    mending,
    plain,
    requirement,
    settling,
    spare,
    subject,
    value_text,
    with_unit,
    worst_first,
)
from fitcheck.result import Result

SHAPE = {
    Status.NOT_MET: "[X]",
    Status.CANNOT_TELL: "[?]",
    Status.UNDER_CONCESSION: "[C]",
    Status.NOT_CHECKED: "[-]",
    Status.MET: "[=]",
}
"""A sign for each status, told apart by its shape."""

_HUE = {Status.NOT_MET: "1;35", Status.CANNOT_TELL: "1;33", Status.UNDER_CONCESSION: "36", Status.NOT_CHECKED: "1"}

_TITLE = {
    Status.NOT_MET: "Not met: no build within the stated tolerances reaches what is required",
    Status.CANNOT_TELL: "Cannot tell: what is known is not close enough to say",
    Status.UNDER_CONCESSION: "Under concession: short of the rule, allowed by somebody's signature",
    Status.NOT_CHECKED: "Not checked: stated in the layout, but nothing has looked at it",
    Status.MET: "Met: every build within the stated tolerances reaches what is required",
}

MOST_PAIRS_NAMED = 12
_INDENT = "      "
_LABEL = 11


def sections(result: Result, look: Look) -> list[str]:
    """All findings, worst first, one headed section for each status that occurs."""
    ordered = worst_first(result.findings, result.judge_by)
    lines: list[str] = []
    if any(_strip(finding, result, look) for finding in ordered if _MANNER[finding.status] is _in_full):
        lines += ["", *look.paragraph(legend(look))]
    for status, title in _TITLE.items():
        every = [finding for finding in ordered if finding.status is status]
        chosen = [finding for finding in every if not is_figure(finding)]
        if every:
            lines += look.heading(f"{title} ({len(every)})")
            lines += _MANNER[status](chosen, result, look) if chosen else []
        if len(every) > len(chosen):
            number = counted(len(every) - len(chosen), "figure")
            lines += look.paragraph(f"{number} with nothing to hold against: see the tables", indent="  ")
    return lines


def is_figure(finding: Finding) -> bool:
    """A number held against nothing, such as a known mass: the tables show it, it answers nothing."""
    return finding.status is Status.MET and finding.band is not None and finding.required is None


def _in_full(chosen: Sequence[Finding], result: Result, look: Look) -> list[str]:
    lines: list[str] = []
    old = {replace(finding, state="") for finding in chosen if finding.state == State.END}
    young = {replace(finding, state="") for finding in chosen if finding.state == State.BEGINNING}
    for finding in chosen:
        ageless = replace(finding, state="")
        unchanged = ageless in old and ageless in young
        if not unchanged:
            lines += ["", *full(finding, result, look)]
        elif finding.state == State.BEGINNING:
            lines += ["", *full(replace(finding, state="both ages"), result, look)]
    return lines[1:]


def full(finding: Finding, result: Result, look: Look) -> list[str]:
    """One finding with everything it carries."""
    sign = f"{SHAPE[finding.status]} {finding.status.value.upper()}"
    lines = look.paragraph(f"{sign}  {subject(finding)}{_where(finding, result)}", hang=_INDENT)
    lines[0] = lines[0].replace(sign, look.paint(sign, _HUE.get(finding.status, "")), 1)
    for label, text in _facts(finding, result):
        lines += look.paragraph(text, indent=_INDENT + label.ljust(_LABEL), hang=_INDENT + " " * _LABEL)
        if label == "required":
            lines += _strip(finding, result, look)
    return lines


def _strip(finding: Finding, result: Result, look: Look) -> list[str]:
    if finding.check == "overlap":
        return []
    drawn = strip(finding, result.judge_by, look)
    return [_INDENT + " " * _LABEL + look.spell(drawn)] if drawn else []


def _where(finding: Finding, result: Result) -> str:
    """Build and state, each only where the result holds more than one."""
    state = f" ({finding.state})" if finding.state and _has_ages(result) else ""
    return _of_build(finding, result) + state


def _has_ages(result: Result) -> bool:
    return len({one.state for one in result.findings if one.state}) > 1


def _of_build(finding: Finding, result: Result) -> str:
    return f" ({finding.build} build)" if len({one.build for one in result.findings}) > 1 else ""


def _facts(finding: Finding, result: Result) -> list[tuple[str, str]]:
    rule = finding.rule
    asked = requirement(finding)
    facts = [
        ("found", _found(finding, result.judge_by)),
        ("required", asked),
        ("rule", f"{': '.join(filter(None, (rule.name, rule.text)))} [{rule.source}]"),
        ("where", _points(finding)),
        ("shared", f"{plain(finding.volume_mm3 / 1000.0, 2)} cm³ of common volume" if finding.volume_mm3 else ""),
        ("why", finding.reason),
        ("guesses", f"rests on a guess: {', '.join(finding.rests_on_guess)}" if finding.rests_on_guess else ""),
        ("to settle", settling(finding)),
        ("to mend", mending(finding)),
    ]
    return [(label, text) for label, text in facts if text]


def _found(finding: Finding, judge_by: str) -> str:
    band = finding.band
    if band is None:
        return ""
    drawn = value_text(finding, band.value)
    if finding.check == "weighed mass":
        return f"{drawn}; how far sum and scale may be off stands under required"
    if not has_width(band):
        return f"{drawn}, everything in it taken as exact"
    other = "rss" if judge_by == "worst case" else "worst case"
    judged, beside = (with_unit(finding, *band.judged(basis)) for basis in (judge_by, other))
    return f"{judged} by {BASIS[judge_by]}; {drawn} {as_found(finding)}; {beside} by {BASIS[other]}"


def _points(finding: Finding) -> str:
    if finding.points is None:
        return ""
    first, second = ("(" + ", ".join(plain(number, 1) for number in point) + ")" for point in finding.points)
    if first == second or len(finding.parts) != 2:
        return f"at {first}" if first == second else f"from {first} to {second}"
    return f"from {first} on {finding.parts[0]} to {second} on {finding.parts[1]}"


def _condensed(chosen: Sequence[Finding], result: Result, look: Look) -> list[str]:
    """Findings that are met: one row each, the least to spare first; pairs that just do not overlap, in one breath."""
    free = [finding for finding in chosen if finding.check == "overlap"]
    rows: dict[tuple[str, str, str, str], list[str]] = {}
    for finding in chosen:
        if finding.check != "overlap":
            rows.setdefault(_row(finding, result), []).append(finding.state)
    lines: list[str] = []
    if rows:
        cells = [(what, _life(states), *numbers) for (what, *numbers), states in rows.items()]
        head = ("", "life", f"found, {BASIS[result.judge_by]}", "required", "to spare")
        hide = 0 if _has_ages(result) else 1
        shown = [(row[0], *row[1 + hide :]) for row in (head, *cells)]
        lines = look.table(shown[0], shown[1:], left=1)
    if free:
        pairs = dict.fromkeys(listed(finding.parts) for finding in free)
        text = f"{SHAPE[Status.MET]} no overlap, in {counted(len(pairs), 'pair')} of which no more is asked or found"
        names = ": " + "; ".join(pairs) if len(pairs) <= MOST_PAIRS_NAMED else "; the JSON result names them"
        lines += look.paragraph(text + names, indent="  ", hang=_INDENT)
    return lines


def _row(finding: Finding, result: Result) -> tuple[str, str, str, str]:
    left = spare(finding, result.judge_by)
    return (
        f"{SHAPE[finding.status]} {subject(finding)}{_of_build(finding, result)}",
        judged_range(finding, result.judge_by) or finding.reason,
        requirement(finding),
        "" if left is None else floored(left, band_places(finding)),
    )


def _life(states: Sequence[str]) -> str:
    """In one word at which ages a row holds."""
    words = [state.removesuffix(" of life") for state in states]
    return "both" if len(words) > 1 else words[0]


def _named(chosen: Sequence[Finding], result: Result, look: Look) -> list[str]:
    """One paragraph for each reason, naming all that was left unchecked for it."""
    subjects: dict[tuple[str, str], list[str]] = {}
    for finding in chosen:
        why = (finding.reason or finding.rule.text, mending(finding))
        subjects.setdefault(why, []).append(f"{subject(finding)}{_where(finding, result)}")
    lines: list[str] = []
    for (reason, mend), names in subjects.items():
        text = f"{SHAPE[Status.NOT_CHECKED]} {'; '.join(names)}: {reason}"
        lines += look.paragraph(text, indent="  ", hang=_INDENT)
        if mend:
            lines += look.paragraph(f"to mend: {mend}", indent=_INDENT)
    return lines


_MANNER = {
    Status.NOT_MET: _in_full,
    Status.CANNOT_TELL: _in_full,
    Status.UNDER_CONCESSION: _in_full,
    Status.NOT_CHECKED: _named,
    Status.MET: _condensed,
}


def deciding(result: Result, look: Look, most: int = 6) -> list[str]:
    """The findings that make the verdict, a line each, with what to do about them."""
    worst = decisive(result)
    if not worst:
        return []
    lines = look.heading("What decides it")
    for finding in worst[:most]:
        text = f"{SHAPE[finding.status]} {in_one_line(finding, result)}"
        lines += look.paragraph(text, indent="  ", hang=_INDENT)
    if len(worst) > most:
        lines.append(f"{_INDENT}and {counted(len(worst) - most, 'more', 'more')} below")
    return lines


def decisive(result: Result) -> list[Finding]:
    """The findings of the worst status, the least to spare first; none where nothing found stands against a fit."""
    ordered = worst_first(result.findings, result.judge_by)
    worst = [finding for finding in ordered if finding.status is ordered[0].status] if ordered else []
    return [] if not worst or worst[0].status in (Status.MET, Status.NOT_CHECKED) else worst


def in_one_line(finding: Finding, result: Result) -> str:
    """What it is about, what was found, what is required, and what to do."""
    return f"{subject(finding)}{_where(finding, result)}: {_short(finding, result.judge_by)}"


def _short(finding: Finding, judge_by: str) -> str:
    found, asked = judged_range(finding, judge_by), requirement(finding)
    text = f"{found} where {asked} is required" if found and asked else found or finding.reason
    do = mending(finding) if finding.status is Status.NOT_MET else settling(finding)
    return f"{text}; {do}" if do else text
