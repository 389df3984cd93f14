"""`fitcheck heights`: which spacer, riser and frame heights, from which stock, and which screws then fit."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.cli.options import add_layout

if TYPE_CHECKING:
    from fitcheck.result import Result

HELP = "which spacer, riser and frame heights, from which stock, and which screws then fit"
ABOUT = (
    "Finds the heights named under `heights`, from stock, so that every demand holds in the worst case; says which\n"
    "screws then fit, and what else the change drags along.\n"
    "example: fitcheck heights bay.yaml -o heights_report --write solved.yaml"
)


def arguments(parser: argparse.ArgumentParser) -> None:
    add_layout(parser)
    parser.add_argument(
        "--write",
        metavar="FILE",
        type=Path,
        help="also write the layout with the found heights there, comments and order kept",
    )


def run(args: argparse.Namespace) -> int:
    from fitcheck.cli.deliver import deliver
    from fitcheck.cli.progress import shown
    from fitcheck.result import exit_status
    from fitcheck.run import heights, solved_scene

    with shown(quiet=args.quiet) as progress:
        result = heights(args.layout, allow=tuple(args.allow), progress=progress)
        if args.write is not None:
            _write(args, result)
        deliver(
            result,
            args,
            build="proposed",
            progress=progress,
            more=lambda: _files(args, result),
            drawn=lambda: solved_scene(args.layout, result, allow=tuple(args.allow)),
        )
    return exit_status(result.findings)


def _files(args: argparse.Namespace, result: Result) -> dict[str, bytes]:
    """What this verb adds to a report folder: stacks drawn, the cut list, and the solved layout."""
    from fitcheck.cli.say import complain
    from fitcheck.errors import LayoutErrors
    from fitcheck.report import cut_list, stack_picture
    from fitcheck.run import written_heights

    if result.heights is None:
        return {}
    files = stack_picture.render(result.heights)
    if result.heights.solved:
        files["cut_list.csv"] = cut_list.render(result.heights.found).encode()
        try:
            files["solved.yaml"] = written_heights(args.layout, result, allow=tuple(args.allow)).encode()
        except LayoutErrors as shared:
            # The heights are found all the same: the report must not be lost with the file.
            complain(f"fitcheck: solved.yaml is not written:\n{shared}")
    return files


def _write(args: argparse.Namespace, result: Result) -> None:
    """The solved layout as a new file. Raises UsageError where that would overwrite the layout or cannot be written."""
    from fitcheck.cli.say import complain
    from fitcheck.errors import UsageError
    from fitcheck.run import written_heights

    if result.heights is None or not result.heights.solved:
        complain(f"fitcheck: no heights were found, so {args.write} is not written")
        return
    text = written_heights(args.layout, result, allow=tuple(args.allow))
    if args.write.exists() and args.write.samefile(args.layout):
        raise UsageError("--write names the layout itself\n    mend: name another file; the layout as written is kept")
    try:
        args.write.write_bytes(text.encode())
    except OSError as error:
        raise UsageError(
            f"the solved layout cannot be written to {args.write}: {error.strerror or error}\n"
            "    mend: name another file"
        ) from error
    if not args.quiet:
        complain(f"fitcheck: the layout with the found heights is in {args.write}")
        if args.write.resolve().parent != args.layout.resolve().parent:
            complain("fitcheck: it lies in another folder; mesh files are looked for beside it or with --allow")
