"""Heights and screws as entries of the result file."""

from __future__ import annotations

from typing import Any

from fitcheck.report.result_file_heights import (
    ConflictEntry,
    HeightEntry,
    LinkEntry,
    MovedEntry,
    ScrewEntry,
    StackEntry,
)
from fitcheck.result_heights import FoundRow, HeightsAnswer, LinkRow, MovedRow, ScrewRow, StackRow


def sections(heights: HeightsAnswer | None, screws: tuple[ScrewRow, ...]) -> dict[str, Any]:
    """The sections that have something to say."""
    found: dict[str, Any] = {}
    if screws:
        found["screws"] = tuple(_screw(row) for row in screws)
    if heights is None:
        return found
    found["heights"] = tuple(_height(row) for row in heights.found)
    found["stacks"] = tuple(_stack(row) for row in heights.stacks)
    if heights.conflict:
        found["contradiction"] = tuple(
            ConflictEntry(
                what=row.what,
                by=row.by,
                unit="mm" if row.unit == "mm" else "pieces",
                is_smallest=heights.is_smallest,
            )
            for row in heights.conflict
        )
    if heights.moved:
        found["moved"] = tuple(_moved(row) for row in heights.moved)
    if heights.supports:
        found["supports"] = heights.supports
    return found


def _height(row: FoundRow) -> HeightEntry:
    return HeightEntry(
        part=row.part,
        height_mm=row.height_mm,
        pieces=row.pieces,
        least_nominal_mm=row.least_nominal_mm,
        least_by=dict(row.least_by),
        written_mm=row.written_mm,
        tolerance_mm=(row.below_mm, row.above_mm),
        decided_by=row.decided_by,
        same_as=row.same_as,
    )


def _stack(row: StackRow) -> StackEntry:
    return StackEntry(
        title=row.title,
        parts=row.parts,
        state=row.state,
        value_mm=row.band.value,
        worst_mm=(row.band.low, row.band.high),
        rss_mm=(row.band.rss_low, row.band.rss_high),
        links=tuple(_link(link) for link in row.links),
        rest_mm=row.rest_mm,
    )


def _link(link: LinkRow) -> LinkEntry:
    return LinkEntry(
        value=link.value,
        factor=link.factor,
        nominal_mm=link.nominal_mm,
        tolerance_mm=(link.below_mm, link.above_mm),
        known_by=link.known_by,
        share_worst=link.share_worst,
        share_rss=link.share_rss,
    )


def _moved(row: MovedRow) -> MovedEntry:
    return MovedEntry(what=row.what, parts=row.parts, state=row.state, before=row.before, after=row.after, by=row.by)


def _screw(row: ScrewRow) -> ScrewEntry:
    return ScrewEntry(
        screw=row.screw,
        grip_mm=row.grip_mm,
        window_mm=row.window_mm,
        length_mm=row.length_mm,
        opened_by=row.opened_by,
        thread=row.thread,
        places=row.places,
        grip_worst_mm=None
        if row.grip_low_mm is None or row.grip_high_mm is None
        else (row.grip_low_mm, row.grip_high_mm),
        worst_window_mm=row.worst_window_mm,
        length_tolerance_mm=row.length_pm_mm,
        engagement_mm=row.engagement_mm,
        published_engagement_mm=row.published_mm,
        choices=row.choices,
        torque_nm=row.torque_nm,
        preload_kn=row.preload_kn,
        proof_kn=row.proof_kn,
        notes=row.notes,
    )
