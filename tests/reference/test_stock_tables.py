"""DIN 988 rings and the preferred numbers of ISO 3."""

from __future__ import annotations

import pytest

from fitcheck.standards.stock import stock


@pytest.mark.parametrize(("name", "terms"), [("R5", 5), ("R10", 10), ("R20", 20)])
def test_preferred_numbers_follow_iso_3(name, terms):
    """ISO 3:1973: each term is a power of the root of ten, rounded by at most 1.3 %."""
    sizes = stock(name).sizes
    assert len(sizes) == terms
    for step, size in enumerate(sizes):
        assert size == pytest.approx(10 ** (step / terms), rel=0.013)


def test_shim_rings_of_din_988():
    """DIN 988:1990: rings from 0.1 to 2.0 mm, in tenths; "DIN 988 - 40 x 50 x 0,5" is a common one."""
    sizes = stock("shim rings DIN 988").sizes
    assert {0.1, 0.2, 0.3, 0.4, 0.5, *(tenth / 10 for tenth in range(10, 21))} <= set(sizes)
    assert (min(sizes), max(sizes)) == (0.1, 2.0)
    assert stock("support rings DIN 988").sizes == (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 3.5)


def test_r5_is_every_second_term_of_r10_and_r10_of_r20():
    assert stock("R10").sizes[::2] == stock("R5").sizes
    assert stock("R20").sizes[::2] == stock("R10").sizes
