"""Composition of weighed bodies and its bands."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.geometry.composite import BandedWeight, Weight, combine, composite_band, slopes
from fitcheck.geometry.inertia_ends import inertia_worst_half


def point(mass: float, *centre: float) -> Weight:
    return Weight(mass=mass, centre=np.array(centre, dtype=float), inertia=np.zeros((3, 3)))


def banded(weight: Weight, mass: float = 0.0, centre: float = 0.0) -> BandedWeight:
    return BandedWeight(
        weight=weight,
        mass_low=weight.mass - mass,
        mass_high=weight.mass + mass,
        centre_low=weight.centre - centre,
        centre_high=weight.centre + centre,
    )


def some_weights(seed: int, count: int = 5) -> list[Weight]:
    chance = np.random.default_rng(seed)
    made = []
    for _ in range(count):
        square = chance.normal(size=(3, 3))
        made.append(
            Weight(mass=chance.uniform(0.5, 20), centre=chance.uniform(-900, 900, 3), inertia=square @ square.T * 0.1)
        )
    return made


def test_dumbbell():
    whole = combine([point(2.0, 0, 0, 0), point(6.0, 100, 0, 0)])
    assert whole.mass == 8.0
    assert whole.centre == pytest.approx([75.0, 0.0, 0.0])
    assert whole.inertia == pytest.approx(np.diag([0.0, 0.015, 0.015]), abs=1e-15)


def test_products_of_inertia_are_minus_the_sum_of_mxy():
    whole = combine([point(1.0, 10, 20, 0), point(1.0, -10, -20, 0)])
    assert whole.inertia[0, 1] == pytest.approx(-2 * 10 * 20 * 1e-6, rel=1e-14)


def test_nothing_that_weighs_is_refused():
    with pytest.raises(ValueError, match="has a mass"):
        combine([point(0.0, 1, 2, 3)])
    with pytest.raises(ValueError, match="has a mass"):
        combine([])


def test_slopes_agree_with_small_differences():
    weights = some_weights(3)
    slope, step = slopes(weights), 1e-4
    for number, weight in enumerate(weights):
        others = weights[:number], weights[number + 1 :]

        def change(less, more, others=others):
            one, two = (combine([*others[0], changed, *others[1]]) for changed in (less, more))
            return (two.centre - one.centre) / (2 * step), (two.inertia - one.inertia) / (2 * step)

        scaled = [
            replace(weight, mass=weight.mass + s, inertia=weight.inertia * (1 + s / weight.mass)) for s in (-step, step)
        ]
        centre, inertia = change(*scaled)
        assert slope.centre_by_mass[number] == pytest.approx(centre, rel=1e-6, abs=1e-7)
        assert slope.inertia_by_mass[number] == pytest.approx(inertia, rel=1e-6, abs=1e-8)
        for axis in range(3):
            shifted = [replace(weight, centre=weight.centre + s * np.eye(3)[axis]) for s in (-step, step)]
            centre, inertia = change(*shifted)
            assert slope.centre_by_centre[number] * np.eye(3)[axis] == pytest.approx(centre, rel=1e-6, abs=1e-8)
            assert slope.inertia_by_centre[number, axis] == pytest.approx(inertia, rel=1e-5, abs=1e-9)


def test_band_of_two_bodies_by_hand():
    band = composite_band([banded(point(2.0, 0, 0, 0), mass=0.5), banded(point(6.0, 100, 0, 0), mass=1.0, centre=4.0)])
    assert (band.mass_low, band.mass_high) == (6.5, 9.5)
    assert (band.mass_rss_low, band.mass_rss_high) == pytest.approx((8 - 1.25**0.5, 8 + 1.25**0.5))
    assert band.centre_low[0] == pytest.approx(96 * 5.0 / 7.5, rel=1e-14)
    assert band.centre_high[0] == pytest.approx(104 * 7.0 / 8.5, rel=1e-14)
    # 75 mm +- root of (75/8 x 0.5)2 + (25/8 x 1.0)2 + (6/8 x 4)2
    assert band.centre_rss_high[0] - 75 == pytest.approx((4.6875**2 + 3.125**2 + 3.0**2) ** 0.5, rel=1e-13)
    assert band.centre_rss_low[0] - 75 == pytest.approx(-((4.6875**2 + 3.125**2 + 3.0**2) ** 0.5), rel=1e-13)


def test_one_sided_bands_go_one_way():
    light = BandedWeight(
        weight=point(4.0, 0, 0, 0), mass_low=4.0, mass_high=5.0, centre_low=np.zeros(3), centre_high=np.zeros(3)
    )
    band = composite_band([light, banded(point(4.0, 80, 0, 0))])
    assert (band.centre_low[0], band.centre_high[0]) == pytest.approx((80 * 4 / 9, 40.0))
    assert band.centre_rss_high[0] == pytest.approx(40.0)
    # To first order it would fall to 35; no build lies below the worst case.
    assert band.centre_rss_low[0] == pytest.approx(80 * 4 / 9)


def test_exact_bodies_have_no_band():
    weights = some_weights(1)
    band = composite_band([banded(weight) for weight in weights])
    centre = combine(weights).centre
    assert band.centre_low == pytest.approx(centre, abs=1e-9)
    assert band.centre_high == pytest.approx(centre, abs=1e-9)
    assert (band.inertia_rss_half == 0.0).all()


def test_doubt_about_the_own_inertia_is_carried():
    one = replace(banded(point(1.0, 0, 0, 0)), inertia_half=np.full((3, 3), 0.03))
    two = replace(banded(point(1.0, 9, 0, 0)), inertia_half=np.full((3, 3), 0.04))
    assert composite_band([one, two]).inertia_rss_half == pytest.approx(np.full((3, 3), 0.05))


@given(st.integers(0, 10**6))
def test_no_sampled_build_falls_outside_and_the_corners_reach_the_ends(seed):
    chance = np.random.default_rng(seed)
    items = [banded(w, mass=chance.uniform(0, w.mass), centre=chance.uniform(0, 90)) for w in some_weights(seed, 4)]
    band = composite_band(items)
    masses = np.array([[item.mass_low, item.mass_high] for item in items])
    centres = np.array([[item.centre_low, item.centre_high] for item in items])
    at_ends = np.array(np.meshgrid(*[[0, 1]] * 4)).reshape(4, -1).T
    best_low, best_high = np.full(3, np.inf), np.full(3, -np.inf)
    for pick in at_ends:
        mass = masses[np.arange(4), pick]
        if mass.sum() > 0.0:
            best_low = np.minimum(best_low, mass @ centres[:, 0] / mass.sum())
            best_high = np.maximum(best_high, mass @ centres[:, 1] / mass.sum())
    assert band.centre_low == pytest.approx(best_low, abs=1e-9)
    assert band.centre_high == pytest.approx(best_high, abs=1e-9)
    share, place = chance.uniform(size=(200, 4)), chance.uniform(size=(200, 4, 3))
    mass = masses[:, 0] + share * (masses[:, 1] - masses[:, 0])
    centre = centres[:, 0] + place * (centres[:, 1] - centres[:, 0])
    found = (mass[:, :, None] * centre).sum(axis=1) / mass.sum(axis=1)[:, None]
    assert (found >= band.centre_low - 1e-9).all()
    assert (found <= band.centre_high + 1e-9).all()
    assert (mass.sum(axis=1) >= band.mass_low - 1e-9).all()
    assert (mass.sum(axis=1) <= band.mass_high + 1e-9).all()


def test_no_build_exceeds_the_worst_case_of_the_inertia():
    items = [banded(weight, mass=0.4, centre=5.0) for weight in some_weights(11)]
    nominal, half = combine([item.weight for item in items]).inertia, inertia_worst_half(items)
    chance = np.random.default_rng(5)
    furthest = np.zeros((3, 3))
    for _ in range(2000):
        built = []
        for item in items:
            mass = chance.choice([item.mass_low, item.mass_high])
            centre = np.where(chance.random(3) < 0.5, item.centre_low, item.centre_high)
            own = item.weight.inertia * mass / item.weight.mass
            built.append(Weight(mass=mass, centre=centre, inertia=own))
        furthest = np.maximum(furthest, np.abs(combine(built).inertia - nominal))
    assert (furthest <= half + 1e-12).all()
    assert (half < 3.0 * furthest).all()
    assert (half >= composite_band(items).inertia_rss_half).all()


def test_without_bands_the_inertia_has_none_either():
    exact = [banded(weight) for weight in some_weights(4)]
    assert inertia_worst_half(exact) == pytest.approx(np.zeros((3, 3)), abs=1e-9)
