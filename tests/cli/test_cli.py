"""The command line: statuses, streams, folders, and what it loads."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
import yaml

from fitcheck import __version__
from fitcheck.__main__ import main
from fitcheck.cli import parser as grammar
from fitcheck.cli import progress
from fitcheck.cli.folder import write_folder
from fitcheck.errors import UsageError

HEAVY = ("numpy", "trimesh", "pint", "matplotlib", "pydantic", "shapely", "scipy", "manifold3d", "yaml")

TIGHT = """\
fitcheck: 1
title: One module centred in a case
units: {length: mm, mass: kg, angle: deg}
axes: {x: rearward, y: right, z: up}
datum: inside corner of the floor
parts:
  case:
    role: enclosure
    change: retained
    shape: {tray: {inside: [451 ± WIDTH, 200, 150], wall: 2, floor: 2}}
    inside_low_corner: [0, 0, 0]
    mass: 10
  m1:
    role: module
    change: new
    shape: {box: [446 ± 0.5, 100, 100]}
    mass: 12
    place: {centre: {x: case inside, y: case inside}, bottom: on case floor}
gaps:
  - {between: [every module, every enclosure], at_least: 2, because: weld beads}
"""


def layout(folder: Path, width: str = "2", text: str = TIGHT) -> str:
    path = folder / "bay.yaml"
    path.write_text(text.replace("WIDTH", width), encoding="utf-8")
    return str(path)


def run(*argv: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "fitcheck", *argv], capture_output=True, check=False, env=os.environ | environment
    )


@pytest.mark.parametrize("argv", [["--help"], ["--version"], ["check", "--help"], ["explain", "--help"]])
def test_help_and_version_load_nothing_heavy(argv):
    code = (
        "import sys; from fitcheck.__main__ import main; status = main(sys.argv[1:]); "
        f"print([name for name in {HEAVY} if name in sys.modules], file=sys.stderr); sys.exit(status)"
    )
    done = subprocess.run([sys.executable, "-c", code, *argv], capture_output=True, check=False, text=True)
    assert (done.returncode, done.stderr) == (0, "[]\n")


def test_a_layout_of_boxes_loads_neither_mesh_nor_picture_libraries(tmp_path):
    code = (
        "import sys; from fitcheck.__main__ import main; main(sys.argv[1:]); "
        "loaded = {'trimesh', 'manifold3d', 'fcl', 'matplotlib'} & set(sys.modules); print(loaded, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "check", layout(tmp_path)], capture_output=True, check=False, text=True
    )
    assert done.stderr == "set()\n"


def test_version(capsys):
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"fitcheck {__version__}\n"


@pytest.mark.parametrize("argv", [[], ["weigh"], ["check"], ["check", "a", "--nonsense"], ["schema", "report"]])
def test_wrong_usage_is_2_and_says_so_on_standard_error(argv, capsys):
    assert main(argv) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "usage: fitcheck" in said.err


def test_a_layout_too_close_to_call(tmp_path, capsys):
    assert main(["check", layout(tmp_path), "--json"]) == 3
    findings = json.loads(capsys.readouterr().out)["findings"]
    (gap,) = [finding for finding in findings if finding["check"] == "gap"]
    assert (gap["low"], gap["value"], gap["high"], gap["status"]) == (1.25, 2.5, 3.75, "cannot tell")
    assert gap["settle_by"].startswith("case.inside.x")


def test_the_same_layout_known_better(tmp_path, capsys):
    assert main(["check", layout(tmp_path, "0.2")]) == 0
    said = capsys.readouterr().out
    assert "VERDICT: FITS\n" in said
    assert "2.15 to 2.85 mm" in said


def test_a_layout_that_does_not_fit(tmp_path, capsys):
    assert main(["check", layout(tmp_path, text=TIGHT.replace("at_least: 2", "at_least: 4")), "--quiet"]) == 1
    assert re.fullmatch(r"\S*bay\.yaml: does not fit \(1 not met.*\)\n", capsys.readouterr().out)


def test_a_refused_layout_names_each_place_on_standard_error(tmp_path, capsys):
    path = layout(tmp_path, text=TIGHT.replace("role: module", "role: modul").replace("title:", "titel:"))
    assert main(["check", path]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(re.findall(r"bay\.yaml:\d+:\d+: ", said.err)) >= 2
    assert "Traceback" not in said.err


def test_a_missing_layout_is_refused_in_one_line(tmp_path, capsys):
    assert main(["check", str(tmp_path / "none.yaml")]) == 2
    assert "none.yaml" in capsys.readouterr().err


def test_a_fault_is_4_and_its_traceback_is_kept_for_those_who_ask(tmp_path, capsys, monkeypatch):
    def fail(*_, **__):
        raise RuntimeError("out of order")

    monkeypatch.setattr("fitcheck.run.check", fail)
    assert main(["check", layout(tmp_path)]) == 4
    assert capsys.readouterr().err.startswith("fitcheck: a fault of the program, not of your layout: RuntimeError")
    monkeypatch.setenv("FITCHECK_TRACE", "1")
    assert main(["check", layout(tmp_path)]) == 4
    assert "Traceback" in capsys.readouterr().err


def test_an_interrupt_is_130(tmp_path, monkeypatch):
    def stop(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("fitcheck.run.check", stop)
    assert main(["check", layout(tmp_path)]) == 130


def test_the_report_folder(tmp_path, capsys):
    folder = tmp_path / "reports" / "first"
    assert main(["check", layout(tmp_path, "0.2"), "--json", "-o", str(folder)]) == 0
    names = {path.name for path in folder.iterdir()}
    assert {"report.txt", "result.json", "plan.png", "plan.svg", "side.svg", "end.png", "section_1.svg"} <= names
    assert not [name for name in names if name.startswith(".")]
    assert (folder / "result.json").read_text(encoding="utf-8") == capsys.readouterr().out


def test_a_second_report_takes_away_the_pictures_of_the_first_and_nothing_else(tmp_path):
    write_folder(tmp_path, {"report.txt": b"old", "section_1.png": b"1", "section_2.png": b"2"})
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
    write_folder(tmp_path, {"report.txt": b"new", "section_1.png": b"3"})
    contents = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert contents == {"report.txt": b"new", "section_1.png": b"3", "notes.txt": b"mine"}


def test_a_folder_that_is_a_file_is_refused(tmp_path):
    (tmp_path / "report").write_text("", encoding="utf-8")
    with pytest.raises(UsageError, match="cannot be written"):
        write_folder(tmp_path / "report", {"report.txt": b""})


def test_balance_of_known_masses(tmp_path, capsys):
    assert main(["balance", layout(tmp_path), "--json"]) == 0
    balance = json.loads(capsys.readouterr().out)["balance"]
    assert balance["original"]["mass_kg"] == 10.0
    assert balance["proposed"]["mass_kg"] == 22.0
    assert balance["change"]["mass_kg"] == 12.0


def test_balance_with_a_mass_missing_is_3(tmp_path, capsys):
    assert main(["balance", layout(tmp_path, text=TIGHT.replace("    mass: 12\n", ""))]) == 3
    assert "m1" in capsys.readouterr().out


def test_the_starter_layout_fits_and_is_never_overwritten(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["new"]) == 0
    assert "fitcheck check layout.yaml" in capsys.readouterr().out
    assert main(["check", "layout.yaml"]) == 0
    assert "VERDICT: FITS\n" in capsys.readouterr().out
    assert main(["balance", "layout.yaml"]) == 0
    assert main(["new"]) == 2
    assert "exists and is left as it is" in capsys.readouterr().err


def test_the_starter_layout_keeps_to_the_published_schema(tmp_path, capsys):
    assert main(["new", str(tmp_path / "bay.yaml")]) == 0
    capsys.readouterr()
    assert main(["schema", "layout"]) == 0
    schema = json.loads(capsys.readouterr().out)
    jsonschema.validate(yaml.safe_load((tmp_path / "bay.yaml").read_text(encoding="utf-8")), schema)


def test_result_schema_is_printed(capsys):
    assert main(["schema", "result"]) == 0
    assert "findings" in json.loads(capsys.readouterr().out)["properties"]


def test_explain_prints_a_page_or_the_list(capsys):
    assert main(["explain", "gap"]) == 0
    assert "How it is measured" in capsys.readouterr().out
    assert main(["explain"]) == 0
    assert re.search(r"^gap +\S", capsys.readouterr().out, re.MULTILINE)
    assert main(["explain", "file", "scale"]) == 0
    assert main(["explain", "gapp"]) == 2
    assert "did you mean 'gap'?" in capsys.readouterr().err


def test_look_describes_a_mesh_file(tmp_path, capsys):
    path = tmp_path / "corner.off"
    path.write_text("OFF\n4 4 0\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n3 0 2 1\n3 0 1 3\n3 0 3 2\n3 1 2 3\n", encoding="utf-8")
    assert main(["look", str(path), "--unit", "in"]) == 0
    assert "25.400 x 25.400 x 25.400 mm" in capsys.readouterr().out
    assert main(["look", str(path)]) == 0
    said = capsys.readouterr().out
    assert "1.000 x 1.000 x 1.000 in the file's own numbers" in said
    assert "in inches 25.400 x 25.400 x 25.400 mm" in said
    assert main(["look", str(path.with_name("missing.off"))]) == 2


def test_the_examples_of_the_help_run(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    examples = re.findall(r"^  fitcheck (.+)$", grammar.parser().format_help().partition("examples:")[2], re.MULTILINE)
    assert len(examples) >= 5
    assert [main(example.split()) for example in examples] == [0] * len(examples)
    capsys.readouterr()


def test_a_plain_terminal_gets_ascii(tmp_path):
    done = run("check", layout(tmp_path), PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert done.returncode == 3
    assert done.stdout.isascii()
    assert b"1.25 to 3.75 mm" in done.stdout
    assert b"\x1b" not in done.stdout


def test_a_reader_who_leaves_is_no_error():
    command = f"{sys.executable} -m fitcheck schema layout; echo $? >&2"
    done = subprocess.run(["/bin/bash", "-c", f"({command}) | head -c 1"], capture_output=True, check=False)
    assert done.stderr == b"0\n"


def test_progress_is_shown_only_to_those_who_wait(capsys):
    with progress.shown(quiet=False, every=30.0) as note:
        note("weighing")
    assert capsys.readouterr().err == ""
    with progress.shown(quiet=False, every=0.001) as note:
        note("weighing")
        said = ""
        while not said:
            said = capsys.readouterr().err
    assert said == "fitcheck: weighing ...\n"
