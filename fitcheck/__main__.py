"""`python -m fitcheck`, and the `fitcheck` command."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

from fitcheck.cli.say import complain
from fitcheck.errors import FitcheckError

REFUSED = 2
FAULT = 4
INTERRUPTED = 130


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line (default: the process's own) and return its exit status.

    0 all met or under concession; 1 something not met; 2 refused or wrong usage; 3 nothing unmet, but something cannot
    be told or was not checked; 4 a fault of the program; 130 interrupted from the keyboard.
    """
    from fitcheck.cli.parser import parser

    try:
        args = parser().parse_args(argv)
    except SystemExit as leaving:  # argparse has said why, or has printed the help
        return leaving.code if isinstance(leaving.code, int) else REFUSED
    try:
        status: int = args.run(args)
    except FitcheckError as error:
        complain(str(error))
        return REFUSED
    except KeyboardInterrupt:
        complain("fitcheck: interrupted")
        return INTERRUPTED
    except Exception as error:  # noqa: BLE001 (the last door: whatever is wrong, the user gets a line, not a traceback)
        return _fault(error)
    return status


def _fault(error: Exception) -> int:
    if os.environ.get("FITCHECK_TRACE") == "1":
        import traceback

        complain("".join(traceback.format_exception(error)).rstrip("\n"))
    complain(
        f"fitcheck: a fault of the program, not of your layout: {type(error).__name__}: {error}. Please run it again "
        "with FITCHECK_TRACE=1 set and report what it then prints, with the layout, to those who keep the program."
    )
    return FAULT


def console() -> None:
    """Entry point of the installed command."""
    sys.exit(main())


if __name__ == "__main__":
    console()
