"""Each scenario of demo_geometry against what is expected of it, and the mesh files against the script that makes them.

The expected numbers are worked out by hand (the files say how), so this is no recording of the program's own output.
"""

from __future__ import annotations

import importlib.util
import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from fitcheck.__main__ import main

DEMO = Path(__file__).parents[2] / "demo_geometry"
FOLDERS = sorted(path.parent for path in DEMO.glob("*/expected.json"))

TO_THE_HUNDREDTH = 0.01
"""Expected numbers are written to two or three decimals."""

ASIDE = ("command", "verb", "exit", "exit_status", "findings", "statuses", "how")
"""Keys of an expectation that are no keys of the result."""


def runs_of(folder: Path) -> Iterator[dict[str, Any]]:
    """What a folder expects: several runs, one verb's run, or one run a verb."""
    expected = json.loads((folder / "expected.json").read_text(encoding="utf-8"))
    if "runs" in expected:
        yield from expected["runs"]
    elif "verb" in expected:
        run = {"command": [expected["verb"], "layout.yaml"], **expected}
        vehicle = run.pop("vehicle", None)
        yield run if vehicle is None else {**run, "balance": {"vehicle": vehicle}}
    else:
        for verb, run in expected.items():
            yield {"command": [verb, "layout.yaml"], **run}


RUNS = [
    pytest.param(folder, run, id=f"{folder.name}: {' '.join(run['command'])}")
    for folder in FOLDERS
    for run in runs_of(folder)
]


def differences(expected: Any, found: Any, where: str) -> list[str]:
    """Where `found` lacks something of `expected`; it may hold more keys."""
    if isinstance(expected, dict) and isinstance(found, dict):
        return [
            line
            for key, value in expected.items()
            if key not in ASIDE
            for line in differences(value, found.get(key), f"{where}.{key}")
        ]
    if isinstance(expected, list) and isinstance(found, list) and len(expected) == len(found):
        return [
            line
            for number, (one, other) in enumerate(zip(expected, found, strict=True))
            for line in differences(one, other, f"{where}[{number}]")
        ]
    if isinstance(expected, float | int) and isinstance(found, float | int) and not isinstance(expected, bool):
        close = abs(expected - found) <= TO_THE_HUNDREDTH
        return [] if close else [f"{where}: expected {expected}, found {found}"]
    nothing_to_say = expected == [] and found is None  # a section that a verb has nothing to say about is left out
    return [] if expected == found or nothing_to_say else [f"{where}: expected {expected!r}, found {found!r}"]


def named_alike(expected: dict[str, Any], finding: dict[str, Any]) -> bool:
    same = all(finding.get(key) == expected[key] for key in ("check", "parts", "build", "state") if key in expected)
    return same and expected.get("rule", {}).get("name") in (None, finding["rule"]["name"])  # of several rule sets, one


def finding_differences(expected: dict[str, Any], findings: list[dict[str, Any]]) -> list[str]:
    name = f"{expected['check']} {expected['parts']} {expected.get('state', '')}"
    found = [finding for finding in findings if named_alike(expected, finding)]
    if len(found) != 1:
        return [f"{name}: {len(found)} findings of that name, expected one"]
    return differences(expected, found[0], name)


@pytest.mark.parametrize(("folder", "run"), RUNS)
def test_scenario_gives_what_is_expected(folder: Path, run: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    verb, layout, *options = run["command"]
    status = main([verb, str(folder / layout), "--json", *options])
    result = json.loads(capsys.readouterr().out)
    counted = Counter(finding["status"] for finding in result.get("findings", []))

    wrong = differences(run, result, "result")
    for expected in run.get("findings", []):
        wrong += finding_differences(expected, result["findings"])
    for word, number in run.get("statuses", {}).items():
        wrong += differences(number, counted[word], f"number of findings {word}")
    wrong += differences(run.get("exit", run.get("exit_status")), status, "exit status")
    assert not wrong, "\n".join(wrong)


WITH_BODIES = [
    folder for folder in FOLDERS if "bodies" in json.loads((folder / "expected.json").read_text(encoding="utf-8"))
]


@pytest.mark.parametrize("folder", WITH_BODIES, ids=lambda folder: folder.name)
def test_expected_centre_of_gravity_is_that_of_the_hand_made_table(folder: Path) -> None:
    """Mass times place, summed over a table of bodies that was made by hand: the textbook composite centroid."""
    expected = json.loads((folder / "expected.json").read_text(encoding="utf-8"))
    for build, left_out in (("original", "new"), ("proposed", "removed")):
        bodies = [body for body in expected["bodies"] if body["change"] != left_out]
        mass = sum(body["mass_kg"] for body in bodies)
        centre = [sum(body["mass_kg"] * body["centre_mm"][axis] for body in bodies) / mass for axis in range(3)]
        stated = expected["runs"][0]["balance"][build]
        assert differences(stated, {"mass_kg": mass, "cg_mm": centre}, build) == []


def test_mesh_files_are_what_the_script_makes(tmp_path: Path) -> None:
    spec = importlib.util.spec_from_file_location("make_meshes", DEMO / "make_meshes.py")
    assert spec is not None
    assert spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    made = [path.relative_to(DEMO) for pattern in ("*.stl", "*.3mf") for path in DEMO.glob(f"0[12]_*/{pattern}")]
    for path in made:
        (tmp_path / path).parent.mkdir(exist_ok=True)
    script.make(tmp_path)
    assert sorted(path.name for path in made) == ["blower.3mf", "duct.stl"]
    for path in made:
        assert (tmp_path / path).read_bytes() == (DEMO / path).read_bytes()


def test_every_scenario_is_in_the_table_of_the_readme() -> None:
    readme = (DEMO / "README.md").read_text(encoding="utf-8")
    missing = [path.name for path in sorted(DEMO.iterdir()) if path.is_dir() and f"`{path.name}/`" not in readme]
    assert not [name for name in missing if name != "__pycache__"]
