"""Unit definitions.

The inch is 25.4 mm and the pound 0.45359237 kg exactly: international yard and pound agreement of 1 July 1959, as stated
in NIST Special Publication 811, appendix B.8. Standard gravity 9.80665 m/s2: 3rd General Conference on Weights and
Measures, 1901. Figures from memory of those documents; the second opinion is pint's own registry, whose definitions were
written without ours.
"""

from __future__ import annotations

import math

import pint
import pytest

from fitcheck import units
from fitcheck.units import factor

# The unit inside of each dimension, in the spelling of pint's own registry.
INSIDE = {
    "length": "mm", "mass": "kg", "angle": "degree", "voltage": "volt", "torque": "newton * metre",
    "resistance": "ohm", "stiffness": "newton / mm", "inertia": "kg * metre ** 2",
}  # fmt: skip

# Where pint's own registry calls a unit otherwise.
ELSEWHERE = {
    "in": "inch", "ft": "foot", "mil": "thou", "um": "micrometre", "t": "metric_ton", "kohm": "kiloohm",
    "Mohm": "megaohm", "Gohm": "gigaohm", "mohm": "milliohm", "deg": "degree", "lbf": "force_pound",
    "kgf": "force_kilogram", "N": "newton", "V": "volt", "kV": "kilovolt", "mV": "millivolt", "lb": "pound",
    "oz": "ounce", "yd": "yard",
}  # fmt: skip

TABLE = [(word, dimension) for dimension in INSIDE for word in units._PER_INSIDE[dimension]]
FURTHER = [
    ("km", "length"), ("dm", "length"), ("yd", "length"), ("mg", "mass"), ("lbs", "mass"), ("lbf*ft", "torque"),
    ("lbf*in", "torque"), ("kgf*m", "torque"), ("kN*m", "torque"), ("Gohm", "resistance"), ("mohm", "resistance"),
    ("lbf/in", "stiffness"), ("kN/m", "stiffness"), ("lb*in**2", "inertia"), ("kg*mm**2", "inertia"),
]  # fmt: skip


def test_inch_and_pound_are_exact():
    assert factor("in", "length") == 25.4
    assert factor("ft", "length") == 304.8
    assert factor("lb", "mass") == 0.45359237
    assert factor("thou", "length") == 0.0254


def test_an_ounce_is_a_sixteenth_of_a_pound():
    assert factor("oz", "mass") == 0.45359237 / 16


def test_pound_foot_from_standard_gravity():
    assert factor("lbf·ft", "torque") == pytest.approx(0.45359237 * 9.80665 * 0.3048, rel=1e-15)


def test_a_radian():
    assert factor("rad", "angle") == pytest.approx(180 / math.pi, rel=1e-15)


@pytest.mark.parametrize(("word", "dimension"), TABLE)
def test_the_table_equals_the_own_registry(word, dimension):
    own = units.registry()
    inside = units._INSIDE_FOR_PINT[dimension]
    assert units._PER_INSIDE[dimension][word] == pytest.approx(
        own.Quantity(1.0, own.parse_units(word)).to(inside).magnitude, rel=1e-14
    )


@pytest.fixture(scope="module")
def published():
    return pint.UnitRegistry()


@pytest.mark.parametrize(("word", "dimension"), TABLE + FURTHER)
def test_every_word_equals_pints_published_registry(word, dimension, published):
    for own, other in sorted(ELSEWHERE.items(), key=lambda pair: -len(pair[0])):
        parts = word.replace("**", "^").replace("*", " * ").replace("/", " / ").split()
        parts = [part.replace("^", " ** ") for part in parts]
        word = " ".join(other if part == own else part for part in parts).replace(" ** ", "**")
    expected = published.Quantity(1.0, word).to(INSIDE[dimension]).magnitude
    assert factor(_ours(word), dimension) == pytest.approx(expected, rel=1e-12)


def _ours(word: str) -> str:
    back = {other: own for own, other in ELSEWHERE.items()}
    return "".join(back.get(part, part) for part in word.split(" "))
