"""The band of a change between two composites: nothing outside, and what both share cancels."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.geometry.composite import BandedWeight, Weight, combine, composite_band
from fitcheck.geometry.composite_change import change_band
from fitcheck.geometry.inertia_ends import inertia_worst_half


def bodies(chance: np.random.Generator, count: int, name: str) -> list[BandedWeight]:
    found = []
    for number in range(count):
        mass, centre = chance.uniform(5, 60), chance.uniform(-600, 600, 3)
        own = np.diag(chance.uniform(0.1, 0.3, 3))
        off = chance.uniform(0, 12)
        found.append(
            BandedWeight(
                weight=Weight(mass=mass, centre=centre, inertia=own),
                mass_low=mass - chance.uniform(0, 2),
                mass_high=mass + chance.uniform(0, 2),
                centre_low=centre - off,
                centre_high=centre + off,
                inertia_half=np.full((3, 3), chance.uniform(0, 0.02)),
                name=f"{name} {number}",
            )
        )
    return found


def drawn(item: BandedWeight, chance: np.random.Generator) -> Weight:
    at_end = chance.random() < 0.5
    mass = chance.choice([item.mass_low, item.mass_high]) if at_end else chance.uniform(item.mass_low, item.mass_high)
    share = chance.integers(0, 2, 3) if at_end else chance.random(3)
    aside = np.triu(chance.uniform(-1, 1, (3, 3)))
    aside = (aside + np.triu(aside, 1).T) * item.inertia_half
    own = item.weight.inertia * mass / item.weight.mass + aside
    return Weight(mass=mass, centre=item.centre_low + share * (item.centre_high - item.centre_low), inertia=own)


@given(st.integers(0, 10**6))
@settings(max_examples=40)
def test_no_change_of_a_build_falls_outside(seed):
    chance = np.random.default_rng(seed)
    removed, new, retained = (bodies(chance, count, name) for count, name in ((2, "out"), (3, "in"), (2, "kept")))
    band = change_band(removed, new, retained)
    before, after = (combine([item.weight for item in [*some, *retained]]) for some in (removed, new))
    for _ in range(50):
        out, come, kept = ([drawn(item, chance) for item in items] for items in (removed, new, retained))
        old, fresh = combine([*out, *kept]), combine([*come, *kept])
        shift, turned = fresh.centre - old.centre, fresh.inertia - old.inertia
        assert (shift >= band.centre_low - 1e-9).all()
        assert (shift <= band.centre_high + 1e-9).all()
        assert (np.abs(turned - (after.inertia - before.inertia)) <= band.inertia_half + 1e-9).all()


@given(st.integers(0, 10**6))
@settings(max_examples=40)
def test_never_wider_than_both_builds_added_up(seed):
    chance = np.random.default_rng(seed)
    removed, new, retained = (bodies(chance, count, name) for count, name in ((2, "out"), (2, "in"), (3, "kept")))
    band, start, end = change_band(removed, new, retained), [*removed, *retained], [*new, *retained]
    one, other = composite_band(start), composite_band(end)
    assert (band.centre_low >= other.centre_low - one.centre_high - 1e-9).all()
    assert (band.centre_high <= other.centre_high - one.centre_low + 1e-9).all()
    assert (band.inertia_half <= inertia_worst_half(start) + inertia_worst_half(end) + 1e-9).all()
    assert (band.centre_low <= band.centre_rss_low).all()
    assert (band.centre_rss_low <= band.centre_rss_high).all()
    assert (band.centre_rss_high <= band.centre_high).all()
    assert (band.inertia_rss_half <= band.inertia_half + 1e-12).all()


def exact(name: str, mass: float, x: float) -> BandedWeight:
    at = np.array([x, 0.0, 0.0])
    weight = Weight(mass=mass, centre=at, inertia=np.zeros((3, 3)))
    return BandedWeight(weight=weight, mass_low=mass, mass_high=mass, centre_low=at, centre_high=at, name=name)


def test_a_kept_case_of_uncertain_place_hardly_counts():
    """60 kg at 0 ± 30; 40 kg at 100 out, 40 kg at 300 in: the centre moves 80, wherever the case stands."""
    case = replace(exact("case", 60.0, 0.0), centre_low=np.array([-30.0, 0, 0]), centre_high=np.array([30.0, 0, 0]))
    band = change_band([exact("old", 40.0, 100.0)], [exact("new", 40.0, 300.0)], [case])
    # Both centres apart would give 80 ± 36.
    assert (band.centre_low[0], band.centre_high[0]) == pytest.approx((80.0, 80.0), abs=1e-9)
    assert (band.centre_rss_low[0], band.centre_rss_high[0]) == pytest.approx((80.0, 80.0), abs=1e-9)


def test_a_value_that_carries_old_and_new_alike_cancels_in_the_squares():
    """One datum carries both by 5 mm; the old one alone is off by another 2."""
    step, own = np.array([5.0, 0, 0]), np.array([2.0, 0, 0])
    old, new = exact("old", 40.0, 100.0), exact("new", 40.0, 300.0)
    old = replace(old, centre_low=old.weight.centre - 7, centre_high=old.weight.centre + 7)
    new = replace(new, centre_low=new.weight.centre - 5, centre_high=new.weight.centre + 5)
    old = replace(old, shifts={"datum": (-step, step), "old.place": (-own, own)})
    new = replace(new, shifts={"datum": (-step, step)})
    band = change_band([old], [new], [])
    assert (band.centre_rss_low[0], band.centre_rss_high[0]) == pytest.approx((198.0, 202.0), abs=1e-9)
    assert (band.centre_low[0], band.centre_high[0]) == pytest.approx((188.0, 212.0), abs=1e-9)
