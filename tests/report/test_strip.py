"""The strip of characters that lays a band beside its requirement."""

from __future__ import annotations

from made_up import CANNOT, MET, NOT_MET, OVERLAPPING, UNCHECKED, gap

from fitcheck.findings import Status
from fitcheck.report.look import PLAIN, Look
from fitcheck.report.strip import strip

ASCII = Look(ascii_only=True)


def drawn(finding):
    return strip(finding, "worst case", ASCII)


def test_a_band_wholly_short_of_the_limit_lies_on_its_wrong_side():
    line = drawn(NOT_MET)
    assert line.index("[") < line.index("o") < line.index("]") < line.index("!")
    assert "/" in line[line.index("]") : line.index("!")]


def test_a_band_that_holds_the_limit_shows_it_inside():
    line = drawn(CANNOT)
    assert line.index("[") < line.index("!") < line.index("o") < line.index("]")


def test_a_band_beyond_the_limit_lies_on_its_right_side():
    line = drawn(MET)
    assert line.index("!") < line.index("[") < line.index("]")
    assert "/" not in line[line.index("!") :]


def test_at_most_shades_the_upper_side():
    line = drawn(OVERLAPPING)
    assert "/" in line[line.index("!") :]
    assert "/" not in line[: line.index("!")]


def test_a_negative_gap_starts_the_strip_below_zero():
    assert drawn(gap(("a", "b"), -2.0, -1.0, 0.0, 1.0, Status.NOT_MET)).startswith("-")


def test_a_value_next_to_the_limit_stays_visible_on_its_own_side():
    line = drawn(gap(("a", "b"), 99.99, 99.995, 100.0, 100.01, Status.NOT_MET))
    assert line.index("o") < line.index("!")


def test_the_fine_strip_has_the_same_length_as_the_plain_one():
    assert len(strip(CANNOT, "worst case", PLAIN)) == len(drawn(CANNOT))


def test_nothing_is_drawn_without_a_band():
    assert drawn(UNCHECKED) == ""
