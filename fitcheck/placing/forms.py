"""Affine forms: a length as its nominal value plus so much per unit of each uncertain value.

A module centred in a case has the form `2.5 + 0.5 case.inside.x - 0.5 m1.x` (deviations, in mm) for its gap to the
wall. Sums and differences of forms keep track of what the two sides share, so that a common reference cancels.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from fitcheck.model.quantity import Quantity

NEGLIGIBLE = 1e-12
"""A coefficient below this is rounding noise of a cancelled reference, not a dependence."""

Widths = Mapping[str, tuple[float, float]]
"""Value name -> (below, above), both >= 0."""


@dataclass(frozen=True, slots=True)
class Form:
    """nominal + sum of terms[name] * deviation of that value; mm."""

    nominal: float
    terms: Mapping[str, float]

    def __add__(self, other: Form | float) -> Form:
        if not isinstance(other, Form):
            return Form(self.nominal + other, self.terms)
        return Form(self.nominal + other.nominal, _merged(self.terms, other.terms, 1.0))

    def __sub__(self, other: Form | float) -> Form:
        if not isinstance(other, Form):
            return Form(self.nominal - other, self.terms)
        return Form(self.nominal - other.nominal, _merged(self.terms, other.terms, -1.0))

    def __mul__(self, factor: float) -> Form:
        return Form(self.nominal * factor, {name: share * factor for name, share in self.terms.items()})

    def __neg__(self) -> Form:
        return self * -1.0

    def low(self, widths: Widths) -> float:
        """The least value over all deviations within their widths."""
        return self.nominal + sum(fall(share, widths[name]) for name, share in self.terms.items())

    def high(self, widths: Widths) -> float:
        """The largest value over all deviations within their widths."""
        return self.nominal + sum(rise(share, widths[name]) for name, share in self.terms.items())


def _merged(one: Mapping[str, float], other: Mapping[str, float], sign: float) -> dict[str, float]:
    terms = dict(one)
    for name, share in other.items():
        total = terms.get(name, 0.0) + sign * share
        if abs(total) < NEGLIGIBLE:
            terms.pop(name, None)
        else:
            terms[name] = total
    return terms


def fall(share: float, width: tuple[float, float]) -> float:
    """The most that one value can lower a form (<= 0)."""
    below, above = width
    return -share * below if share > 0 else share * above


def rise(share: float, width: tuple[float, float]) -> float:
    """The most that one value can raise a form (>= 0)."""
    below, above = width
    return share * above if share > 0 else -share * below


def constant(value: float) -> Form:
    return Form(value, {})


def form_of(value: Quantity) -> Form:
    """The form of one value by itself; a value without a band is a constant."""
    return Form(value.nominal, {} if value.is_exact else {value.name: 1.0})


def dot(row: Iterable[float], forms: Iterable[Form]) -> Form:
    """Sum of factor times form."""
    total = constant(0.0)
    for factor, form in zip(row, forms, strict=True):
        if factor != 0.0:
            total = total + form * factor
    return total


HELPER = "\0"
"""What the name of a helper value begins with; no part can be called that."""


def is_helper(name: str) -> bool:
    return name.startswith(HELPER)


def is_play(name: str) -> bool:
    """Whether a value is how far a part can move: "cable_1.play.x"."""
    return name[:-1].endswith(".play.")


def counts_in_full(name: str) -> bool:
    """Whether a value adds in full to a root-sum-square: what an approximation leaves out is a bound, and a part will
    stand anywhere in its play."""
    return is_helper(name) or is_play(name)


class Extra:
    """Widths of the layout's values, and of the helper values that keep the forms affine and still sound.

    A helper value stands for what an affine form leaves out: the product of two deviations, or a face that is now one
    piece's and now another's.
    """

    def __init__(self, widths: Widths) -> None:
        self._widths = dict(widths)

    @property
    def widths(self) -> Widths:
        return self._widths

    @property
    def helpers(self) -> Widths:
        """The widths of the helper values alone."""
        return {name: width for name, width in self._widths.items() if is_helper(name)}

    def product(self, one: Form, other: Form, name: str) -> Form:
        """one * other, first order, with the second-order rest as a helper value of that name."""
        first = one * other.nominal + other * one.nominal - one.nominal * other.nominal
        spread_one, spread_other = self._spread(one), self._spread(other)
        rest = spread_one * spread_other
        if rest < NEGLIGIBLE:
            return first
        return self._with_helper(first, name, (rest, rest))

    def loose(self, half_width: float, name: str) -> Form:
        """A helper value of nominal zero that may go that far either way."""
        return self._with_helper(constant(0.0), name, (half_width, half_width)) if half_width else constant(0.0)

    def between(self, below: float, above: float, name: str) -> Form:
        """A helper value of nominal zero that may fall and rise that far."""
        return self._with_helper(constant(0.0), name, (max(0.0, below), max(0.0, above)))

    def high_of(self, form: Form) -> float:
        return form.high(self._widths)

    def _with_helper(self, form: Form, name: str, width: tuple[float, float]) -> Form:
        self._widths[HELPER + name] = width
        return Form(form.nominal, {**form.terms, HELPER + name: 1.0})

    def _spread(self, form: Form) -> float:
        return max(form.high(self._widths) - form.nominal, form.nominal - form.low(self._widths))

    def largest(self, forms: list[Form], name: str) -> Form:
        """The largest of several forms: what all have in common, and a helper value for the rest.

        Where one is the largest whatever the deviations, it is that one.
        """
        top = max(forms, key=lambda form: form.nominal)
        if max((form - top).high(self._widths) for form in forms) <= NEGLIGIBLE:
            return top
        common = {
            term: share
            for term, share in top.terms.items()
            if all(abs(form.terms.get(term, 0.0) - share) < NEGLIGIBLE for form in forms)
        }
        rest = [form - Form(0.0, common) for form in forms]
        low = max(form.low(self._widths) for form in rest)
        high = max(form.high(self._widths) for form in rest)
        # At nominal the value is the nominal one, so the helper reaches at least that far down.
        return self._with_helper(
            Form(top.nominal, common), name, (max(0.0, top.nominal - low), max(0.0, high - top.nominal))
        )

    def smallest(self, forms: list[Form], name: str) -> Form:
        return -self.largest([-form for form in forms], name)


def root_sum_square(steps: Iterable[float]) -> float:
    return math.sqrt(math.fsum(step * step for step in steps))
