"""`fitcheck balance`: mass, centre of gravity and inertia before and after, and what that does to the vehicle."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fitcheck.cli.options import add_layout

if TYPE_CHECKING:
    from fitcheck.result import Result

HELP = "mass, centre of gravity and inertia before and after; axle loads and limits"
ABOUT = (
    "Weighs the original and the proposed build and lays them side by side, each with its uncertainty. Where the\n"
    "layout gives a vehicle: axle loads, limits and margins, stability, springs; with -o also a page for the\n"
    "vehicle's owner (owner.html, owner.pdf) and the mass ledger as a table (ledger.csv).\n"
    "example: fitcheck balance bay.yaml -o bay_weights"
)


def arguments(parser: argparse.ArgumentParser) -> None:
    add_layout(parser)
    parser.add_argument(
        "--also-imperial", action="store_true", help="on the owner's page, pounds and inches beside the metric figures"
    )


def run(args: argparse.Namespace) -> int:
    from fitcheck.cli.deliver import deliver
    from fitcheck.cli.progress import shown
    from fitcheck.result import exit_status
    from fitcheck.run import balance

    with shown(quiet=args.quiet) as progress:
        result = balance(args.layout, allow=tuple(args.allow), progress=progress)
        deliver(
            result,
            args,
            build="proposed",
            progress=progress,
            more=lambda: balance_files(result, also_imperial=args.also_imperial),
        )
    return exit_status(result.findings)


def balance_files(result: Result, *, also_imperial: bool) -> dict[str, bytes]:
    """The ledger, and the owner's page where the layout gives a vehicle; name to content."""
    from fitcheck.report import as_csv, as_ledger_csv, owner_page, owner_page_html, owner_page_pdf

    files: dict[str, bytes] = {}
    if result.balance is not None:
        files["ledger.csv"] = as_csv.render(as_ledger_csv.table(result.balance))
    page = owner_page.owner_page(result, also_imperial=also_imperial)
    if page is not None:
        files["owner.html"] = owner_page_html.render(page).encode()
        files["owner.pdf"] = owner_page_pdf.render(page)
    return files
