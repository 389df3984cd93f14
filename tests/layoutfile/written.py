"""Layouts for the tests of the reader, as text."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.errors import LayoutErrors, Problem
from fitcheck.layoutfile.read import read_text
from fitcheck.model.layout import Layout

CASE = """\
  case:
    role: enclosure
    change: retained
    shape: {tray: {inside: [900, 500, 160], wall: 2, floor: 3}}
    inside_low_corner: [0, 0, 0]
    mass: 11.5
"""


def layout_text(parts: str, *, above: str = "", below: str = "") -> str:
    """A layout with a case (lines 2 + lines of `above` and on) and further parts, each indented by two."""
    return f"fitcheck: 1\n{above}parts:\n{CASE}{parts}{below}"


def read(text: str, folder: Path = Path(), *, allow: tuple[Path, ...] = ()) -> Layout:
    return read_text(text, "bay.yaml", folder, allow=allow)


def problems(text: str, folder: Path = Path(), *, allow: tuple[Path, ...] = ()) -> tuple[Problem, ...]:
    """What is wrong with a layout that must be refused."""
    with pytest.raises(LayoutErrors) as caught:
        read(text, folder, allow=allow)
    return caught.value.problems


def only(text: str, folder: Path = Path(), *, allow: tuple[Path, ...] = ()) -> Problem:
    """The one thing that is wrong with a layout."""
    found = problems(text, folder, allow=allow)
    assert len(found) == 1, [str(problem) for problem in found]
    return found[0]


def place_of(text: str, piece: str) -> tuple[int, int]:
    """Line and column, from 1, of the first place where a piece of text stands."""
    offset = text.index(piece)
    return text.count("\n", 0, offset) + 1, offset - text.rfind("\n", 0, offset)
