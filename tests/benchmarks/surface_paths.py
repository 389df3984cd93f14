"""Ways over finely cut insulation: time, how far the bounds stay apart, and memory, as the surface grows.

    python tests/benchmarks/surface_paths.py                      # 3 000, 12 000 and 50 000 triangles
    python tests/benchmarks/surface_paths.py --triangles 200000

A bumpy block with two studs some 15 mm apart on it. Each size runs in a process of its own, for the memory's sake. The
first line is to the stated accuracy of 0.5 %; the second asks only whether 12 mm are kept, as a check does.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import time

import numpy as np

from fitcheck.geometry.solid_facets import box_facets
from fitcheck.geometry.surface_paths.cells import cells_of
from fitcheck.geometry.surface_paths.search import ground_of, search

LONG, WIDE, DEEP = 40.0, 30.0, 10.0
STUDS = (12.0, 14.0), (27.0, 16.0)
FARTHEST = 24.0


def height(x: np.ndarray | float, y: np.ndarray | float) -> np.ndarray | float:
    return 1.5 * np.sin(x * 2.0 * np.pi / 11.0 + 0.3) * np.cos(y * 2.0 * np.pi / 9.0 + 0.2)


def bumpy(triangles: int) -> tuple[np.ndarray, np.ndarray]:
    """A closed block whose top is a field of bumps, of about so many triangles."""
    across = int((triangles / 2.0 * LONG / WIDE) ** 0.5)
    up = int(across * WIDE / LONG)
    x, y = np.meshgrid(np.linspace(0.0, LONG, across + 1), np.linspace(0.0, WIDE, up + 1), indexing="ij")
    top = np.stack([x, y, height(x, y)], axis=-1).reshape(-1, 3)
    number = np.arange(len(top)).reshape(across + 1, up + 1)
    a, b, c, d = (corner.ravel() for corner in (number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]))
    rim = np.concatenate([number[:, 0], number[-1, 1:], number[-2::-1, -1], number[0, -2:0:-1]])
    low = top[rim] * [1.0, 1.0, 0.0] + [0.0, 0.0, -DEEP]
    foot, middle = len(top) + np.arange(len(rim)), len(top) + len(rim)
    after, foot_after = np.roll(rim, -1), np.roll(foot, -1)
    faces = [(a, b, c), (a, c, d), (rim, foot, foot_after), (rim, foot_after, after)]
    faces.append((foot_after, foot, np.full(len(foot), middle)))
    vertices = np.concatenate([top, low, [[LONG / 2.0, WIDE / 2.0, -DEEP]]])
    return vertices, np.concatenate([np.stack(face, axis=1) for face in faces])


def stud(x: float, y: float, size: float = 0.5) -> list[np.ndarray]:
    drawn = box_facets([size] * 3)
    return [(drawn.vertices + np.array([x, y, height(x, y)]) - size / 2.0)[drawn.faces]]


def run(triangles: int, enough: float | None) -> None:
    vertices, faces = bumpy(triangles)
    start = time.process_time()
    cells, _ = cells_of([(vertices, faces)], 1.0)
    ends = [np.array([*at, 0.0]) for at in STUDS]
    middles = np.array([cell.corners.mean(axis=0) for cell in cells])
    near = np.flatnonzero(sum(np.linalg.norm(middles - end, axis=1) for end in ends) < FARTHEST)
    found = search(
        ground_of([cells[k] for k in near.tolist()], (stud(*STUDS[0]), stud(*STUDS[1])), 1.0),
        limit=FARTHEST,
        enough=enough,
    )
    spent = time.process_time() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    apart = 100.0 * (found.high - found.low) / found.high
    print(
        f"{len(faces):>9} {spent:>8.1f} {1e6 * spent / len(faces):>12.0f} {found.low:>8.3f} {found.high:>8.3f}"
        f" {apart:>7.2f} {memory:>8.0f}  {'to 0.5 %' if enough is None else f'at least {enough:g} mm?'}",
        flush=True,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--triangles", type=int, action="append")
    parser.add_argument("--enough", type=float)
    asked = parser.parse_args()
    if asked.enough is not None:
        run(asked.triangles[0], asked.enough or None)
        return
    print(
        f"{'triangles':>9} {'seconds':>8} {'us each':>12} {'low mm':>8} {'high mm':>8} {'apart %':>7} {'MB':>8}",
        flush=True,
    )
    for triangles in asked.triangles or [3_000, 12_000, 50_000]:
        for enough in (0.0, 12.0):
            subprocess.run(
                [sys.executable, __file__, "--triangles", str(triangles), "--enough", str(enough)], check=True
            )


if __name__ == "__main__":
    main()
