"""Gross mass: does the whole vehicle stay within its gross limit?

What it checks
    The mass of the vehicle with the proposed build, and with the payload where one is given, against the gross limit
    under `vehicle`.

Why it matters
    The gross limit is set by the weakest component. The limits of the axles usually add up to more than it, so both
    axles can be within theirs and the vehicle still too heavy.

How it is measured
    The weighed vehicle less what was removed plus what is new, with the band of every reading. Only masses count, so no
    place is needed. At kerb mass a limit that is met proves nothing for the laden vehicle, and the finding says so.

Example
    4450 kg weighed, 96 kg more, 4600 allowed: 4546 kg, met. At kerb mass there are 54 kg left for people and load.

How to mend
    Take mass out. A gross limit is raised by the authority, on the maker's word, and by nobody else.

Source
    The limit is the rating plate's own, as the layout states it. Separate limits, and the weakest component: public
    pages on ratings from New Zealand and South Australia.
"""

from __future__ import annotations

from fitcheck.checks.axle_load import finding
from fitcheck.findings import Finding
from fitcheck.vehicle.balance import Weighed

NAME = "gross mass"


def check(weighed: Weighed) -> list[Finding]:
    """One finding where a gross limit is stated."""
    return [finding(weighed, test, NAME, "gross", ()) for test in weighed.summary.limits if test.of == NAME]
