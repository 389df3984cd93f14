"""Distances of placed parts against an independent engine: the Flexible Collision Library (python-fcl).

Layouts of turned boxes, round bars and meshes are placed by fitcheck; the same bodies, built here from their corners
and given to the other engine, must be as far apart. Round bars as the other engine knows them: to its own 1e-4.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import fcl
import numpy as np
import pytest
import trimesh
from engine_layouts import BEGINNING, measured, study

Array = np.ndarray


def turn(axis: str, degrees: float) -> Array:
    """Right-handed, from the textbook formula, written out again on purpose."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return {
        "x": np.array([[1, 0, 0], [0, c, -s], [0, s, c]]),
        "y": np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]]),
        "z": np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]),
    }[axis]


class Body:
    """One part as text for a layout, and as a body of the other engine."""

    def __init__(self, random: Random, name: str, kind: str, folder: Path) -> None:
        self.turns = [
            (random.choice("xyz"), round(random.uniform(-180, 180), 1)) for _ in range(random.choice([0, 1, 2]))
        ]
        self.low = np.array([round(random.uniform(0, 120), 2) for _ in range(3)])
        size = np.array([round(random.uniform(8, 60), 2) for _ in range(3)])
        rotation = np.eye(3)
        for axis, degrees in self.turns:
            rotation = turn(axis, degrees) @ rotation
        if kind == "box":
            shape, geometry = f"{{box: [{size[0]}, {size[1]}, {size[2]}]}}", fcl.Box(*size)
            half = np.abs(rotation) @ size / 2
            centre = self.low + half
        elif kind == "bar":
            shape = f"{{cylinder: {{diameter: {size[0]}, length: {size[2]}, along: z}}}}"
            geometry = fcl.Cylinder(size[0] / 2, size[2])
            axis_z = np.abs(rotation[:, 2])
            half = size[0] / 2 * np.sqrt(np.maximum(0.0, 1 - axis_z**2)) + size[2] / 2 * axis_z
            centre = self.low + half
        else:
            mesh = trimesh.creation.icosphere(subdivisions=2, radius=size[0] / 2)
            mesh.apply_scale([1.0, size[1] / size[0], size[2] / size[0]])
            mesh.apply_translation([7.0, -3.0, 11.0])
            mesh.export(folder / f"{name}.ply")
            read = trimesh.load(folder / f"{name}.ply", process=False)
            shape = f"{{mesh: {{file: {name}.ply, unit: mm}}}}"
            turned = read.vertices @ rotation.T
            geometry = fcl.BVHModel()
            geometry.beginModel(len(read.vertices), len(read.faces))
            geometry.addSubModel(turned + self.low - turned.min(axis=0), read.faces)
            geometry.endModel()
            rotation, centre = np.eye(3), np.zeros(3)
        self.body = fcl.CollisionObject(geometry, fcl.Transform(rotation, centre))
        turns = ", ".join(f"{{{axis}: {degrees}}}" for axis, degrees in self.turns)
        corner = ", ".join(str(value) for value in self.low)
        self.text = f"  {name}: {{role: module, change: new, turn: [{turns}], shape: {shape}, low_corner: [{corner}]}}"
        if not self.turns:
            self.text = self.text.replace("turn: [], ", "")


@pytest.mark.parametrize(
    ("kinds", "seeds", "tolerance"),
    [(("box", "box"), 80, 1e-6), (("box", "bar"), 40, 1e-4), (("mesh", "mesh"), 16, 1e-6)],
    ids=["boxes", "a box and a bar", "meshes"],
)
def test_the_same_distance(kinds: tuple[str, str], seeds: int, tolerance: float, tmp_path: Path) -> None:
    apart = 0
    for seed in range(seeds):
        (tmp_path / str(seed)).mkdir()
        random = Random(f"{kinds}{seed}")  # noqa: S311 (no secret)
        one, other = (Body(random, f"p{number}", kind, tmp_path / str(seed)) for number, kind in enumerate(kinds))
        request, result = fcl.DistanceRequest(enable_nearest_points=True), fcl.DistanceResult()
        truth = fcl.distance(one.body, other.body, request, result)
        found = measured(study(f"parts:\n{one.text}\n{other.text}\n", tmp_path / str(seed)), "p0", "p1", BEGINNING)
        if truth > 0.0:
            apart += 1
            assert found.band.value == pytest.approx(truth, abs=tolerance), seed
            assert np.linalg.norm(np.subtract(*found.points)) == pytest.approx(truth, abs=tolerance), seed
        else:
            # A surface that the other engine sees cross, or a body within the other.
            assert found.band.value <= 1e-6, seed
        assert found.band.low == pytest.approx(found.band.value, abs=1e-6), seed
    assert apart >= seeds // 3
