from __future__ import annotations

import pytest

from fitcheck.errors import NOWHERE
from fitcheck.findings import Band, Finding, Rule, Status
from fitcheck.makeable.contour import polygon_of
from fitcheck.makeable.gauges import MOST_GAUGES, gauges
from fitcheck.model.quantity import exact
from fitcheck.model.rules import Concession
from fitcheck.sources import PRACTICE

RULE = Rule(name="every module – every enclosure", text="weld beads", source=PRACTICE)


def gap(parts, low, value, high, required, status=Status.MET, state="beginning of life") -> Finding:
    band = Band(value=value, low=low, high=high, rss_low=low, rss_high=high)
    return Finding(
        check="gap", parts=parts, build="proposed", state=state, status=status, rule=RULE, band=band, unit="mm",
        required=required,
    )  # fmt: skip


def width_at(piece, x: float) -> float:
    """How wide the gauge is there."""
    from shapely import LineString

    low, high = -1.0, piece.size[1] + 1.0
    return polygon_of(piece.outline).intersection(LineString([(x, low), (x, high)])).length


def test_the_long_end_is_the_least_gap_asked_for_and_the_short_end_the_largest_that_any_build_has():
    (gauge,), skipped = gauges([gap(("m1", "case"), 4.5, 6.0, 7.5, 5.0)])
    assert width_at(gauge, 5.0) == pytest.approx(5.0, abs=1e-9)
    assert width_at(gauge, gauge.size[0] - 5.0) == pytest.approx(7.5, abs=1e-9)
    assert [label.text for label in gauge.labels][:2] == ["GO 5", "NO-GO 7.50"]
    assert gauge.is_metal is False
    assert not skipped


def test_the_tightest_come_first_and_equal_widths_share_a_gauge():
    findings = [
        gap(("a", "b"), 9.0, 9.5, 10.0, 4.0),
        gap(("c", "d"), 5.0, 5.5, 6.0, 5.0),
        gap(("e", "f"), 5.2, 5.6, 6.0, 5.0),
    ]
    first, second = gauges(findings)[0]
    assert first.of_parts == ("c – d", "e – f")
    assert second.of_parts == ("a – b",)


def test_no_more_than_a_handful():
    findings = [gap((f"m{n}", "case"), 6.0 + n, 7.0 + n, 8.0 + n, 5.0) for n in range(12)]
    assert len(gauges(findings)[0]) == MOST_GAUGES


def test_a_gap_that_no_build_keeps_has_no_gauge_and_that_is_said():
    made, skipped = gauges([gap(("m1", "case"), 2.0, 3.0, 4.0, 5.0, Status.NOT_MET)])
    assert made == ()
    assert skipped == ("m1 – case: no gauge, no build keeps the 5 mm",)


def test_a_conceded_gap_is_gauged_down_to_what_was_conceded():
    conceded = Concession(
        check="gap", parts=("column", "m6"), down_to=exact("x", 1.2), because="trimmed", signed="AB", date="2026-01-01",
        at=NOWHERE,
    )  # fmt: skip
    finding = gap(("m6", "column"), 1.5, 2.0, 2.5, 5.0, Status.UNDER_CONCESSION)
    (gauge,), _ = gauges([finding], [conceded])
    assert gauge.labels[0].text == "GO 1.2"
    assert any("breaks easily" in text for text in gauge.says)


@pytest.mark.parametrize(
    "finding",
    [
        gap(("m1", "case"), 4.5, 6.0, 7.5, 5.0, state="end of life"),
        gap(("m1", "case"), 140.0, 150.0, 160.0, 5.0),
        gap(("m1", "case"), 4.5, 6.0, 7.5, 0.0),
    ],
    ids=["aged", "wide", "nothing asked"],
)
def test_what_is_not_gauged(finding):
    assert gauges([finding]) == ((), ())


def test_a_part_with_play_is_pushed_toward_the_other_for_both_ends():
    findings = [gap(("hv_1", "bracket"), 8.5, 9.0, 9.5, 8.0), gap(("m1", "case"), 6.5, 7.0, 7.5, 6.0)]
    loose, held = sorted(gauges(findings, loose={"hv_1"})[0], key=lambda piece: "m1" in piece.name)
    assert any(text.startswith("hv_1 can move as held: push it toward the other part") for text in loose.says)
    assert not any("push" in text for text in held.says)
