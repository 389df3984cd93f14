"""Files for the workshop: drawings, cut files, solids, full-size templates, gauges and a dummy module."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.makeable.worklist import Worklist
from fitcheck.result_study import StudyResult

__all__ = ["workshop_files"]


def workshop_files(work: Worklist, result: StudyResult, *, made_on: str) -> Iterator[tuple[str, bytes]]:
    """(path inside the folder, content) of every file; none where nothing is made and nothing is to be tried.

    `made_on` is the date to be printed; with the same date, the same study gives the same bytes.
    """
    from fitcheck.report.workshop.folder import files_of

    return files_of(work, result, made_on)
