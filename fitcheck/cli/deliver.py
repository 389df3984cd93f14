"""A result to its reader: on standard output, and into a report folder if one is asked for."""

from __future__ import annotations

import argparse
import shutil
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.cli.say import complain, say, terminal_look
from fitcheck.errors import UsageError
from fitcheck.result import Result

if TYPE_CHECKING:
    from fitcheck.report.scene import Scene

_OURS = (
    "report.txt",
    "result.json",
    "plan.*",
    "side.*",
    "end.*",
    "section_*.*",
    "owner.*",
    "ledger.csv",
    "stack_*.*",
    "cut_list.csv",
    "solved.yaml",
)


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


def write_folder(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Put the files into a folder, made if missing. Nobody ever finds half a file there, and pictures of an earlier
    report that this one has not are taken away; files of other names are left alone.

    Raises UsageError where the folder cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(prefix=".fitcheck-", dir=folder))
        try:
            for name, content in contents.items():
                (aside / name).write_bytes(content)
            for old in (path for pattern in _OURS for path in folder.glob(pattern)):
                if old.name not in contents:
                    old.unlink()
            for name in contents:
                (aside / name).replace(folder / name)
        finally:
            shutil.rmtree(aside, ignore_errors=True)
    except OSError as error:
        raise UsageError(
            f"the report cannot be written to {folder}: {error.strerror or error}\n"
            "    mend: name another folder with -o"
        ) from error
