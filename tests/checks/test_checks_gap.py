"""How a gap is judged."""

from __future__ import annotations

import pytest
from engine_layouts import END, findings, only, study

from fitcheck.findings import Finding, Status
from fitcheck.model.part import Build
from fitcheck.run import check_study

TWO = """
judge_by: {basis}
parts:
  a: {{role: module, change: new, shape: {{box: [{size}, 10, 10]}}, low_corner: [0, 0, 0]}}
  b: {{role: bracket, change: new, shape: {{box: [10, 10, 10]}}, low_corner: [{at}, 0, 0]}}
gaps:
  - {{between: [a, b], at_least: {rule}, because: weld beads}}
"""


def judged(size: str, at: str, rule: str, basis: str = "worst case") -> Finding:
    return only(TWO.format(size=size, at=at, rule=rule, basis=basis), "gap")


@pytest.mark.parametrize(
    ("size", "at", "rule", "status"),
    [
        ("10", "15", "5", Status.MET),
        ("10", "15", "5.000001", Status.MET),
        ("10", "15", "5.0000021", Status.NOT_MET),
        ("10 ± 0.5", "15.5", "5", Status.MET),
        ("10 ± 0.5", "15.5", "5.0000009", Status.MET),
        ("10 ± 0.5", "15.4", "5", Status.CANNOT_TELL),
        ("10 ± 0.5", "14.5", "5", Status.CANNOT_TELL),
        ("10 ± 0.5", "14.49", "5", Status.NOT_MET),
        ("10 +0.5/-0", "15.5", "5", Status.MET),
        ("10 +0/-0.5", "14.5", "5.1", Status.NOT_MET),
        ("10", "9", "0", Status.NOT_MET),
    ],
)
def test_met_not_met_cannot_tell(size: str, at: str, rule: str, status: Status) -> None:
    assert judged(size, at, rule).status is status


def test_what_a_finding_says() -> None:
    gap = judged("10 ± 0.5", "15.4 ± 0.2", "5")
    assert gap.parts == ("a", "b")
    assert (gap.build, gap.state, gap.unit, gap.required) == ("proposed", "beginning of life", "mm", 5.0)
    assert gap.rule.text == "weld beads"
    assert gap.band is not None
    figures = (gap.band.value, gap.band.low, gap.band.high, gap.band.rss_low, gap.band.rss_high)
    rss = (0.5**2 + 0.2**2) ** 0.5
    assert figures == pytest.approx((5.4, 4.7, 6.1, 5.4 - rss, 5.4 + rss), abs=1e-9)
    assert gap.points is not None
    assert (gap.points[0][0], gap.points[1][0]) == pytest.approx((10.0, 15.4), abs=1e-9)


def test_judged_by_root_sum_square() -> None:
    assert judged("10 ± 0.5", "15.5 ± 0.5", "4.6").status is Status.CANNOT_TELL
    assert judged("10 ± 0.5", "15.5 ± 0.5", "4.6", "rss").status is Status.MET


@pytest.mark.parametrize(
    "size",
    [
        "{value: 10, tolerance: 0.1, known_by: guess}",
        "{value: 10, tolerance: 0.1, unit: mm, known_by: guess}",
    ],
)
def test_a_guess_is_never_met(size: str) -> None:
    gap = judged(size, "30", "5")
    assert gap.status is Status.CANNOT_TELL
    assert gap.rests_on_guess == ("a.x",)
    assert "a.x" in gap.settle_by


def test_a_guess_may_fail() -> None:
    assert judged("{value: 10, tolerance: 0.1, known_by: guess}", "12", "5").status is Status.NOT_MET


def test_a_toleranced_rule_asks_for_its_upper_end() -> None:
    """A rule is exact unless toleranced; then what it may ask for counts, not what it most likely asks for."""
    assert judged("10", "15.2", "5 ± 1").status is not Status.MET
    assert judged("10", "16.0", "5 ± 1").status is Status.MET


CANONICAL = """
parts:
  case:
    {{role: enclosure, change: retained, inside_low_corner: [0, 0, 0],
     shape: {{tray: {{inside: [600, {width}, 160], wall: 2, floor: 2}}}}}}
  m1:
    {{role: module, change: new, shape: {{box: [410, 446 ± 0.5, 126]}},
     place: {{front: 50 clear of case inside front, centre: {{y: case inside}}, bottom: on case floor}}}}
gaps:
  - {{between: [every module, every enclosure], at_least: 2}}
"""


def test_a_centred_module_too_close_to_call() -> None:
    gap = only(CANONICAL.format(width="451 ± 2"), "gap")
    assert gap.status is Status.CANNOT_TELL
    assert gap.band is not None
    assert (gap.band.value, gap.band.low, gap.band.high) == pytest.approx((2.5, 1.25, 3.75), abs=1e-9)
    assert gap.settle_by == "case.inside.y to ± 0.5 mm"


def test_and_the_same_with_the_case_measured() -> None:
    gap = only(CANONICAL.format(width="451 ± 0.2"), "gap")
    assert gap.status is Status.MET
    assert gap.band is not None
    assert (gap.band.low, gap.band.high) == pytest.approx((2.15, 2.85), abs=1e-9)
    # Measured as well as the finding asks for, it is settled.
    assert only(CANONICAL.format(width="451 ± 0.5"), "gap").status is Status.MET


RULES = """
parts:
  m1: {role: module, change: new, shape: {box: [10, 10, 10]}, low_corner: [0, 0, 0]}
  m2: {role: module, change: new, shape: {box: [10, 10, 10]}, low_corner: [15, 0, 0]}
  c: {role: column, change: new, shape: {box: [10, 10, 10]}, low_corner: [0, 15, 0]}
gaps:
"""
EVERY = [
    ("anything, anything", 1),
    ("every module, every module", 2),
    ("m1, every module", 3),
    ("m1, m2", 4),
]


@pytest.mark.parametrize("count", range(1, 5))
def test_the_most_specific_rule_speaks(count: int) -> None:
    chosen = EVERY[:count]
    for order in (chosen, chosen[::-1]):
        text = RULES + "".join(f"  - {{between: [{pair}], at_least: {rule}}}\n" for pair, rule in order)
        assert only(text, "gap", "m1", "m2").required == float(count)


def test_of_two_equally_specific_the_larger() -> None:
    text = RULES + "  - {between: [m1, m2], at_least: 2}\n  - {between: [m2, m1], at_least: 4}\n"
    assert only(text, "gap").required == 4.0
    text = (
        RULES
        + "  - {between: [every module, anything], at_least: 2}\n  - {between: [anything, anything], at_least: 4}\n"
    )
    assert {finding.required for finding in findings(text, "gap")} == {2.0}


@pytest.mark.parametrize(("of_part", "of_roles"), [(2, 4), (4, 2)])
def test_a_part_and_anything_never_lowers_what_two_roles_ask_for(of_part: int, of_roles: int) -> None:
    text = RULES + (
        f"  - {{between: [m1, anything], at_least: {of_part}}}\n"
        f"  - {{between: [every module, every module], at_least: {of_roles}}}\n"
    )
    assert only(text, "gap", "m1", "m2").required == 4.0


def test_no_rule_no_gap() -> None:
    text = (
        RULES + "  - {between: [every module, every module], at_least: 2}\n  - {between: [every lid, c], at_least: 9}\n"
    )
    assert [finding.parts for finding in findings(text, "gap")] == [("m1", "m2")]


STATES = """
parts:
  m1: {role: module, change: new, grows: {x: 10 %}, shape: {box: [10, 10, 10]}, low_corner: [0, 0, 0]}
  m2: {role: module, change: new, shape: {box: [10, 10, 10]}, low_corner: [12, 0, 0]}
  c: {role: column, change: new, shape: {box: [10, 10, 10]}, low_corner: [24, 0, 0]}
gaps:
  - {between: [anything, anything], at_least: 1.8}
"""


def test_both_ages_where_they_differ_and_one_where_they_do_not() -> None:
    found = {(finding.parts, finding.state): finding.status for finding in findings(STATES, "gap")}
    assert found == {
        (("m1", "m2"), "beginning of life"): Status.MET,
        (("m1", "m2"), "end of life"): Status.NOT_MET,
        (("m1", "c"), "beginning of life"): Status.MET,
        (("m1", "c"), "end of life"): Status.MET,
        (("m2", "c"), "beginning of life"): Status.MET,
    }
    assert study(STATES).states[-1] is END


BUILDS = """
parts:
  frame: {role: frame, change: retained, shape: {box: [10, 10, 10]}, low_corner: [0, 0, 0]}
  old: {role: module, change: removed, shape: {box: [10, 10, 10]}, low_corner: [11, 0, 0]}
  new: {role: module, change: new, shape: {box: [10, 10, 10]}, low_corner: [12, 0, 0]}
gaps:
  - {between: [every module, every frame], at_least: 1.5}
"""


def test_only_parts_that_share_a_build() -> None:
    before, after = findings(BUILDS, build=Build.ORIGINAL), findings(BUILDS)
    assert {(one.parts, one.status) for one in before if one.check == "gap"} == {(("frame", "old"), Status.NOT_MET)}
    assert {(one.parts, one.status) for one in after if one.check == "gap"} == {(("frame", "new"), Status.MET)}
    assert not [one for one in (*before, *after) if set(one.parts) == {"old", "new"}]


@pytest.mark.parametrize(("at", "listed"), [(10 + 5 + 24.9, True), (10 + 5 + 25.1, False)])
def test_far_pairs_are_counted_not_listed(at: float, listed: bool) -> None:
    text = TWO.format(size="10", at=at, rule="5", basis="worst case")
    result = check_study(study(text), Build.PROPOSED)
    assert [finding.check for finding in result.findings] == (["gap"] if listed else [])
    assert result.counted is not None
    assert (result.counted.pairs, result.counted.measured, result.counted.far_apart) == (1, listed, not listed)


@pytest.mark.parametrize("listed", [True, False])
def test_the_band_counts_towards_the_reach(listed: bool) -> None:
    at = 10 + 5 + 24.9 + (3.0 if listed else 3.3)
    text = TWO.format(size="10 ± 1", at=f"{at} ± 2", rule="5", basis="worst case")
    assert bool(findings(text, "gap")) is listed


def test_the_layout_says_how_far_to_list() -> None:
    text = TWO.format(size="10", at=45, rule="5", basis="worst case")
    assert findings(text, "gap") == ()
    assert len(findings(text + "list_within: 30\n", "gap")) == 1


def test_settle_names_the_coarsest_and_honours_what_it_says() -> None:
    gap = judged("10 ± 0.3", "15.4 ± 0.5", "5")
    assert gap.status is Status.CANNOT_TELL
    # With b.low_corner.x to ± 0.1 the worst case is 15.4 - 0.1 - 10.3 = 5.0; a.x cannot settle it.
    assert gap.settle_by == "b.low_corner.x to ± 0.1 mm"
    assert judged("10 ± 0.3", "15.4 ± 0.1", "5").status is Status.MET


def test_no_single_value_settles_it() -> None:
    assert judged("10 ± 0.5", "15.4 ± 0.5", "5").settle_by == "no single value settles it"


def test_findings_come_in_the_same_order_every_time() -> None:
    first, second = findings(STATES), findings(STATES)
    assert first == second
