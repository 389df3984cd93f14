"""`fitcheck check`: does everything fit, with what margin, and what is too close to call."""

from __future__ import annotations

import argparse

from fitcheck.cli.options import add_layout

HELP = "does everything fit, with what margin, and what is too close to call"
ABOUT = (
    "Measures every gap of the layout and how sure it is, finds overlaps, and says whether all fits.\n"
    "example: fitcheck check bay.yaml -o bay_report"
)


def arguments(parser: argparse.ArgumentParser) -> None:
    add_layout(parser)
    parser.add_argument(
        "--build",
        choices=("proposed", "original"),
        default="proposed",
        help="which build to check: after the conversion (default) or before it",
    )


def run(args: argparse.Namespace) -> int:
    from fitcheck.cli.deliver import deliver
    from fitcheck.cli.progress import shown
    from fitcheck.result import exit_status
    from fitcheck.run import check

    with shown(quiet=args.quiet) as progress:
        result = check(args.layout, build=args.build, allow=tuple(args.allow), progress=progress)
        deliver(result, args, build=args.build, progress=progress)
    return exit_status(result.findings)
