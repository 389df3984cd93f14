"""Ways looked for near by first, then farther; and what is said where the search gives up."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from fitcheck.geometry.solid_facets import box_facets
from fitcheck.geometry.surface_paths import chains
from fitcheck.geometry.surface_paths.cells import cells_of, faces_of
from fitcheck.geometry.surface_paths.claws import edges_of, is_convex
from fitcheck.geometry.surface_paths.facing import leaps_among
from fitcheck.geometry.surface_paths.search import Found, ground_of
from fitcheck.geometry.surface_paths.staged import Asked, shortest


def box(corner, size):
    drawn = box_facets(size)
    return drawn.vertices + np.array(corner, dtype=float), drawn.faces


def metal(corner, size=(2, 2, 2)):
    vertices, faces = box(corner, size)
    return [vertices[faces]]


def asked(enough: float, *, hold: float = 1.0, slack: float = 0.0) -> Asked:
    return Asked(narrow=1.0, hold=hold, slack=slack, loose=(0.0, 0.0), enough=enough, longest=1.5 * enough)


class Memory:
    """Keeps what was worked out, and counts it."""

    def __init__(self) -> None:
        self.kept: dict[object, Found | None] = {}

    def __call__(self, key: object, make: Callable[[], Found | None]) -> Found | None:
        if key not in self.kept:
            self.kept[key] = make()
        return self.kept[key]


def test_a_pair_that_stands_like_another_is_not_searched_again_and_its_line_stands_at_its_own_place() -> None:
    memory = Memory()
    faces, loose = faces_of([box([0, 0, -5], [300, 60, 5])])
    ways = []
    for x in (50.0, 150.0):
        ends = metal([x, 30, 0]), metal([x + 5, 30, 0])
        found = shortest(faces, loose, ends, asked(6.0), memory)
        assert found is not None
        ways.append(found)
    assert len(memory.kept) == 1
    assert ways[0].high == ways[1].high == pytest.approx(3.0)
    assert ways[1].line - ways[0].line == pytest.approx(np.tile([100.0, 0.0, 0.0], (len(ways[0].line), 1)))


def test_a_way_longer_than_the_bound_looks_for_is_told_all_the_same() -> None:
    """Over the edge of a plate of 20 x 20 x 4 from the middle of its top to that of its bottom: 10 + 4 + 10."""
    faces, loose = faces_of([box([0, 0, 0], [20, 20, 4])])
    ends = metal([9, 9, 4]), metal([9, 9, -2])
    found = shortest(faces, loose, ends, asked(4.0), Memory())
    assert found is not None
    assert found.low == pytest.approx(6.0, abs=1e-5), "proven as far as was asked, and no farther"
    assert found.high == pytest.approx(9.0 + 4.0 + 9.0, rel=5e-3)
    assert not found.gave_up


def test_a_conductor_that_reaches_no_surface_has_no_way() -> None:
    faces, loose = faces_of([box([0, 0, 0], [20, 20, 4])])
    assert shortest(faces, loose, (metal([2, 9, 4]), metal([12, 9, 5.5])), asked(12.0), Memory()) is None
    held = shortest(faces, loose, (metal([2, 9, 4]), metal([12, 9, 5.5])), asked(12.0, hold=2.0), Memory())
    assert held is not None
    assert 8.0 < held.high < 10.0


def test_a_search_that_gives_up_still_tells_a_way_and_proves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two plates 0.5 mm apart, the conductors on the upper one: its top is walked, 8 mm."""
    monkeypatch.setattr(chains, "MOST_LEAPS", 0)
    faces, loose = faces_of([box([0, 0, 0], [30, 20, 0.8]), box([0, 0, -2.3], [30, 20, 1.8])])
    ends = metal([5, 9, 0.8]), metal([15, 9, 0.8])
    unsure = shortest(faces, loose, ends, asked(6.0), Memory())
    assert unsure is not None
    assert (unsure.low, unsure.gave_up) == (0.0, True)
    assert unsure.high == pytest.approx(8.0)
    short = shortest(faces, loose, ends, asked(9.0), Memory())
    assert short is not None
    assert not short.gave_up, "the way alone says that it is too short"
    assert short.high == pytest.approx(8.0)


def test_a_cell_under_a_joint_is_walked_and_no_leap_starts_there_unless_it_may_open() -> None:
    cells, _ = cells_of([box([0, 0, 0], [20, 20, 4]), box([5, 5, 4], [4, 4, 6])], 1.0)
    joints = [cell for cell in cells if cell.joint]
    assert {cell.body for cell in joints} == {0, 1}
    for body in (0, 1):
        corners = np.concatenate([cell.corners for cell in joints if cell.body == body])
        assert corners.min(axis=0) == pytest.approx([5.0, 5.0, 4.0])
        assert corners.max(axis=0) == pytest.approx([9.0, 9.0, 4.0])
    assert not len(leaps_among(cells, 1.0))
    assert len(leaps_among(cells, 1.0, closed=False))
    ground = ground_of(cells, (metal([0, 6, 4]), metal([10, 6, 4])), 1.0)
    assert not len(ground.net.leaps)


def test_the_edges_of_a_box_are_its_twelve_and_it_is_convex() -> None:
    (whole,) = metal([1.0, 2.0, 3.0], (2, 3, 4))
    assert len(edges_of(whole)) == 12
    assert sorted(np.linalg.norm(np.diff(edges_of(whole), axis=1)[:, 0], axis=1)) == pytest.approx(
        [2.0] * 4 + [3.0] * 4 + [4.0] * 4
    )
    assert is_convex(whole)
    assert not is_convex(whole[:3])
    dented = whole.copy()
    dented[(whole == whole.reshape(-1, 3).max(axis=0)).all(axis=2)] -= 1.0 / math.sqrt(3.0)
    assert not is_convex(np.concatenate([whole, dented]))
