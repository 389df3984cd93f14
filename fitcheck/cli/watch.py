"""`fitcheck watch`: the study page in the browser, renewed whenever the layout or one of its mesh files is saved."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fitcheck.cli.options import add_input

if TYPE_CHECKING:
    from collections.abc import Callable
    from threading import Event

    from fitcheck.cli.live_board import Board
    from fitcheck.cli.live_files import Files

HELP = "the study page in the browser, renewed whenever the layout is saved"
ABOUT = (
    "Serves the study page to this machine only (127.0.0.1) and refreshes it when the layout, or a mesh file that it\n"
    "names, is saved. What is wrong with the layout is shown on the page, above the last good report; Ctrl-C ends it.\n"
    "example: fitcheck watch bay.yaml"
)

PORT = 8020
EVERY_S = 0.3
"""So often the files are looked at."""


def arguments(parser: argparse.ArgumentParser) -> None:
    add_input(parser)
    parser.add_argument(
        "--port", metavar="N", type=_port, default=PORT, help=f"default: {PORT}; 0 takes any that is free"
    )
    parser.add_argument("--quiet", action="store_true", help="say nothing but the address")


def _port(text: str) -> int:
    if not text.isdecimal() or int(text) > 65535:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port\n    mend: a number from 0 to 65535")
    return int(text)


def run(args: argparse.Namespace) -> int:
    from threading import Event

    from fitcheck.cli.live_board import Board
    from fitcheck.cli.live_server import serving
    from fitcheck.cli.say import complain, say

    board = Board()
    with serving(board, args.port) as server:
        try:
            say(server.address)
            if not args.quiet:
                complain("fitcheck: open this address in a browser on this machine; Ctrl-C ends it")
            keep_fresh(args, board, Event())
        except KeyboardInterrupt:
            if not args.quiet:
                complain("fitcheck: ended")
    return 0


def keep_fresh(args: argparse.Namespace, board: Board, stop: Event) -> None:
    """Renew what is shown each time that something is saved, until told to stop."""
    from fitcheck.cli.live_files import Files

    seen = Files(args.layout, tuple(args.allow))
    while not stop.is_set():
        if seen.have_changed():
            _renew(args, board, seen)
        stop.wait(EVERY_S)


def _renew(args: argparse.Namespace, board: Board, seen: Files) -> None:
    """Read the layout again and put up the report, or what is wrong."""
    from fitcheck.cli.progress import shown
    from fitcheck.errors import FitcheckError, LayoutErrors

    board.doing("reading the layout")
    try:
        with shown(quiet=args.quiet) as note:
            page, verdict = _report(args, board, seen, note)
    except LayoutErrors as errors:
        _wrong(args, board, seen, [str(problem) for problem in errors.problems])
    except FitcheckError as error:
        _wrong(args, board, seen, [str(error)])
    except Exception as error:  # noqa: BLE001 (half a layout is being typed: a fault of ours must not end the watching)
        fault = f"a fault of the program, not of your layout: {type(error).__name__}: {error}"
        _wrong(args, board, seen, [fault + "; `fitcheck study` with FITCHECK_TRACE=1 set says more"])
    else:
        board.good(page)
        _say(args, verdict)


def _report(args: argparse.Namespace, board: Board, seen: Files, note: Callable[[str], None]) -> tuple[str, str]:
    """(the study page, the verdict in a line). Raises FitcheckError with what is wrong."""
    from fitcheck.cli.study import today, told_of
    from fitcheck.layoutfile.read import read_layout
    from fitcheck.model.shape import meshes_of
    from fitcheck.report import as_text_study, study_folder
    from fitcheck.run import study_of, whole_study

    def progress(text: str) -> None:
        note(text)
        board.doing(text)

    allow = tuple(args.allow)
    parts = read_layout(args.layout, allow=allow).parts
    seen.look_after(mesh.path for part in parts for mesh in meshes_of(part.shape))
    written = study_of(args.layout, allow=allow, progress=progress)
    study, scenes = whole_study(written)
    progress("writing the study page")
    told = told_of(written.layout, made_on=today())
    return study_folder.page(study, scenes, told, layout=written.layout), as_text_study.verdict_line(study)


def _wrong(args: argparse.Namespace, board: Board, seen: Files, problems: list[str]) -> None:
    seen.look_wider()
    if list(board.look()[1].problems) != problems:
        _say(args, "\n".join(problems))
    board.wrong(problems)


def _say(args: argparse.Namespace, text: str) -> None:
    from fitcheck.cli.say import complain

    if not args.quiet:
        complain(text)
