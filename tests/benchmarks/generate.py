"""Layouts of any size for the benchmarks: a grid of box modules in a case, some of the parts given as meshes.

python tests/benchmarks/generate.py FOLDER --parts 200 --meshes 40 --triangles 50000
"""

from __future__ import annotations

import argparse
import math
from pathlib import Path

import numpy as np
import trimesh

PITCH = (106.0, 66.0)
SIZE = (100.0, 60.0, 80.0)


def bumpy_block(triangles: int, seed: int) -> trimesh.Trimesh:
    """A closed block whose faces are slightly uneven, of about that many triangles."""
    side = max(2, round(math.sqrt(triangles / 12.0)))
    grid = np.linspace(0.0, 1.0, side + 1)
    faces, vertices = [], []
    for axis in range(3):
        for end in (0.0, 1.0):
            u, v = np.meshgrid(grid, grid, indexing="ij")
            points = np.empty((side + 1, side + 1, 3))
            points[..., axis], points[..., (axis + 1) % 3], points[..., (axis + 2) % 3] = end, u, v
            start = sum(len(block) for block in vertices)
            index = np.arange((side + 1) ** 2).reshape(side + 1, side + 1) + start
            a, b, c, d = (part.ravel() for part in (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]))
            two = np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
            faces.append(two if end else two[:, ::-1])
            vertices.append(points.reshape(-1, 3))
    mesh = trimesh.Trimesh(np.vstack(vertices), np.vstack(faces), process=False)
    mesh.merge_vertices()
    rough = np.random.default_rng(seed).uniform(-0.3, 0.0, mesh.vertices.shape)
    inward = np.sign(mesh.vertices - 0.5)
    mesh.vertices = mesh.vertices * SIZE + rough * inward * (np.abs(mesh.vertices - 0.5) > 0.4999)
    return mesh


def write_layout(folder: Path, parts: int, meshes: int, triangles: int) -> Path:
    """The layout file; every part is a module on the floor of one case, every k-th of them a mesh."""
    folder.mkdir(parents=True, exist_ok=True)
    columns = math.ceil(math.sqrt(parts))
    room = [columns * pitch + 20 for pitch in PITCH]
    lines = [
        "fitcheck: 1",
        "title: benchmark grid",
        "units: {length: mm, mass: kg}",
        "axes: {x: rearward, y: right, z: up}",
        "datum: inside corner of the case floor",
        "general_tolerance: ISO 2768-m",
        "defaults: {known_by: drawing}",
        "parts:",
        "  case:",
        "    role: enclosure",
        "    change: retained",
        f"    shape: {{tray: {{inside: [{room[0]}, {room[1]}, 160], wall: 2, floor: 2}}}}",
        "    inside_low_corner: [0, 0, 0]",
        "    mass: 20",
    ]
    distinct = min(meshes, 8)
    for number in range(distinct):
        bumpy_block(triangles, number).export(folder / f"block_{number}.stl")
    stride = parts // meshes if meshes else parts + 1
    for number in range(parts):
        shape = "{box: [100, 60, 80]}"
        if meshes and number % stride == 0 and number // stride < meshes:
            shape = f"{{mesh: {{file: block_{(number // stride) % distinct}.stl, unit: mm, tolerance: 0.2}}}}"
        x, y = 10 + (number % columns) * PITCH[0], 10 + (number // columns) * PITCH[1]
        lines.append(f"  m{number}: {{role: module, change: new, shape: {shape}, mass: 5, low_corner: [{x}, {y}, 1]}}")
    lines += ["gaps:", "  - {between: [every module, every module], at_least: 4}"]
    path = folder / "layout.yaml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--parts", type=int, default=200)
    parser.add_argument("--meshes", type=int, default=0)
    parser.add_argument("--triangles", type=int, default=50_000)
    given = parser.parse_args()
    print(write_layout(given.folder, given.parts, given.meshes, given.triangles))
