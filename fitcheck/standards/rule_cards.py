"""Public rules on vehicle masses and ground clearance, as cards that a layout may ask for by name.

A card is a figure with its origin, no approval: which rule binds a vehicle depends on its country and its class, and
only the authority says so. The ground clearance figures and the occupant mass are from memory, the rest was read on one
or two public pages.
"""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.verified import MEMORY, ONE_PAGE, TWO_PAGES


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleCard:
    """One rule: `figure` in `unit`; both are empty (None, "") where the rule has no number of its own."""

    name: str
    says: str
    figure: float | None
    unit: str
    source: Source


_AU_CLEARANCE = Source(
    document="Australian Design Rule 43", clause="ground clearance, 43/03 and 43/04", verified=MEMORY
)
_AU_CONVERSION = Source(document="VSB 14 / NCOP14 (Australia), public summary", verified=ONE_PAGE)

CARDS = (
    RuleCard(
        name="gross mass meaning",
        says="gross vehicle mass is the most the loaded vehicle may weigh, set by its maker from the weakest component",
        figure=None,
        unit="",
        source=Source(
            document="South Australian re-rating page; New Zealand chassis ratings bulletin", verified=TWO_PAGES
        ),
    ),
    RuleCard(
        name="gross mass cap",
        says="a gross mass is never set above the rating of the lowest-rated component or system",
        figure=None,
        unit="",
        source=Source(document="New Zealand heavy-vehicle certification bulletin 3", verified=ONE_PAGE),
    ),
    RuleCard(
        name="every limit",
        says="gross mass, front axle, rear axle and combination mass are separate limits; both axles can hold and the "
        "gross mass still not, since axle ratings may add up to more than it",
        figure=None,
        unit="",
        source=Source(document="New Zealand load-safety page, rating plate of a van", verified=ONE_PAGE),
    ),
    RuleCard(
        name="occupant mass EU",
        says="a person counts 68 kg and 7 kg of luggage",
        figure=75.0,
        unit="kg",
        source=Source(document="Regulation (EU) 1230/2012, now 2021/535", verified=MEMORY),
    ),
    RuleCard(
        name="conversion power AU",
        says="more than this share of the largest original engine's power needs more approval",
        figure=120.0,
        unit="%",
        source=_AU_CONVERSION,
    ),
    RuleCard(
        name="conversion mass AU",
        says="a laden or gross mass above the maker's figure needs more approval",
        figure=None,
        unit="",
        source=_AU_CONVERSION,
    ),
    RuleCard(
        name="ground clearance near axle AU",
        says="least clearance within 1 m of an axle",
        figure=100.0,
        unit="mm",
        source=_AU_CLEARANCE,
    ),
    RuleCard(
        name="ground clearance midway AU",
        says="least clearance midway between the axles, one thirtieth of their spacing",
        figure=1 / 30,
        unit="of the wheelbase",
        source=_AU_CLEARANCE,
    ),
    RuleCard(
        name="breakover AU",
        says="elsewhere the vehicle passes over a peak of this gradient",
        figure=1 / 15,
        unit="gradient",
        source=_AU_CLEARANCE,
    ),
    RuleCard(
        name="ride height change AU",
        says="suspension may be raised or lowered by up to this without certification, and by no more than a third of "
        "its travel in that direction",
        figure=50.0,
        unit="mm",
        source=Source(
            document="VSB 14 (Australia), section LS, as told by a state's guide to modifications", verified=ONE_PAGE
        ),
    ),
    RuleCard(
        name="steered axle share EU",
        says="laden to its maximum, with the rear axle at its own maximum, a vehicle with a steered front axle keeps "
        "this share of its maximum mass there (classes of goods vehicles and buses; read which)",
        figure=20.0,
        unit="%",
        source=Source(document="Regulation (EU) 1230/2012", clause="annex I, mass distribution", verified=ONE_PAGE),
    ),
)


def card(name: str) -> RuleCard:
    """The card of that name, ignoring case; OutsideTable for any other name."""
    for row in CARDS:
        if row.name.casefold() == name.strip().casefold():
            return row
    raise OutsideTable(f"no rule card is called {name!r}; known are {', '.join(row.name for row in CARDS)}")


def midway_clearance_mm(wheelbase_mm: float) -> float:
    """Least ground clearance in mm midway between the axles by the card "ground clearance midway AU".

    >>> midway_clearance_mm(2700)
    90.0
    """
    return wheelbase_mm / 30
