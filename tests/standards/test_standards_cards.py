"""Stock lists, restraint figures and rule cards: found by name, refused otherwise."""

from __future__ import annotations

import pytest

from fitcheck.errors import OutsideTable
from fitcheck.standards.restraint import CONVERSION_CODE, SHOCK_PLATEAUS, restraint, shock_plateau
from fitcheck.standards.rule_cards import CARDS, card, midway_clearance_mm
from fitcheck.standards.stock import STOCKS, stock


def test_stock_is_found_by_name_and_ascends():
    assert stock("Aluminium  Sheet").sizes[:3] == (0.5, 0.8, 1.0)
    assert stock("standoffs M4").pm == 0.13
    for row in STOCKS:
        assert list(row.sizes) == sorted(set(row.sizes))
        assert row.source.verified


@pytest.mark.parametrize(
    ("look_up", "name"), [(stock, "brass sheet"), (restraint, "up"), (shock_plateau, "L7"), (card, "no such rule")]
)
def test_unknown_names_are_refused_with_what_there_is(look_up, name):
    with pytest.raises(OutsideTable, match=r"known are|M1 to M3"):
        look_up(name)


def test_what_was_not_read_says_so():
    assert [row.source.verified for row in CONVERSION_CODE] == ["read on one public page"] + 3 * [
        "from memory, unverified"
    ]
    assert card("Ground clearance near axle AU").source.verified == "from memory, unverified"


def test_cards_have_a_figure_exactly_when_they_have_a_unit():
    assert all((row.figure is None) == (row.unit == "") for row in CARDS)
    assert len({row.name for row in CARDS}) == len(CARDS)
    assert midway_clearance_mm(3000) == pytest.approx(3000 * card("ground clearance midway AU").figure, rel=1e-12)


def test_every_passenger_and_goods_category_has_one_plateau():
    categories = [name for row in SHOCK_PLATEAUS for name in row.categories]
    assert sorted(categories) == ["M1", "M2", "M3", "N1", "N2", "N3"]
