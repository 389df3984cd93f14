"""Rule card: a public rule that the layout asks for by name.

What it checks
    Each card under `rule_cards` that has a figure: ground clearance, change of ride height, share of the steered axle,
    mass above the maker's figure. Cards without a figure are printed with their source and not judged.

Why it matters
    Which rules bind a vehicle depends on its country, its class and the date. The plate's own limits always do; these
    are an early warning of what an inspector may ask.

How it is measured
    From the same figures as axle load and ground clearance, against the card's number. Each card says where that number
    was read and how it was verified; some are from memory.

Example
    `rule_cards: [ride height change AU]`: the rear axle sinks 16.3 mm, at most 50 mm without certification. Met, which
    is not an approval.

How to mend
    Read the rule in its current edition and ask the authority. A card is no legal advice.

Source
    Each card names its own; `fitcheck balance` prints it.
"""

from __future__ import annotations

from fitcheck.findings import Finding, Rule, Status, judge
from fitcheck.model.part import Build
from fitcheck.vehicle.balance import Weighed
from fitcheck.vehicle.cards import CardTest

NAME = "rule card"


def check(weighed: Weighed) -> list[Finding]:
    """One finding for each named card that has a figure."""
    return [_finding(weighed, test) for test in weighed.cards if test.required is not None]


def _finding(weighed: Weighed, test: CardTest) -> Finding:
    status, settle = Status.CANNOT_TELL, ""
    if test.found is not None and test.required is not None:
        status = judge(test.found, test.required, test.sense, weighed.judge_by)
        if status is Status.MET and weighed.swap.guesses:
            status, settle = Status.CANNOT_TELL, f"measure {weighed.swap.guesses[0]}"
    else:
        settle = "; ".join(weighed.summary.unknown) or "state the spring rates, the clearance or the weights it needs"
    return Finding(
        check=NAME,
        parts=(test.card.name,),
        build=Build.PROPOSED,
        status=status,
        rule=Rule(name=test.card.name, text=test.card.says, source=test.card.source),
        band=test.found,
        unit=test.unit,
        required=test.required,
        sense=test.sense,
        reason=test.note,
        settle_by=settle,
        rests_on_guess=weighed.swap.guesses,
    )
