"""What the page shows, gathered from a study: plain data and finished drawings for the template."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from fitcheck.findings import Status
from fitcheck.report import text_balance, text_heights, text_screws, text_vehicle
from fitcheck.report.cautions import NOT_AN_APPROVAL, WORKSHOP
from fitcheck.report.environment import in_words
from fitcheck.report.files_read import FileRead
from fitcheck.report.model3d import fragment, model_of
from fitcheck.report.scene import Scenes
from fitcheck.report.study_page import plates
from fitcheck.report.study_page.blocks import Group, PageLook, groups
from fitcheck.report.study_page.elevations import elevations, numbered
from fitcheck.report.study_page.files import links_of, lists_of
from fitcheck.report.study_page.loops import loop
from fitcheck.report.study_page.pages import in_small, rule_pages, worded
from fitcheck.report.study_page.rows import BOTH, FOUND, Row, is_figure, key_of, layouts_of, numbered_rules, rows_of
from fitcheck.report.study_page.strips import row_strip
from fitcheck.report.study_page.verdicts import about, head_of
from fitcheck.report.wording import BASIS, WORST_FIRST, as_stated, counted, listed, plain
from fitcheck.report.workshop import made_words
from fitcheck.report.workshop.made import Made
from fitcheck.result import Result, Room
from fitcheck.result_study import StudyResult

_LOOK = PageLook()

HELPING = 250
"""Rows that are laid out at once; the rest come when they are asked for, so that thousands do not make a page slow."""

_OPEN_PLATES = 4
"""Plates that are seen at once; what is in trouble is never folded away."""

SIGNS = {
    Status.NOT_MET: "no build within the stated tolerances reaches what is required",
    Status.CANNOT_TELL: "some builds would, some would not: what is known is not close enough to say",
    Status.UNDER_CONCESSION: "short of the rule, allowed by somebody's signature",
    Status.NOT_CHECKED: "stated in the layout, but nothing has looked at it",
    Status.MET: "every build within the stated tolerances reaches what is required",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """One stack: its table and sentences, with its loop drawn."""

    group: Group
    picture: Markup


def contents(
    study: StudyResult,
    scenes: Scenes,
    *,
    made_on: str,
    version: str,
    steps: Sequence[str],
    pages: Mapping[str, str],
    made: Sequence[Made] | None,
    read: Sequence[FileRead],
    files: Collection[str],
) -> dict[str, Any]:
    """Everything the template names."""
    whole, findings = study.as_written, study.findings
    rules = numbered_rules(findings)
    rows = rows_of(study, rules)
    picked, places = plates.chosen(rows, scenes)
    drawn = plates.plates(picked, scenes)
    free = {row.index for row in rows if row.is_free}
    layouts = layouts_of(study)
    of_found, of_both = (
        {index for index, finding in enumerate(findings) if layouts[finding] == which} for which in (FOUND, BOTH)
    )
    return {
        "whole": whole,
        "head": head_of(study, rows),
        "about": about,
        "judged": BASIS[whole.judge_by],
        "plates": drawn,
        "plate_of": {plate.row.index: plate.number for plate in drawn},
        "places": places,
        "electrical_plates": any(plate.legs for plate in drawn),
        "open_plates": max(_OPEN_PLATES, sum(plate.row.finding.status is not Status.MET for plate in drawn)),
        "rows": rows,
        "row_strip": row_strip,
        "later": {row.index for row in [row for row in rows if not row.is_free][HELPING:]} | free,
        "helping": HELPING,
        "free": len(free),
        "merged": any(len(row.ages) > 1 for row in rows),
        "figures": sum(is_figure(finding) for finding in findings),
        "signs": [(status.value, key_of(status), SIGNS[status], _count(rows, status)) for status in WORST_FIRST],
        "checks": sorted({row.finding.check for row in rows}),
        "layouts": sorted({row.layout for row in rows if row.layout}),
        "model": fragment(model_of(scenes, findings, steps=steps, of_solved=of_found, of_both=of_both)),
        "elevations": elevations(scenes),
        "parts": _parts(scenes, rows),
        "flies": _in_view(scenes, rows),
        "stated_steps": steps,
        "rooms": [(room, _ways(room)) for room in whole.room],
        "heights": _heights(study.heights),
        "heights_found": scenes.solved is not None,
        "screws": groups(text_screws.section(whole.screws, _LOOK)),
        "not_stated": _not_stated(study, steps),
        "made": None if made is None else groups(made_words.section(made, PageLook(links=links_of(made, files)))),
        "made_lists": lists_of(files),
        "balance": _balance(whole),
        "rules": [(number, rule) for rule, number in rules.items()],
        "pages": rule_pages(pages, sorted({finding.check for finding in findings})),
        "as_stated": as_stated,
        "worded": worded,
        "counted": counted,
        "in_small": in_small,
        "cautions": WORKSHOP,
        "no_approval": NOT_AN_APPROVAL,
        "made_on": made_on,
        "version": version,
        "read": read,
        "made_with": in_words(),
    }


def _in_view(scenes: Scenes, rows: Sequence[Row]) -> set[int]:
    """The rows that the 3D view can show: at least one of their parts is drawn."""
    drawn = {one.part.name for one in numbered(scenes)}
    return {row.index for row in rows if drawn.intersection(row.finding.parts)}


def _count(rows: Sequence[Row], status: Status) -> int:
    return sum(row.finding.status is status for row in rows)


def _parts(scenes: Scenes, rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Every drawn part by its number, with how many rows speak of it and the worst of their statuses."""
    of: dict[str, list[Row]] = {}
    for row in rows:
        for name in dict.fromkeys(row.finding.parts):
            of.setdefault(name, []).append(row)
    listed = []
    for one in numbered(scenes):
        about_it = of.get(one.part.name, [])
        worst = min((row.rank for row in about_it), default=None)
        listed.append(
            {
                "number": one.number,
                "part": one.part,
                "rows": len(about_it),
                "status": "" if worst is None else WORST_FIRST[worst].value,
                "key": "" if worst is None else key_of(WORST_FIRST[worst]),
            }
        )
    return listed


def _ways(room: Room) -> list[tuple[str, str, str]]:
    """(way, distance, what stops it), in words."""
    return [
        (way, f"over {plain(room.limit_mm, 0)}" if distance is None else plain(distance, 2), what)
        for way, distance, what in room.ways
    ]


def _heights(result: Result | None) -> list[Group | Stack]:
    answer = None if result is None else result.heights
    if result is None or answer is None or not answer.found:
        return []
    loops = (loop(stack) for stack in answer.stacks)
    return [
        Stack(group=group, picture=next(loops)) if group.title.startswith("Stack: ") else group
        for group in groups(text_heights.section(answer, _LOOK, result.judge_by))
    ]


def _not_stated(study: StudyResult, steps: Sequence[str]) -> str:
    """What the page would have a part for, had the layout asked for it: "screws or order of assembly"."""
    answer = None if study.heights is None else study.heights.heights
    lacking = [
        *(["heights to be found"] if answer is None or not answer.found else []),
        *([] if study.as_written.screws else ["screws"]),
        *([] if steps else ["order of assembly"]),
    ]
    return listed(lacking).replace(" and ", " or ")


def _balance(whole: Result) -> list[Group]:
    if whole.balance is None:
        return []
    lines = text_balance.section(whole.balance, _LOOK, ledger=True)
    if whole.balance.vehicle is not None:
        lines += text_vehicle.section(whole.balance.vehicle, _LOOK, whole=True)
    return groups(lines)


def safe(text: str) -> Markup:
    """Our own style, script and markup, which are not to be escaped."""
    return Markup(text)  # noqa: S704 (only for files of this package and the 3D view's finished fragment)
