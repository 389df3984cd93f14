"""Which one value, known how well, would settle a finding that cannot be told."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from decimal import ROUND_DOWN, Context

from fitcheck.findings import Band, Sense, Status, judge
from fitcheck.model.quantity import Quantity
from fitcheck.placing.forms import Widths

NO_SINGLE_VALUE = "no single value settles it"
STEPS = 12
"""Halvings of an accuracy: two significant figures are given, and what is given is tried."""

LEAST_ACCURACY = 1e-3
"""Nobody in a workshop knows a length, or an angle in degrees, better than this."""

BandAt = Callable[[Widths], Band]


def settle_by(
    band_at: BandAt,
    widths: Widths,
    values: Iterable[str],
    quantities: Mapping[str, Quantity],
    required: float,
    sense: Sense,
    judge_by: str,
) -> str:
    """The value that settles the finding with the coarsest accuracy, as "case.inside.x to ± 0.5 mm".

    All nominals are taken as true and every other value keeps its band. Lengths come before angles and shares, whose
    accuracies cannot be compared with theirs.
    """
    best: tuple[bool, float, str] | None = None
    for name in values:
        value = quantities.get(name)
        if value is None or value.is_play:  # a part will stand anywhere in its play, however well that is known
            continue

        def settled(half_width: float, name: str = name) -> bool:
            band = band_at({**widths, name: (half_width, half_width)})
            return judge(band, required, sense, judge_by) is not Status.CANNOT_TELL

        accuracy = _coarsest(settled, max(value.below, value.above))
        if accuracy is not None and (best is None or (value.unit == "mm", accuracy) > best[:2]):
            best = (value.unit == "mm", accuracy, name)
    if best is None:
        return NO_SINGLE_VALUE
    unit = quantities[best[2]].unit
    return f"{best[2]} to ± {best[1]:.10g} {unit}"


def _coarsest(settled: Callable[[float], bool], stated: float) -> float | None:
    """The largest half-width that settles it, None if even an exact value would not."""
    if not settled(0.0):
        return None
    if settled(stated):
        return stated
    low, high = 0.0, stated
    for _ in range(STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if settled(middle) else (low, middle)
    rounded = [_two_figures(end) for end in (high, low)]
    return next((each for each in rounded if each >= LEAST_ACCURACY and settled(each)), None)


def _two_figures(accuracy: float) -> float:
    """Rounded down to two significant figures, so that it is never coarser than found."""
    return float(Context(prec=2, rounding=ROUND_DOWN).create_decimal_from_float(accuracy))
