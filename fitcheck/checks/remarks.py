"""Remarks on a layout that are no findings: slips that a careful reader would ask about."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.checks.loose_metal import others_beside
from fitcheck.checks.potentials import is_insulation
from fitcheck.findings import TOUCH_MM
from fitcheck.model.part import Build, Change, Part, State
from fitcheck.model.shape import drawings_of, meshes_of
from fitcheck.study import Study


def remarks(study: Study) -> tuple[str, ...]:
    """Plain sentences, in file order."""
    return (
        *_contacts_beside(study),
        *_far_from_the_case(study),
        *_metal_beside_live_parts(study),
        *_cemented_for_nothing(study),
        *_mesh_files(study),
        *_drawings(study),
    )


def _metal_beside_live_parts(study: Study) -> Iterator[str]:
    """Metal that would be held against live parts if somebody had said that it is bonded."""
    electrical = study.layout.sections.electrical
    beside = [] if electrical is None else others_beside(study, Build.PROPOSED, electrical)
    if beside:
        told = ", ".join(f"{each.metal.name} ({each.apart:.2f} mm from {each.live.name})" for each in beside)
        yield (
            f"Metal without a potential, nearer to a live part than bonded metal might be: {told}. It counts as "
            "floating. What is bonded belongs under electrical chassis, and what is joined to a live part needs its "
            "potential"
        )


def _cemented_for_nothing(study: Study) -> Iterator[str]:
    """Joints that are said to be cemented and of which one side is not known to be insulation."""
    electrical = study.layout.sections.electrical
    for pair in () if electrical is None else electrical.cemented:
        other = [name for name in pair if not is_insulation(study.layout.by_name[name])]
        if other:
            are = "is" if len(other) == 1 else "are"
            yield (
                f"cemented: [{', '.join(pair)}] does nothing: {' and '.join(other)} {are} not said to be insulation; "
                "state material_group or cti"
            )


def _mesh_files(study: Study) -> Iterator[str]:
    """What was noticed about each mesh file: leaks, corners that were merged, several bodies, a mirrored transform."""
    parts: dict[tuple[str, float | None], list[str]] = {}
    meshes = {}
    for part in study.layout.parts:
        for mesh in meshes_of(part.shape):
            key = (mesh.written, mesh.unit_mm)
            meshes[key] = mesh
            parts.setdefault(key, []).append(part.name)
    for key, mesh in meshes.items():
        health = study.meshes(mesh).health
        bodies = [f"It holds {health.bodies} bodies."] if health.bodies > 1 else []
        said = " ".join([*bodies, *health.notes])
        if said:
            yield f"{mesh.written} ({', '.join(dict.fromkeys(parts[key]))}): {said}"


def _drawings(study: Study) -> Iterator[str]:
    """What was noticed about each drawing that gives an outline."""
    parts: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for part in study.layout.parts:
        for drawn in drawings_of(part.shape):
            parts.setdefault((drawn.written, drawn.notes), []).append(part.name)
    for (written, notes), names in parts.items():
        if notes:
            yield f"{written} ({', '.join(dict.fromkeys(names))}): {' '.join(notes)}"


def _far_from_the_case(study: Study) -> Iterator[str]:
    """New parts that stand well clear of every enclosure: usually a sign or a face of the placing words is wrong."""
    bounds = study.bounds(State.BEGINNING)
    cases = [bounds[part.name] for part in study.layout.parts if part.role == "enclosure"]
    reach = study.layout.list_within
    for part in study.layout.parts if cases else ():
        box = bounds[part.name]
        clear = min(max(max(case[k][0] - box[k][1], box[k][0] - case[k][1]) for k in range(3)) for case in cases)
        if part.change is Change.NEW and clear > reach:
            yield f"{part.name} stands {clear:.0f} mm clear of the case: check the signs and faces of its placing words"


def _contacts_beside(study: Study) -> Iterator[str]:
    """Parts that are said to stand on or against another and share no face with it."""
    chain = study.chain(State.BEGINNING)

    def apart(one: Part, other: Part, axis: int) -> bool:
        return (
            min(chain.high(one, axis).nominal, chain.high(other, axis).nominal)
            - max(chain.low(one, axis).nominal, chain.low(other, axis).nominal)
            <= TOUCH_MM
        )

    for part in study.layout.parts:
        for placing in part.placings:
            if not placing.touching or placing.reference is None:
                continue
            support = study.layout.by_name[placing.reference]
            if any(apart(part, support, axis) for axis in range(3) if axis != placing.axis):
                yield (
                    f"{part.name} is said to be {placing.words!r}, but it stands beside {support.name}: "
                    "they are level and share no face"
                )
