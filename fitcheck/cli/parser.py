"""The command line's grammar. Each verb has its own file, which says what it takes and runs it."""

from __future__ import annotations

import argparse

from fitcheck import __version__
from fitcheck.cli import balance, check, explain, heights, look, new, schema, study, watch

VERBS = (check, heights, balance, study, watch, new, look, explain, schema)

_EXAMPLES = """\
examples:
  fitcheck new bay.yaml
  fitcheck check bay.yaml
  fitcheck check bay.yaml -o bay_report
  fitcheck balance bay.yaml --json
  fitcheck study bay.yaml -o bay_study
  fitcheck explain gap
  fitcheck schema layout

exit status: 0 all met or under concession, 1 something not met, 2 layout refused or wrong usage,
3 nothing unmet but something cannot be told or was not checked, 4 a fault of the program
"""


def parser() -> argparse.ArgumentParser:
    """The whole grammar; a parsed line has `run`, a function from the parsed line to the exit status."""
    whole = argparse.ArgumentParser(
        prog="fitcheck",
        description="Does a replacement battery module kit fit its donor case, with what margin, and how sure?",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    whole.add_argument("--version", action="version", version=f"fitcheck {__version__}")
    verbs = whole.add_subparsers(title="verbs", metavar="VERB", required=True)
    for module in VERBS:
        verb = module.__name__.rpartition(".")[2]
        one = verbs.add_parser(
            verb,
            help=module.HELP,
            description=module.ABOUT,
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        module.arguments(one)
        one.set_defaults(run=module.run)
    return whole
