"""Everything that a study of one layout found: what each verb says of it, side by side."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fitcheck.findings import Finding, Verdict
from fitcheck.result import Result, verdict

ASKED_BY_HEIGHTS = ("clear height", "level", "screw length", "torque")
"""The checks of what a layout states under `heights` and `screws`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyResult:
    """`check` and `balance` speak of the layout as written, `heights` of the solved one, None where it asks for
    none."""

    check: Result
    balance: Result
    heights: Result | None = None

    @property
    def results(self) -> tuple[Result, ...]:
        return tuple(result for result in (self.check, self.heights, self.balance) if result is not None)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, each once, in the order of the verbs."""
        return tuple(dict.fromkeys(finding for result in self.results for finding in result.findings))

    @property
    def verdict(self) -> Verdict:
        return verdict(self.findings)

    @property
    def heights_found(self) -> bool:
        """Whether there is a solved layout that `heights` speaks of."""
        return self.heights is not None and self.heights.heights is not None and self.heights.heights.solved

    @property
    def heights_differ(self) -> bool:
        """Whether the layout with the heights found is another than the one written, so that it wants pictures of its
        own."""
        if self.heights is None or self.heights.heights is None or not self.heights_found:
            return False
        moved = any(row.height_mm != row.written_mm for row in self.heights.heights.found)
        return moved or not set(self.heights.findings) <= set(self.check.findings)

    @property
    def heights_alone(self) -> Result | None:
        """What `heights` has to say beside `check`: where the layout already has the heights found, only the findings
        that ask for a height or a screw."""
        if self.heights is None or not self.heights_found or self.heights_differ:
            return self.heights
        apart = tuple(finding for finding in self.heights.findings if finding.check in ASKED_BY_HEIGHTS)
        return replace(self.heights, findings=apart)

    @property
    def as_written(self) -> Result:
        """What is known of the layout as written, as one result: both builds fitted and weighed. The heights and screws
        stand in it; the findings that `heights` has of the solved layout do not.
        """
        heights = self.heights
        return replace(
            self.check,
            verb="study",
            verdict=self.verdict,
            findings=tuple(dict.fromkeys((*self.check.findings, *self.balance.findings))),
            not_covered=_each_once(self.check.not_covered, () if heights is None else heights.not_covered),
            guesses=tuple(dict.fromkeys((*self.check.guesses, *self.balance.guesses))),
            notes=_each_once(self.check.notes, self.balance.notes),
            balance=self.balance.balance,
            heights=None if heights is None else heights.heights,
            screws=() if heights is None else heights.screws,
        )


def _each_once(*texts: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(text for some in texts for text in some))


def told_once(found: Result, written: Result) -> Result:
    """What `heights` found, each finding that is the same in the layout as written told as it is there: a proposal how
    to mend it is worked out for that layout alone, and holds where no height differs."""
    if found.heights is None or any(row.height_mm != row.written_mm for row in found.heights.found):
        return found
    there = {replace(finding, mend=""): finding for finding in written.findings}
    return replace(found, findings=tuple(there.get(replace(one, mend=""), one) for one in found.findings))
