"""Both ways of a section at once, with the groove width that belongs to its clearance."""

from __future__ import annotations

from fitcheck.geometry.section_paths.air import Air, bodies_of, contour
from fitcheck.geometry.section_paths.clearance import clearance_way
from fitcheck.geometry.section_paths.creepage import creepage_way
from fitcheck.geometry.section_paths.metal import metals_of
from fitcheck.geometry.section_paths.section import Paths, Section
from fitcheck.geometry.section_paths.walls import walls_of

RELIEF_BELOW_MM = 3.0
RELIEF_SHARE = 1.0 / 3.0
"""Below that clearance, X may be that share of it (read on three public pages that reprint the rule)."""


def groove_width(x_mm: float, clearance_mm: float | None) -> float:
    """X in mm after the relief for short clearances, which only ever lowers it; `None`: no way through air.

    >>> groove_width(1.0, 1.5)
    0.5
    >>> groove_width(0.25, 2.4)
    0.25
    """
    if clearance_mm is None or clearance_mm >= RELIEF_BELOW_MM:
        return x_mm
    return min(x_mm, clearance_mm * RELIEF_SHARE)


def paths(section: Section, x_mm: float, *, relief: bool = True) -> Paths:
    """The shortest ways through air and over surfaces between the two conductors of a section.

    `x_mm` is the least width of a groove that counts, by pollution degree; `relief` lowers it where the clearance is
    below 3 mm. Lengths hold to about 1e-7 mm for sections of a few hundred mm. Zero for conductors that touch.

    A way over surfaces can be shorter than the one through air: through a closed joint there is no air.
    """
    bodies = bodies_of(section)
    air, edges, metals = Air(bodies), contour(bodies), metals_of(section)
    clearance = clearance_way(air, edges, metals)
    used = groove_width(x_mm, clearance.length if clearance is not None else None) if relief else x_mm
    creepage = creepage_way(air, walls_of(edges, metals), metals, used)
    return Paths(clearance=clearance, creepage=creepage, x_mm=used)
