"""How far a part's own inertia, its volume and its centroid may be off by its sizes."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import trimesh
from engine_layouts import study

from fitcheck.geometry.composite import BandedWeight
from fitcheck.weights.bodies import body_of
from fitcheck.weights.ledger import balance_of


def weight(entries: str, folder: Path = Path()) -> BandedWeight:
    placed = study(f"parts:\n  p: {{role: other, change: new, low_corner: [0, 0, 0], {entries}}}\n", folder)
    body = body_of(placed, placed.layout.parts[0])
    assert body is not None
    assert body.weight is not None
    return body.weight


def test_a_box_by_hand() -> None:
    """m/12 (y² + z²): y of 200 ± 2 and z of 100 ± 1 at the heaviest, 12 kg."""
    found = weight("mass: 12, shape: {box: [300, 200 ± 2, 100 ± 1]}")
    by_y, by_z = (202**2 - 200**2) * 1e-6, (101**2 - 100**2) * 1e-6
    expected = [by_y + by_z, by_z, by_y]
    assert np.diag(found.inertia_half) == pytest.approx(expected, rel=1e-12)
    assert found.inertia_rss_half is not None
    assert np.diag(found.inertia_rss_half) == pytest.approx([math.hypot(by_y, by_z), by_z, by_y], rel=1e-12)
    assert found.inertia_half[0, 1] == 0.0


def test_a_quarter_turn_takes_the_band_along() -> None:
    straight = weight("mass: 12, shape: {box: [300, 200 ± 2, 100]}").inertia_half
    turned = weight("mass: 12, turn: {z: 90}, shape: {box: [300, 200 ± 2, 100]}").inertia_half
    assert np.diag(turned) == pytest.approx(np.diag(straight)[[1, 0, 2]], abs=1e-15)


def test_an_uncertain_turn_is_never_too_narrow() -> None:
    """A rod of 1000 mm along x, turned by up to 2 degrees: what turning does, against the band."""
    found = weight("mass: 6, turn: {z: 30 ± 2}, shape: {box: [1000, 10, 10]}")
    own = np.diag([6 / 12 * 200, 6 / 12 * 1_000_100, 6 / 12 * 1_000_100]) * 1e-6
    for degrees in np.linspace(28, 32, 41):
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        rotation = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
        apart = np.abs(rotation @ own @ rotation.T - found.weight.inertia)
        assert (apart <= found.inertia_half + 1e-12).all()
    assert found.inertia_half.max() < 0.04 * own.max()


def test_a_stated_tensor_has_the_tolerance_it_states() -> None:
    entries = (
        "mass: 5, shape: {box: [1 ± 0.5, 2, 3]}, inertia: [[0.1 ± 0.01, 0.02 ± 0.003, 0], [0.02, 0.2, 0], [0, 0, 0.25]]"
    )
    found = weight(entries)
    expected = [[0.01, 0.003, 0], [0.003, 0, 0], [0, 0, 0]]
    assert found.inertia_half == pytest.approx(np.array(expected), abs=1e-15)
    assert weight("mass: 5, shape: {box: [1, 2, 3]}, inertia: [0.1, 0.2, 0.25]").inertia_half.max() == 0.0


def test_the_largest_box_is_larger_than_the_sum_of_its_sides() -> None:
    found = study(
        "parts:\n  p: {role: other, change: new, material: aluminium, low_corner: [0, 0, 0], "
        "shape: {box: [100 ± 10, 100 ± 10, 100 ± 10]}}\n"
    )
    (row,) = balance_of(found).ledger
    assert row.mass is not None
    assert row.mass.high >= row.mass.nominal * 1.1**3 * (1 - 1e-12)
    assert row.mass.low <= row.mass.nominal * 0.9**3 * (1 + 1e-12)


def test_a_thicker_floor_draws_a_tray_down() -> None:
    """Faces that stay, and yet the centroid goes: the floor alone makes it 40 mm ± 4."""
    tray = "{tray: {inside: [100, 100, 100], wall: 2, floor: FLOOR}}"
    found = weight(f"mass: 1, shape: {tray.replace('FLOOR', '4 ± 1')}")
    for floor in (3.0, 5.0):
        one = weight(f"mass: 1, shape: {tray.replace('FLOOR', str(floor))}")
        assert found.centre_low[2] <= one.weight.centre[2] <= found.centre_high[2]
    assert found.centre_high[2] - found.centre_low[2] > 5.0


def test_a_mesh_whose_surface_is_unsure_has_a_finite_band(tmp_path: Path) -> None:
    trimesh.creation.box([100, 50, 20]).export(tmp_path / "block.stl")
    mesh = "shape: {mesh: {file: block.stl, unit: mm, tolerance: LOOSE}}, mass: 2"
    fine, coarse = (weight(mesh.replace("LOOSE", loose), tmp_path) for loose in ("0.1", "40"))
    grown = np.diag([50.2**2 + 20.2**2, 100.2**2 + 20.2**2, 100.2**2 + 50.2**2]) * 2 / 12 * 1e-6
    assert (np.abs(grown - fine.weight.inertia) <= fine.inertia_half).all()
    assert np.isfinite(coarse.inertia_half).all()
    assert np.isfinite(coarse.centre_high).all()
