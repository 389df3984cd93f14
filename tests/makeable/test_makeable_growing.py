from __future__ import annotations

import pytest
from workshop_layouts import MADE, layout_of

from fitcheck.findings import Band
from fitcheck.makeable.growing import growth_mm, taken_mm


def band(low: float, value: float, high: float) -> Band:
    return Band(value=value, low=low, high=high, rss_low=low, rss_high=high)


def parts_of(text: str):
    return {part.name: part for part in layout_of(text).parts}


GROWN = MADE.replace("    mass: 10\n", "    mass: 10\n    grows: {y: 2 ± 0.5 %}\n")


def test_growth_is_that_of_the_largest_part_at_the_largest_share():
    assert growth_mm(parts_of(GROWN)["m1"]) == pytest.approx((0.0, 200.3 * 0.025, 0.0))
    assert growth_mm(parts_of(MADE)["m1"]) == (0.0, 0.0, 0.0)


def test_a_shape_without_overall_sizes_is_refused():
    with pytest.raises(ValueError, match="no overall sizes"):
        growth_mm(parts_of(MADE)["case"])


def test_what_growth_takes_is_the_largest_fall_of_the_band_and_what_sizes_may_add():
    """The sizes of m1 along y differ by 0.6 within tolerance, 2.5 % of that is 0.015."""
    parts = parts_of(GROWN)
    lost = taken_mm(band(4.0, 5.0, 6.0), band(1.5, 2.6, 3.8), ("m1", "case"), parts)
    assert lost == pytest.approx(2.5 + 0.6 * 0.025)
    lost = taken_mm(band(4.0, 5.0, 6.0), band(1.8, 2.6, 3.3), ("m1", "case"), parts)
    assert lost == pytest.approx(2.7 + 0.6 * 0.025)


def test_what_carries_the_pair_counts_too():
    pad = (
        "  lid_pad: {role: other, change: new, shape: {box: [40, 40, 5]}, "
        "place: {front: flush with m1, left: flush with m1, bottom: on m1}}\n"
    )
    text = GROWN.replace("  pad_1:\n", f"{pad}  pad_1:\n", 1)
    lost = taken_mm(band(4.0, 5.0, 6.0), band(2.0, 3.0, 4.0), ("lid_pad", "case"), parts_of(text))
    assert lost == pytest.approx(2.0 + 0.6 * 0.025)


def test_a_gap_that_does_not_shrink_loses_nothing():
    assert taken_mm(band(4.0, 5.0, 6.0), band(4.0, 5.0, 6.0), ("m1", "case"), parts_of(GROWN)) == 0.0
    assert taken_mm(band(4.0, 5.0, 6.0), band(4.5, 5.5, 6.5), ("m1", "case"), parts_of(GROWN)) == 0.0
