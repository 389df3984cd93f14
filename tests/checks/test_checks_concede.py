"""Signed concessions: what they cover and what they never do."""

from __future__ import annotations

import pytest
from engine_layouts import findings, only, study

from fitcheck.findings import Status
from fitcheck.model.part import Build
from fitcheck.result import Verdict
from fitcheck.run import check_study

LAYOUT = """
parts:
  case: {{role: frame, change: retained, shape: {{box: [10, 10, 10]}}, low_corner: [0, 0, 0]}}
  m1: {{role: module, change: new, shape: {{box: [{size}, 10, 10]}}, low_corner: [{at}, 0, 0]}}
gaps:
  - {{between: [m1, case], at_least: 2}}
concessions:
  - {{check: gap, parts: [{parts}], down_to: 1.2, because: trimmed on site, signed: ab, date: 2026-03-02}}
"""


def written(at: str, parts: str = "m1, case", size: str = "10") -> str:
    return LAYOUT.format(at=at, parts=parts, size=size)


@pytest.mark.parametrize("parts", ["m1, case", "case, m1"])
def test_a_concession_covers_down_to_its_value(parts: str) -> None:
    gap = only(written("11.2", parts), "gap")
    assert gap.status is Status.UNDER_CONCESSION
    assert "trimmed on site" in gap.reason
    assert "ab" in gap.reason
    assert gap.required == 2.0
    result = check_study(study(written("11.2", parts)), Build.PROPOSED)
    assert result.verdict is Verdict.FITS_UNDER_CONCESSION


@pytest.mark.parametrize(("at", "status"), [("11.1", Status.NOT_MET), ("11.3 ± 0.2", Status.NOT_MET),
                                            ("11.9 ± 0.8", Status.CANNOT_TELL)])  # fmt: skip
def test_and_no_further(at: str, status: Status) -> None:
    gap = only(written(at), "gap")
    assert gap.status is status
    assert "1.2" in gap.reason


def test_too_close_to_call_but_within_the_concession() -> None:
    assert only(written("12 ± 0.5"), "gap").status is Status.UNDER_CONCESSION


def test_a_guess_is_not_conceded() -> None:
    gap = only(written("{value: 11.6, tolerance: 0.1, known_by: guess}"), "gap")
    assert gap.status in (Status.NOT_MET, Status.CANNOT_TELL)


def test_one_that_no_longer_bites_is_reported() -> None:
    (idle,) = findings(written("12.5"), "concession")
    assert idle.parts == ("m1", "case")
    assert "no longer needed" in idle.reason
    assert findings(written("11.5"), "concession") == ()


def test_an_overlap_is_never_conceded() -> None:
    text = written("9.5")
    assert only(text, "overlap").status is Status.NOT_MET
    assert only(text, "gap").status is Status.NOT_MET
    assert check_study(study(text), Build.PROPOSED).verdict is Verdict.DOES_NOT_FIT


def test_looking_at_the_other_build_takes_no_concession_back() -> None:
    """The new module is not in the original build, so nothing there says whether its concession is still needed."""
    assert findings(written("11.5"), "concession", build=Build.ORIGINAL) == ()
