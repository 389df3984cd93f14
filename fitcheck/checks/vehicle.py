"""Everything that is checked about the vehicle, in a fixed order."""

from __future__ import annotations

from fitcheck.checks import axle_load, gross_mass, ground_clearance, restraint, rule_card, weighed_mass
from fitcheck.findings import Finding
from fitcheck.vehicle.balance import Weighed


def check(weighed: Weighed | None) -> list[Finding]:
    """All findings about the vehicle; none where the layout gives no vehicle."""
    if weighed is None:
        return []
    return [
        *axle_load.check(weighed),
        *gross_mass.check(weighed),
        *weighed_mass.check(weighed),
        *ground_clearance.check(weighed),
        *restraint.check(weighed),
        *rule_card.check(weighed),
    ]
