"""A value with its band: what it is, how far it may be off, how that is known, and where it stands."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.errors import NOWHERE, Mark

PLAY = "play"


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One toleranced value in the internal unit of its kind (mm, kg, deg, V, ...).

    The true value lies in [nominal - below, nominal + above]; both widths are >= 0. `name` is unique in a layout and is
    what a report calls the value: "case.inside.x", "m1.mass", "m1.place.front". Two quantities of one name are the same
    value; values of different names deviate independently. `basis` says where the band comes from: "stated",
    "ISO 2768-m", "default for tape", or "exact" when there is none; "play" for how far a part can move, which is no
    uncertainty: the part will stand anywhere in it.
    """

    name: str
    nominal: float
    unit: str
    below: float = 0.0
    above: float = 0.0
    known_by: str = ""
    basis: str = "exact"
    at: Mark = NOWHERE

    @property
    def low(self) -> float:
        return self.nominal - self.below

    @property
    def high(self) -> float:
        return self.nominal + self.above

    @property
    def is_exact(self) -> bool:
        return self.below == 0.0 and self.above == 0.0

    @property
    def is_play(self) -> bool:
        return self.basis == PLAY

    @property
    def is_guess(self) -> bool:
        return self.known_by == "guess"


def exact(name: str, nominal: float, unit: str = "mm", at: Mark = NOWHERE) -> Quantity:
    """A value taken without a band."""
    return Quantity(name=name, nominal=nominal, unit=unit, at=at)
