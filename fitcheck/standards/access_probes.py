"""The probes that try whether live metal can be touched, as vehicle rules use them."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.sources import Source
from fitcheck.standards.verified import MEMORY, THREE_PAGES

LIVE_FROM_V = 60.0
"""d.c. above which a circuit is of the high-voltage class (read on three public pages)."""

DOCUMENT = "UN R100 annex 3, with the probes of IEC 60529 and IEC 61032"


@dataclass(frozen=True, slots=True, kw_only=True)
class AccessProbe:
    """Lengths in mm. `stop` is the diameter of the largest ball within its stop face, `tip` that of its rounded end."""

    name: str
    code: str
    diameter: float
    length: float
    stop: float
    tip: float
    joints: tuple[float, ...]
    source: Source


FINGER = AccessProbe(
    name="jointed finger",
    code="IPXXB",
    diameter=12.0,
    length=80.0,
    stop=20.0,
    tip=8.0,
    joints=(30.0, 60.0),
    source=Source(document=DOCUMENT, clause="IPXXB, jointed test finger", verified=THREE_PAGES),
)
"""Stop face 50 x 20; tip with a sphere of radius 4 (read on two pages)."""

WIRE = AccessProbe(
    name="wire",
    code="IPXXD",
    diameter=1.0,
    length=100.0,
    stop=35.0,
    tip=1.0,
    joints=(),
    source=Source(document=DOCUMENT, clause="IPXXD, test wire", verified=MEMORY),
)
