"""A result to its reader: on standard output, and into a report folder if one is asked for."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from fitcheck.cli.folder import write_folder
from fitcheck.cli.say import complain, say, terminal_look
from fitcheck.result import Result

if TYPE_CHECKING:
    from fitcheck.report.scene import Scene


def deliver(
    result: Result,
    args: argparse.Namespace,
    *,
    build: str,
    progress: Callable[[str], None],
    more: Callable[[], Mapping[str, bytes]] = dict,
    drawn: Callable[[], Scene] | None = None,
) -> None:
    """Write the report folder first, so that what is printed last is true of it, then print. `more` makes the files
    that only this verb adds; it is asked only if a folder is. `drawn` makes what is drawn where that is not the layout
    as written.
    """
    if args.folder is not None:
        write_folder(args.folder, {**report_files(result, args, build=build, progress=progress, drawn=drawn), **more()})
        if not args.quiet:
            complain(f"fitcheck: report written to {args.folder}")
    if args.json:
        from fitcheck.report import as_json

        say(as_json.render(result).rstrip("\n"))
        return
    from fitcheck.report import as_text

    look = terminal_look()
    say(as_text.verdict_line(result, look) if args.quiet else as_text.render(result, look).rstrip("\n"))


def report_files(
    result: Result,
    args: argparse.Namespace,
    *,
    build: str,
    progress: Callable[[str], None],
    drawn: Callable[[], Scene] | None = None,
) -> dict[str, bytes]:
    """Name to content of everything that goes into a report folder."""
    from fitcheck.report import as_json, as_text, pictures
    from fitcheck.run import scene

    if drawn is not None:
        shown = drawn()
    else:
        shown = scene(args.layout, build=build, allow=tuple(args.allow), findings=result.findings)
    return {
        **pictures.render(shown, result, progress),
        "report.txt": as_text.render(result).encode(),
        "result.json": as_json.render(result).encode(),
    }
