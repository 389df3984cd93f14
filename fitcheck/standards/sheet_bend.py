"""How much sheet a bend takes up.

The sheet stretches outside of a bend and is pressed together inside; in between, at K times the thickness from the
inner face, it keeps its length. K is measured on the press that bends: pages give only its range.
"""

from __future__ import annotations

import math

from fitcheck.sources import Source

K_LEAST, K_MOST = 0.3, 0.5
K_SOURCE = Source(
    document="pages about bend allowance",
    clause="K-factor",
    verified="read on two independent public pages; of two others one begins at 0.25, one at 0.33",
)


def allowance_mm(*, radius_mm: float, thickness_mm: float, k: float, degrees: float = 90.0) -> float:
    """The length of flat sheet in a bend of that inner radius, in mm: the arc at K times the thickness."""
    return math.radians(degrees) * (radius_mm + k * thickness_mm)


def unsure_mm(thickness_mm: float, degrees: float = 90.0) -> float:
    """How much a flat pattern moves with each bend over the whole range of K, in mm; whatever the radius."""
    least, most = (
        allowance_mm(radius_mm=0.0, thickness_mm=thickness_mm, k=k, degrees=degrees) for k in (K_LEAST, K_MOST)
    )
    return most - least
