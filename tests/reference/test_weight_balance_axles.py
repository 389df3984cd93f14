"""Axle loads, raised axle, stability factor and a pack swap, from published examples and independent numbers.

R. N. Jazar, Vehicle Dynamics: Theory and Application, examples 39 and 40 and exercises 1 and 2 of chapter 2 (inputs
read on one public page, results recomputed); a public physics question page; NHTSA rollover rulemaking, chapter V. The
pack swap and the raised axle are own numbers, worked out apart from this program.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from fitcheck.findings import Band
from fitcheck.vehicle.extremes import value
from fitcheck.vehicle.figures import CENTRE, FRONT, REAR, change_of, state_of
from fitcheck.vehicle.frames import ForwardLeftUp, MirroredFrame, from_forward_left_up, rotation_of, to_forward_left_up
from fitcheck.vehicle.loading import Load, Loading, fixed
from fitcheck.vehicle.raised_axle import height_mm

NOWHERE = (fixed("own"), fixed("own"), fixed("own"))


def vehicle(front: float, rear: float, base: float, track: float | None = None, height: float | None = None) -> Loading:
    """Axle weights in kg, lengths in mm."""
    return Loading(
        loads=(
            Load(sign=1.0, mass=fixed("front", front), own=NOWHERE, multiple=(0.0, 0.0, 1.0)),
            Load(sign=1.0, mass=fixed("rear", rear), own=NOWHERE, multiple=(1.0, 0.0, 1.0)),
        ),
        stretch=(
            fixed("wheelbase", base),
            None if track is None else fixed("track", track),
            None if height is None else fixed("height", height),
        ),
        datum=None,
    )


def mass_at(mass: float, x: float, y: float = 0.0, z: float = 0.0, sign: float = 1.0) -> Load:
    return Load(sign=sign, mass=fixed("mass", mass), own=(fixed("x", x), fixed("y", y), fixed("z", z)))


def on_axles(mass: float, base: float, behind_front: float) -> tuple[float, float]:
    """(front, rear) in kg of one mass on a weightless vehicle."""
    loading = Loading(loads=(mass_at(mass, behind_front),), stretch=(fixed("wheelbase", base), None, None), datum=None)
    return value(loading, FRONT), value(loading, REAR)


def test_jazar_example_40_centre_from_axle_loads():
    """2000 N and 1800 N a wheel on 2.34 m: the centre is 1.1084 m behind the front axle."""
    found = state_of(vehicle(4000 / 9.81, 3600 / 9.81, 2340))
    assert found.cg[0].value == pytest.approx(1108.4, abs=0.05)


@pytest.mark.parametrize(
    ("mass", "base", "behind", "g", "front_wheel", "rear_wheel", "tolerance"),
    [
        (890, 2350, 780, 9.81, 2916.49, 1448.96, 0.005),  # Jazar, example 39
        (1490, 3100, 1100, 9.8, 4710.3, 2590.7, 0.06),  # physics question page, printed 4711 and 2591
    ],
)
def test_wheel_loads_in_newton(mass, base, behind, g, front_wheel, rear_wheel, tolerance):
    front, rear = on_axles(mass, base, behind)
    assert front * g / 2 == pytest.approx(front_wheel, abs=tolerance)
    assert rear * g / 2 == pytest.approx(rear_wheel, abs=tolerance)


@pytest.mark.parametrize(
    ("mass", "base", "behind", "front", "rear"),
    [(1765, 2840, 1220, 1006.7958, 758.2042), (1245, 2423, 1100, 679.7916, 565.2084)],
)
def test_jazar_chapter_2_exercises(mass, base, behind, front, rear):
    assert on_axles(mass, base, behind) == pytest.approx((front, rear), abs=5e-5)


def test_height_of_the_centre_with_the_rear_raised():
    """2000 kg on 2.30 m, centre 1.10 m behind the front axle, wheels 0.30 m, slope 30 degrees, front then
    11 418.533 N, rear 8201.467 N: the centre is at 0.54 m."""
    g, base = 9.81, 2300.0
    front = 2000 * 1.20 / 2.30
    found = height_mm(
        lower_level=front,
        other_level=2000 - front,
        lower_raised=11418.533 / g,
        wheelbase=base,
        lift=base * math.sin(math.radians(30)),
        radius=300,
    )
    assert found == pytest.approx(540.0, abs=0.01)


@pytest.mark.parametrize("lift", [0.0, -1.0, 2300.0, 5000.0])
def test_a_lift_that_cannot_be_is_refused(lift):
    with pytest.raises(ValueError, match="lift"):
        height_mm(lower_level=1, other_level=1, lower_raised=1, wheelbase=2300, lift=lift, radius=300)


@pytest.mark.parametrize(
    ("track", "height", "factor"), [(72 * 25.4, 80 * 25.4, 0.45), (96 * 25.4, 60 * 25.4, 0.80), (1500, 550, 1.3636364)]
)
def test_stability_factor(track, height, factor):
    found = state_of(vehicle(500, 500, 2500, track, height)).stability_factor
    assert isinstance(found, Band)
    assert found.value == pytest.approx(factor, abs=5e-8)


def test_pack_swap():
    """The vector is told with x rearward, y left, z up: a mirrored set, which is refused; forward-left-up is read.

    1500 kg at (1.200, 0, 0.540) m, wheelbase 2.700, track 1.530; 250 kg at (1.550, 0, 0.300) out, 290 kg at (1.530,
    0.010 left, 0.335) in.
    """
    with pytest.raises(MirroredFrame):
        rotation_of(("rearward", "left", "up"))

    def point(x: float, y_left: float, z: float):
        return from_forward_left_up(ForwardLeftUp(-1000 * x, 1000 * y_left, 1000 * z))

    old, new = point(1.550, 0.0, 0.300), point(1.530, 0.010, 0.335)
    before = vehicle(833.3333333333334, 666.6666666666666, 2700, 1530, 540)
    after = before.with_loads((mass_at(250, *old.three, sign=-1.0), mass_at(290, *new.three)))
    found, start = state_of(after), state_of(before)
    assert found.total.value == pytest.approx(1540, abs=1e-9)
    assert found.front.value == pytest.approx(852.5185, abs=5e-5)
    assert found.rear.value == pytest.approx(687.4815, abs=5e-5)
    centre = to_forward_left_up(type(old)(*(value(after, CENTRE[axis]) for axis in range(3))))
    assert centre.three == pytest.approx((-1205.3247, 1.8831, 540.3571), abs=5e-5)
    assert start.stability_factor is not None
    assert found.stability_factor is not None
    assert start.stability_factor.value == pytest.approx(1.4166667, abs=5e-8)
    assert found.stability_factor.value == pytest.approx(1.4157303, abs=5e-8)
    change = change_of(before, after)
    assert (change.front.value, change.rear.value) == pytest.approx((19.1852, 20.8148), abs=5e-5)


def test_a_part_behind_the_rear_axle_lifts_the_front():
    front, rear = on_axles(96, 2200, 2450)
    assert rear == pytest.approx(106.909091, abs=5e-7)
    assert front == pytest.approx(-10.909091, abs=5e-7)


def test_the_wheelbase_alone_decides_the_share():
    near = vehicle(1000, 1000, 2000).with_loads((mass_at(100, 500),))
    far = replace(near, stretch=(fixed("wheelbase", 1000), None, None))
    assert value(near, REAR) == pytest.approx(1025, abs=1e-9)
    assert value(far, REAR) == pytest.approx(1050, abs=1e-9)
