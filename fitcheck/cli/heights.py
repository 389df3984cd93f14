"""`fitcheck heights`: which spacer, riser and frame heights, from which stock, and which screws then fit."""

from __future__ import annotations

import argparse
from pathlib import Path

from fitcheck.cli.options import add_layout

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
    from fitcheck.run import heights

    with shown(quiet=args.quiet) as progress:
        result = heights(args.layout, allow=tuple(args.allow), progress=progress)
        deliver(result, args, build="proposed", progress=progress)
    return exit_status(result.findings)
