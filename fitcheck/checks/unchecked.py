"""Not checked: what the layout states and no check of this version answers yet.

What it checks
    Nothing. It lists the sections of the layout that are read, validated and kept, and that no check looks at.

Why it matters
    Silence reads like a pass. A section that nobody looked at must not.

How it is measured
    Each such section gives one finding *not checked*.

Example
    A layout with `ducts` gives: duct area, not checked.

How to mend
    Check these things by other means.

Source
    Common practice, no source.
"""

from __future__ import annotations

from fitcheck.findings import Finding, Rule, Status
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build
from fitcheck.model.sections import Reading
from fitcheck.sources import PRACTICE

NAME = "not checked"


def stated(layout: Layout, build: Build) -> list[tuple[str, tuple[str, ...], str]]:
    """(check, parts, section) for everything stated that no check answers."""
    sections = layout.sections
    found: list[tuple[str, tuple[str, ...], str]] = []
    if sections.assembly is not None:
        found.append(("hoist path", sections.assembly.sequence, "assembly"))
    for cable in sections.cables:
        found += [("bend", (cable.name,), "cables"), ("cable length", (cable.name,), "cables")]
    found += [("duct area", (duct.part,), "ducts") for duct in sections.ducts]
    found += [("tool swing", (tool.name,), "tools") for tool in sections.tools]
    found += [(reading.kind, reading.of, "measured") for reading in sections.measured if not _answered(reading, build)]
    return found


def check(layout: Layout, build: Build) -> list[Finding]:
    """One finding for each thing stated that is not checked."""
    return [_finding(build, *item) for item in stated(layout, build)]


def _answered(reading: Reading, build: Build) -> bool:
    """The as-built record is of the proposed build."""
    return reading.kind == "isolation resistance" and build is Build.PROPOSED


def _finding(build: Build, name: str, parts: tuple[str, ...], section: str) -> Finding:
    return Finding(
        check=name,
        parts=parts,
        build=build,
        status=Status.NOT_CHECKED,
        rule=Rule(name=name, text=f"stated under `{section}`", source=PRACTICE),
        reason=f"the layout's `{section}` section is read and validated; no check in this version answers it",
    )
