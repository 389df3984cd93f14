"""What can go wrong, as a small tree.

FitcheckError            anything a user can mend; `main` turns it into exit status 2
├── LayoutErrors         everything wrong with one layout file, all at once
├── MeshFileError        a mesh file that cannot be used as it is
├── UsageError           the command was called wrongly, or a file cannot be written
└── OutsideTable         a look-up beyond the rows of a sourced table
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Mark:
    """A place in a layout file; line and column count from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


NOWHERE = Mark("", 0, 0)
"""The mark of a value that no file states (a default)."""


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong at one place of a layout file, and how to mend it."""

    at: Mark
    what: str
    mend: str

    def __str__(self) -> str:
        return f"{self.at}: {self.what}\n    mend: {self.mend}"


class FitcheckError(Exception):
    """Something the user can mend."""


class LayoutErrors(FitcheckError):
    """All problems of one layout file, in the order of their places in it."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(problem) for problem in self.problems))


class MeshFileError(FitcheckError):
    """A mesh file cannot be used: why, with the file's name, and what to do."""

    def __init__(self, what: str, mend: str) -> None:
        self.what, self.mend = what, mend
        super().__init__(f"{what}\n    mend: {mend}")


class UsageError(FitcheckError):
    """The command was called wrongly, or a result cannot be written where it should go."""


class OutsideTable(FitcheckError):
    """A sourced table has no row for this value; fitcheck never extrapolates."""
