"""Everything that a study of one layout found: what each verb says of it, side by side."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fitcheck.findings import Finding, Verdict
from fitcheck.result import Result, verdict


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
