"""Which files `fitcheck watch` looks after, and whether one of them was saved."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

Stamp = tuple[int, int, int] | None


class Files:
    """The layout and the mesh files it names. While the layout cannot be used, its folders count too: a mesh file that
    is not there yet may be what is wrong.
    """

    def __init__(self, layout: Path, folders: Iterable[Path]) -> None:
        self._layout = layout
        self._folders = (layout.parent, *folders)
        self._read: dict[Path, Stamp] = {layout: None}
        self._last = self._stamps()
        self._is_new = True

    def have_changed(self) -> bool:
        """Whether something was saved since the last time that this said so; a file still being written waits."""
        now = self._stamps()
        is_still, self._last = now == self._last, now
        if not is_still or (now == self._read and not self._is_new):
            return False
        self._read, self._is_new = now, False
        return True

    def look_after(self, meshes: Iterable[Path]) -> None:
        """These are the mesh files from now on; to be called before they are read, so that no change slips through."""
        self._follow((self._layout, *meshes))

    def look_wider(self) -> None:
        """The layout cannot be used: also follow its folders."""
        self._follow((*self._read, *self._folders))

    def _follow(self, paths: Iterable[Path]) -> None:
        self._read = {path: self._read[path] if path in self._read else _stamp(path) for path in paths}
        self._last = dict(self._read)

    def _stamps(self) -> dict[Path, Stamp]:
        return {path: _stamp(path) for path in self._read}


def _stamp(path: Path) -> Stamp:
    """Changes when the file is written or put in place of another; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
