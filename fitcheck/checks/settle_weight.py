"""Which one reading would settle a finding about the vehicle's weights."""

from __future__ import annotations

from collections.abc import Callable

from fitcheck.checks.settle import NO_SINGLE_VALUE, settle_by
from fitcheck.findings import Band, Sense
from fitcheck.placing.forms import Widths
from fitcheck.vehicle.loading import Loading
from fitcheck.vehicle.swap import Swap


def settling_reading(
    swap: Swap, loading: Loading, figure: Callable[[Loading], Band], required: float, sense: Sense, judge_by: str
) -> str:
    """The value that settles it with the coarsest accuracy. A weighing is asked for before a length: it is done in one
    go, and the two accuracies cannot be compared.
    """
    widths = {name: (value.below, value.above) for name, value in swap.quantities.items()}

    def band_at(changed: Widths) -> Band:
        told = loading
        for name, width in changed.items():
            if width != widths[name]:
                told = told.known_within(name, width[0])
        return figure(told)

    for unit in ("kg", "mm"):
        names = [name for name, value in swap.quantities.items() if value.unit == unit and not value.is_exact]
        found = settle_by(band_at, widths, names, swap.quantities, required, sense, judge_by)
        if found != NO_SINGLE_VALUE:
            return found
    return NO_SINGLE_VALUE
