"""Forces on the mountings in a crash, and what the fasteners named would carry of them.

An estimate for an engineer to sign, nothing more: the force of one steady acceleration, shared equally by all
fasteners. Prying, the lever of the pack's height, friction under the heads, the bracket and the body behind it are left
out. Shear strength is taken as half the tensile strength times the stress area (thread in the shear plane), fitcheck's
own cautious choice; pull is held against the proof load.
"""

from __future__ import annotations

from collections.abc import Iterable

from fitcheck.errors import OutsideTable
from fitcheck.findings import Band
from fitcheck.model.layout import Layout
from fitcheck.model.sections import Screw
from fitcheck.result import FastenerShare, MassSummary, RestraintRow
from fitcheck.standards.fasteners import thread
from fitcheck.standards.property_classes import proof_load_n, property_class
from fitcheck.standards.restraint import CONVERSION_CODE, force_n, shock_plateau

SHEAR_SHARE = 0.5
"""Of the tensile strength; published shares for these classes run from 0.5 to 0.65 (from memory, unverified)."""

ASSUMPTION = (
    "an estimate for an engineer to sign: all fasteners share equally; lever, prying, friction, brackets and body are "
    "left out; shear strength is taken as half the tensile strength times the stress area, pull as the proof load"
)

_ALONG = {"front": "forward", "rear": "rearward", "side": "right", "vertical": "up", "lengthwise": "forward",
          "sideways": "right"}  # fmt: skip
_AXIS = {"forward": 0, "rearward": 0, "left": 1, "right": 1, "up": 2, "down": 2}


def rows(layout: Layout, proposed: MassSummary) -> Iterable[RestraintRow]:
    """One row for each direction of each table, where the layout names a category or the fasteners."""
    vehicle = layout.sections.vehicle
    if vehicle is None or proposed.mass_kg is None or not (vehicle.category or vehicle.held_by):
        return
    figures = [(row.direction, row.g, str(row.source)) for row in CONVERSION_CODE]
    if vehicle.category:
        figures = [*_shock(vehicle.category), *figures]
    screws = {screw.name: screw for screw in layout.sections.screws}
    held = [(screws[name], count) for name, count in vehicle.held_by if name in screws]
    for direction, g, source in figures:
        force = _force(proposed.mass_kg, proposed.mass_worst, proposed.mass_rss, g)
        yield RestraintRow(
            direction=direction,
            g=g,
            force=force,
            source=source,
            shares=tuple(_shares(direction, force, held)),
        )


def _force(mass: float, worst: float, rss: float, g: float) -> Band:
    """In N; only the mass is uncertain, the acceleration is the table's."""
    return Band(
        value=force_n(mass, g),
        low=force_n(max(0.0, mass - worst), g),
        high=force_n(mass + worst, g),
        rss_low=force_n(max(0.0, mass - rss), g),
        rss_high=force_n(mass + rss, g),
    )


def is_tabled(category: str) -> bool:
    """Whether the public table of shocks speaks of that category of vehicle."""
    return bool(_shock(category))


def _shock(category: str) -> list[tuple[str, float, str]]:
    try:
        plateau = shock_plateau(category)
    except OutsideTable:
        return []  # the table covers road vehicles M and N only; the conversion code's figures stand alone then
    source = f"{plateau.source}, category {category}"
    return [("lengthwise", plateau.longitudinal_g, source), ("sideways", plateau.transverse_g, source)]


def _shares(direction: str, force: Band, held: list[tuple[Screw, int]]) -> Iterable[FastenerShare]:
    number = sum(count for _, count in held)
    for screw, count in held:
        way = "pull" if _AXIS[_ALONG[direction]] == _AXIS[screw.direction] else "shear"
        strength, basis = _strength(screw, way)
        yield FastenerShare(
            screw=screw.name,
            count=count,
            way=way,
            share=Band(
                value=force.value / number,
                low=force.low / number,
                high=force.high / number,
                rss_low=force.rss_low / number,
                rss_high=force.rss_high / number,
            ),
            strength_n=strength,
            basis=basis,
        )


def _strength(screw: Screw, way: str) -> tuple[float | None, str]:
    """(strength of one fastener in N, what that rests on)."""
    if screw.property_class is None:
        return None, "its property class is not stated"
    try:
        size, grade = thread(screw.thread), property_class(screw.property_class)
    except OutsideTable as error:
        return None, str(error)
    if way == "pull":
        return proof_load_n(size, grade.name), f"proof load of {screw.thread}, class {grade.name}, {grade.source}"
    strength = SHEAR_SHARE * grade.tensile * size.stress_area
    return strength, f"{SHEAR_SHARE:g} of the tensile strength of {screw.thread}, class {grade.name}, {grade.source}"
