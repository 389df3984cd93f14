"""The front door: read a layout, place it, check it, weigh it, and hand over one result."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.checks import containment, file_scale, gap, mass, overlap, unchecked
from fitcheck.checks.concede import idle_concessions
from fitcheck.checks.coverage import not_covered
from fitcheck.checks.mend import with_mends
from fitcheck.checks.pairs import counted
from fitcheck.checks.remarks import remarks
from fitcheck.checks.room import room_left
from fitcheck.findings import Finding
from fitcheck.layoutfile.read import read_layout
from fitcheck.model.layout import Layout
from fitcheck.model.part import Build
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Mesh
from fitcheck.result import Result, Room, verdict
from fitcheck.study import Progress, Study, silent
from fitcheck.weights.ledger import balance_of

if TYPE_CHECKING:
    from fitcheck.geometry.meshfile import MeshModel
    from fitcheck.report.scene import Scene

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
    return Study(read_layout(path, allow=allow), MeshShelf(), progress or silent)


def check(
    path: Path, *, build: str = Build.PROPOSED, allow: tuple[Path, ...] = (), progress: Progress | None = None
) -> Result:
    """Does everything fit, with what margin, and what is too close to call."""
    study = study_of(path, allow=allow, progress=progress)
    return check_study(study, Build(build))


def check_study(study: Study, build: Build) -> Result:
    """`check` for a study that is already there."""
    findings = with_mends(study, build, geometric(study, build), geometric)
    room = room_left(study, build, findings)
    findings += idle_concessions(study, findings)
    findings += unchecked.check(study.layout, build)
    return _result(study, "check", findings, build=build, room=room)


def geometric(study: Study, build: Build) -> list[Finding]:
    """The findings that follow from where the parts stand, in a fixed order."""
    return [
        *overlap.check(study, build),
        *gap.check(study, build),
        *containment.check(study, build),
        *file_scale.check(study, build),
    ]


def balance(path: Path, *, allow: tuple[Path, ...] = (), progress: Progress | None = None) -> Result:
    """Mass, centre of gravity and inertia before and after."""
    study = study_of(path, allow=allow, progress=progress)
    findings = mass.check(balance_of(study)) + unchecked.check_vehicle(study.layout)
    return _result(study, "balance", findings)


def _result(
    study: Study, verb: str, findings: list[Finding], *, build: Build | None = None, room: tuple[Room, ...] = ()
) -> Result:
    layout = study.layout
    return Result(
        verb=verb,
        file=layout.file,
        title=layout.title,
        sha256=layout.sha256,
        judge_by=layout.judge_by,
        verdict=verdict(findings),
        findings=tuple(findings),
        not_covered=not_covered(layout, verb),
        taken_as_exact=tuple(taken_as_exact(layout)),
        guesses=tuple(value for value in layout.quantities.values() if value.is_guess),
        notes=remarks(study),
        counted=None if build is None else counted(study, build),
        balance=balance_of(study),
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
