"""Linear gap stacks with published or recomputed answers, through whole layouts.

Sources: a housing of 4.020 ± 0.005 in less three parts (gap 0.020, worst case ± 0.015, root-sum-square ± 0.00794):
public engineering article on stack-up analysis, inputs read on one page, results recomputed. The rule that worst cases
add up and independent deviations add in squares: F. Scholz, Tolerance Stack Analysis Methods, 1995, read on one public
page. Ten equal parts and three terms: the same two formulas on round numbers. Eight modules in a case: own figures,
with the limits of ISO 2768-1 class m.
"""

from __future__ import annotations

import math

import pytest
from engine_layouts import BEGINNING, measured, only, study

from fitcheck.findings import Band, Status

INCH = 25.4


def stack(housing: str, parts: list[str], unit: str, rule: str = "0") -> str:
    """Parts pushed together against the front wall of a case; what is left is the gap of the last to the rear wall."""
    lines = [
        f"units: {{length: {unit}}}",
        "parts:",
        "  case: {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],",
        f"         shape: {{tray: {{inside: [{housing}, 1000, 1000], wall: 0.1, floor: 0.1}}}}}}",
    ]
    before = "case inside front"
    for number, size in enumerate(parts, 1):
        lines += [
            f"  p{number}: {{role: module, change: new, shape: {{box: [{size}, 0.5, 0.5]}},",
            f"        place: {{front: against {before}, left: 400 clear of case inside left,",
            "                bottom: 400 clear of case floor}}",
        ]
        before = f"p{number} rear"
    lines += ["gaps:", f"  - {{between: [p{len(parts)}, case], at_least: {rule}}}"]
    return "\n".join(lines)


def close(found: Band, value: float, worst: float, rss: float, scale: float = 1.0) -> None:
    figures = (found.value, found.low, found.high, found.rss_low, found.rss_high)
    expected = (value, value - worst, value + worst, value - rss, value + rss)
    assert figures == pytest.approx([scale * each for each in expected], abs=1e-8)


def gap_of(text: str, last: str) -> Band:
    return measured(study(text), "case", last, BEGINNING).band


PUBLISHED = ("4.020 ± 0.005", ["2.000 ± 0.005", "1.500 ± 0.003", "0.500 ± 0.002"])


def test_three_parts_in_a_housing_in_inches() -> None:
    found = gap_of(stack(*PUBLISHED, "in"), "p3")
    close(found, 0.020, 0.015, 0.00793725393, INCH)
    assert (found.value - found.rss_low) / INCH == pytest.approx(0.00794, abs=5e-6)


def test_the_same_in_millimetres_and_with_units_spelled_out() -> None:
    housing, parts = PUBLISHED
    close(gap_of(stack(*PUBLISHED, "mm"), "p3"), 0.020, 0.015, 0.00793725393)
    spelled = stack(housing + " in", [part + " in" for part in parts], "mm")
    close(gap_of(spelled, "p3"), 0.020, 0.015, 0.00793725393, INCH)


@pytest.mark.parametrize(
    ("rule", "basis", "status"),
    [
        ("0.005", "worst case", Status.MET),
        ("0.012", "worst case", Status.CANNOT_TELL),
        ("0.012", "rss", Status.MET),
        ("0.0121", "rss", Status.CANNOT_TELL),
        ("0.028", "rss", Status.NOT_MET),
        ("0.028", "worst case", Status.CANNOT_TELL),
        ("0.0351", "worst case", Status.NOT_MET),
    ],
)
def test_the_basis_decides(rule: str, basis: str, status: Status) -> None:
    text = f"judge_by: {basis}\n" + stack(*PUBLISHED, "in", rule)
    assert only(text, "gap").status is status


def test_three_terms() -> None:
    found = gap_of(stack("100 ± 0.20", ["60 ± 0.10", "30 ± 0.15"], "mm"), "p2")
    close(found, 10.0, 0.45, 0.26925824)


def test_ten_equal_parts() -> None:
    found = gap_of(stack("1010", ["100 ± 0.1"] * 10, "mm"), "p10")
    close(found, 10.0, 1.0, 0.31622777)


def test_eight_modules_in_a_case() -> None:
    found = gap_of(stack("1200 ± 1.2", ["148 ± 0.5"] * 8, "mm"), "p8")
    close(found, 16.0, 5.2, 1.85472370)


def test_eight_modules_by_the_general_tolerances_of_a_drawing() -> None:
    """ISO 2768-1 m: 1200 lies in 1000 to 2000 (± 1.2), 148 in 120 to 400 (± 0.5)."""
    text = "general_tolerance: ISO 2768-m\ndefaults: {known_by: drawing}\n" + stack("1200", ["148"] * 8, "mm")
    close(gap_of(text, "p8"), 16.0, 5.2, 1.85472370)


def test_centred_modules_halve_every_term() -> None:
    text = """
    parts:
      case: {role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
             shape: {tray: {inside: [451 ± 2, 300, 160], wall: 2, floor: 2}}}
      m1: {role: module, change: new, shape: {box: [446 ± 0.5, 100, 100]},
           place: {centre: {x: case inside}, left: 20 clear of case inside left, bottom: on case floor}}
    gaps:
      - {between: [m1, case], at_least: 2}
    """
    found = only(text, "gap").band
    assert found is not None
    close(found, 2.5, 1.25, math.hypot(1.0, 0.25))
