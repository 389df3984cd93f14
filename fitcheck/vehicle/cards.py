"""What the rule cards that a layout names ask of this vehicle."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from fitcheck.findings import Band, Sense
from fitcheck.standards.rule_cards import RuleCard, card, midway_clearance_mm
from fitcheck.vehicle.extremes import band
from fitcheck.vehicle.figures import FRONT_SHARE, TOTAL
from fitcheck.vehicle.swap import Swap


@dataclass(frozen=True, slots=True, kw_only=True)
class CardTest:
    """One card. `required` None: the card has no figure that a layout could be held against, and `note` says so; else
    `found` is what the card speaks of, None where it cannot be told."""

    card: RuleCard
    note: str = ""
    found: Band | None = None
    required: float | None = None
    unit: str = ""
    sense: Sense = Sense.AT_MOST


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What cards may ask about."""

    swap: Swap
    drops: Mapping[str, Band]
    clearance: Band | None


def tests(facts: Facts) -> Iterable[CardTest]:
    """One test for each card that the layout names, in its order."""
    for name in facts.swap.vehicle.rule_cards:
        row = card(name)
        ask = _ASKED.get(row.name)
        if ask is None:
            yield CardTest(card=row, note=_NOTES.get(row.name, "to be read; it holds no figure to be checked here"))
        else:
            yield ask(facts, row)


def _clearance_near(facts: Facts, row: RuleCard) -> CardTest:
    return CardTest(
        card=row,
        found=facts.clearance,
        required=row.figure,
        unit="mm",
        sense=Sense.AT_LEAST,
        note="where the clearance was measured is not stated; the largest drop is taken",
    )


def _clearance_midway(facts: Facts, row: RuleCard) -> CardTest:
    required = midway_clearance_mm(facts.swap.vehicle.wheelbase.nominal)
    return replace(_clearance_near(facts, row), required=required)


def _ride_height(facts: Facts, row: RuleCard) -> CardTest:
    found = None
    if set(facts.drops) == {"front", "rear"}:
        found = max((_size(drop) for drop in facts.drops.values()), key=lambda drop: drop.high)
    note = "the larger change of both axles; the share of the suspension travel is not known here"
    return CardTest(card=row, found=found, required=row.figure, unit="mm", note=note)


def _size(drop: Band) -> Band:
    """How far, whichever way."""

    def sizes(low: float, high: float) -> tuple[float, float]:
        least = 0.0 if low <= 0.0 <= high else min(abs(low), abs(high))
        return least, max(abs(low), abs(high))

    low, high = sizes(drop.low, drop.high)
    rss_low, rss_high = sizes(drop.rss_low, drop.rss_high)
    return Band(value=abs(drop.value), low=low, high=high, rss_low=rss_low, rss_high=rss_high)


def _steered_share(facts: Facts, row: RuleCard) -> CardTest:
    """Of the mass found here; the rule itself speaks of the vehicle at its maximum."""
    final = facts.swap.final
    found = None
    if final is not None and facts.swap.vehicle.steered != "rear":
        share = band(final, FRONT_SHARE)
        found = Band(
            value=100.0 * share.value,
            low=100.0 * share.low,
            high=100.0 * share.high,
            rss_low=100.0 * share.rss_low,
            rss_high=100.0 * share.rss_high,
        )
    note = "of the mass worked out here; the rule speaks of the vehicle loaded to its maximum, rear axle full"
    return CardTest(card=row, found=found, required=row.figure, unit="%", sense=Sense.AT_LEAST, note=note)


def _conversion_mass(facts: Facts, row: RuleCard) -> CardTest:
    limits = dict(facts.swap.vehicle.limits)
    if "gross" not in limits:
        return CardTest(card=row, note="no gross limit is stated, so there is no maker's figure to compare with")
    loading = facts.swap.total_known
    found = None if loading is None else band(loading, TOTAL)
    return CardTest(card=row, found=found, required=limits["gross"].nominal, unit="kg", note="the plate's gross mass")


_ASKED: Mapping[str, Callable[[Facts, RuleCard], CardTest]] = {
    "ground clearance near axle AU": _clearance_near,
    "ground clearance midway AU": _clearance_midway,
    "ride height change AU": _ride_height,
    "steered axle share EU": _steered_share,
    "conversion mass AU": _conversion_mass,
}

_NOTES = {
    "every limit": "each limit that the layout states is tested by itself",
    "occupant mass EU": "add people under `payload`, each with its place",
    "conversion power AU": "the layout says nothing of the motor's power; look at it by other means",
    "breakover AU": "the shape of the underside is not in the layout; look at it by other means",
}
