"""Spacing between circuits by public rules.

Figures of Formula SAE rule EV.6.5.5 b (2024; EV.7.5.5 b in 2021): less than 100 V d.c. 10 mm, 100 to 200 V 20 mm, more
than 200 V 30 mm, through air or over a surface; read on a team's annotated copy, on a copy of the 2021 rules, and in
notes on the German sister event's rules of that time.
"""

from __future__ import annotations

import pytest

from fitcheck.errors import OutsideTable
from fitcheck.standards.spacing_rules import RULE_SETS, SPACING_RULES, spacing_rule


@pytest.mark.parametrize(
    ("volts", "mm", "row"),
    [
        (1.0, 10.0, "below 100 V d.c."),
        (99.9, 10.0, "below 100 V d.c."),
        (100.0, 20.0, "100 to 200 V d.c."),
        (150.0, 20.0, "100 to 200 V d.c."),
        (200.0, 30.0, "above 200 V d.c."),
        (400.0, 30.0, "above 200 V d.c."),
    ],
)
def test_the_rows_of_the_competition_rule(volts: float, mm: float, row: str) -> None:
    found = spacing_rule("formula sae 2024").row(volts)
    assert found.mm == mm
    assert found.source.clause.endswith(f"row {row}")
    assert found.source.verified == "read on three independent public pages that agree"


def test_the_boundary_that_the_rule_leaves_open_takes_the_larger_figure() -> None:
    rule = spacing_rule("formula sae 2024")
    assert rule.row(100.0).mm > rule.row(99.0).mm
    assert rule.row(200.0).mm > rule.row(199.0).mm


def test_what_no_table_says_is_refused() -> None:
    with pytest.raises(OutsideTable, match="above 0 V"):
        SPACING_RULES[0].row(0.0)
    with pytest.raises(OutsideTable, match="known are iec 60664-1, formula sae 2024"):
        spacing_rule("another")


def test_rows_ascend_without_a_hole() -> None:
    for rule in SPACING_RULES:
        assert rule.name in RULE_SETS
        assert rule.rows[0].above_v == 0.0
        assert [row.below_v for row in rule.rows[:-1]] == [row.above_v for row in rule.rows[1:]]
        assert sorted(row.mm for row in rule.rows) == [row.mm for row in rule.rows]
