"""The vehicle's inertia before and after, beside an independent composition and beside sampled builds."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from vehicle_layouts import cube, layout, vehicle, weigh

from fitcheck.vehicle import inertia

PARTS = cube("old", "removed", "200 ± 2", (300, 0, 100)) + cube("new", "new", "150 ± 1", (200, 40, 180))
GIVEN = np.array([[500.0, 10.0, 20.0], [10.0, 1500.0, -5.0], [20.0, -5.0, 1700.0]])
VEHICLE = (
    "{wheelbase: 2500, track: 1400, weighed: {front: 700, rear: 800}, cg_height: 600 ± 5, case_low: [1000, 0, 200], "
    "inertia: [[500, 10, 20], [10, 1500, -5], [20, -5, 1700]]}"
)


def carried(mass: float, arm: np.ndarray) -> np.ndarray:
    return mass * (arm @ arm * np.eye(3) - np.outer(arm, arm)) * 1e-6


def by_hand(old: float, new: float, height: float) -> np.ndarray:
    """Plain sums about the new centre; cubes 20 mm each way."""
    bodies = [
        (1500.0, np.array([800 / 1500 * 2500, 0.0, height]), GIVEN),
        (-old, np.array([1300.0, 0.0, 300.0]), -np.eye(3) * old * 20**2 / 6 * 1e-6),
        (new, np.array([1200.0, 40.0, 380.0]), np.eye(3) * new * 20**2 / 6 * 1e-6),
    ]
    centre = sum(mass * at for mass, at, _ in bodies) / sum(mass for mass, _, _ in bodies)
    return sum(own + carried(mass, at - centre) for mass, at, own in bodies)


def test_the_tensor_is_that_of_plain_sums():
    found = vehicle(layout(PARTS, VEHICLE)).after
    assert found is not None
    np.testing.assert_allclose(found.inertia_kg_m2, by_hand(200, 150, 600), rtol=1e-12, atol=1e-9)


def test_no_sampled_build_lies_outside_the_worst_case():
    found = vehicle(layout(PARTS, VEHICLE)).after
    assert found is not None
    tensor, worst, rss = (np.array(each) for each in (found.inertia_kg_m2, found.inertia_worst, found.inertia_rss))
    rng = np.random.default_rng(7)
    for old, new, height in rng.uniform([198, 149, 595], [202, 151, 605], (300, 3)):
        assert np.all(np.abs(by_hand(old, new, height) - tensor) <= worst + 1e-9)
    assert np.all(rss <= worst + 1e-9)
    assert rss[0, 0] > 0.0


def test_taking_out_and_putting_back_changes_nothing():
    same = cube("old", "removed", "200", (300, 0, 100)) + cube("new", "new", "200", (300, 0, 100))
    found = vehicle(layout(same, VEHICLE)).after
    assert found is not None
    np.testing.assert_allclose(found.inertia_kg_m2, GIVEN, rtol=1e-12, atol=1e-9)


def test_turned_boxes_against_trimesh():
    """A vehicle made of boxes, one of them turned and then swapped for another, composed by trimesh instead."""
    body = trimesh.creation.box([3.0, 1.4, 0.9])
    body.apply_translation([1.2, 0.0, 0.7])
    turn = trimesh.transformations.rotation_matrix(np.radians(30), [0, 0, 1])
    old = trimesh.creation.box([0.6, 0.3, 0.2], transform=turn)
    low = old.bounds[0]
    old.apply_translation(np.array([1.3, 0.2, 0.4]) - low)
    new = trimesh.creation.box([0.5, 0.2, 0.1])
    new.apply_translation(np.array([1.3, 0.2, 0.4]) - new.bounds[0])

    def together(*weighed: tuple[trimesh.Trimesh, float]) -> tuple[float, np.ndarray, np.ndarray]:
        total = sum(mass for _, mass in weighed)
        centre = sum(mass * mesh.center_mass for mesh, mass in weighed) / total
        tensor = np.zeros((3, 3))
        for mesh, mass in weighed:
            mesh.density = mass / mesh.volume
            moved = mesh.copy()
            moved.density = mesh.density
            moved.apply_translation(-centre)
            frame = np.eye(4)
            tensor += moved.moment_inertia_frame(frame)
        return total, centre, tensor

    mass, centre, before = together((body, 1200.0), (old, 90.0))
    _, _, after = together((body, 1200.0), (new, 70.0))
    rear = mass * centre[0] / 2.5
    words = ", ".join(str([float(value) for value in row]) for row in before)
    parts = (
        "  old: {role: module, change: removed, shape: {box: [600, 300, 200]}, mass: 90, turn: {z: 30}, "
        "low_corner: [300, 200, 100]}\n"
        "  new: {role: module, change: new, shape: {box: [500, 200, 100]}, mass: 70, low_corner: [300, 200, 100]}\n"
    )
    half = mass / 2.0 - mass * centre[1] / 1.4
    weighed = {
        "front left": (mass - rear) * half / mass, "front right": (mass - rear) * (1 - half / mass),
        "rear left": rear * half / mass, "rear right": rear * (1 - half / mass),
    }  # fmt: skip
    told = ", ".join(f"{name}: {float(kg)!r}" for name, kg in weighed.items())
    found = vehicle(
        layout(
            parts,
            f"{{wheelbase: 2500, track: 1400, weighed: {{{told}}}, cg_height: {float(centre[2] * 1000)!r}, "
            f"case_low: [1000, 0, 300], inertia: [{words}]}}",
        )
    ).after
    assert found is not None
    np.testing.assert_allclose(found.inertia_kg_m2, after, rtol=1e-7, atol=1e-6)


@pytest.mark.parametrize("without", ["cg_height: 600 ± 5, ", "case_low: [1000, 0, 200], "])
def test_nothing_is_told_where_height_or_place_is_missing(without):
    found = weigh(layout(PARTS, VEHICLE.replace(without, "")))
    assert inertia.swapped(found.swap) is None
    assert found.summary.after is None or found.summary.after.inertia_kg_m2 is None


def test_the_doubt_about_the_stated_tensor_is_told_before_and_after_and_cancels_in_the_change():
    sure, unsure = (
        vehicle(layout(PARTS, VEHICLE.replace("[[500, 10, 20]", words)))
        for words in ("[[500, 10, 20]", "[[500 ± 30, 10 ± 4, 20]")
    )
    expected = np.array([[30.0, 4, 0], [4, 0, 0], [0, 0, 0]])
    assert unsure.before is not None
    assert unsure.after is not None
    assert sure.after is not None
    assert unsure.change is not None
    assert sure.change is not None
    np.testing.assert_allclose(unsure.before.inertia_worst, expected)
    np.testing.assert_allclose(unsure.before.inertia_rss, expected)
    np.testing.assert_allclose(unsure.change.inertia_worst, sure.change.inertia_worst)
    np.testing.assert_allclose(unsure.after.inertia_worst, np.array(sure.after.inertia_worst) + expected)
    np.testing.assert_allclose(unsure.after.inertia_rss, np.hypot(sure.after.inertia_rss, expected))
    assert [value.name for value in sure.taken_as_exact][-1] == "vehicle.inertia"
    assert "vehicle.inertia" not in [value.name for value in unsure.taken_as_exact]
