from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, box

from fitcheck.report.workshop.seats import CLEAR, Seat, Seats, around, beside, within

WIDE, TALL = 6.0, 2.4


def letters(seat: Seat):
    x, y = seat.at
    return box(x, y - 0.2 * TALL, x + WIDE, y + 0.8 * TALL)


@given(st.tuples(*[st.floats(-30, 30)] * 4))
def test_a_line_is_met_where_it_runs_through_the_letters(ends):
    """Against another library: of two seats the clear one is taken."""
    seats = Seats()
    seats.line([ends[:2], ends[2:]])
    near, far = Seat(at=(0.0, 0.0)), Seat(at=(500.0, 500.0))
    line = LineString([ends[:2], ends[2:]])
    taken = seats.take([near, far], WIDE, TALL)
    if line.distance(letters(near)) > CLEAR * 1.5:
        assert taken == near
    if line.length > 1e-6 and line.intersects(letters(near)):
        assert taken == far


def test_letters_do_not_stand_on_letters():
    seats = Seats()
    choices = [Seat(at=(4.0 * step, 0.0)) for step in range(10)]
    taken = [seats.take(choices, WIDE, TALL) for _ in range(5)]
    assert [seat.at[0] for seat in taken] == [0.0, 8.0, 16.0, 24.0, 32.0]


def test_where_nothing_is_clear_a_line_is_crossed_rather_than_letters():
    seats = Seats()
    first = seats.take([Seat(at=(0.0, 0.0))], WIDE, TALL)
    seats.line([(20.0, -5.0), (20.0, 5.0)])
    seats.line([(22.0, -5.0), (22.0, 5.0)])
    assert seats.take([first, Seat(at=(18.0, 0.0))], WIDE, TALL).at == (18.0, 0.0)


@pytest.mark.parametrize("is_round", [True, False])
def test_seats_around_a_hole_are_clear_of_it_and_only_far_ones_have_a_leader(is_round):
    from shapely import Point

    hole = Point(10.0, 10.0).buffer(5.0) if is_round else box(5.0, 5.0, 15.0, 15.0)
    found = list(around((5.0, 5.0), (15.0, 15.0), WIDE, TALL, is_round=is_round))
    assert len(found) == 12
    for number, seat in enumerate(found):
        assert letters(seat).intersection(hole).area < 0.05 * WIDE * TALL
        assert (seat.tip is None) == (number < 4)


def test_seats_within_an_opening_are_inside():
    for seat in within((0.0, 0.0), (30.0, 12.0), WIDE, TALL):
        assert box(0.0, 0.0, 30.0, 12.0).contains(letters(seat))


@pytest.mark.parametrize("way", [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.6, -0.8)])
def test_a_radius_stands_off_its_arc_on_either_side(way):
    for seat in beside((50.0, 50.0), way, WIDE, TALL):
        assert seat.tip == (50.0, 50.0)
        assert letters(seat).distance(LineString([(50.0, 50.0), (50.0, 50.001)])) > 3.0
