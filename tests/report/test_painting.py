"""What lies nearer to the viewer is painted later, also where the other part reaches farther out somewhere else."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from fitcheck.report.painting import Seen, places, seen

QUADS = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
FACES = np.array([face for a, b, c, d in QUADS for face in ((a, b, c), (a, c, d))])
UNIT = np.array(list(itertools.product((0.0, 1.0), repeat=3)))


def boxes(*spans) -> Seen:
    """One part made of boxes, each (low corner, high corner): to the right, up, toward the viewer."""
    points = [UNIT * np.subtract(high, low) + low for low, high in spans]
    return seen(np.vstack(points), np.vstack([FACES + 8 * number for number in range(len(points))]))


BLOCK = boxes(((0, 0, -12), (90, 60, 0)), ((45, 0, 0), (46, 60, 4)))
"""A block with a rib that stands 4 high."""
LOW = boxes(((34, 25, 0), (44, 35, 3)))
"""Stands on the block beside the rib, and is lower than it."""
ON_LOW = boxes(((36, 27, 3), (42, 33, 3.5)))


def fine(part: Seen, steps: int) -> Seen:
    """The top of a box as a fine grid of triangles, with its corners."""
    (x, y, _), (far_x, far_y, near) = part.points.min(axis=0), part.points.max(axis=0)
    grid = np.array([(u, v, near) for v in np.linspace(y, far_y, steps) for u in np.linspace(x, far_x, steps)])
    cells = [row * steps + column for row in range(steps - 1) for column in range(steps - 1)]
    faces = [face for at in cells for face in ((at, at + 1, at + steps), (at + 1, at + steps + 1, at + steps))]
    return seen(np.vstack([grid, part.points]), np.vstack([faces, FACES + len(grid)]))


@pytest.mark.parametrize("order", list(itertools.permutations(range(3))))
def test_a_low_part_on_a_ribbed_block_is_painted_over_it(order):
    parts = (BLOCK, LOW, ON_LOW)
    found = places([parts[which] for which in order])
    assert [found[order.index(which)] for which in range(3)] == [0, 1, 2]


def test_a_fine_mesh_is_told_by_its_corners():
    scan = fine(LOW, 60)
    assert len(scan.faces) > 4_000
    assert places([scan, BLOCK]) == [1, 0]


def test_parts_beside_each_other_go_by_how_near_they_come():
    assert places([boxes(((0, 0, 0), (1, 1, 9))), boxes(((5, 0, 0), (6, 1, 3)))]) == [1, 0]


def test_a_ring_of_parts_gets_a_place_each():
    # Each beam lies over the next one at one end and under the one before at the other.
    ring = [
        boxes(((0, 0, 0), (10, 2, 1)), ((8, 0, 1), (10, 2, 4))),
        boxes(((8, 0, 2), (10, 10, 3)), ((8, 8, 3), (10, 10, 6))),
        boxes(((0, 8, 4), (10, 10, 5)), ((0, 8, 5), (2, 10, 7))),
        boxes(((0, 0, 6), (2, 10, 6.5)), ((0, 0, -3), (2, 2, -2))),
    ]
    assert sorted(places(ring)) == [0, 1, 2, 3]


def test_a_part_without_faces_takes_a_place_too():
    assert sorted(places([BLOCK, seen(UNIT, np.empty((0, 3), dtype=int))])) == [0, 1]
