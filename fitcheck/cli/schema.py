"""`fitcheck schema`: the JSON Schema of the layout file or of the result."""

from __future__ import annotations

import argparse
from typing import Any

HELP = "the JSON Schema of the layout file or of the result"
ABOUT = (
    "Prints a JSON Schema (2020-12), for editors that complete and check as one types, and for other programs.\n"
    "example: fitcheck schema layout"
)


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("of", choices=("layout", "result"), nargs="?", default="layout", help="default: layout")


def run(args: argparse.Namespace) -> int:
    import json

    from fitcheck.cli.say import say

    say(json.dumps(schema(args.of), indent=2))
    return 0


def schema(of: str) -> dict[str, Any]:
    """The JSON Schema of the "layout" file or of the "result"."""
    if of == "result":
        from fitcheck.report.as_json import result_schema

        return result_schema()
    from fitcheck.layoutfile.schema import layout_schema

    return layout_schema()
