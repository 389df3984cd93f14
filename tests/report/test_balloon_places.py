"""Where the number of a part stands: on the part, inside the picture, clear of what is written."""

from __future__ import annotations

import pytest
import shapely

from fitcheck.report.balloon_places import place

FRAME = (0.0, 0.0, 100.0, 100.0)
SIZE = (10.0, 10.0)


def test_a_number_stands_in_the_middle_of_a_small_part():
    assert place(shapely.box(40, 40, 60, 60), SIZE, FRAME, []) == pytest.approx((50.0, 50.0), abs=0.7)


def test_it_keeps_off_what_is_written():
    written = shapely.box(30, 30, 70, 70)
    x, y = place(shapely.box(20, 20, 95, 80), SIZE, FRAME, [written])
    assert shapely.box(x - 5, y - 5, x + 5, y + 5).distance(written) > 0.0


def test_it_keeps_inside_the_picture():
    x, y = place(shapely.box(-50, 92, 150, 200), SIZE, FRAME, [])
    assert 5.0 <= x <= 95.0
    assert y <= 95.0


def test_a_part_without_room_bears_no_number():
    assert place(shapely.box(40, 40, 60, 60), SIZE, FRAME, [shapely.box(0, 0, 100, 100)]) is None
    assert place(shapely.box(200, 200, 210, 210), SIZE, FRAME, []) is None
    assert place(shapely.LineString([(0, 0), (9, 9)]), SIZE, FRAME, []) is None


def test_of_a_part_in_pieces_the_piece_with_room_bears_it():
    pieces = shapely.union(shapely.box(10, 10, 50, 30), shapely.box(70, 70, 90, 90))
    x, y = place(pieces, SIZE, FRAME, [shapely.box(0, 0, 60, 40)])
    assert 70 < x < 90
    assert 70 < y < 90
