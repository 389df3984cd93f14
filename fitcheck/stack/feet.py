"""Several feet under one part: how far their tops can be out of level, and the shims that bring them level."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from fitcheck.findings import Band
from fitcheck.model.part import State
from fitcheck.model.sections import LevelFeet
from fitcheck.stack.demands import Distance, face_plane, upright
from fitcheck.stack.found import pieces_in_words
from fitcheck.stack.shims import shim_pack
from fitcheck.study import Study


@dataclass(frozen=True, slots=True, kw_only=True)
class OutOfLevel:
    """The largest difference between any two tops, in mm; `slope` is the steepest such difference at worst, mm per m.
    `values` are the uncertain values in it."""

    band: Band
    slope: float
    values: tuple[str, ...]


def out_of_level(study: Study, feet: LevelFeet) -> OutOfLevel:
    """How far out of level the feet can be at the beginning of life."""
    bands: list[Band] = []
    values: list[str] = []
    slopes: list[float] = []
    for one, other in combinations(feet.feet, 2):
        distance = Distance(lower=face_plane(study.layout, one, "top"), upper=face_plane(study.layout, other, "top"))
        seen = upright(study, State.BEGINNING, distance)
        bands.append(seen.band)
        values += seen.values
        apart = _apart(study, one, other)
        if apart > 0.0:
            slopes.append(1000.0 * max(-seen.band.low, seen.band.high) / apart)
    # The spread over all feet is at least that of every pair, and equal to the largest of them.
    return OutOfLevel(
        band=Band(
            value=max(abs(band.value) for band in bands),
            low=max(max(0.0, band.low, -band.high) for band in bands),
            high=max(max(-band.low, band.high) for band in bands),
            rss_low=max(max(0.0, band.rss_low, -band.rss_high) for band in bands),
            rss_high=max(max(-band.rss_low, band.rss_high) for band in bands),
        ),
        slope=max(slopes, default=0.0),
        values=tuple(dict.fromkeys(values)),
    )


def _apart(study: Study, one: str, other: str) -> float:
    """How far the middles of two feet are apart in plan, mm."""
    up, _ = study.layout.up
    chain, by_name = study.chain(State.BEGINNING), study.layout.by_name
    steps = []
    for axis in (k for k in range(3) if k != up):
        a, b = ((chain.low(by_name[name], axis) + chain.high(by_name[name], axis)).nominal / 2 for name in (one, other))
        steps.append(b - a)
    return math.hypot(*steps)


def said_of(study: Study, feet: LevelFeet) -> Iterator[str]:
    """What a report says: the levelling error, the packs of the drawing, and which shims to keep at hand."""
    level = out_of_level(study, feet)
    band = level.band
    yield (
        f"feet under {feet.under} ({', '.join(feet.feet)}): out of level by {band.value:.2f} in the drawing, at worst "
        f"by {band.high:.2f} mm ({_raised(level.slope)} mm in a metre); asked for: within {feet.within.nominal:g}"
    )
    if not feet.shims:
        return
    tops = {name: _top(study, name) for name in feet.feet}
    highest = max(tops.values())
    for name, top in tops.items():
        pieces, lacks = shim_pack(highest - top, feet.shims)
        if pieces:
            pack = pieces_in_words(pieces)
            yield f"shim pack on {name}: {pack} for {highest - top:.2f} mm; {abs(lacks):.2f} mm is left"
    if band.high > feet.within.nominal:
        thinnest = min(size for size, _ in feet.shims)
        # Between two packs that differ by the thinnest shim the nearer one is at most half of it off.
        coarse = (
            f"; the thinnest shim, {thinnest:g}, is too coarse for that" if thinnest / 2 > feet.within.nominal else ""
        )
        yield (
            f"set {feet.under} down, measure the air over each foot with plastic gauges and shim it to within "
            f"{feet.within.nominal:g}{coarse}; keep packs up to {_raised(band.high)} mm at hand"
        )


def _raised(number: float) -> str:
    """One decimal, never below the number itself."""
    return f"{math.ceil(number * 10.0 - 1e-9) / 10.0:.1f}"


def _top(study: Study, name: str) -> float:
    plane = face_plane(study.layout, name, "top")
    at = study.chain(State.BEGINNING).plane(study.layout.by_name[name], plane.axis, plane.feature).nominal
    return at * plane.sign
