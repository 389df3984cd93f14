"""`fitcheck balance -o`: the owner's page and the ledger beside the report."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.__main__ import main

DEMO = Path(__file__).parents[2] / "demo_geometry"


def test_the_folder_holds_page_and_ledger(tmp_path, capsys):
    argv = ["balance", str(DEMO / "06_street_sweeper" / "layout.yaml"), "-o", str(tmp_path), "--quiet"]
    assert main(argv) == 1
    names = {path.name for path in tmp_path.iterdir()}
    assert {"owner.html", "owner.pdf", "ledger.csv", "report.txt", "result.json"} <= names
    before = {name: (tmp_path / name).read_bytes() for name in ("owner.html", "owner.pdf", "ledger.csv", "result.json")}
    assert b" lb)" not in before["owner.html"]
    assert main(argv) == 1
    assert before == {name: (tmp_path / name).read_bytes() for name in before}
    assert main([*argv, "--also-imperial"]) == 1
    assert b"46.9 kg (103.4 lb) over" in (tmp_path / "owner.html").read_bytes()
    capsys.readouterr()


def test_a_page_of_an_earlier_vehicle_does_not_stay(tmp_path, capsys):
    (tmp_path / "owner.html").write_text("old", encoding="utf-8")
    layout = tmp_path / "plain.yaml"
    layout.write_text(
        "fitcheck: 1\nparts:\n"
        "  m: {role: module, change: new, shape: {box: [1, 1, 1]}, mass: 1, low_corner: [0, 0, 0]}\n",
        encoding="utf-8",
    )
    main(["balance", str(layout), "-o", str(tmp_path), "--quiet"])
    assert not (tmp_path / "owner.html").exists()
    assert (tmp_path / "ledger.csv").exists()
    capsys.readouterr()


@pytest.mark.parametrize(
    ("folder", "why", "mend"),
    [("nowhere", "does not exist", "check the path"), ("layout.yaml", "is a file", "name the folder")],
)
def test_a_folder_of_meshes_that_is_none_is_refused_with_a_hint(tmp_path, folder, why, mend, capsys):
    (tmp_path / "layout.yaml").write_text("", encoding="utf-8")
    argv = ["balance", str(DEMO / "05_tow_tug" / "layout.yaml"), "--allow", str(tmp_path / folder)]
    assert main(argv) == 2
    said = capsys.readouterr().err
    assert f"{folder}' {why}" in said
    assert f"mend: {mend}" in said
