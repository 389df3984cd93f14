"""The page of every check, as `fitcheck explain` prints it: the text on top of the check's module."""

from __future__ import annotations

from inspect import getdoc
from types import MappingProxyType

from fitcheck.checks import containment, file_scale, gap, mass, overlap, unchecked

CHECKS = (gap, overlap, containment, file_scale, mass, unchecked)
"""Listed by hand; a check that is not here has no page and fails the tests."""

PAGES = MappingProxyType({module.NAME: getdoc(module) or "" for module in CHECKS})
