"""The placed parts of one build as triangles, to be drawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from fitcheck.checks.potentials import kind_of
from fitcheck.findings import Finding, Status
from fitcheck.model.part import Build, Part, State
from fitcheck.placing.facets import facets_of
from fitcheck.placing.placed import Columns, placed_pieces
from fitcheck.report.scene import DrawnPart, Scene
from fitcheck.standards.insulation import GROOVE_MM
from fitcheck.study import Study

WORST_FIRST = (
    Status.NOT_MET,
    Status.CANNOT_TELL,
    Status.UNDER_CONCESSION,
    Status.NOT_CHECKED,
    Status.MET,
)


def scene_of(study: Study, build: Build, findings: Iterable[Finding]) -> Scene:
    """Every part of the build where it stands at nominal, with the worst status of the findings about it."""
    worst: dict[str, Status] = {}
    for finding in findings:
        for name in finding.parts:
            known = worst.get(name, finding.status)
            worst[name] = min(known, finding.status, key=WORST_FIRST.index)
    aged = None
    if State.END in study.states:
        aged = _scene(study, build, State.END, worst, None)
    return _scene(study, build, State.BEGINNING, worst, aged)


def _scene(study: Study, build: Build, state: State, worst: Mapping[str, Status], aged: Scene | None) -> Scene:
    electrical = study.layout.sections.electrical
    return Scene(
        title=study.layout.title,
        build=build,
        axes=study.layout.axes,
        parts=tuple(_drawn(study, part, state, worst.get(part.name)) for part in study.layout.in_build(build)),
        aged=aged,
        bridged_mm=None if electrical is None else GROOVE_MM[electrical.pollution_degree],
    )


def _drawn(study: Study, part: Part, state: State, status: Status | None) -> DrawnPart:
    vertices, faces, count = [], [], 0
    for piece in placed_pieces(study.chain(state), part):
        facets = facets_of(piece, Columns(()))
        vertices.append(facets.vertices)
        faces.append(facets.faces + count)
        count += len(facets.vertices)
    electrical = study.layout.sections.electrical
    kind = None if electrical is None else kind_of(electrical, part)
    return DrawnPart(
        name=part.name,
        role=part.role,
        change=part.change,
        vertices=np.vstack(vertices),
        faces=np.vstack(faces),
        status=status,
        conducts="" if kind is None else kind.value,
    )
