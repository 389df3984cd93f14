"""`fitcheck study`: everything that the layout states, answered in one go, as one report folder."""

from __future__ import annotations

import argparse
import datetime
from collections.abc import Callable
from typing import TYPE_CHECKING

from fitcheck.cli.options import add_layout

if TYPE_CHECKING:
    from fitcheck.model.layout import Layout
    from fitcheck.report.scene import Scenes
    from fitcheck.report.study_folder import Told
    from fitcheck.result_study import StudyResult

HELP = "everything that the layout states, as one report folder"
ABOUT = (
    "Checks the layout as written, finds heights and screws where it asks for them, weighs both builds, and with -o\n"
    "writes one folder: study.html to look at, study.pdf to print, tables, pictures, drawings and cut files, the\n"
    "owner's page. Its START_HERE.txt says which file is for whom.\n"
    "example: fitcheck study bay.yaml -o bay_study"
)


def arguments(parser: argparse.ArgumentParser) -> None:
    add_layout(parser)
    parser.add_argument(
        "--also-imperial", action="store_true", help="on the owner's page, pounds and inches beside the metric figures"
    )
    parser.add_argument(
        "--date", metavar="YYYY-MM-DD", type=_date, help="the date to print in the report (default: today)"
    )


def _date(text: str) -> str:
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{text!r} is not a date\n    mend: year, month, day: 2026-03-02") from error


def today() -> str:
    """The date of a report that is told none."""
    return datetime.date.today().isoformat()


def run(args: argparse.Namespace) -> int:
    from fitcheck.cli.progress import shown
    from fitcheck.result import exit_status
    from fitcheck.run import study_of, whole_study

    with shown(quiet=args.quiet) as progress:
        written = study_of(args.layout, allow=tuple(args.allow), progress=progress)
        study, scenes = whole_study(written)
        if args.folder is not None:
            _write(args, written.layout, study, scenes, progress)
        _print(args, study)
    return exit_status(study.findings)


def _write(
    args: argparse.Namespace, layout: Layout, study: StudyResult, scenes: Scenes, progress: Callable[[str], None]
) -> None:
    from fitcheck.cli.folder import with_sums, write_folder
    from fitcheck.cli.say import complain
    from fitcheck.report.study_folder import files

    told = told_of(
        layout,
        made_on=args.date or today(),
        solved_layout=_solved_layout(args, study),
        also_imperial=args.also_imperial,
    )
    write_folder(args.folder, with_sums(files(study, scenes, layout, told, progress)))
    if not args.quiet:
        complain(
            f"fitcheck: the study is in {args.folder}; open study.html there, START_HERE.txt names the other files"
        )


def told_of(layout: Layout, *, made_on: str, solved_layout: str = "", also_imperial: bool = False) -> Told:
    """What a report of this layout says beside what was found."""
    from fitcheck import __version__
    from fitcheck.checks.pages import PAGES
    from fitcheck.report.study_folder import Told

    assembly = layout.sections.assembly
    return Told(
        made_on=made_on,
        version=__version__,
        pages=PAGES,
        steps=() if assembly is None else assembly.sequence,
        solved_layout=solved_layout,
        also_imperial=also_imperial,
    )


def _solved_layout(args: argparse.Namespace, study: StudyResult) -> str:
    """The text of the layout with the heights found; "" without any."""
    from fitcheck.cli.say import complain
    from fitcheck.errors import LayoutErrors
    from fitcheck.run import written_heights

    if study.heights is None or not study.heights_found:
        return ""
    try:
        return written_heights(args.layout, study.heights, allow=tuple(args.allow))
    except LayoutErrors as shared:
        # The heights are found all the same: the report must not be lost with the file.
        complain(f"fitcheck: solved_layout.yaml is not written:\n{shared}")
        return ""


def _print(args: argparse.Namespace, study: StudyResult) -> None:
    from fitcheck.cli.say import say, terminal_look

    if args.json:
        from fitcheck.report import as_json_study

        say(as_json_study.render(study).rstrip("\n"))
        return
    from fitcheck.report import as_text_study

    look = terminal_look()
    say(as_text_study.verdict_line(study, look) if args.quiet else as_text_study.render(study, look).rstrip("\n"))
