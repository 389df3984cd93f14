"""`fitcheck new`: a starter layout that fits, with a comment on each thing it shows."""

from __future__ import annotations

import argparse
from importlib.resources import files
from pathlib import Path

HELP = "write a starter layout"
ABOUT = (
    "Writes a small commented layout that fits, to be changed into your own. An existing file is never overwritten.\n"
    "example: fitcheck new bay.yaml"
)


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "file", metavar="FILE", type=Path, nargs="?", default=Path("layout.yaml"), help="default: layout.yaml"
    )


def run(args: argparse.Namespace) -> int:
    from fitcheck.cli.say import say

    write_starter(args.file)
    say(f"{args.file} written; now run: fitcheck check {args.file}")
    return 0


def write_starter(path: Path) -> None:
    """Write the starter layout; UsageError if the file exists or cannot be written."""
    from fitcheck.errors import UsageError

    text = files("fitcheck.cli").joinpath("starter.yaml").read_text(encoding="utf-8")
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError as error:
        raise UsageError(f"{path} exists and is left as it is\n    mend: name another file") from error
    except OSError as error:
        raise UsageError(f"{path} cannot be written: {error.strerror}") from error
