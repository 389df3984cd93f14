"""Everything that a study of one layout found: what each verb says of it, side by side."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.findings import Finding, Verdict
from fitcheck.result import Result, verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyResult:
    """`check` and `balance` speak of the layout as written, `heights` of the solved one, None where none is asked for."""

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
