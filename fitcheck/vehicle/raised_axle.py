"""The height of the centre of gravity from a second weighing with one axle lifted.

With one axle raised, weight moves to the other in proportion to how high the centre stands above the wheel centres. The
base between the wheels is then shorter than the wheelbase: the root of wheelbase² less lift².

    height = wheel radius + (load of the lower axle, raised - level) x wheelbase x shortened base / (mass x lift)

Springs and tyres must be blocked or the height comes out wrong; the layout cannot tell whether they were. Source:
moments about the lower axle; agrees with R. N. Jazar, Vehicle Dynamics, section 2.1 (formula read on one public page,
numbers recomputed).
"""

from __future__ import annotations

import math
from itertools import product

from fitcheck.findings import Band
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import Vehicle


def height_mm(
    *, lower_level: float, other_level: float, lower_raised: float, wheelbase: float, lift: float, radius: float
) -> float:
    """Height of the centre from the loads in kg of the axle that stays down (level and raised) and of the other.

    Lengths in mm. Raises ValueError for a lift that is nothing or not smaller than the wheelbase.

    >>> round(height_mm(lower_level=1200, other_level=1100, lower_raised=1338, wheelbase=2300, lift=1150, radius=300))
    539
    """
    if not 0.0 < lift < wheelbase:
        raise ValueError(f"a lift of {lift:g} mm: it must be above zero and smaller than the wheelbase")
    base = math.sqrt(wheelbase**2 - lift**2)
    mass = lower_level + other_level
    return radius + (lower_raised - lower_level) * wheelbase * base / (mass * lift)


def height(vehicle: Vehicle) -> Band | None:
    """The height that the layout's `raised_axle` gives; None without it, without a weighing, or with a lift that
    cannot be.

    In each single reading the height rises or falls all the way, so the ends of the bands bound it.
    """
    raised, axles = vehicle.raised_axle, axle_loads(vehicle.weighed)
    if raised is None or axles is None:
        return None
    down = "rear" if raised.raised == "front" else "front"
    ranges = {
        "lower_level": _three(axles[down]),
        "other_level": _three(axles[raised.raised]),
        "lower_raised": _three([raised.other_axle]),
        "wheelbase": _three([vehicle.wheelbase]),
        "lift": _three([raised.lift]),
        "radius": _three([raised.wheel_radius]),
    }
    if ranges["lift"][2] >= ranges["wheelbase"][1] or ranges["lift"][1] <= 0.0:
        return None
    nominals = {name: ends[0] for name, ends in ranges.items()}
    nominal = height_mm(**nominals)
    every = [
        height_mm(**dict(zip(ranges, chosen, strict=True)))
        for chosen in product(*(ends[1:] for ends in ranges.values()))
    ]
    alone = [[height_mm(**{**nominals, name: end}) - nominal for end in ends[1:]] for name, ends in ranges.items()]
    fall = math.sqrt(sum(max(0.0, -min(steps)) ** 2 for steps in alone))
    rise = math.sqrt(sum(max(0.0, *steps) ** 2 for steps in alone))
    low, high = min(*every, nominal), max(*every, nominal)
    return Band(
        value=nominal,
        low=low,
        high=high,
        rss_low=max(low, nominal - fall),
        rss_high=min(high, nominal + rise),
    )


def axle_loads(weights: tuple[tuple[str, Quantity], ...]) -> dict[str, list[Quantity]] | None:
    """The readings that make up each axle's load, side weights left out; None without a weighing."""
    if not weights:
        return None
    axles: dict[str, list[Quantity]] = {"front": [], "rear": []}
    for name, reading in weights:
        if name not in ("left", "right"):
            axles[name.split()[0]].append(reading)
    return axles


def _three(readings: list[Quantity]) -> tuple[float, float, float]:
    return (
        sum(reading.nominal for reading in readings),
        sum(reading.low for reading in readings),
        sum(reading.high for reading in readings),
    )
