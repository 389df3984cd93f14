"""What `fitcheck watch` shows at the moment: the last good report, and what is wrong with the file as saved now."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from threading import Condition


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """`edition` counts the good reports, `page` is the latest of them. `problems` are those of the file as saved now:
    with any, the page is older than the file. `doing` says what is being worked out, "" when nothing is.
    """

    edition: int = 0
    page: str = ""
    problems: tuple[str, ...] = ()
    doing: str = ""
    ended: bool = False


class Board:
    """One writer puts up what is shown, many readers wait for it to change."""

    def __init__(self) -> None:
        self._changed = Condition()
        self._shown = Shown()
        self._serial = 0

    def look(self) -> tuple[int, Shown]:
        """(serial number of the state, the state)."""
        with self._changed:
            return self._serial, self._shown

    def wait(self, after: int, seconds: float) -> tuple[int, Shown]:
        """The state once it is newer than `after`, or as it is when the time is over."""
        with self._changed:
            self._changed.wait_for(lambda: self._serial > after, seconds)
            return self._serial, self._shown

    def doing(self, what: str) -> None:
        self._put(replace(self._shown, doing=what))

    def good(self, page: str) -> None:
        """A new report."""
        self._put(Shown(edition=self._shown.edition + 1, page=page))

    def wrong(self, problems: Iterable[str]) -> None:
        """The file as saved now gives no report; the last good one stays."""
        self._put(replace(self._shown, problems=tuple(problems), doing=""))

    def end(self) -> None:
        self._put(replace(self._shown, doing="", ended=True))

    def _put(self, shown: Shown) -> None:
        with self._changed:
            self._shown = shown
            self._serial += 1
            self._changed.notify_all()
