"""The mass ledger as a table."""

from __future__ import annotations

import csv
from io import StringIO
from pathlib import Path

import pytest
from made_up import BALANCE
from vehicle_layouts import HEAD, cube, layout

from fitcheck.report.as_ledger_csv import HEAD as COLUMNS
from fitcheck.report.as_ledger_csv import render
from fitcheck.run import balance

TUG = Path(__file__).parents[2] / "demo_geometry" / "05_tow_tug" / "layout.yaml"


def rows(text: str) -> dict[str, dict[str, str]]:
    return {row["part"]: row for row in csv.DictReader(StringIO(text, newline=""))}


def test_the_tug():
    found = balance(TUG).balance
    assert found is not None
    told = rows(render(found))
    assert list(told) == ["battery trough", "lead-acid battery", "hold-down frame", "new pack", "controller", "charger"]
    pack = told["new pack"]
    assert (pack["change"], pack["mass_kg"], pack["vehicle_x_mm"], pack["vehicle_y_mm"]) == ("new", "470", "1030", "12")
    assert float(pack["moment_front_axle_kg_m"]) == pytest.approx(484.1, abs=1e-9)


def test_the_moments_make_the_rear_axle():
    found = balance(TUG).balance
    assert found is not None
    sign = {"removed": -1.0, "new": 1.0, "retained": 0.0}
    turned = sum(sign[row["change"]] * float(row["moment_front_axle_kg_m"]) for row in rows(render(found)).values())
    assert found.vehicle is not None
    assert found.vehicle.change is not None
    assert turned / 1.8 == pytest.approx(found.vehicle.change.rear.value, abs=1e-6)


def test_what_is_not_known_stays_empty_and_says_why():
    told = rows(render(BALANCE))["old_1"]
    assert (told["mass_kg"], told["moment_front_axle_kg_m"]) == ("", "")
    assert told["reason"] == "neither mass nor material is stated"


def test_no_cell_is_a_formula(tmp_path):
    path = tmp_path / "layout.yaml"
    parts = cube("new", "new", "10", (0, 0, 0)).replace("  new:", '  "=1+1":')
    path.write_text(layout(parts, "{wheelbase: 2000}", head=HEAD), encoding="utf-8")
    found = balance(path).balance
    assert found is not None
    assert list(rows(render(found))) == ["'=1+1"]


def test_lines_and_columns():
    text = render(BALANCE)
    assert text.startswith(",".join(COLUMNS) + "\r\n")
    assert text.count("\r\n") == 3
