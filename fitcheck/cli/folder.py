"""A report folder on disk: nothing half-written, and nothing left of an earlier report that the new one has not."""

from __future__ import annotations

import hashlib
import re
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from errno import EISDIR
from pathlib import Path, PurePosixPath

from fitcheck.errors import UsageError

_OURS = (
    "report.txt",
    "result.json",
    "plan.*",
    "side.*",
    "end.*",
    "section_*.*",
    "owner.*",
    "ledger.csv",
    "stack_*.*",
    "cut_list.csv",
    "solved.yaml",
)
"""What a report of one verb may hold."""

SUMS = "files.txt"
"""The files of a study with their SHA-256: what a later report may take away, as long as nobody has changed it."""

_SUM_LINE = re.compile(r"([0-9a-f]{64})  (.+)")


def with_sums(contents: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files and the list of them, in the form that `sha256sum --check` reads."""
    lines = (f"{hashlib.sha256(content).hexdigest()}  {name}\n" for name, content in sorted(contents.items()))
    return {**contents, SUMS: "".join(lines).encode()}


def write_folder(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Put the files into a folder, made if missing; names may hold "/". All are written aside before the first is put
    in its place. Files of an earlier report that this one has not are taken away; files of other names are left alone.

    Raises UsageError where the folder cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(prefix=".fitcheck-", dir=folder))
        try:
            _put(aside, folder, contents)
        finally:
            shutil.rmtree(aside, ignore_errors=True)
    except OSError as error:
        raise UsageError(
            f"the report cannot be written to {folder}: {error.strerror or error}\n"
            "    mend: name another folder with -o"
        ) from error


def _put(aside: Path, folder: Path, contents: Mapping[str, bytes]) -> None:
    for name, content in contents.items():
        (aside / name).parent.mkdir(parents=True, exist_ok=True)
        (aside / name).write_bytes(content)
    # Whatever can stand in the way shows here, before anything of the earlier report is touched.
    for name in contents:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        if (folder / name).is_dir():
            raise IsADirectoryError(EISDIR, f"a folder stands where {name} goes")
    for old in list(_earlier(folder)):
        if old.relative_to(folder).as_posix() not in contents:
            old.unlink(missing_ok=True)
            _take_away_empty(old.parent, folder)
    for name in contents:
        (aside / name).replace(folder / name)


def _earlier(folder: Path) -> Iterator[Path]:
    """The files of the report that stands there."""
    for pattern in _OURS:
        yield from folder.glob(pattern)
    listing = folder / SUMS
    if not listing.is_file():
        return
    lines = listing.read_text(encoding="utf-8", errors="replace").splitlines()
    sums = [match for line in lines if (match := _SUM_LINE.fullmatch(line))]
    for match in sums:
        path = folder / match[2]
        if _lies_in(path, match[2], folder) and hashlib.sha256(path.read_bytes()).hexdigest() == match[1]:
            yield path
    if len(sums) == len(lines):
        yield listing


def _lies_in(path: Path, name: str, folder: Path) -> bool:
    """A name that leads out of the folder is none that we wrote."""
    pure = PurePosixPath(name)
    inside = not pure.is_absolute() and ".." not in pure.parts
    return inside and path.is_file() and path.resolve().is_relative_to(folder.resolve())


def _take_away_empty(place: Path, folder: Path) -> None:
    while place != folder and not any(place.iterdir()):
        place.rmdir()
        place = place.parent
