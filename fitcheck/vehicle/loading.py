"""The vehicle as weights at places, each with its band: what the axles, the sides and the centre follow from.

The weighed vehicle stands for itself as weights at its wheels, at the height of its centre of gravity. Parts that left
count as negative weights, new ones as positive; retained parts are in the weighing already.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from fitcheck.model.quantity import Quantity

X, Y, Z = 0, 1, 2
SHARED = ("wheelbase", "track", "height")
"""What stretches each axis: the wheels' places follow the first two, the vehicle's own height is the third."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A value under a name, and how far it may be off. Two spans of one name are one value."""

    name: str
    nominal: float
    low: float
    high: float

    @property
    def ends(self) -> tuple[float, float]:
        return (self.low, self.high)

    @property
    def half(self) -> float:
        return max(self.nominal - self.low, self.high - self.nominal)

    def within(self, half_width: float) -> Span:
        """The same nominal, known to that half-width."""
        return replace(self, low=self.nominal - half_width, high=self.nominal + half_width)


def span_of(value: Quantity) -> Span:
    return Span(name=value.name, nominal=value.nominal, low=value.low, high=value.high)


def fixed(name: str, nominal: float = 0.0) -> Span:
    """A value without a band."""
    return Span(name=name, nominal=nominal, low=nominal, high=nominal)


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One weight in kg. On each axis it stands at `multiple` times the shared stretch, plus its `own` place in mm, plus
    the case datum if it is `in_case`; all in vehicle axes. `sign` is -1 for what was taken out. `shifts` names the
    values that carry its own place, and how far they do at their low and at their high end, axis by axis; without it
    each own place deviates by itself."""

    sign: float
    mass: Span
    own: tuple[Span, Span, Span]
    multiple: tuple[float, float, float] = (0.0, 0.0, 0.0)
    in_case: bool = False
    shifts: tuple[Mapping[str, tuple[float, float]], ...] = ()

    def steps(self, axis: int) -> Mapping[str, tuple[float, float]]:
        """How far each value carries the own place along an axis, at both of its ends."""
        own = self.own[axis]
        return self.shifts[axis] if self.shifts else {own.name: (own.low - own.nominal, own.high - own.nominal)}

    @property
    def is_vehicle(self) -> bool:
        """Whether this is part of the vehicle as weighed."""
        return any(self.multiple)


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """All weights, the three stretches (wheelbase, track, height of the vehicle's own centre) and the case datum.

    A stretch is None where the layout does not tell it; `datum` is None without `case_low`. `sides_weighed`: how the
    vehicle's own weight lies between left and right was weighed, as side weights beside the axles.
    """

    loads: tuple[Load, ...]
    stretch: tuple[Span, Span | None, Span | None]
    datum: tuple[Span, Span, Span] | None
    sides_weighed: bool = False

    def knows(self, axis: int) -> bool:
        """Whether places along an axis can be told."""
        needs_stretch = any(load.multiple[axis] for load in self.loads)
        needs_datum = any(load.in_case for load in self.loads)
        return (self.stretch[axis] is not None or not needs_stretch) and (self.datum is not None or not needs_datum)

    def shared(self, axis: int) -> tuple[Span, Span]:
        """(stretch, case datum) along an axis."""
        stretch = self.stretch[axis] or fixed(SHARED[axis])
        return stretch, fixed("datum") if self.datum is None else self.datum[axis]

    @property
    def vehicle_only(self) -> Loading:
        return replace(self, loads=tuple(load for load in self.loads if load.is_vehicle))

    @property
    def swapped_only(self) -> Loading:
        return replace(self, loads=tuple(load for load in self.loads if not load.is_vehicle))

    def with_loads(self, more: tuple[Load, ...]) -> Loading:
        return replace(self, loads=self.loads + more)

    def known_within(self, name: str, half_width: float) -> Loading:
        """The same loading with the value of one name known to a half-width."""

        def narrowed(span: Span) -> Span:
            return span.within(half_width) if span.name == name else span

        loads = tuple(replace(load, mass=narrowed(load.mass)) for load in self.loads)
        along, across, up = (None if span is None else narrowed(span) for span in self.stretch)
        assert along is not None  # noqa: S101 (the wheelbase is always given)
        datum = self.datum
        if datum is not None:
            datum = (narrowed(datum[0]), narrowed(datum[1]), narrowed(datum[2]))
        return replace(self, loads=loads, stretch=(along, across, up), datum=datum)
