"""What would mend a pair of live parts that is too near: a move, a rib, a groove, a cover, each tried before it is
named.

Each proposal was put into the layout and the checks run on it: the pair is then *met* within all tolerances, and
nothing else has become worse. Least intervention first. New pieces are taken at their nominal size, and of the matter
of the body that they stand on. A cover, dear to work out, is tried only where nothing else was found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fitcheck.checks import clearance, creepage
from fitcheck.checks.live_covers import cover
from fitcheck.checks.live_grooves import groove
from fitcheck.checks.live_moves import moved
from fitcheck.checks.live_ribs import rib
from fitcheck.checks.live_trials import Bench
from fitcheck.findings import Finding, Status
from fitcheck.model.part import Build
from fitcheck.study import Study

MOST_PAIRS, FEWEST_PAIRS, PARTS_EACH = 12, 3, 1200
"""How many pairs get proposals: the rest of a long list says so. Fewer where each trial looks at very many parts."""
NONE_FOUND = "no single move, rib, groove or cover was found that mends this and makes no other finding worse"
CUT_SHORT = "; not everything was tried"
CAUTION = (
    "New pieces are taken at nominal size and of the same material: have its CTI, its temperature and the joint checked"
)


def with_live_mends(study: Study, build: Build, findings: Sequence[Finding]) -> list[Finding]:
    """The findings, each pair of clearance and creepage that is not met with what would mend it."""
    parts = sum(1 for _ in study.layout.in_build(build))
    most = min(MOST_PAIRS, max(FEWEST_PAIRS, PARTS_EACH // max(parts, 1)))
    mended, sought = [], 0
    for finding in findings:
        if not _is_to_mend(finding):
            mended.append(finding)
            continue
        sought += 1
        hint = _hint(study, build, finding, findings) if sought <= most else not_sought(most)
        mended.append(replace(finding, mend=hint))
    return mended


def not_sought(most: int) -> str:
    return f"not sought: proposals are worked out for the first {most} pairs not met"


def _is_to_mend(finding: Finding) -> bool:
    """Of a short circuit that a part makes by itself, the finding says already what to do."""
    electric = finding.check in (clearance.NAME, creepage.NAME)
    return electric and finding.status is Status.NOT_MET and len(finding.parts) == 2 and finding.required is not None


def _hint(study: Study, build: Build, finding: Finding, findings: Sequence[Finding]) -> str:
    electrical = study.layout.sections.electrical
    assert electrical is not None  # noqa: S101 (nothing electrical is found without)
    study.progress(f"how to mend {' - '.join(finding.parts)}")
    bench = Bench(study, build, electrical, finding, findings)
    move = moved(bench)
    pieces = [said for said in (rib(bench), groove(bench)) if said]
    if not move and not pieces:
        pieces = [said for said in (cover(bench),) if said]
    if not move and not pieces:
        return NONE_FOUND + (CUT_SHORT if bench.is_spent else "")
    proposals = "; or ".join(filter(None, (move, *pieces)))
    return f"{proposals}. {CAUTION}" if pieces else proposals
