"""Unit definitions.

The inch is 25.4 mm and the pound 0.45359237 kg exactly: international yard and pound agreement of 1 July 1959, as
stated in NIST Special Publication 811, appendix B.8. Standard gravity 9.80665 m/s2: 3rd General Conference on Weights
and Measures, 1901. Figures from memory of those documents; the second opinion is pint's own registry, whose definitions
were written without ours.
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

# Our word, and what pint's published registry calls the same.
WORDS = [
    ("mm", "length", "millimetre"), ("cm", "length", "centimetre"), ("m", "length", "metre"),
    ("um", "length", "micrometre"), ("in", "length", "inch"), ("ft", "length", "foot"), ("thou", "length", "thou"),
    ("mil", "length", "thou"), ("km", "length", "kilometre"), ("dm", "length", "decimetre"), ("yd", "length", "yard"),
    ("kg", "mass", "kilogram"), ("g", "mass", "gram"), ("t", "mass", "metric_ton"), ("lb", "mass", "pound"),
    ("oz", "mass", "ounce"), ("mg", "mass", "milligram"), ("lbs", "mass", "pound"),
    ("deg", "angle", "degree"), ("rad", "angle", "radian"), ("arcmin", "angle", "arcminute"),
    ("V", "voltage", "volt"), ("kV", "voltage", "kilovolt"), ("mV", "voltage", "millivolt"),
    ("N*m", "torque", "newton * metre"), ("lbf*ft", "torque", "force_pound * foot"),
    ("lbf*in", "torque", "force_pound * inch"), ("kgf*m", "torque", "force_kilogram * metre"),
    ("kN*m", "torque", "kilonewton * metre"), ("ohm", "resistance", "ohm"), ("kohm", "resistance", "kiloohm"),
    ("Mohm", "resistance", "megaohm"), ("Gohm", "resistance", "gigaohm"), ("mohm", "resistance", "milliohm"),
    ("N/mm", "stiffness", "newton / millimetre"), ("lbf/in", "stiffness", "force_pound / inch"),
    ("kN/m", "stiffness", "kilonewton / metre"), ("kg*m**2", "inertia", "kilogram * metre ** 2"),
    ("lb*in**2", "inertia", "pound * inch ** 2"), ("kg*mm**2", "inertia", "kilogram * millimetre ** 2"),
]  # fmt: skip

TABLE = [(word, dimension) for dimension in INSIDE for word in units._PER_INSIDE[dimension]]


def test_every_word_of_the_table_is_compared_below():
    assert set(TABLE) <= {(word, dimension) for word, dimension, _ in WORDS}


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


@pytest.mark.parametrize(("word", "dimension", "called"), WORDS)
def test_every_word_equals_pints_published_registry(word, dimension, called, published):
    expected = published.Quantity(1.0, called).to(INSIDE[dimension]).magnitude
    assert factor(word, dimension) == pytest.approx(expected, rel=1e-12)
