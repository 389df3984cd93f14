"""Small layouts of vehicles for the tests, and what they come to."""

from __future__ import annotations

from pathlib import Path

from fitcheck.layoutfile.read import read_text
from fitcheck.result import VehicleBalance
from fitcheck.run import MeshShelf
from fitcheck.study import Study
from fitcheck.vehicle.balance import Weighed, weighed
from fitcheck.weights.ledger import balance_of

HEAD = """\
fitcheck: 1
title: Test vehicle
units: {length: mm, mass: kg, angle: deg}
axes: {x: rearward, y: right, z: up}
"""


def cube(name: str, change: str, mass: str, at: tuple[float, float, float], more: str = "") -> str:
    """A part 20 mm each way whose centre stands there, in case axes."""
    corner = [value - 10 for value in at]
    said = f"mass: {mass}, " if mass else ""
    shape = "shape: {box: [20, 20, 20]}"
    return f"  {name}: {{role: module, change: {change}, {shape}, {said}low_corner: {corner}{more}}}\n"


def layout(parts: str, vehicle: str, head: str = HEAD, tail: str = "") -> str:
    return f"{head}parts:\n{parts}vehicle: {vehicle}\n{tail}"


def study(text: str) -> Study:
    return Study(read_text(text, "test.yaml", Path()), MeshShelf())


def weigh(text: str) -> Weighed:
    one = study(text)
    found = weighed(one, balance_of(one))
    assert found is not None
    return found


def vehicle(text: str) -> VehicleBalance:
    return weigh(text).summary
