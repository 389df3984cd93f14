"""Mass, centre of gravity and inertia of both builds."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import trimesh
from engine_layouts import study

from fitcheck.result import Balance
from fitcheck.weights.ledger import balance_of


def balanced(text: str, folder: Path = Path()) -> Balance:
    return balance_of(study("parts:\n" + text, folder))


def test_two_boxes_by_hand() -> None:
    found = balanced("""
  a: {role: module, change: new, mass: 2, shape: {box: [100, 200, 300]}, low_corner: [0, 0, 0]}
  b: {role: module, change: new, mass: 6, shape: {box: [200, 200, 100]}, low_corner: [200, 0, 0]}
    """).proposed
    assert found.mass_kg == pytest.approx(8.0, abs=1e-12)
    assert found.cg_mm == pytest.approx((237.5, 100.0, 75.0), abs=1e-9)

    def own(mass: float, x: float, y: float, z: float) -> list[float]:
        return [mass / 12 * (y * y + z * z), mass / 12 * (x * x + z * z), mass / 12 * (x * x + y * y)]

    ixx, iyy, izz = np.array(own(2, 0.1, 0.2, 0.3)) + own(6, 0.2, 0.2, 0.1)
    apart_x, apart_z, reduced = 0.25, -0.1, 2 * 6 / 8
    expected = [
        [ixx + reduced * apart_z**2, 0, -reduced * apart_x * apart_z],
        [0, iyy + reduced * (apart_x**2 + apart_z**2), 0],
        [-reduced * apart_x * apart_z, 0, izz + reduced * apart_x**2],
    ]
    assert np.array(found.inertia_kg_m2) == pytest.approx(np.array(expected), abs=1e-12)


def test_builds_and_change() -> None:
    found = balanced("""
  case: {role: enclosure, change: retained, mass: 20 ± 0.5, shape: {box: [100, 100, 100]}, low_corner: [0, 0, 0]}
  old: {role: module, change: removed, mass: 30 ± 0.3, shape: {box: [100, 100, 100]}, low_corner: [100, 0, 0]}
  m1: {role: module, change: new, mass: 12 ± 0.4, shape: {box: [100, 100, 100]}, low_corner: [200, 0, 0]}
  air: {role: keep-out, change: new, shape: {box: [100, 100, 100]}, low_corner: [900, 0, 0]}
    """)
    assert (found.original.mass_kg, found.proposed.mass_kg) == pytest.approx((50.0, 32.0), abs=1e-12)
    assert found.original.cg_mm == pytest.approx((110.0, 50.0, 50.0), abs=1e-9)
    assert found.proposed.cg_mm == pytest.approx((125.0, 50.0, 50.0), abs=1e-9)
    assert found.change is not None
    assert found.change.mass_kg == pytest.approx(-18.0, abs=1e-12)
    # The case is in both, so what is not known of it does not count.
    assert found.change.mass_worst == pytest.approx(0.7, abs=1e-9)
    assert found.change.mass_rss == pytest.approx(0.5, abs=1e-9)
    assert found.proposed.mass_worst == pytest.approx(0.9, abs=1e-9)
    assert found.proposed.mass_rss == pytest.approx(math.hypot(0.5, 0.4), abs=1e-9)
    assert [row.part for row in found.ledger] == ["case", "old", "m1"]


def test_a_missing_mass_is_named_and_makes_the_total_unknown() -> None:
    found = balanced("""
  case: {role: enclosure, change: retained, mass: 20, shape: {box: [100, 100, 100]}, low_corner: [0, 0, 0]}
  old: {role: module, change: removed, shape: {box: [100, 100, 100]}, low_corner: [100, 0, 0]}
    """)
    assert (found.original.mass_kg, found.original.missing, found.original.known_kg) == (None, ("old",), 20.0)
    assert found.proposed.mass_kg == 20.0
    assert found.change is None


TURNED = "role: module, change: new, mass: 3, shape: {box: [100, 40, 20]}, centre_of_mass: [20, 10, 5]"


@pytest.mark.parametrize(
    ("turn", "centre"),
    [
        ("{z: 0}", (21.0, 12.0, 8.0)),
        ("{z: 90}", (1.0 + 40 - 10, 2.0 + 20, 8.0)),
        ("{z: 180}", (1.0 + 100 - 20, 2.0 + 40 - 10, 8.0)),
        ("[{z: 90}, {x: 90}]", (1.0 + 40 - 10, 2.0 + 20 - 5, 3.0 + 20)),
    ],
)
def test_a_stated_centre_turns_with_the_part(turn: str, centre: tuple[float, float, float]) -> None:
    found = balanced(f"  m1: {{{TURNED}, turn: {turn}, low_corner: [1, 2, 3]}}").proposed
    assert found.cg_mm == pytest.approx(centre, abs=1e-9)


def test_inertia_turns_with_the_part() -> None:
    straight = balanced(f"  m1: {{{TURNED}, low_corner: [0, 0, 0]}}").proposed.inertia_kg_m2
    turned = balanced(f"  m1: {{{TURNED}, turn: {{z: 33}}, low_corner: [0, 0, 0]}}").proposed.inertia_kg_m2
    c, s = math.cos(math.radians(33)), math.sin(math.radians(33))
    rotation = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    assert np.array(turned) == pytest.approx(rotation @ np.array(straight) @ rotation.T, abs=1e-12)


def test_mass_from_material_has_the_range_of_both(tmp_path: Path) -> None:
    found = balanced("""
  pad: {role: spacer, change: new, material: aluminium, shape: {box: [100 ± 1, 100, 10]}, low_corner: [0, 0, 0]}
    """)
    (row,) = found.ledger
    assert row.mass is not None
    assert 0.26 < row.mass.nominal < 0.29
    assert row.mass.low <= row.mass.nominal * 0.99
    assert row.mass.high >= row.mass.nominal * 1.01
    assert "density" in row.source


@pytest.mark.parametrize(("hull", "known"), [("", False), ("hull: allowed,", True)])
def test_an_open_mesh_gives_a_mass_only_by_its_hull(hull: str, known: bool, tmp_path: Path) -> None:
    whole = trimesh.creation.box([100, 50, 20])
    trimesh.Trimesh(whole.vertices, whole.faces[:-2]).export(tmp_path / "open.stl")
    found = balanced(
        f"  m1: {{role: duct, change: new, material: steel, {hull} shape: {{mesh: {{file: open.stl, unit: mm}}}},"
        " low_corner: [0, 0, 0]}",
        tmp_path,
    )
    assert (found.proposed.mass_kg is not None) is known
    if known:
        assert found.proposed.cg_mm == pytest.approx((50.0, 25.0, 10.0), abs=1e-3)
    else:
        assert found.proposed.missing == ("m1",)


def test_every_shape_agrees_with_its_mesh() -> None:
    shapes = {
        "tray": "{tray: {inside: [100, 80, 40], wall: 2, floor: 3, lip: {width: 5, thickness: 2}}}",
        "group": "{group: [{shape: {box: [30, 40, 30]}, low_corner: [0, 0, 0]},"
        " {shape: {box: [10, 60, 30]}, low_corner: [30, 0, 0], turn: {z: 90}}]}",
        "prism": "{prism: {outline: [[0, 0], [60, 0], [60, 10], [10, 10], [10, 50], [0, 50]], height: 30, along: y}}",
    }
    blocks = {
        "tray": ([(-2, -2, -3), (102, 82, 0)], [(-2, -2, 0), (0, 82, 40)], [(100, -2, 0), (102, 82, 40)],
                 [(0, -2, 0), (100, 0, 40)], [(0, 80, 0), (100, 82, 40)], [(0, 0, 38), (5, 80, 40)],
                 [(95, 0, 38), (100, 80, 40)], [(5, 0, 38), (95, 5, 40)], [(5, 75, 38), (95, 80, 40)]),
        "group": ([(0, 0, 0), (30, 40, 30)], [(30, 0, 0), (90, 10, 30)]),
        "prism": ([(0, 0, 0), (60, 30, 10)], [(0, 0, 10), (10, 30, 50)]),
    }  # fmt: skip
    for name, shape in shapes.items():
        volumes = [math.prod(np.subtract(high, low)) for low, high in blocks[name]]
        middles = [np.add(low, high) / 2 for low, high in blocks[name]]
        lowest = np.min([low for low, _ in blocks[name]], axis=0)
        centre = sum(v * m for v, m in zip(volumes, middles, strict=True)) / sum(volumes) - lowest
        found = balanced(f"  m1: {{role: other, change: new, mass: 1, shape: {shape}, low_corner: [0, 0, 0]}}").proposed
        assert found.cg_mm == pytest.approx(tuple(centre), abs=1e-9), name
