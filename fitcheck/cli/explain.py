"""`fitcheck explain`: the page of a check."""

from __future__ import annotations

import argparse
from collections.abc import Mapping

HELP = "the page of a check: what, why, how measured, how to mend, source"
ABOUT = "Prints the page of a check, or the list of checks when none is named.\nexample: fitcheck explain gap"


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("check", metavar="CHECK", nargs="*", help="a check's name; spaces need no quotes")


def run(args: argparse.Namespace) -> int:
    from fitcheck.checks.pages import PAGES
    from fitcheck.cli.say import say

    name = " ".join(args.check).lower()
    say(page(name, PAGES) if name else contents(PAGES))
    return 0


def contents(pages: Mapping[str, str]) -> str:
    """One line for each check: its name and the first line of its page."""
    width = max(len(name) for name in pages)
    return "\n".join(f"{name.ljust(width)}  {text.strip().splitlines()[0]}" for name, text in sorted(pages.items()))


def page(name: str, pages: Mapping[str, str]) -> str:
    """The page of one check; UsageError with the nearest name for an unknown one."""
    from difflib import get_close_matches

    from fitcheck.errors import UsageError

    if name in pages:
        return pages[name].strip()
    near = get_close_matches(name, pages, n=1)
    mend = f"did you mean {near[0]!r}?" if near else f"one of: {', '.join(sorted(pages))}"
    raise UsageError(f"there is no check called {name!r}\n    mend: {mend}")
