"""The one door for units: the grammar of a value, and what each unit word is worth."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from fitcheck import units
from fitcheck.units import ANGLE, LENGTH, MASS, RESISTANCE, SHARE, TORQUE, Amount, BadValue, inside, read

MM = {"length": "mm", "mass": "kg", "angle": "deg"}


def amount(text: str, kind: units.Kind = LENGTH, bare: dict[str, str] | None = None) -> Amount:
    return inside(read(text, kind), kind, MM if bare is None else bare)


@pytest.mark.parametrize(
    ("text", "nominal", "widths"),
    [
        ("12", 12, None),
        ("12 mm", 12, None),
        ("12mm", 12, None),
        ("+12", 12, None),
        ("-12.5", -12.5, None),
        ("−12.5", -12.5, None),
        (".5", 0.5, None),
        ("1e3", 1000, None),
        ("010", 10, None),
        ("12 ± 0.3", 12, (0.3, 0.3)),
        ("12±0.3", 12, (0.3, 0.3)),
        ("12 +- 0.3 mm", 12, (0.3, 0.3)),
        ("12 +/- 0.3", 12, (0.3, 0.3)),
        ("12 mm ± 0.3", 12, (0.3, 0.3)),
        ("12 mm ± 0.3 mm", 12, (0.3, 0.3)),
        ("12 +0.5/-0.2", 12, (0.2, 0.5)),
        ("12 -0.2/+0.5 mm", 12, (0.2, 0.5)),
        ("12 mm +0.5/-0", 12, (0.0, 0.5)),
        ("12 +0.5/0", 12, (0.0, 0.5)),
        ("12 +0.5 -0.2", 12, (0.2, 0.5)),
        ("12 ± 2 %", 12, (0.24, 0.24)),
        ("12 mm ± 2%", 12, (0.24, 0.24)),
        ("12 ± 0", 12, (0.0, 0.0)),
        ("0.5 in", 12.7, None),
        ("1 in ± 0.1", 25.4, (2.54, 2.54)),
        ("1 in ± 0.1 mm", 25.4, (0.1, 0.1)),
        ("1 ± 0.1 in", 25.4, (2.54, 2.54)),
        ("5 mil", 0.127, None),
        ("5 thou", 0.127, None),
        ("12\u00a0mm ±\u20090.3", 12, (0.3, 0.3)),
    ],
)
def test_lengths(text, nominal, widths):
    found = amount(text)
    assert found.nominal == pytest.approx(nominal, rel=1e-15)
    assert found.widths == (None if widths is None else pytest.approx(widths, rel=1e-12))
    assert found.unit == "mm"


def test_a_bare_number_means_the_layouts_unit_and_a_stated_one_does_not():
    inches = {"length": "in", "mass": "lb"}
    assert amount("2 ± 0.5", bare=inches).widths == pytest.approx((12.7, 12.7), rel=1e-15)
    assert amount("2 mm", bare=inches).nominal == 2.0
    assert amount("2", MASS, inches).nominal == pytest.approx(0.90718474, rel=1e-15)
    assert amount("2", LENGTH, {}).nominal == 2.0


@pytest.mark.parametrize(
    ("text", "kind", "nominal", "unit"),
    [
        ("22 N·m", TORQUE, 22, "N·m"),
        ("22 Nm", TORQUE, 22, "N·m"),
        ("22 N*m", TORQUE, 22, "N·m"),
        ("0.42 MΩ", RESISTANCE, 420_000, "ohm"),
        ("0.42 Mohm", RESISTANCE, 420_000, "ohm"),
        ("2.5 kV", units.VOLTAGE, 2500, "V"),
        ("2.5 kV", units.IMPULSE, 2.5, "kV"),
        ("2500 V", units.IMPULSE, 2.5, "kV"),
        ("1500 m", units.ALTITUDE, 1500, "m"),
        ("1.5 km", units.ALTITUDE, 1500, "m"),
        ("30 arcmin", ANGLE, 0.5, "deg"),
        ("90°", ANGLE, 90, "deg"),
        ("80", units.STIFFNESS, 80, "N/mm"),
        ("80 N/mm", units.STIFFNESS, 80, "N/mm"),
        ("0.12 kg·m²", units.INERTIA, 0.12, "kg·m²"),
        ("120000 kg·mm^2", units.INERTIA, 0.12, "kg·m²"),
        ("2 %", SHARE, 0.02, ""),
        ("0", SHARE, 0, ""),
        ("2 d", units.IN_DIAMETERS, 2, "d"),
        ("16", units.IN_DIAMETERS, 16, "mm"),
        ("5x", units.IN_TIMES, 5, "x"),
    ],
)
def test_other_kinds(text, kind, nominal, unit):
    found = amount(text, kind)
    assert found.nominal == pytest.approx(nominal, rel=1e-14)
    assert found.unit == unit


def test_a_share_has_its_tolerance_in_points():
    assert amount("2 ± 0.5 %", SHARE).widths == pytest.approx((0.005, 0.005), rel=1e-15)
    assert amount("2 % ± 0.5 %", SHARE).widths == pytest.approx((0.005, 0.005), rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "what", "mend"),
    [
        ("0,5", LENGTH, "decimal comma", "0.5"),
        ("12 ± 0,3", LENGTH, "decimal comma", "12 ± 0.3"),
        ("12 kg", LENGTH, "is a mass", "a length"),
        ("12 mm", MASS, "is a length", "a mass"),
        ("3 Nm", LENGTH, "is a torque", "a length"),
        ("5 %", LENGTH, "is a share", "a length"),
        ("12 mm ± 0.1 kg", LENGTH, "is a mass", "a length"),
        ("nan", LENGTH, "not a finite number", "12 mm"),
        ("nan mm", LENGTH, "not a finite number", "12 mm"),
        (".inf", LENGTH, "not a finite number", "12 mm"),
        ("inf mm", LENGTH, "not a finite number", "12 mm"),
        ("1e400", LENGTH, "not a finite number of a sensible size", "length"),
        ("1e12", LENGTH, "sensible size", "length"),
        ("12 ± 1e400", LENGTH, "not a finite number", "length"),
        ("1 310", LENGTH, "space inside the number", "1310"),
        ("12:30", LENGTH, "is no length", "12 mm"),
        ("yes", LENGTH, "is no length", "12 mm"),
        ("", LENGTH, "is no length", "12 mm"),
        ("12 MM", LENGTH, "no unit that fitcheck knows", "'mm'"),
        ("12 mmm", LENGTH, "no unit that fitcheck knows", "'mm'"),
        ("12 furlong", LENGTH, "no unit that fitcheck knows", "units of length are"),
        ("12 inf", LENGTH, "no unit that fitcheck knows", ""),
        ("12 mm*nan", LENGTH, "no unit that fitcheck knows", ""),
        ("12 mm**9", LENGTH, "no unit that fitcheck knows", ""),
        ("12 m/", LENGTH, "no unit that fitcheck knows", ""),
        ("12 +0.5/+0.2", LENGTH, "outside its tolerance", "± 0.15"),
        ("12 ± -0.3", LENGTH, "is no length", ""),
        ("22", TORQUE, "has no unit", "22 N·m"),
        ("294", units.VOLTAGE, "has no unit", "294 V"),
        ("1500", units.ALTITUDE, "has no unit", "1500 m"),
        ("0.42", RESISTANCE, "has no unit", "0.42 MΩ"),
        ("2", SHARE, "has no unit", "2 %"),
        ("2 d", LENGTH, "no unit that fitcheck knows", ""),
    ],
)
def test_refused(text, kind, what, mend):
    with pytest.raises(BadValue) as caught:
        read(text, kind)
    assert what in caught.value.what
    assert mend in caught.value.mend


@pytest.mark.parametrize(
    ("text", "below", "above", "unit"),
    [("0.3", 0.3, 0.3, None), ("± 0.3 mm", 0.3, 0.3, "mm"), ("+0.5/-0.2", 0.2, 0.5, None), ("2 %", 2, 2, "%")],
)
def test_a_tolerance_alone(text, below, above, unit):
    assert units.read_tolerance(text) == units.Tolerance(below=below, above=above, unit=unit)


def test_a_tolerance_alone_with_a_decimal_comma():
    with pytest.raises(BadValue, match=r"write 0\.3"):
        units.read_tolerance("0,3")


def test_common_words_need_no_pint():
    code = (
        "import sys; from fitcheck.units import *;"
        "inside(read('12 ± 0.3 mm', LENGTH), LENGTH, {'length': 'in'}); read('22 N·m', TORQUE); read('5 mil', LENGTH);"
        "sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_the_registry_knows_no_prefixes_beyond_the_trade():
    with pytest.raises(BadValue):
        units.factor("Gm", "length")
    assert math.isclose(units.factor("yd", "length"), 914.4, rel_tol=1e-15)
