"""Public rules that ask for one spacing between circuits, by voltage, beside the tables of IEC 60664-1.

Each was read on public pages that quote it; the rules in force for the event and the year decide. To add one: a
SpacingRule with its rows here, and nothing else.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.verified import ONE_PAGE, THREE_PAGES

IEC = "iec 60664-1"
"""What the first rule set is called; it always stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpacingRow:
    """`mm` through air and over surfaces for more than `above_v` and less than `below_v`, d.c.; where a rule leaves the
    very boundary open, the row that asks for more holds."""

    above_v: float
    below_v: float
    mm: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class SpacingRule:
    """One rule set: what it `says` and leaves out, and its `rows`, ascending.

    It speaks of circuits of more than `high_from_v` against circuits of no more, never of chassis or within a circuit.
    """

    name: str
    says: str
    leaves_out: str
    high_from_v: float
    rows: tuple[SpacingRow, ...]
    source: Source

    def row(self, volts: float) -> SpacingRow:
        """The row for a voltage in V d.c.; OutsideTable for 0 and less.

        >>> SPACING_RULES[0].row(100).mm
        20.0
        """
        if volts <= 0.0:
            raise OutsideTable(f"{self.name}: {volts:g} V is outside the table, above 0 V")
        return next(row for row in self.rows if volts < row.below_v)


_FORMULA_SAE = "Formula SAE Rules 2024"
_EV_6_5_5 = "EV.6.5.5 b (EV.7.5.5 b in 2021)"


def _row(words: str, above_v: float, below_v: float, mm: float) -> SpacingRow:
    source = Source(document=_FORMULA_SAE, clause=f"{_EV_6_5_5}, row {words}", verified=THREE_PAGES)
    return SpacingRow(above_v=above_v, below_v=below_v, mm=mm, source=source)


SPACING_RULES = (
    SpacingRule(
        name="formula sae 2024",
        says="spacing through air and over surfaces between the traction circuit and the grounded low-voltage circuit "
        "in one enclosure",
        leaves_out="an insulating barrier that the rule takes instead is not judged",
        high_from_v=60.0,
        rows=(
            _row("below 100 V d.c.", 0.0, 100.0, 10.0),
            _row("100 to 200 V d.c.", 100.0, 200.0, 20.0),
            _row("above 200 V d.c.", 200.0, math.inf, 30.0),
        ),
        source=Source(
            document=_FORMULA_SAE,
            clause=_EV_6_5_5,
            verified=f"{THREE_PAGES}; that a circuit counts as high above 60 V d.c.: {ONE_PAGE}, of the 2016 rules",
        ),
    ),
)
"""A student competition's rule, written for packs such as these; the pages were a team's annotated rules (2024), a copy
of the 2021 rules, and notes on the German sister event's rules, which had the same figures then."""

RULE_SETS = (IEC, *(rule.name for rule in SPACING_RULES))


def spacing_rule(name: str) -> SpacingRule:
    """The rule of that name; OutsideTable for any other."""
    for rule in SPACING_RULES:
        if rule.name == name:
            return rule
    raise OutsideTable(f"no rule set is called {name!r}; known are {', '.join(RULE_SETS)}")
