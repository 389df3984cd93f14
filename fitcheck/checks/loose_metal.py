"""Metal that nobody gave a potential or a bond, beside live parts.

It counts as floating, which shortens ways and asks for no distance of its own. A case or a lid that somebody forgot
under `chassis` would so pass however near a live part it is; and a screw that touches a live part is live itself.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from fitcheck.checks.asked import clearance_asked, creepage_asked
from fitcheck.checks.potentials import Kind, against_chassis, is_known_metal, kind_of, live_parts, potential_of
from fitcheck.checks.straight_way import ways
from fitcheck.errors import OutsideTable
from fitcheck.model.part import Build, Part
from fitcheck.model.sections import Electrical
from fitcheck.study import Study

CASES = ("enclosure", "lid")
GROUP = "III"
"""Asks for as much as any material group does."""
STRUCTURE = ("bracket", "frame", "column", "riser")


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """A part without a potential and the live part nearest to it: the least way between the two, over other floating
    metal too, and the least straight distance, in mm."""

    metal: Part
    live: Part
    least: float
    apart: float

    @property
    def nearness(self) -> tuple[float, float]:
        return self.least, self.apart

    @property
    def told(self) -> str:
        known = "is metal" if is_known_metal(self.metal) else "is not said to be insulation"
        near = f"{self.live.name} may be as near as {self.apart:.2f} mm"
        return f"{self.metal.name} {known} and is not under chassis, so no live part was held against it: {near}"

    @property
    def mend(self) -> str:
        name = self.metal.name
        said = "" if is_known_metal(self.metal) else ", or state its material or material_group if it insulates"
        return f"list {name} under electrical chassis, or say what potential it has{said}"


def cases_beside(study: Study, build: Build, electrical: Electrical) -> list[Beside]:
    """Enclosures and lids that may be metal and float, with live parts within what is asked for and listed."""
    return _beside(study, build, electrical, CASES, study.layout.list_within)


def others_beside(study: Study, build: Build, electrical: Electrical) -> list[Beside]:
    """All other metal, and structure that may be metal, nearer to a live part than bonded metal might be."""
    roles = {part.role for part in study.layout.in_build(build)} - set(CASES)
    return [
        beside
        for beside in _beside(study, build, electrical, roles, 0.0)
        if is_known_metal(beside.metal) or beside.metal.role in STRUCTURE
    ]


def _beside(study: Study, build: Build, electrical: Electrical, roles: Iterable[str], farther: float) -> list[Beside]:
    floats = [
        part
        for part in study.layout.in_build(build)
        if part.role in roles and kind_of(electrical, part) is Kind.FLOATING
    ]
    nearest: dict[str, Beside] = {}
    for live in live_parts(study.layout, build) if floats else []:
        limit = _asked(electrical, live)
        if limit is None:
            continue
        for state in study.states:
            all_ways = ways(study, build, state, electrical)
            reach = all_ways.reach(live, limit + farther)
            for metal in (part for part in floats if part.name in reach):
                way = all_ways.way(live, metal, limit + farther)
                found = Beside(metal=metal, live=live, least=way.least, apart=max(way.straight.band.low, 0.0))
                known = nearest.get(metal.name)
                if way.least < limit + farther and (known is None or found.nearness < known.nearness):
                    nearest[metal.name] = found
    return [nearest[part.name] for part in floats if part.name in nearest]


def _asked(electrical: Electrical, live: Part) -> float | None:
    """The most that would be asked for against bonded metal, in mm; None where no voltage stands between the two."""
    potential = potential_of(electrical, live)
    voltage = None if potential is None else against_chassis(electrical, potential)
    if voltage is None:
        return None
    asked = 0.0
    for need in (partial(clearance_asked, electrical), partial(creepage_asked, electrical, group=GROUP)):
        try:
            asked = max(asked, need(voltage.volts).mm)
        except OutsideTable:
            continue
    return asked
