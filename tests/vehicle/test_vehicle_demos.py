"""The vehicle demos end to end: `fitcheck balance --json` against what stands beside each layout."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from fitcheck.__main__ import main
from fitcheck.report.as_json import result_schema

DEMO = Path(__file__).parents[2] / "demo_geometry"


@pytest.mark.parametrize("name", ["05_tow_tug", "06_street_sweeper"])
def test_the_demo_comes_out_as_expected(name, capsys):
    expected = json.loads((DEMO / name / "expected.json").read_text(encoding="utf-8"))
    assert main([expected["verb"], str(DEMO / name / "layout.yaml"), "--json"]) == expected["exit"]
    found = json.loads(capsys.readouterr().out)
    jsonschema.validate(found, result_schema())
    assert found["verdict"] == expected["verdict"]
    told = {(one["check"], tuple(one["parts"])): one for one in found["findings"]}
    for one in expected["findings"]:
        finding = told[one["check"], tuple(one["parts"])]
        assert finding["status"] == one["status"]
        assert finding["value"] == pytest.approx(one["value"], abs=0.006)
        assert finding["low"] <= finding["value"] <= finding["high"]
    for time, figures in expected["vehicle"].items():
        state = found["balance"]["vehicle"][time]
        for key in ("front_kg", "rear_kg", "total_kg"):
            assert state[key] == pytest.approx(figures[key], abs=0.006)
        for axis in range(3):
            assert state["cg_mm"][axis] == (
                None if figures["cg_mm"][axis] is None else pytest.approx(figures["cg_mm"][axis], abs=0.006)
            )
        factor = figures["stability_factor"]
        assert state["stability_factor"] == (None if factor is None else pytest.approx(factor, abs=0.0006))
