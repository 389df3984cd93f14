"""The findings of a study as the rows of one table: each once, worst first, with the words of its cells."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from fitcheck.findings import Finding, Rule, Status
from fitcheck.model.part import State
from fitcheck.report.wording import (
    BASIS,
    WORST_FIRST,
    as_found,
    band_places,
    floored,
    has_width,
    is_act,
    judged_range,
    listed,
    mending,
    plain,
    requirement,
    settling,
    spare,
    straight_across,
    subject,
    value_text,
    with_unit,
)
from fitcheck.result_study import StudyResult

AS_WRITTEN, FOUND, BOTH = "layout as written", "with the heights found", "as written and with the heights found"
"""Of which layout a finding speaks, where a study looks at two."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row. `index` counts the study's findings, as the 3D view does; `layout` is empty where there is only one;
    `rule` is the number of the finding's rule in the page's list of rules; `aged` whether ages are worth saying."""

    index: int
    finding: Finding
    judge_by: str
    layout: str
    ages: tuple[str, ...]
    rule: int
    aged: bool

    @property
    def status(self) -> str:
        return self.finding.status.value

    @property
    def key(self) -> str:
        """The status as a class name."""
        return key_of(self.finding.status)

    @property
    def rank(self) -> int:
        return WORST_FIRST.index(self.finding.status)

    @property
    def subject(self) -> str:
        return subject(self.finding)

    @property
    def when(self) -> str:
        """At which ages and of which layout, as far as that is not the same for all rows."""
        ages = "both ages" if len(self.ages) > 1 else "".join(self.ages)
        return ", ".join(filter(None, (ages if self.aged else "", self.layout)))

    @property
    def found(self) -> str:
        return judged_range(self.finding, self.judge_by) or "–"

    @property
    def required(self) -> str:
        return requirement(self.finding) or "–"

    @property
    def left(self) -> float | None:
        return spare(self.finding, self.judge_by)

    @property
    def to_spare(self) -> str:
        """What is left to the requirement, rounded down; with a word where it is lacking."""
        left = self.left
        if left is None:
            return "–"
        unit = f" {self.finding.unit}".rstrip()
        return f"{floored(left, band_places(self.finding))}{unit}".replace("-", "−")

    @property
    def is_free(self) -> bool:
        """Whether it only says that two parts do not take up the same space."""
        return self.finding.status is Status.MET and self.finding.check == "overlap"

    @property
    def do(self) -> str:
        """What to do next about it; empty where nothing is to be done."""
        if self.finding.status is Status.NOT_MET:
            return (
                (mending(self.finding) if is_act(self.finding.mend) else "") or settling(self.finding) or self._unaided
            )
        if self.finding.status is Status.MET:
            return ""
        return settling(self.finding) or mending(self.finding)

    @property
    def is_unaided(self) -> bool:
        """Whether it is not met and nothing is known that mends it."""
        finding = self.finding
        return finding.status is Status.NOT_MET and not is_act(finding.mend) and not finding.settle_by

    @property
    def _unaided(self) -> str:
        """What there is to do where no change is proposed."""
        finding, pair = self.finding, listed(self.finding.parts)
        falls = f"{self.found} where {self.required} is required" if finding.band is not None else finding.reason
        runs_in = finding.band is not None and finding.band.high < 0.0
        asks = {
            "overlap": f"make room between {pair}, which take up the same space ({self.found})",
            "gap": f"make room between {pair}{', which take up the same space' if runs_in else ''}: {falls}",
            "containment": f"bring {pair.replace(' and ', ' back inside ')}: {falls}",
        }
        tried = mending(finding) or "no change was worked out for this"
        return f"{asks.get(finding.check) or f'see to the {self.subject}: {falls}'}; {tried}"

    @property
    def basis(self) -> str:
        return BASIS[self.judge_by]

    @property
    def facts(self) -> list[tuple[str, str]]:
        """Everything else that the finding carries, as (label, text)."""
        finding = self.finding
        guesses = ", ".join(finding.rests_on_guess)
        volume = finding.volume_mm3
        across = straight_across(finding)
        facts = [
            *_bands(finding),
            ("straight across", f"{across}, {as_found(finding)}" if across else ""),
            ("where", _points(finding)),
            ("shared volume", f"{plain(volume / 1000.0, 2)} cm³" if volume else ""),
            ("why", finding.reason),
            ("rests on a guess", guesses),
            ("to settle it", settling(finding)),
            ("to mend it", mending(finding)),
        ]
        return [(label, text) for label, text in facts if text]


def key_of(status: Status) -> str:
    return status.value.replace(" ", "-")


def rows_of(study: StudyResult, rules: Mapping[Rule, int]) -> list[Row]:
    """All rows, worst first, the least to spare first within a status. A finding that is the same at both ages is one
    row; figures with nothing to hold against are left to the tables."""
    order = {finding: index for index, finding in enumerate(study.findings)}
    judged, layouts = _belongings(study)
    aged = len({finding.state for finding in order if finding.state}) > 1
    merged: dict[Finding, list[Finding]] = {}
    for finding in order:
        if not is_figure(finding):
            merged.setdefault(replace(finding, state=""), []).append(finding)
    rows = []
    for same in merged.values():
        for group in _by_layout(same, layouts):
            first = group[0]
            rows.append(
                Row(
                    index=order[first],
                    finding=first,
                    judge_by=judged[first],
                    layout=layouts[first],
                    ages=tuple(one.state for one in group if one.state),
                    rule=rules[first.rule],
                    aged=aged,
                )
            )
    return sorted(rows, key=lambda row: (row.rank, row.left is None, row.left or 0.0, row.index))


def is_figure(finding: Finding) -> bool:
    """A number held against nothing, such as a known mass: the tables show it, it answers nothing."""
    return finding.status is Status.MET and finding.band is not None and finding.required is None


def numbered_rules(findings: Iterable[Finding]) -> dict[Rule, int]:
    """Every rule that a finding names, numbered from 1 in the order of the findings."""
    rules: dict[Rule, int] = {}
    for finding in findings:
        rules.setdefault(finding.rule, len(rules) + 1)
    return rules


def layouts_of(study: StudyResult) -> dict[Finding, str]:
    """Of which layout each finding speaks; empty words where the study looks at only one."""
    return _belongings(study)[1]


def _belongings(study: StudyResult) -> tuple[dict[Finding, str], dict[Finding, str]]:
    """By which basis each finding was judged, and of which layout it speaks."""
    judged: dict[Finding, str] = {}
    written = {finding for result in (study.check, study.balance) for finding in result.findings}
    found = set(study.heights.findings) if study.heights is not None and study.heights_differ else set()
    for result in study.results:
        for finding in result.findings:
            judged.setdefault(finding, result.judge_by)
    return judged, {finding: _layout(finding, written, found) for finding in judged}


def _layout(finding: Finding, written: set[Finding], found: set[Finding]) -> str:
    if not found:
        return ""
    if finding in found:
        return BOTH if finding in written else FOUND
    return AS_WRITTEN


def _by_layout(same: Sequence[Finding], layouts: Mapping[Finding, str]) -> list[list[Finding]]:
    groups: dict[str, list[Finding]] = {}
    for finding in same:
        groups.setdefault(layouts[finding], []).append(finding)
    return list(groups.values())


def _bands(finding: Finding) -> list[tuple[str, str]]:
    band = finding.band
    if band is None:
        return []
    drawn = [(as_found(finding), value_text(finding, band.value))]
    if finding.check == "weighed mass" or not has_width(band):
        return drawn
    bands = [(word, with_unit(finding, *band.judged(basis))) for basis, word in BASIS.items()]
    return drawn + bands


def _points(finding: Finding) -> str:
    if finding.points is None:
        return ""
    first, second = ("(" + ", ".join(plain(number, 1) for number in point) + ")" for point in finding.points)
    if first == second:
        return f"at {first}"
    if len(finding.parts) != 2:
        return f"from {first} to {second}"
    return f"from {first} on {finding.parts[0]} to {second} on {finding.parts[1]}"


def is_aged(row: Row) -> bool:
    """Whether the finding speaks of the end of life only."""
    return row.ages == (State.END.value,)
