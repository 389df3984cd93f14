"""The page of every check, as `fitcheck explain` prints it: the text on top of the check's module."""

from __future__ import annotations

from inspect import getdoc
from types import MappingProxyType

from fitcheck.checks import (
    axle_load,
    clear_height,
    clearance,
    containment,
    creepage,
    file_scale,
    gap,
    gross_mass,
    ground_clearance,
    isolation,
    level,
    mass,
    overlap,
    restraint,
    rule_card,
    screw_length,
    torque,
    touch,
    unchecked,
    weighed_mass,
)

CHECKS = (
    gap,
    overlap,
    containment,
    file_scale,
    clearance,
    creepage,
    isolation,
    touch,
    mass,
    axle_load,
    gross_mass,
    weighed_mass,
    ground_clearance,
    restraint,
    rule_card,
    clear_height,
    level,
    screw_length,
    torque,
    unchecked,
)
"""Listed by hand; a check that is not here has no page and fails the tests."""

PAGES = MappingProxyType({module.NAME: getdoc(module) or "" for module in CHECKS})
