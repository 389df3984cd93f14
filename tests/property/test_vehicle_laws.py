"""Laws of the vehicle's bands: no build within tolerance lies outside, bounds are reached, sums hold."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.findings import Band
from fitcheck.vehicle.extremes import band, value
from fitcheck.vehicle.figures import (
    CENTRE,
    FRONT,
    FRONT_SHARE,
    LEFT,
    REAR,
    REAR_SHARE,
    RIGHT,
    TOTAL,
    change_of,
    state_of,
)
from fitcheck.vehicle.loading import Load, Loading, Span, Z, fixed

FIGURES = (TOTAL, FRONT, REAR, LEFT, RIGHT, FRONT_SHARE, REAR_SHARE, *CENTRE)
SLACK = 1e-7


def span(draw: st.DrawFn, name: str, low: float, high: float, most: float) -> Span:
    nominal = draw(st.floats(low, high))
    below, above = draw(st.floats(0, most)), draw(st.floats(0, most))
    return Span(name=name, nominal=nominal, low=nominal - below, high=nominal + above)


@st.composite
def loadings(draw: st.DrawFn) -> Loading:
    nowhere = (fixed("own"), fixed("own"), fixed("own"))
    corners = ("front left", 0.0, -0.5), ("front right", 0.0, 0.5), ("rear left", 1.0, -0.5), ("rear right", 1.0, 0.5)
    loads = [
        Load(sign=1.0, mass=span(draw, name, 300, 900, 20), own=nowhere, multiple=(x, y, 1.0)) for name, x, y in corners
    ]
    for number in range(draw(st.integers(1, 4))):
        name = f"part {number}"
        own = tuple(span(draw, f"{name}.{axis}", -800, 800, 15) for axis in "xyz")
        loads.append(
            Load(
                sign=draw(st.sampled_from([-1.0, 1.0])),
                mass=span(draw, f"{name}.mass", 12, 200, 10),
                own=(own[0], own[1], own[2]),
                in_case=draw(st.booleans()),
            )
        )
    stretch = (
        span(draw, "wheelbase", 1500, 4000, 10),
        span(draw, "track", 1000, 1800, 10),
        span(draw, "height", 400, 900, 60),
    )
    datum = tuple(span(draw, f"case_low.{axis}", -500, 2500, 20) for axis in "xyz")
    return Loading(loads=tuple(loads), stretch=stretch, datum=(datum[0], datum[1], datum[2]))


def built(loading: Loading, choose) -> Loading:
    """One build: every value by name at one place of its band."""
    chosen: dict[str, float] = {}

    def one(each: Span) -> Span:
        at = chosen.setdefault(each.name, choose(each))
        return fixed(each.name, at)

    loads = tuple(
        replace(load, mass=one(load.mass), own=(one(load.own[0]), one(load.own[1]), one(load.own[2])))
        for load in loading.loads
    )
    along, across, up = (one(each) for each in loading.stretch)
    datum = tuple(one(each) for each in loading.datum)
    return replace(loading, loads=loads, stretch=(along, across, up), datum=datum)


@given(loadings(), st.randoms(use_true_random=False))
@settings(max_examples=25, deadline=None)
def test_no_sampled_build_lies_outside_the_worst_case(loading, rng):
    bands = [band(loading, figure) for figure in FIGURES]
    before = loading.vehicle_only
    change = change_of(before, loading)
    factor = state_of(loading).stability_factor
    for _ in range(12):
        at_ends = rng.random() < 0.5

        def choose(each: Span, at_ends: bool = at_ends) -> float:
            return rng.choice(each.ends) if at_ends else rng.uniform(*each.ends)

        build = built(loading, choose)
        for figure, found in zip(FIGURES, bands, strict=True):
            assert found.low - SLACK <= value(build, figure) <= found.high + SLACK
        # No factor is given where the centre of gravity may lie on the ground.
        assert (factor is None) == (band(loading, CENTRE[Z]).low <= 0.0)
        if factor is not None:
            sampled = state_of(build).stability_factor
            assert sampled is not None
            assert factor.low - SLACK <= sampled.value <= factor.high + SLACK
        moved = change_of(build.vehicle_only, build)
        pairs = [(change.front, moved.front), (change.rear, moved.rear), (change.total, moved.total)]
        pairs += [(wide, one) for wide, one in zip(change.cg, moved.cg, strict=True) if wide and one]
        pairs += [(change.front_share, moved.front_share), (change.rear_share, moved.rear_share)]
        assert change.left is not None
        assert change.right is not None
        pairs += [(change.left, moved.left), (change.right, moved.right)]
        assert (change.stability_factor is None) == (factor is None)
        pairs += [(change.stability_factor, moved.stability_factor)] if change.stability_factor is not None else []
        for wide, one in pairs:
            assert wide.low - SLACK <= one.value <= wide.high + SLACK


@given(loadings())
@settings(max_examples=60, deadline=None)
def test_bands_are_nested_about_the_nominal(loading):
    for figure in FIGURES:
        found = band(loading, figure)
        assert found.low <= found.rss_low <= found.value <= found.rss_high <= found.high


@given(loadings())
@settings(max_examples=60, deadline=None)
def test_axles_and_sides_add_up_to_the_whole(loading):
    state = state_of(loading)
    assert state.left is not None
    assert state.right is not None
    assert state.front.value + state.rear.value == pytest.approx(state.total.value, abs=1e-8)
    assert state.left.value + state.right.value == pytest.approx(state.total.value, abs=1e-8)
    assert state.front_share.value + state.rear_share.value == pytest.approx(1.0, abs=1e-12)


@given(loadings())
@settings(max_examples=40, deadline=None)
def test_moments_about_the_centre_of_gravity_vanish(loading):
    """The axle loads hold the vehicle in balance about its own centre."""
    state = state_of(loading)
    base = loading.stretch[0].nominal
    x = state.cg[0].value
    assert state.front.value * x == pytest.approx(state.rear.value * (base - x), rel=1e-9, abs=1e-6)


def test_the_worst_case_is_reached_at_a_corner_of_the_bands():
    """Small enough to try every corner: the bounds are those of the best and the worst of them."""
    loading = Loading(
        loads=(
            Load(sign=1.0, mass=Span(name="f", nominal=500, low=490, high=505), own=(fixed("o"),) * 3,
                 multiple=(0.0, 0.0, 1.0)),
            Load(sign=1.0, mass=Span(name="r", nominal=600, low=590, high=620), own=(fixed("o"),) * 3,
                 multiple=(1.0, 0.0, 1.0)),
            Load(sign=-1.0, mass=Span(name="m", nominal=90, low=88, high=93),
                 own=(Span(name="x", nominal=-40, low=-60, high=-30), fixed("y"), fixed("z")), in_case=True),
        ),
        stretch=(Span(name="wheelbase", nominal=2000, low=1990, high=2015), None, None),
        datum=(Span(name="c", nominal=20, low=-30, high=70), fixed("cy"), fixed("cz")),
    )  # fmt: skip
    names = ("f", "r", "m", "x", "wheelbase", "c")
    for figure in (FRONT, REAR, TOTAL, FRONT_SHARE, CENTRE[0]):
        reached = []
        for ends in product((0, 1), repeat=len(names)):
            at = dict(zip(names, ends, strict=True))

            def one(each: Span, at: dict[str, int] = at) -> Span:
                return fixed(each.name, each.ends[at.get(each.name, 0)])

            reached.append(
                value(
                    replace(
                        loading,
                        loads=tuple(
                            replace(load, mass=one(load.mass), own=tuple(one(each) for each in load.own))
                            for load in loading.loads
                        ),
                        stretch=(one(loading.stretch[0]), None, None),
                        datum=tuple(one(each) for each in loading.datum),
                    ),
                    figure,
                )
            )
        found = band(loading, figure)
        assert (found.low, found.high) == pytest.approx((min(reached), max(reached)), rel=1e-12)


def test_root_sum_square_of_a_plain_sum_is_pythagoras():
    loads = tuple(
        Load(sign=1.0, mass=Span(name=name, nominal=10, low=10 - half, high=10 + half), own=(fixed("o"),) * 3)
        for name, half in (("a", 3.0), ("b", 4.0))
    )
    found = band(Loading(loads=loads, stretch=(fixed("wheelbase", 1000), None, None), datum=None), TOTAL)
    assert found == Band(value=20, low=13, high=27, rss_low=15, rss_high=25)


@given(loadings())
@settings(max_examples=40, deadline=None)
def test_changes_are_after_less_before(loading):
    before = loading.vehicle_only
    old, new, change = state_of(before), state_of(loading), change_of(before, loading)
    for name in ("front", "rear", "total", "left", "right", "front_share", "rear_share", "stability_factor"):
        found = getattr(change, name)
        if found is not None:
            apart = getattr(new, name).value - getattr(old, name).value
            assert found.value == pytest.approx(apart, rel=1e-9, abs=1e-8)
            assert found.low <= found.rss_low <= found.value <= found.rss_high <= found.high


def test_a_common_track_counts_in_the_change_of_the_stability_factor_only_by_the_change():
    """1000 kg at 600 mm and 1000 kg more at 400 mm: 500 mm; the factor rises by T/2 (1/500 - 1/600)."""
    own = (fixed("o"),) * 3
    before = Loading(
        loads=(Load(sign=1.0, mass=fixed("v", 1000), own=own, multiple=(0.5, 0.5, 1.0)),),
        stretch=(fixed("wheelbase", 2000), Span(name="track", nominal=1200, low=1180, high=1220), fixed("height", 600)),
        datum=None,
    )
    after = before.with_loads((Load(sign=1.0, mass=fixed("m", 1000), own=(*own[:2], fixed("z", 400))),))
    found = change_of(before, after).stability_factor
    assert found is not None
    half = 10 * (1 / 500 - 1 / 600)
    assert found.value == pytest.approx(0.2, abs=1e-12)
    assert (found.low, found.high, found.rss_low, found.rss_high) == pytest.approx(
        (0.2 - half, 0.2 + half, 0.2 - half, 0.2 + half), abs=1e-12
    )


def test_a_vehicle_that_may_weigh_nothing_is_refused():
    loads = (
        Load(sign=1.0, mass=fixed("v", 100), own=(fixed("o"),) * 3, multiple=(0.0, 0.0, 1.0)),
        Load(sign=-1.0, mass=Span(name="m", nominal=99, low=98, high=101), own=(fixed("o"),) * 3),
    )
    with pytest.raises(ValueError, match="as much as the whole vehicle"):
        band(Loading(loads=loads, stretch=(fixed("wheelbase", 1000), None, None), datum=None), CENTRE[0])


@given(st.floats(0.0, 2000.0), st.floats(0.0, 2000.0))
def test_a_heavier_part_never_turns_a_heavier_axle_lighter(x, more):
    def rear(mass: float) -> float:
        load = Load(sign=1.0, mass=fixed("m", mass), own=(fixed("x", x), fixed("y"), fixed("z")))
        return value(Loading(loads=(load,), stretch=(fixed("wheelbase", 2000), None, None), datum=None), REAR)

    assert rear(100 + more) >= rear(100) - 1e-12
    assert np.isfinite(rear(100 + more))
