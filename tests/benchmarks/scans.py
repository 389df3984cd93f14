"""Time and memory of `fitcheck check` on scans of growing size with the same two modules, as ratios to the smallest.

    python tests/benchmarks/scans.py                        # 250 000 and 1 000 000 triangles
    python tests/benchmarks/scans.py --triangles 4000000    # also one of that size
    python tests/benchmarks/scans.py --overlapping          # a module stands in the scan; how to mend that is sought
    python tests/benchmarks/scans.py --overlapping --open   # the same, and the scan is not closed

Each run is a process of its own, so that its peak memory is its own; the time is processor time. Only what lies near a
module is looked at in full, so what grows with the scan is reading it, examining its surface, and what of it is near.
"""

from __future__ import annotations

import argparse
import math
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

LAYOUT = """\
fitcheck: 1
title: benchmark scan
units: {length: mm, mass: kg}
axes: {x: rearward, y: right, z: up}
datum: corner of the scanned floor
general_tolerance: ISO 2768-m
defaults: {known_by: drawing}
parts:
  floor: {role: enclosure, change: retained, shape: {mesh: {file: scan.stl, unit: mm, tolerance: 0.5}}, mass: 12,
          file_origin: [0, 0, 0]}
  one: {role: module, change: new, shape: {box: [200, 150, 90]}, mass: 9, low_corner: [350, 220, {height}]}
  two: {role: module, change: new, shape: {box: [200, 150, 90]}, mass: 9, low_corner: [100, 60, 58]}
gaps:
  - {between: [every module, floor], at_least: 5}
"""

CLEAR, OVERLAPPING = "65", "45"
"""Heights of the first module: above the scan's highest place, and below it."""

LEFT_OUT = 7
"""Triangles that an open scan lacks."""


def scan(triangles: int, left_out: int) -> bytes:
    """A rough floor pan 900 x 600, upper and lower side and rim, as a binary STL file; closed if none is left out."""
    cells, rng = round(math.sqrt(triangles / 4.0)), np.random.default_rng(1)
    x, y = np.meshgrid(np.linspace(0, 900, cells + 1), np.linspace(0, 600, cells + 1), indexing="ij")
    top = 40 + 12 * np.sin(x / 37) * np.cos(y / 29) + rng.normal(0, 0.05, x.shape)
    bottom = 5 * np.sin(x / 61) + rng.normal(0, 0.05, x.shape)
    count = (cells + 1) ** 2
    vertices = np.vstack([np.column_stack([x.ravel(), y.ravel(), z.ravel()]) for z in (top, bottom)])
    rows = np.arange(count).reshape(cells + 1, cells + 1)
    a, b, c, d = (part.ravel() for part in (rows[:-1, :-1], rows[1:, :-1], rows[1:, 1:], rows[:-1, 1:]))
    up = np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    ring = np.concatenate([rows[:-1, 0], rows[-1, :-1], rows[:0:-1, -1], rows[0, :0:-1]])
    after = np.roll(ring, -1)
    rim = [np.column_stack([ring, after + count, after]), np.column_stack([ring, ring + count, after + count])]
    faces = np.vstack([up, up[:, ::-1] + count, *rim])[left_out:]
    stl = np.zeros(len(faces), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    stl["corners"] = vertices[faces]
    return b"scan".ljust(80) + np.uint32(len(faces)).tobytes() + stl.tobytes()


def measured(folder: Path, expected: int) -> tuple[float, float]:
    """(seconds of processor time, peak memory in GB) of one check, which has to end with that exit status."""
    process = subprocess.Popen([sys.executable, "-m", "fitcheck", "check", str(folder / "layout.yaml"), "--quiet"])
    _, status, used = os.wait4(process.pid, 0)
    if os.waitstatus_to_exitcode(status) != expected:
        raise SystemExit(f"the check ended with {os.waitstatus_to_exitcode(status)}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1e6


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--triangles", type=int, action="append", default=[])
    parser.add_argument("--overlapping", action="store_true")
    parser.add_argument("--open", action="store_true")
    chosen = parser.parse_args()
    layout = LAYOUT.replace("{height}", OVERLAPPING if chosen.overlapping else CLEAR)
    first: tuple[float, float] | None = None
    for triangles in (250_000, 1_000_000, *chosen.triangles):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            (folder / "scan.stl").write_bytes(scan(triangles, LEFT_OUT if chosen.open else 0))
            (folder / "layout.yaml").write_text(layout, encoding="utf-8")
            seconds, memory = measured(folder, 1 if chosen.overlapping else 0)
        first = first or (seconds, memory)
        print(
            f"{triangles:>9} triangles: {seconds:6.1f} s of processor time ({seconds / first[0]:.2f}), "
            f"peak {memory:.2f} GB ({memory / first[1]:.2f})"
        )


if __name__ == "__main__":
    main()
