"""Options that several verbs share."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_layout(parser: argparse.ArgumentParser) -> None:
    """The layout file, where meshes may lie, and what comes out."""
    add_input(parser)
    parser.add_argument("--json", action="store_true", help="print the result as JSON instead of text")
    parser.add_argument("-o", dest="folder", metavar="FOLDER", type=Path, help="also write the report as files there")
    parser.add_argument("--quiet", action="store_true", help="no progress, and one line instead of the text report")


def add_input(parser: argparse.ArgumentParser) -> None:
    """The layout file, and where meshes may lie."""
    parser.add_argument("layout", metavar="LAYOUT", type=Path, help="the layout file (YAML)")
    parser.add_argument(
        "--allow",
        metavar="FOLDER",
        type=_folder,
        action="append",
        default=[],
        help="mesh files may also lie in this folder, not only beside the layout; may be given several times",
    )


def _folder(text: str) -> Path:
    """A folder that is there: a slip here would only show as meshes that are not found."""
    folder = Path(text)
    if not folder.is_dir():
        why = "is a file" if folder.exists() else "does not exist"
        hint = (
            f"name the folder {str(folder.parent)!r}" if folder.exists() else "check the path, from where you are now"
        )
        raise argparse.ArgumentTypeError(f"the folder {text!r} {why}\n    mend: {hint}")
    return folder
