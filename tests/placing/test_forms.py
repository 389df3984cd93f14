from __future__ import annotations

import math

import pytest

from fitcheck.model.quantity import Quantity, exact
from fitcheck.placing.forms import Extra, Form, constant, dot, fall, form_of, is_helper, rise, root_sum_square

WIDTHS = {"a": (1.0, 2.0), "b": (0.5, 0.25)}


def test_a_shared_reference_cancels() -> None:
    reference = Form(100.0, {"a": 1.0})
    assert (reference + Form(5.0, {"b": 1.0})) - reference == Form(5.0, {"b": 1.0})


def test_bounds_take_each_value_at_its_own_end() -> None:
    form = Form(10.0, {"a": 2.0, "b": -4.0})
    assert form.low(WIDTHS) == 10.0 - 2.0 * 1.0 - 4.0 * 0.25
    assert form.high(WIDTHS) == 10.0 + 2.0 * 2.0 + 4.0 * 0.5


@pytest.mark.parametrize(("share", "down", "up"), [(2.0, -2.0, 4.0), (-2.0, -4.0, 2.0), (0.0, 0.0, 0.0)])
def test_what_one_value_does(share: float, down: float, up: float) -> None:
    assert fall(share, WIDTHS["a"]) == down
    assert rise(share, WIDTHS["a"]) == up


def test_an_exact_value_is_a_constant_and_another_is_not() -> None:
    assert form_of(exact("a", 3.0)) == constant(3.0)
    assert form_of(Quantity(name="a", nominal=3.0, unit="mm", above=0.1)) == Form(3.0, {"a": 1.0})


def test_dot_leaves_out_what_has_no_share() -> None:
    assert dot((0.0, 2.0), (Form(1.0, {"a": 1.0}), Form(3.0, {"b": 1.0}))) == Form(6.0, {"b": 2.0})


def test_a_product_stays_sound() -> None:
    extra = Extra(WIDTHS)
    found = extra.product(Form(10.0, {"a": 1.0}), Form(3.0, {"b": 1.0}), "area")
    ends = [(10.0 + a) * (3.0 + b) for a in (-1.0, 2.0) for b in (-0.5, 0.25)]
    assert found.low(extra.widths) <= min(ends)
    assert found.high(extra.widths) >= max(ends)
    # The second-order rest is at most the product of both spreads, either way.
    assert found.low(extra.widths) >= min(ends) - 2.0 * 2.0 * 0.5
    assert [name for name in found.terms if is_helper(name)]


def test_a_product_with_an_exact_value_needs_no_helper() -> None:
    extra = Extra(WIDTHS)
    assert extra.product(Form(10.0, {"a": 1.0}), constant(3.0), "area") == Form(30.0, {"a": 3.0})
    assert extra.helpers == {}


def test_the_largest_of_several_covers_each_of_them() -> None:
    extra = Extra(WIDTHS)
    one, other = Form(10.0, {"a": 1.0}), Form(9.5, {"b": 1.0})
    found = extra.largest([one, other], "top")
    assert found.nominal == 10.0
    for a in (-1.0, 0.0, 2.0):
        for b in (-0.5, 0.0, 0.25):
            truth = max(10.0 + a, 9.5 + b)
            along = 10.0 + a
            # The helper runs from 0 to its width: the truth is within it.
            (helper,) = extra.helpers.values()
            assert along <= truth <= along + helper[1]


def test_one_that_is_always_largest_needs_no_helper() -> None:
    extra = Extra(WIDTHS)
    assert extra.largest([Form(10.0, {"a": 1.0}), Form(2.0, {"b": 1.0})], "top") == Form(10.0, {"a": 1.0})
    assert extra.smallest([Form(10.0, {"a": 1.0}), Form(2.0, {"b": 1.0})], "low") == Form(2.0, {"b": 1.0})
    assert extra.helpers == {}


def test_root_sum_square() -> None:
    assert root_sum_square([3.0, -4.0]) == 5.0
    assert root_sum_square([0.1] * 10) == pytest.approx(math.sqrt(0.1), abs=1e-15)
