"""What is asked of a loading: axle loads, sides, centre of gravity, shares, stability, and how they change.

Weights are shared out by moments: what stands behind the front axle by a share of the wheelbase lies on the rear axle
by that share. Source: static equilibrium; R. N. Jazar, Vehicle Dynamics, section 2.1 (read on one public page). The
stability factor is half the track over the height of the centre of gravity; source: NHTSA rollover rulemaking,
chapter V (read on one public page).
"""

from __future__ import annotations

import math

from fitcheck.findings import Band
from fitcheck.result import VehicleChange, VehicleState
from fitcheck.vehicle.extremes import Figure, along, band, deviations, less, value, with_rss
from fitcheck.vehicle.frames import VehiclePoint
from fitcheck.vehicle.loading import Load, Loading, Span, X, Y, Z
from fitcheck.vehicle.supplier import in_other_axes


def _each(load: Load, stretch: float, datum: float) -> tuple[float, float]:
    return 1.0, 0.0


def _on_rear(load: Load, wheelbase: float, datum: float) -> tuple[float, float]:
    if load.is_vehicle:
        return load.multiple[X], 0.0
    return along(load, X, wheelbase, datum) / wheelbase, 1.0 / wheelbase


def _on_front(load: Load, wheelbase: float, datum: float) -> tuple[float, float]:
    a, b = _on_rear(load, wheelbase, datum)
    return 1.0 - a, -b


def _on_right(load: Load, track: float, datum: float) -> tuple[float, float]:
    if load.is_vehicle:
        return 0.5 + load.multiple[Y], 1.0 / track
    return 0.5 + along(load, Y, track, datum) / track, 1.0 / track


def _on_left(load: Load, track: float, datum: float) -> tuple[float, float]:
    a, b = _on_right(load, track, datum)
    return 1.0 - a, -b


def _place(axis: int) -> Figure:
    return Figure(
        axis=axis, weighing=lambda load, stretch, datum: (along(load, axis, stretch, datum), 1.0), divided=True
    )


TOTAL = Figure(axis=X, weighing=_each)
FRONT = Figure(axis=X, weighing=_on_front)
REAR = Figure(axis=X, weighing=_on_rear)
LEFT = Figure(axis=Y, weighing=_on_left)
RIGHT = Figure(axis=Y, weighing=_on_right)
FRONT_SHARE = Figure(axis=X, weighing=_on_front, divided=True)
REAR_SHARE = Figure(axis=X, weighing=_on_rear, divided=True)
CENTRE = tuple(_place(axis) for axis in (X, Y, Z))


def state_of(loading: Loading) -> VehicleState:
    """Everything that follows from one loading. Raises ValueError where nothing may be left of the vehicle."""
    height = band(loading, CENTRE[Z]) if loading.knows(Z) else None
    centre = (band(loading, CENTRE[X]), band(loading, CENTRE[Y]), height)
    sides_known = _sides_known(loading) and loading.knows(Y)
    return VehicleState(
        front=band(loading, FRONT),
        rear=band(loading, REAR),
        total=band(loading, TOTAL),
        cg=centre,
        front_share=band(loading, FRONT_SHARE),
        rear_share=band(loading, REAR_SHARE),
        left=band(loading, LEFT) if sides_known else None,
        right=band(loading, RIGHT) if sides_known else None,
        stability_factor=_stability_factor(loading, height),
        cg_elsewhere=()
        if height is None
        else in_other_axes(VehiclePoint(centre[0].value, centre[1].value, height.value)),
    )


def _sides_known(loading: Loading) -> bool:
    return loading.sides_weighed or any(load.multiple[Y] for load in loading.loads)


def _stability_factor(loading: Loading, height: Band | None) -> Band | None:
    """Half the track over the height of the centre; None without either."""
    track = loading.stretch[Y]
    if track is None or height is None or height.low <= 0.0:
        return None
    nominal = track.nominal / (2.0 * height.value)

    def rss(track_step: float, height_step: float) -> float:
        return nominal * math.hypot(track_step / track.nominal, height_step / height.value)

    low, high = track.low / (2.0 * height.high), track.high / (2.0 * height.low)
    return Band(
        value=nominal,
        low=low,
        high=high,
        rss_low=max(low, nominal - rss(track.nominal - track.low, height.rss_high - height.value)),
        rss_high=min(high, nominal + rss(track.high - track.nominal, height.value - height.rss_low)),
    )


def change_of(before: Loading, after: Loading) -> VehicleChange:
    """After less before: of the loads only what was swapped counts, and the weighed vehicle's own bands cancel."""
    swapped = after.swapped_only
    sides_known = _sides_known(before) and after.knows(Y)
    rise = _difference(before, after, CENTRE[Z]) if before.knows(Z) and after.knows(Z) else None
    return VehicleChange(
        front=band(swapped, FRONT),
        rear=band(swapped, REAR),
        total=band(swapped, TOTAL),
        cg=(_difference(before, after, CENTRE[X]), _difference(before, after, CENTRE[Y]), rise),
        front_share=_difference(before, after, FRONT_SHARE),
        rear_share=_difference(before, after, REAR_SHARE),
        left=band(swapped, LEFT) if sides_known else None,
        right=band(swapped, RIGHT) if sides_known else None,
        stability_factor=None if rise is None else _firmer(before, after, rise),
    )


def _difference(before: Loading, after: Loading, figure: Figure) -> Band:
    """How a weighted mean (a coordinate of the centre, a share) changes.

    The sum of the swapped masses times how far each counts beyond the old mean, over the new mass. The old mean is
    taken as free within its band, which is wider than the truth, never narrower.
    """
    old = band(before, figure)
    lows, highs = [], []
    for at in {old.low, old.high}:

        def from_old(load: Load, stretch: float, datum: float, at: float = at) -> tuple[float, float]:
            a, b = figure.weighing(load, stretch, datum)
            return (0.0, 0.0) if load.is_vehicle else (a - at, b)

        shift = band(after, Figure(axis=figure.axis, weighing=from_old, divided=True))
        lows.append(shift.low)
        highs.append(shift.high)
    deviating = less(deviations(after, figure), deviations(before, figure))
    return with_rss(value(after, figure) - old.value, min(lows), max(highs), deviating)


def _firmer(before: Loading, after: Loading, rise: Band) -> Band | None:
    """Change of the stability factor: minus half the track times the rise over both heights.

    Track, rise and heights are taken as free of each other: wider than the truth, never narrower.
    """
    track, old, new = before.stretch[Y], band(before, CENTRE[Z]), band(after, CENTRE[Z])
    if track is None or min(old.low, new.low) <= 0.0:
        return None
    every = [
        -wide * up / (2.0 * one * other)
        for wide in track.ends
        for up in (rise.low, rise.high)
        for one in (old.low, old.high)
        for other in (new.low, new.high)
    ]

    def change(wide: float, one: float, other: float) -> float:
        return wide / 2.0 * (1.0 / other - 1.0 / one)

    nominal = change(track.nominal, old.value, new.value)
    by_old, by_new = deviations(before, CENTRE[Z]), deviations(after, CENTRE[Z])
    alone: dict[str, tuple[float, float]] = {}
    for name in {**by_old, **by_new}:
        steps = zip(by_old.get(name, (0.0, 0.0)), by_new.get(name, (0.0, 0.0)), strict=True)
        first, second = (change(track.nominal, old.value + one, new.value + other) - nominal for one, other in steps)
        alone[name] = (first, second)
    # The track is no value of the heights, so no deviation stands under its name yet.
    narrow, wide = (change(end, old.value, new.value) - nominal for end in track.ends)
    alone[track.name] = (narrow, wide)
    return with_rss(nominal, min(every), max(every), alone)


def share_at(place: Span, wheelbase: Span) -> tuple[tuple[float, float], tuple[float, float]]:
    """(lowest, highest) share of a mass at a place that the front axle and the rear axle carry."""
    rear = [at / base for at in place.ends for base in wheelbase.ends]
    return (1.0 - max(rear), 1.0 - min(rear)), (min(rear), max(rear))
