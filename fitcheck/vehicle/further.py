"""How much more could still be put on the vehicle before a limit is reached, or an axle lifts off."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from fitcheck.findings import Band
from fitcheck.result import FurtherMass
from fitcheck.vehicle.extremes import band
from fitcheck.vehicle.figures import CENTRE, share_at
from fitcheck.vehicle.limits import FIGURES, NAMES, reading_after
from fitcheck.vehicle.loading import Loading, Span, X, fixed
from fitcheck.vehicle.swap import Swap


def further(swap: Swap, judge_by: str) -> Iterable[FurtherMass]:
    """The largest mass that each place could still take. Only what holds for the whole judged band is promised."""
    stated = dict(swap.vehicle.limits)
    if swap.final is None or not stated:
        return
    left = {key: _left(swap, swap.final, key) for key in stated}
    for at, on_front in _places(swap.final):
        on_rear = Span(name="rear", nominal=1.0 - on_front.nominal, low=1.0 - on_front.high, high=1.0 - on_front.low)
        shares = {"front": on_front, "rear": on_rear, "gross": fixed("whole", 1.0)}
        rooms = [(_room(left[key], shares[key]), NAMES[key]) for key in stated]
        rooms += _lifting(swap.final, shares)
        least = Band(
            value=min(room.value for room, _ in rooms),
            low=min(room.low for room, _ in rooms),
            high=min(room.high for room, _ in rooms),
            rss_low=min(room.rss_low for room, _ in rooms),
            rss_high=min(room.rss_high for room, _ in rooms),
        )
        kg, bound_by = min((room.judged(judge_by)[0], name) for room, name in rooms)
        if math.isfinite(kg):
            yield FurtherMass(at=at, kg=max(0.0, kg), bound_by=bound_by, room=least if _is_bounded(least) else None)


def _is_bounded(room: Band) -> bool:
    return math.isfinite(room.value) and math.isfinite(room.high) and math.isfinite(room.rss_high)


def _places(loading: Loading) -> Iterator[tuple[str, Span]]:
    """Each place and the share of a mass there that the front axle carries."""
    pack, base = _pack_place(loading), loading.stretch[X]
    if pack is not None and base is not None:
        (low, high), _ = share_at(pack, base)
        yield "at the pack's place", Span(name="front", nominal=1.0 - pack.nominal / base.nominal, low=low, high=high)
    yield "over the front axle", fixed("front", 1.0)
    yield "over the rear axle", fixed("front", 0.0)


def _pack_place(loading: Loading) -> Span | None:
    """Where the centre of the new parts stands along the vehicle."""
    new = tuple(load for load in loading.loads if load.in_case and load.sign > 0.0)
    if not new:
        return None
    found = band(replace(loading, loads=new), CENTRE[X])
    return Span(name="pack", nominal=found.value, low=found.low, high=found.high)


def _left(swap: Swap, loading: Loading, key: str) -> Band:
    """What is left up to a limit; where the finished vehicle was weighed, no more than the scale leaves."""
    limit, load = dict(swap.vehicle.limits)[key], band(loading, FIGURES[key])
    nominal = limit.nominal - load.value
    left = Band(
        value=nominal,
        low=limit.low - load.high,
        high=limit.high - load.low,
        rss_low=nominal - math.hypot(limit.below, load.rss_high - load.value),
        rss_high=nominal + math.hypot(limit.above, load.value - load.rss_low),
    )
    reading = reading_after(swap, key)
    if reading is None:
        return left
    # A scale that is merely coarse takes nothing from the sum, so that only what it shows counts.
    return Band(
        value=min(left.value, limit.nominal - reading.value),
        low=min(left.low, limit.low - reading.value),
        high=min(left.high, limit.high - reading.value),
        rss_low=min(left.rss_low, limit.low - reading.value),
        rss_high=min(left.rss_high, limit.high - reading.value),
    )


def _lifting(loading: Loading, shares: dict[str, Span]) -> Iterator[tuple[Band, str]]:
    """Behind the rear axle a mass takes load off the front, and before the front axle off the rear."""
    for key in ("front", "rear"):
        share = shares[key]
        if share.low < 0.0:
            taken = Span(name=share.name, nominal=-share.nominal, low=-share.high, high=-share.low)
            yield _room(band(loading, FIGURES[key]), taken), f"{NAMES[key]} lifting off"


def _room(left: Band, share: Span) -> Band:
    """The mass that uses up what is left, this share of it counting; infinite where none of it counts."""
    value = _until(left.value, share.nominal)
    low = min(_until(left.low, end) for end in share.ends)
    high = max(_until(left.high, end) for end in share.ends)
    ends = (_until(left.rss_low, share.nominal), _until(left.rss_high, share.nominal))
    if share.nominal > 0.0:
        by_share = value * share.half / share.nominal
        ends = (value - math.hypot(value - ends[0], by_share), value + math.hypot(ends[1] - value, by_share))
    return Band(value=value, low=low, high=high, rss_low=max(low, ends[0]), rss_high=min(high, ends[1]))


def _until(left: float, share: float) -> float:
    if share <= 0.0:
        # What is over already stays over, even where more mass would relieve it: nothing is promised on that.
        return left if left <= 0.0 else math.inf
    return left / share
