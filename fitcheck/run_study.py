"""Everything that a layout states, answered in one go: `check`, `heights` and `balance` of one reading of the file."""

from __future__ import annotations

from collections.abc import Callable

from fitcheck.drawn import scene_of
from fitcheck.model.part import Build
from fitcheck.report.scene import Scene, Scenes
from fitcheck.result import Result
from fitcheck.result_study import StudyResult, told_once
from fitcheck.solved_heights import with_found
from fitcheck.study import Study

Verb = Callable[[Study], Result]


def answered(written: Study, *, check: Verb, balance: Verb, heights: Verb) -> tuple[StudyResult, Scenes]:
    """What each verb says of a layout, and what there is to draw of it; `heights` is asked where the layout has heights
    to be found, or screws.
    """
    tell = written.progress
    tell("checking the layout as written")
    checked = check(written)
    tell("weighing both builds")
    weighed = balance(written)
    found = None
    if written.layout.sections.heights is not None or written.layout.sections.screws:
        tell("finding heights")
        found = told_once(heights(written), checked)
    result = StudyResult(check=checked, balance=weighed, heights=found)
    tell("placing the parts for the pictures")
    return result, _scenes(written, result)


def _scenes(written: Study, result: StudyResult) -> Scenes:
    return Scenes(
        original=scene_of(written, Build.ORIGINAL, ()),
        proposed=scene_of(written, Build.PROPOSED, result.check.findings),
        solved=_solved(written, result.heights) if result.heights is not None and result.heights_differ else None,
    )


def _solved(written: Study, heights: Result) -> Scene:
    placed = Study(with_found(written.layout, heights), written.meshes, written.progress)
    return scene_of(placed, Build.PROPOSED, heights.findings)
