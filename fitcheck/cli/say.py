"""Words to the two streams: results to standard output, messages to standard error, whatever they can spell."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from fitcheck.report.look import Look


def say(text: str) -> None:
    """Text and a newline to standard output. A reader who has gone away (`| head`) is no error of ours."""
    try:
        _write(sys.stdout, text)
        sys.stdout.flush()
    except BrokenPipeError:
        # The interpreter flushes once more on leaving; it must find an open stream then.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def complain(text: str) -> None:
    """Text and a newline to standard error."""
    _write(sys.stderr, text)


def _write(stream: TextIO, text: str) -> None:
    encoding = stream.encoding or "utf-8"
    stream.write(text.encode(encoding, "backslashreplace").decode(encoding) + "\n")


def terminal_look() -> Look:
    """What standard output can show: plain ASCII where its encoding has no more, colour only on a terminal."""
    from fitcheck.report.look import Look

    try:
        "±–░┃├●".encode(sys.stdout.encoding or "utf-8")
        ascii_only = False
    except UnicodeEncodeError:
        ascii_only = True
    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return Look(ascii_only=ascii_only, colour=colour)
