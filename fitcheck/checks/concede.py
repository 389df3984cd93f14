"""Signed concessions: a finding that fails its rule but meets what was conceded."""

from __future__ import annotations

from dataclasses import replace

from fitcheck.findings import Finding, Rule, Status, judge
from fitcheck.model.part import Build
from fitcheck.model.rules import Concession
from fitcheck.sources import Source
from fitcheck.study import Study

NEVER_CONCEDED = ("overlap", "clearance", "creepage", "isolation resistance", "touch", "axle load", "gross mass")
"""Checks that no concession touches."""


def concession_for(study: Study, finding: Finding) -> Concession | None:
    """The concession that names this check and exactly these parts."""
    if finding.check in NEVER_CONCEDED:
        return None
    for concession in study.layout.concessions:
        if concession.check == finding.check and sorted(concession.parts) == sorted(finding.parts):
            return concession
    return None


def concede(study: Study, finding: Finding) -> Finding:
    """The finding, under concession where a signed one covers it."""
    concession = concession_for(study, finding)
    if concession is None or finding.band is None or finding.status not in (Status.NOT_MET, Status.CANNOT_TELL):
        return finding
    down_to = concession.down_to.high
    if finding.rests_on_guess or judge(finding.band, down_to, finding.sense, study.layout.judge_by) is not Status.MET:
        return replace(
            finding,
            reason=_joined(finding.reason, f"beyond the concession down to {down_to:g}: {concession.because}"),
        )
    said = f"conceded down to {down_to:g}: {concession.because} (signed {concession.signed}, {concession.date})"
    return replace(finding, status=Status.UNDER_CONCESSION, reason=_joined(finding.reason, said), settle_by="")


def idle_concessions(study: Study, build: Build, findings: list[Finding]) -> list[Finding]:
    """Concessions of this build that do not bite: met without them, no such finding, or a check that none touches."""
    present = {part.name for part in study.layout.in_build(build)}
    idle = []
    for concession in study.layout.concessions:
        if not present.issuperset(concession.parts):
            continue
        bites = any(
            finding.status is not Status.MET and concession_for(study, finding) is concession for finding in findings
        )
        if not bites:
            idle.append(
                Finding(
                    check="concession",
                    parts=concession.parts,
                    build=build,
                    status=Status.MET,
                    rule=Rule(
                        name="concession",
                        text=concession.because,
                        source=Source(document=f"signed {concession.signed}", clause=concession.date),
                    ),
                    reason=_idle_reason(concession),
                )
            )
    return idle


def _idle_reason(concession: Concession) -> str:
    if concession.check in NEVER_CONCEDED:
        return f"no concession touches {concession.check}: take it out of the layout"
    return f"this concession on {concession.check} is no longer needed: take it out of the layout"


def _joined(*said: str) -> str:
    return "; ".join(filter(None, said))
