"""What a report always says to the people who will do the work."""

from __future__ import annotations

NOT_AN_APPROVAL = (
    "A verdict here is not an approval: the vehicle's maker, local codes and licensed practice come first, and this "
    "report speaks only of what the layout states."
)

WORKSHOP = (
    "A battery module stays live with the disconnect out: its terminals cannot be switched off.",
    "Isolate, lock off and prove the absence of voltage with a tester that was itself proved before and after.",
    "Measure near terminals with insulated tools only; no metal tape, rule or feeler gauge near live parts.",
    "Never measure, press or lift a swollen, dented, leaking or warm old module: stop and have it made safe.",
    "Lift the case and the modules with rated gear at stated points, and let nobody stand or reach beneath.",
    "A vehicle on a lift shifts when its battery leaves: secure both its ends; never go under one on a jack alone.",
)
"""A donor case holds modules before the job and after it, whatever the layout lists."""
