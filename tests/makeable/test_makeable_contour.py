from __future__ import annotations

import itertools
import math

import pytest

from fitcheck.makeable.contour import Loop, Round, area, box_of, contour_of, moved, polygon_of, rectangle, ring_of


def ring(count: int, radius: float = 10.0, centre=(3.0, -4.0)):
    return tuple(
        (round(centre[0] + radius * math.cos(2 * math.pi * n / count), 2),
         round(centre[1] + radius * math.sin(2 * math.pi * n / count), 2))
        for n in range(count)
    )  # fmt: skip


@pytest.mark.parametrize("count", [12, 24, 64])
def test_many_corners_on_a_circle_are_a_circle(count):
    found = contour_of(ring(count))
    assert isinstance(found, Round)
    assert found.centre == pytest.approx((3.0, -4.0), abs=0.01)
    assert found.diameter == pytest.approx(20.0, abs=0.02)


@pytest.mark.parametrize("count", [4, 6, 8, 11])
def test_few_corners_stay_what_they_are(count):
    assert contour_of(ring(count)) == Loop(corners=ring(count))


def test_an_oval_and_half_a_circle_are_no_circle():
    oval = tuple((x * 1.01, y) for x, y in ring(24))
    half = ring(48)[:25]
    assert isinstance(contour_of(oval), Loop)
    assert isinstance(contour_of(half), Loop)


def test_a_circle_becomes_a_ring_within_a_hundredth():
    circle = Round(centre=(5.0, 5.0), diameter=250.0)
    corners = ring_of(circle)
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in itertools.pairwise(corners)]
    assert max(math.dist((5.0, 5.0), corner) for corner in corners) == pytest.approx(125.0, abs=1e-9)
    assert min(math.dist((5.0, 5.0), middle) for middle in middles) >= 125.0 - 0.01 - 1e-9


def test_rings_come_counter_clockwise_whichever_way_they_were_written():
    square = rectangle(4.0, 2.0)
    back = Loop(corners=square.corners[::-1])
    assert ring_of(back) == ring_of(square)
    assert area(back) == area(square) == 8.0
    assert polygon_of(square, [moved(Round(centre=(0.0, 0.0), diameter=1.0), (2.0, 1.0))]).area < 8.0
    assert box_of(moved(back, (1.0, 1.0))) == ((1.0, 1.0), (5.0, 3.0))
