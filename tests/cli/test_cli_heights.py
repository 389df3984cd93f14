from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from fitcheck.__main__ import main
from fitcheck.errors import LayoutErrors, Mark, Problem
from fitcheck.report.result_file import ResultFile

DEMO = Path(__file__).parents[2] / "demo_geometry"
TALLER = DEMO / "07_taller_stack" / "layout.yaml"
RISER = DEMO / "08_riser_screw" / "layout.yaml"


def answered(path, capsys):
    status = main(["heights", str(path), "--json", "--quiet"])
    text = capsys.readouterr().out
    ResultFile.model_validate_json(text)
    return status, json.loads(text)


@pytest.mark.parametrize("path", [TALLER, RISER], ids=lambda path: path.parent.name)
def test_the_demo_layouts_answer_as_expected(path, capsys):
    expected = json.loads((path.parent / "expected.json").read_text(encoding="utf-8"))["heights"]
    status, result = answered(path, capsys)
    assert status == expected["exit_status"]
    assert result["verdict"] == expected["verdict"]
    for section in ("heights", "screws"):
        for wanted, found in zip(expected[section], result.get(section, ()), strict=True):
            assert {key: found[key] for key in wanted} == wanted
    statuses = {(one["check"], *one["parts"]): one["status"] for one in result["findings"]}
    for wanted in expected["findings"]:
        assert statuses[(wanted["check"], *wanted["parts"])] == wanted["status"]


def test_the_report_folder_holds_stacks_cut_list_and_solved_layout(tmp_path, capsys):
    folder = tmp_path / "report"
    assert main(["heights", str(TALLER), "-o", str(folder), "--quiet"]) == 0
    assert {"stack_1.png", "stack_1.svg", "cut_list.csv", "solved.yaml", "result.json"} <= {
        path.name for path in folder.iterdir()
    }
    assert (folder / "cut_list.csv").read_text(encoding="utf-8").splitlines()[1:3] == [
        "lid_frame,10,1,34,0.2,0.2",
        "lid_frame,8,3,34,0.2,0.2",
    ]
    before, after = (path.read_text(encoding="utf-8").splitlines() for path in (TALLER, folder / "solved.yaml"))
    assert [(a, b) for a, b in zip(before, after, strict=True) if a != b] == [
        ("        height: 30", "        height: 34 ± 0.2")
    ]
    capsys.readouterr()
    assert main(["check", str(folder / "solved.yaml"), "--quiet"]) == 0


def test_the_layout_itself_is_never_overwritten(tmp_path, capsys):
    own = tmp_path / "bay.yaml"
    own.write_bytes(TALLER.read_bytes())
    assert main(["heights", str(own), "--quiet", "--write", str(own)]) == 2
    assert own.read_bytes() == TALLER.read_bytes()
    assert "names the layout itself" in capsys.readouterr().err


def test_the_text_report_says_it_all(capsys):
    assert main(["heights", str(RISER)]) == 1
    said = " ".join(capsys.readouterr().out.split())
    for words in (
        "riser 30 + 5 35.00 ± 0.10 30.00 34.000 34.300 34.224",
        "57.6 to 59.6",
        "opened by one more washer 1.6: then 60 fits",
        "window of screw lengths of hold_down: 52.6 to 54.6 mm -> 57.6 to 59.6 mm; by the height of riser",
        "The part maker's torque comes first",
        "paint line",
    ):
        assert words in said


def test_a_contradiction_is_said_in_words_and_numbers(tmp_path, capsys):
    text = TALLER.read_text(encoding="utf-8").replace("at_least: 8}", "at_least: 20}")
    path = tmp_path / "bay.yaml"
    path.write_text(text, encoding="utf-8")
    status, result = answered(path, capsys)
    assert status == 1
    assert result["heights"][0]["height_mm"] is None
    assert [(one["what"], one["unit"]) for one in result["contradiction"]] == [
        ("clear height bolt_heads - sheet at least 20", "mm"),
        ("at most 4 pieces in lid_frame", "pieces"),
    ]
    assert result["contradiction"][0]["by"] == pytest.approx(5.4, abs=1e-4)
    assert all(one["is_smallest"] for one in result["contradiction"])


def test_screws_are_answered_without_heights_to_be_found(tmp_path, capsys):
    text = RISER.read_text(encoding="utf-8")
    path = tmp_path / "bay.yaml"
    path.write_text(text[: text.index("heights:\n")] + text[text.index("screws:\n") :], encoding="utf-8")
    status, result = answered(path, capsys)
    assert status == 1
    assert "heights" not in result
    assert result["screws"][0]["window_mm"] == [52.6, 54.6]


def test_a_layout_with_neither_is_wrong_usage(tmp_path, capsys):
    path = tmp_path / "bay.yaml"
    path.write_text(
        "fitcheck: 1\nparts:\n  m1: {role: module, change: new, shape: {box: [1, 1, 1]}, low_corner: [0, 0, 0]}\n",
        encoding="utf-8",
    )
    assert main(["heights", str(path), "--quiet"]) == 2
    assert "no `heights` section" in capsys.readouterr().err


PADS = """fitcheck: 1
axes: {x: rearward, y: right, z: up}
datum: corner
parts:
  one: {role: spacer, change: new, shape: {box: [50, 50, &high 5]}, low_corner: [0, 0, 0]}   # found
  two: {role: spacer, change: new, shape: {box: [50, 50, *high]}, low_corner: [80, 0, 0]}    # stays
  lid: {role: lid, change: retained, shape: {box: [200, 50, 2]}, low_corner: [0, 0, 40]}
heights:
  find: {one: {stock: [3, 8]}}
  so_that: [{clear_height: [one, lid], at_most: 33}]
"""


def test_a_number_that_two_parts_share_by_an_alias_is_written_out(tmp_path, capsys):
    path = tmp_path / "bay.yaml"
    path.write_text(PADS, encoding="utf-8")
    assert main(["heights", str(path), "--quiet", "-o", str(tmp_path / "out")]) == 0
    assert capsys.readouterr().err == ""
    solved = (tmp_path / "out" / "solved.yaml").read_text(encoding="utf-8")
    assert solved == PADS.replace("&high 5", "&high 8").replace("*high", "5")
    assert main(["check", str(tmp_path / "out" / "solved.yaml"), "--quiet"]) == 0


def test_the_report_is_kept_where_the_solved_layout_cannot_be_written(tmp_path, capsys, monkeypatch):
    """The answer stands, though the file cannot be written."""

    def refused(*_, **__):
        raise LayoutErrors([Problem(Mark("bay.yaml", 5, 60), "one.z is written here together with two.z", "part them")])

    monkeypatch.setattr("fitcheck.run.written_heights", refused)
    path = tmp_path / "bay.yaml"
    path.write_text(PADS, encoding="utf-8")
    assert main(["heights", str(path), "--quiet", "-o", str(tmp_path / "out")]) == 0
    assert "solved.yaml is not written" in capsys.readouterr().err
    names = {each.name for each in (tmp_path / "out").iterdir()}
    assert "cut_list.csv" in names
    assert "solved.yaml" not in names


def test_the_solver_says_nothing_on_standard_output(capfd):
    """What its own code writes there past Python would spoil a JSON result."""
    from fitcheck.stack.solver import _said_to_stderr

    with _said_to_stderr():
        os.write(1, b"tmpSolver.run();")
    assert capfd.readouterr() == ("", "tmpSolver.run();")
