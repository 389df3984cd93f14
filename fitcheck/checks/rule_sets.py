"""The rule sets by which clearance and creepage are judged, side by side, each with its own findings and citation.

IEC 60664-1 stands first and always; others are named under electrical `rules`, and the layout may ask for distances
of its own under `also`. A rule set says of which pairs it speaks, and what it asks for; how the distance is measured
is the same for all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import PurePath

from fitcheck.checks.potentials import potential_of, voltage_between, whole_voltage
from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import Electrical, HouseRule
from fitcheck.sources import Source
from fitcheck.standards.insulation import BOUGHT_STANDARD, Need
from fitcheck.standards.spacing_rules import SpacingRule, spacing_rule

Speaks = Callable[[Part, Part], bool]
Asks = Callable[[float, str], Need]
OWN = "the layout's own rule"


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleSet:
    """One rule set as it judges one check: what findings call it, the pairs it `speaks` of, what it `asks` for, and in
    words what decides in the end. The `first` also says what kept pairs from being looked at at all."""

    name: str
    asks: Asks
    decides: str
    speaks: Speaks
    first: bool = False


def iec_60664(electrical: Electrical, asks: Asks) -> RuleSet:
    """The first rule set: it speaks of every pair at a voltage."""
    return RuleSet(
        name=f"{electrical.insulation} insulation",
        asks=asks,
        decides=BOUGHT_STANDARD,
        speaks=lambda _, __: True,
        first=True,
    )


def further(electrical: Electrical, check: str) -> Iterator[RuleSet]:
    """The rule sets beside the first that ask for anything of that check ("clearance" or "creepage")."""
    for name in electrical.rules:
        yield _of_spacing(electrical, spacing_rule(name))
    for rule in electrical.also:
        distance = rule.clearance if check == "clearance" else rule.creepage
        if distance is not None:
            yield _of_house(electrical, rule, distance)


def _of_spacing(electrical: Electrical, rule: SpacingRule) -> RuleSet:
    def speaks(one: Part, other: Part) -> bool:
        first, second = potential_of(electrical, one), potential_of(electrical, other)
        if first is None or second is None or first.circuit == second.circuit:
            return False
        high = [whole_voltage(electrical, each.circuit) > rule.high_from_v for each in (first, second)]
        return high[0] is not high[1]

    def asks(volts: float, _: str) -> Need:
        row = rule.row(volts)
        return Need(mm=row.mm, between_rows=row.mm, text=f"{rule.says}: {row.mm:g} mm", source=row.source)

    return RuleSet(name=rule.name, speaks=speaks, asks=asks, decides=f"{rule.leaves_out}; the rules in force decide")


def _of_house(electrical: Electrical, rule: HouseRule, distance: Quantity) -> RuleSet:
    above = 0.0 if rule.above is None else rule.above.low

    def speaks(one: Part, other: Part) -> bool:
        voltage = voltage_between(electrical, one, other)
        return voltage is not None and voltage.volts > above

    def asks(_: float, __: str) -> Need:
        beyond = f" above {rule.above.nominal:g} V" if rule.above is not None else ""
        text = f"{rule.name}{beyond}: {distance.high:g} mm, because {rule.because}"
        source = Source(
            document=OWN, clause=f"{PurePath(rule.at.file).name}:{rule.at.line}", verified="as stated there"
        )
        return Need(mm=distance.high, between_rows=distance.high, text=text, source=source)

    return RuleSet(name=rule.name, speaks=speaks, asks=asks, decides="stated in the layout, read in no standard")
