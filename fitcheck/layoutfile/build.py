"""A validated document to the frozen layout of the model."""

from __future__ import annotations

from types import MappingProxyType

from fitcheck.errors import Mark
from fitcheck.layoutfile import build_rules
from fitcheck.layoutfile.build_parts import build_parts
from fitcheck.layoutfile.build_sections import build_sections
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.faces import DEFAULT_AXES, axes_problem
from fitcheck.layoutfile.quantities import quantities_of
from fitcheck.layoutfile.sections import Document, UnitsSection
from fitcheck.model.layout import LIST_WITHIN_MM, Layout
from fitcheck.standards import general_tolerances
from fitcheck.units import LENGTH, NAMED, BadValue, factor, inside


def build(desk: Desk, document: Document, file: str, sha256: str) -> Layout:
    """The layout; what is wrong is noted on the desk, and the layout then must not be used."""
    desk.units = _units(desk, document.units)
    desk.grade = _grade(desk, document.general_tolerance)
    desk.known_by = (document.defaults.known_by if document.defaults else None) or ""
    axes = _axes(desk, document)
    parts = build_parts(desk, document, axes)
    list_within = document.list_within
    return Layout(
        file=file,
        title=document.title or "",
        sha256=sha256,
        axes=axes,
        datum=document.datum or "",
        judge_by=document.judge_by or "worst case",
        parts=parts,
        gap_rules=build_rules.gap_rules(desk, document),
        contacts=build_rules.contacts(desk, document),
        concessions=build_rules.concessions(desk, document),
        list_within=LIST_WITHIN_MM if list_within is None else inside(list_within, LENGTH, desk.units).nominal,
        quantities=MappingProxyType({value.name: value for part in parts for value in quantities_of(part)}),
        sections=build_sections(desk, document, parts),
        at=Mark(file, 1, 1),
    )


def _units(desk: Desk, written: UnitsSection | None) -> dict[str, str]:
    units: dict[str, str] = {}
    for kind in NAMED:
        word: str | None = getattr(written, kind) if written else None
        if word is None:
            continue
        try:
            factor(word, kind)
        except BadValue as error:
            desk.problem(desk.value_at(("units", kind)), error.what, error.mend)
        else:
            units[kind] = word
    return units


def _grade(desk: Desk, written: str | None) -> str | None:
    if written is None:
        return None
    grade = general_tolerances.parse(written)
    if grade is None:
        at = desk.value_at(("general_tolerance",))
        desk.problem(at, f"{written!r} is no general tolerance that fitcheck knows", "write ISO 2768-f, -m, -c or -v")
    return grade


def _axes(desk: Desk, document: Document) -> tuple[str, str, str]:
    if document.axes is None:
        return DEFAULT_AXES
    axes = (document.axes.x, document.axes.y, document.axes.z)
    wrong = axes_problem(axes)
    if wrong is None:
        return axes
    desk.problem(desk.key_at(("axes",)), *wrong)
    return DEFAULT_AXES
