"""Options that several verbs share."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_layout(parser: argparse.ArgumentParser) -> None:
    """The layout file, where meshes may lie, and what comes out."""
    parser.add_argument("layout", metavar="LAYOUT", type=Path, help="the layout file (YAML)")
    parser.add_argument("--json", action="store_true", help="print the result as JSON instead of text")
    parser.add_argument(
        "-o", dest="folder", metavar="FOLDER", type=Path, help="also write report.txt, result.json and pictures there"
    )
    parser.add_argument(
        "--allow",
        metavar="FOLDER",
        type=Path,
        action="append",
        default=[],
        help="mesh files may also lie in this folder, not only beside the layout; may be given several times",
    )
    parser.add_argument("--quiet", action="store_true", help="no progress, and one line instead of the text report")
