"""`fitcheck balance`: mass, centre of gravity and inertia before and after."""

from __future__ import annotations

import argparse

from fitcheck.cli.options import add_layout

HELP = "mass, centre of gravity and inertia before and after"
ABOUT = (
    "Weighs the original and the proposed build and lays them side by side, each with its uncertainty.\n"
    "example: fitcheck balance bay.yaml"
)


def arguments(parser: argparse.ArgumentParser) -> None:
    add_layout(parser)


def run(args: argparse.Namespace) -> int:
    from fitcheck.cli.deliver import deliver
    from fitcheck.cli.progress import shown
    from fitcheck.result import exit_status
    from fitcheck.run import balance

    with shown(quiet=args.quiet) as progress:
        result = balance(args.layout, allow=tuple(args.allow), progress=progress)
        deliver(result, args, build="proposed", progress=progress)
    return exit_status(result.findings)
