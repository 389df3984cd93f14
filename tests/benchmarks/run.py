"""Times of fitcheck against an all-pairs script on the plain mesh library, in the same run, as ratios.

    python tests/benchmarks/run.py                 # boxes only, 10 to 1000 parts
    python tests/benchmarks/run.py --meshes        # also with meshes, up to a million triangles

The plain script asks a general collision library for the distance of every pair of parts at nominal, with no bands, no
rules and no second look: what one would write first. Where all its pairs would take longer than a minute, a sample of
them is timed and the total extrapolated, and the line says so.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
from itertools import combinations
from pathlib import Path

import fcl
import numpy as np
from generate import write_layout

from fitcheck.findings import Finding
from fitcheck.model.part import Build
from fitcheck.run import geometric, scene, study_of

PATIENCE_S = 60.0


def ours(path: Path) -> tuple[float, list[Finding]]:
    start = time.perf_counter()
    found = geometric(study_of(path), Build.PROPOSED)
    return time.perf_counter() - start, found


def plain(path: Path) -> tuple[float, bool]:
    """(seconds for all pairs, whether extrapolated), trees built once and kept."""
    parts = scene(path).parts
    start = time.perf_counter()
    objects = []
    for part in parts:
        model = fcl.BVHModel()
        model.beginModel(len(part.vertices), len(part.faces))
        model.addSubModel(np.ascontiguousarray(part.vertices), np.ascontiguousarray(part.faces))
        model.endModel()
        objects.append(fcl.CollisionObject(model, fcl.Transform()))
    build = time.perf_counter() - start
    pairs = list(combinations(objects, 2))
    random.Random(1).shuffle(pairs)  # noqa: S311 (a sample of pairs, not a secret)
    start = time.perf_counter()
    for done, (one, other) in enumerate(pairs, 1):
        fcl.distance(one, other, fcl.DistanceRequest(), fcl.DistanceResult())
        spent = time.perf_counter() - start
        if spent > PATIENCE_S:
            return build + spent * len(pairs) / done, True
    return build + time.perf_counter() - start, False


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--meshes", action="store_true")
    cases = [(10, 0, 0), (50, 0, 0), (200, 0, 0), (1000, 0, 0)]
    if parser.parse_args().meshes:
        cases += [(50, 10, 10_000), (200, 20, 50_000)]
    print(f"{'parts':>6} {'meshes':>7} {'triangles':>10} {'fitcheck s':>11} {'all pairs s':>12} {'ratio':>7}")
    for parts, meshes, triangles in cases:
        with tempfile.TemporaryDirectory() as folder:
            path = write_layout(Path(folder), parts, meshes, triangles)
            mine, found = ours(path)
            other, extrapolated = plain(path)
        said = "  (extrapolated)" if extrapolated else ""
        print(
            f"{parts:>6} {meshes:>7} {meshes * triangles:>10} {mine:>11.2f} {other:>12.2f} {mine / other:>7.3f}"
            f"  {len(found)} findings{said}"
        )


if __name__ == "__main__":
    main()
