from __future__ import annotations

import pytest
from engine_layouts import findings, only

from fitcheck.findings import Status

LEVEL = """
    parts:
      floor: {role: enclosure, change: retained, shape: {box: [200, 100, 5]}, low_corner: [0, 0, -5]}
      riser:
        {role: riser, change: new, shape: {box: [30, 30, 35 ± 0.1]},
         place: {front: flush with floor, left: flush with floor, bottom: on floor top}}
      disconnect:
        {role: disconnect, change: retained, shape: {box: [30, 30, 62 ± 0.3]},
         place: {front: flush with riser, left: flush with riser, bottom: on riser}}
      lid: {role: lid, change: retained, shape: {box: [50, 50, {value: 96.5, tolerance: 0.4, known_by: HOW}]},
            low_corner: [100, 0, 0]}
    heights:
      find: {riser: {stock: [5], tolerance: 0.1}}
      so_that: [ASKED]
      JUDGED
"""


def text(asked: str, *, how="caliper", judged="judge_by: worst case") -> str:
    return LEVEL.replace("ASKED", asked).replace("HOW", how).replace("JUDGED", judged)


def test_the_level_of_the_page_cannot_be_told_and_one_value_settles_it():
    """35 + 62 - 96.5 = 0.5, ± 0.8 at worst; the lid to ± 0.1 leaves 1.0."""
    finding = only(text("{level: [disconnect top, lid top], within: 1}"), "level")
    assert (finding.band.value, finding.band.low, finding.band.high) == pytest.approx((0.5, 0.0, 1.3), abs=1e-9)
    assert finding.status is Status.CANNOT_TELL
    assert finding.settle_by == "lid.z to ± 0.1 mm"


def test_level_has_no_sign():
    one = only(text("{level: [disconnect top, lid top], within: 1}"), "level")
    other = only(text("{level: [lid top, disconnect top], within: 1}"), "level")
    assert one.band == other.band


def test_a_level_is_judged_as_the_heights_ask():
    """The root of 0.01 + 0.09 + 0.16 is 0.5099: 1.01 by root-sum-square."""
    asked = "{level: [disconnect top, lid top], within: 1.02}"
    assert only(text(asked), "level").status is Status.CANNOT_TELL
    assert only(text(asked, judged="judge_by: rss"), "level").status is Status.MET


def test_what_rests_on_a_guess_is_never_met():
    finding = only(text("{level: [disconnect top, lid top], within: 2}", how="guess"), "level")
    assert finding.status is Status.CANNOT_TELL
    assert finding.rests_on_guess == ("lid.z",)


def test_a_shared_reference_cancels():
    """Top of the riser to the underside of what stands on it: nothing, whatever the riser's height."""
    finding = only(text("{clear_height: [riser, disconnect], at_least: 0}"), "clear height")
    assert (finding.band.low, finding.band.high) == pytest.approx((0.0, 0.0), abs=1e-12)


def test_both_limits_of_a_clear_height_are_judged():
    low, high = findings(text("{clear_height: [floor, disconnect], at_least: 35.2, at_most: 35.5}"), "clear height")
    assert (low.required, low.status) == (35.2, Status.NOT_MET)
    assert (high.required, high.status) == (35.5, Status.MET)


def test_a_concession_on_a_clear_height_counts():
    asked = text("{clear_height: [floor, disconnect], at_least: 35.2}")
    signed = (
        "    concessions:\n      - {check: clear height, parts: [floor, disconnect], down_to: 34.5, because: trial,"
        " signed: initials, date: 2026-03-02}\n"
    )
    assert only(asked + signed, "clear height").status is Status.UNDER_CONCESSION
