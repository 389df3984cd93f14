"""How the figures of the tables were checked, in plain words.

None of the paid standards (IEC, ISO, VDI, DIN) was read in the original: "read" means that a public page that quotes
the standard shows the number. Check against the bought standard before a claim is made.
"""

from __future__ import annotations

THREE_PAGES = "read on three independent public pages that agree"
TWO_PAGES = "read on two independent public pages that agree"
ONE_PAGE = "read on one public page"
MEMORY = "from memory, unverified"
COMPUTED = "computed here"
OUR_CHOICE = "fitcheck's own cautious choice, no source"


def in_conflict(conflict: str) -> str:
    """Two or more pages were read and another disagrees; `conflict` says how."""
    return f"read on two public pages, another disagrees: {conflict}"
