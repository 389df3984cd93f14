"""The front door: read a layout, place it, check it, weigh it, and hand over one result."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.checks import (
    clear_height,
    clearance,
    containment,
    creepage,
    file_scale,
    gap,
    isolation,
    level,
    mass,
    overlap,
    screw_length,
    torque,
    touch,
    unchecked,
)
from fitcheck.checks import vehicle as vehicle_checks
from fitcheck.checks.concede import idle_concessions
from fitcheck.checks.coverage import not_covered
from fitcheck.checks.defaults import defaults_of
from fitcheck.checks.live_mend import with_live_mends
from fitcheck.checks.mend import with_mends
from fitcheck.checks.pairs import counted
from fitcheck.checks.remarks import remarks
from fitcheck.checks.room import room_left
from fitcheck.errors import LayoutErrors, MeshFileError, Problem
from fitcheck.findings import Finding
from fitcheck.layoutfile.read import read_layout
from fitcheck.layoutfile.write import rewritten
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Mesh, meshes_of
from fitcheck.result import Balance, Result, Room, verdict
from fitcheck.study import Progress, Study, silent
from fitcheck.vehicle.balance import Weighed, weighed
from fitcheck.weights.ledger import balance_of

if TYPE_CHECKING:
    from fitcheck.geometry.meshfile import MeshModel
    from fitcheck.report.scene import Scene, Scenes
    from fitcheck.result_study import StudyResult

PLACING_WORDS = (".place.", ".low_corner.", ".inside_low_corner.", ".file_origin.", ".turn.", ".turn ")


class MeshShelf:
    """Mesh files, each read once, when first asked for."""

    def __init__(self) -> None:
        self._models: dict[tuple[Path, float | None], MeshModel] = {}

    def __call__(self, mesh: Mesh) -> MeshModel:
        key = (mesh.path, mesh.unit_mm)
        if key not in self._models:
            from fitcheck.geometry.meshfile import read_mesh  # the mesh library loads with the first mesh

            self._models[key] = read_mesh(mesh.path, mesh.unit_mm)
        return self._models[key]


def study_of(path: Path, *, allow: tuple[Path, ...] = (), progress: Progress | None = None) -> Study:
    """The layout file, read and placed. Raises LayoutErrors with everything that is wrong with it."""
    layout, shelf = read_layout(path, allow=allow), MeshShelf()
    problems = list(unusable_meshes(layout, shelf))
    if problems:
        raise LayoutErrors(problems)
    return Study(layout, shelf, progress or silent)


def unusable_meshes(layout: Layout, shelf: MeshShelf) -> Iterator[Problem]:
    """What is wrong with the mesh files of a layout, where the layout names them; each is read on the way."""
    for part in layout.parts:
        for mesh in meshes_of(part.shape):
            try:
                shelf(mesh)
            except MeshFileError as error:
                yield Problem(mesh.at, error.what, error.mend)


def check(
    path: Path, *, build: str = Build.PROPOSED, allow: tuple[Path, ...] = (), progress: Progress | None = None
) -> Result:
    """Does everything fit, with what margin, and what is too close to call."""
    study = study_of(path, allow=allow, progress=progress)
    return check_study(study, Build(build))


def check_study(study: Study, build: Build) -> Result:
    """`check` for a study that is already there."""
    findings = with_live_mends(study, build, with_mends(study, build, geometric(study, build), geometric))
    room = room_left(study, build, findings)
    findings += stated_heights(study, build)
    findings += idle_concessions(study, build, findings)
    findings += isolation.check(study, build)
    findings += touch.check(study, build)
    findings += unchecked.check(study.layout, build)
    whole, vehicle = _balance(study)
    if build is Build.PROPOSED:
        findings += vehicle_checks.check(vehicle)
    return _result(study, "check", findings, whole, build=build, room=room)


def geometric(study: Study, build: Build) -> list[Finding]:
    """The findings that follow from where the parts stand, in a fixed order."""
    return [
        *overlap.check(study, build),
        *gap.check(study, build),
        *containment.check(study, build),
        *file_scale.check(study, build),
        *clearance.check(study, build),
        *creepage.check(study, build),
    ]


def stated_heights(study: Study, build: Build) -> list[Finding]:
    """What `heights` and `screws` ask for, answered for the layout as it is; they speak of the proposed build."""
    if build is not Build.PROPOSED:
        return []
    return [
        *clear_height.check(study),
        *level.check(study),
        *screw_length.check(study),
        *torque.check(study),
    ]


def heights(path: Path, *, allow: tuple[Path, ...] = (), progress: Progress | None = None) -> Result:
    """Which spacer, riser and frame heights do, from which stock, which screws then fit, and what else changes."""
    return heights_of_study(study_of(path, allow=allow, progress=progress))


def heights_of_study(study: Study) -> Result:
    """`heights` for a study that is already there."""
    from fitcheck.solved_heights import answer  # loads the solver

    answered = answer(study, geometric, stated_heights)
    whole, _ = _balance(answered.study)
    result = _result(answered.study, "heights", answered.findings, whole)
    return replace(
        result,
        judge_by=answered.judge_by,
        notes=(*result.notes, *answered.notes),
        heights=answered.heights,
        screws=answered.screws,
    )


def written_heights(path: Path, result: Result, *, allow: tuple[Path, ...] = ()) -> str:
    """The text of the layout file with the heights that `heights` found, comments and order kept.

    Raises UsageError without found heights, LayoutErrors where a height stands in one place with another that is to
    stay.
    """
    from fitcheck.solved_heights import found_sizes

    layout = read_layout(path, allow=allow)
    return rewritten(path.read_bytes().decode("utf-8-sig"), layout, found_sizes(layout, result))


def balance(path: Path, *, allow: tuple[Path, ...] = (), progress: Progress | None = None) -> Result:
    """Mass, centre of gravity and inertia before and after, and what that does to the vehicle."""
    return balance_study(study_of(path, allow=allow, progress=progress))


def balance_study(study: Study) -> Result:
    """`balance` for a study that is already there."""
    whole, vehicle = _balance(study)
    return _result(study, "balance", mass.check(whole) + vehicle_checks.check(vehicle), whole)


def study(path: Path, *, allow: tuple[Path, ...] = (), progress: Progress | None = None) -> tuple[StudyResult, Scenes]:
    """Everything that the layout states, answered: what each verb says, and what there is to draw of it."""
    return whole_study(study_of(path, allow=allow, progress=progress))


def whole_study(written: Study) -> tuple[StudyResult, Scenes]:
    """`study` for a study that is already there."""
    from fitcheck.run_study import answered  # loads the solver and what draws

    return answered(
        written,
        check=lambda one: check_study(one, Build.PROPOSED),
        balance=balance_study,
        heights=heights_of_study,
    )


def _balance(study: Study) -> tuple[Balance, Weighed | None]:
    """Both builds, with the vehicle where the layout gives one, and what its checks look at."""
    parts = balance_of(study)
    vehicle = weighed(study, parts)
    return (parts if vehicle is None else replace(parts, vehicle=vehicle.summary)), vehicle


def _result(
    study: Study,
    verb: str,
    findings: list[Finding],
    whole: Balance,
    *,
    build: Build | None = None,
    room: tuple[Room, ...] = (),
) -> Result:
    layout, vehicle = study.layout, whole.vehicle
    return Result(
        verb=verb,
        file=layout.file,
        title=layout.title,
        sha256=layout.sha256,
        judge_by=layout.judge_by,
        verdict=verdict(findings),
        findings=tuple(findings),
        not_covered=not_covered(layout, verb),
        taken_as_exact=(*taken_as_exact(layout), *(vehicle.taken_as_exact if vehicle else ())),
        defaults=defaults_of(layout),
        guesses=(
            *(value for value in layout.quantities.values() if value.is_guess),
            *(vehicle.guesses if vehicle else ()),
        ),
        notes=remarks(study),
        counted=None if build is None else counted(study, build),
        balance=whole,
        room=room,
    )


def taken_as_exact(layout: Layout) -> Iterable[Quantity]:
    """Sizes, masses and the like for which neither a tolerance nor an instrument speaks.

    Placing numbers and turns are meant, not measured: without a tolerance they are exact by the format's own rule.
    """
    return (
        value
        for name, value in layout.quantities.items()
        if value.is_exact and not any(word in name for word in PLACING_WORDS)
    )


def scene(
    path: Path,
    *,
    build: str = Build.PROPOSED,
    findings: Iterable[Finding] = (),
    allow: tuple[Path, ...] = (),
    progress: Progress | None = None,
) -> Scene:
    """One build as triangles to be drawn; each part carries the worst status of the findings about it."""
    from fitcheck.drawn import scene_of

    return scene_of(study_of(path, allow=allow, progress=progress), Build(build), findings)


def solved_scene(path: Path, result: Result, *, allow: tuple[Path, ...] = ()) -> Scene:
    """The proposed build with the heights that `heights` found, to be drawn; as written where it found none."""
    from fitcheck.drawn import scene_of
    from fitcheck.solved_heights import with_found

    study = study_of(path, allow=allow)
    return scene_of(Study(with_found(study.layout, result), study.meshes), Build.PROPOSED, result.findings)
