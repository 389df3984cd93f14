"""Every layout of the folder of broken layouts is refused with exactly the problems that stand beside it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fitcheck.errors import LayoutErrors
from fitcheck.layoutfile.read import read_layout

FOLDER = Path(__file__).parents[2] / "demo_geometry" / "90_broken_layouts"
EXPECTED = json.loads((FOLDER / "expected_problems.json").read_text(encoding="utf-8"))


def test_every_broken_layout_is_expected():
    assert sorted(path.name for path in FOLDER.glob("*.yaml")) == sorted(EXPECTED)


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_broken_layout_is_refused_at_the_right_places(name):
    path = FOLDER / name
    with pytest.raises(LayoutErrors) as caught:
        read_layout(path)
    found = caught.value.problems
    expected = EXPECTED[name]
    assert [[problem.at.line, problem.at.column] for problem in found] == [row[:2] for row in expected]
    for problem, (_, _, phrase, mend) in zip(found, expected, strict=True):
        assert phrase in problem.what
        assert mend in problem.mend
        assert problem.at.file == str(path)
        # The place is that of the text that is wrong, not of white space or of the end of the line.
        line = path.read_text(encoding="utf-8").splitlines()[problem.at.line - 1]
        assert line[problem.at.column - 1].strip()


def test_the_message_reads_file_line_column():
    path = FOLDER / "05_left_handed.yaml"
    with pytest.raises(LayoutErrors) as caught:
        read_layout(path)
    first, second = str(caught.value).splitlines()
    assert first == f"{path}:3:1: a left-handed set of axes: rearward, left, up"
    assert second.strip().startswith("mend: ")
