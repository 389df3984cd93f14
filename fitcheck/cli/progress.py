"""Progress for whoever waits: nothing for the first two seconds, then a plain line at most every two."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, Thread

from fitcheck.cli.say import complain

PATIENCE_S = 2.0


@contextmanager
def shown(*, quiet: bool, every: float = PATIENCE_S) -> Iterator[Callable[[str], None]]:
    """A function that takes what is being done now; the latest is shown on standard error while the block runs."""
    latest = ""

    def note(text: str) -> None:
        nonlocal latest
        latest = text

    if quiet:
        yield note
        return
    done = Event()

    def watch() -> None:
        said = ""
        while not done.wait(every):
            if latest != said:
                said = latest
                complain(f"fitcheck: {said} ...")

    # A thread, because one long step (a large mesh) reports nothing while it runs.
    watcher = Thread(target=watch, daemon=True)
    watcher.start()
    try:
        yield note
    finally:
        done.set()
        watcher.join()
