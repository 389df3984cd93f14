"""The one door for units: what a layout writes comes in here once; past it every number has the unit of its kind.

Inside, lengths are mm, masses kg, angles degrees, voltages V. A value is written as a number, a number with a unit
("0.5 in"), and with a tolerance ("12 ± 0.3", "12 +- 0.3 mm", "12 +0.5/-0.2", "12 ± 2 %"). Unit words outside the small
table of the trade's own go to pint once each, with a registry that knows nothing but such units: "5 mil" is a length
here, and nothing is guessed by prefix.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from fitcheck.errors import FitcheckError

if TYPE_CHECKING:
    from pint import UnitRegistry


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of value. `unit` is the unit inside; `bare` says what a number without a unit means: the name of an entry
    of the layout's `units`, a fixed unit word, or None where a unit must be written. `multiples` are words that stand
    for no unit but for a multiple of another size ("2 d")."""

    name: str
    unit: str
    dimension: str
    bare: str | None
    example: str
    multiples: tuple[str, ...] = ()


LENGTH = Kind(name="length", unit="mm", dimension="length", bare="length", example="12 mm")
MASS = Kind(name="mass", unit="kg", dimension="mass", bare="mass", example="13.2 kg")
ANGLE = Kind(name="angle", unit="deg", dimension="angle", bare="angle", example="90 deg")
VOLTAGE = Kind(name="voltage", unit="V", dimension="voltage", bare=None, example="294 V")
IMPULSE = Kind(name="voltage", unit="kV", dimension="voltage", bare=None, example="2.5 kV")
TRACKING_INDEX = Kind(name="tracking index", unit="V", dimension="voltage", bare="V", example="250")
ALTITUDE = Kind(name="altitude", unit="m", dimension="length", bare=None, example="1500 m")
TORQUE = Kind(name="torque", unit="N·m", dimension="torque", bare=None, example="22 N·m")
RESISTANCE = Kind(name="resistance", unit="ohm", dimension="resistance", bare=None, example="0.42 MΩ")
STIFFNESS = Kind(name="spring rate", unit="N/mm", dimension="stiffness", bare="N/mm", example="80 N/mm")
INERTIA = Kind(name="moment of inertia", unit="kg·m²", dimension="inertia", bare="kg·m²", example="0.12 kg·m²")
SHARE = Kind(name="share", unit="", dimension="share", bare=None, example="2 %")
IN_DIAMETERS = Kind(
    name="length", unit="mm", dimension="length", bare="length", example="2 d or 16 mm", multiples=("d",)
)
IN_TIMES = Kind(name="length", unit="mm", dimension="length", bare="length", example="5 x or 75 mm", multiples=("x",))

NAMED = ("length", "mass", "angle")
"""The entries of a layout's `units`; without one a bare number has the unit inside."""

LARGEST = 1e9
"""Values beyond this, in the unit of their kind, are slips: a thousand kilometres, a million tonnes."""

_PER_INSIDE: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "length": {
            "mm": 1.0, "cm": 10.0, "m": 1000.0, "um": 0.001, "in": 25.4, "ft": 304.8, "thou": 0.0254, "mil": 0.0254,
        },
        "mass": {"kg": 1.0, "g": 0.001, "t": 1000.0, "lb": 0.45359237, "oz": 0.028349523125},
        "angle": {"deg": 1.0, "rad": 180.0 / math.pi, "arcmin": 1.0 / 60.0},
        "voltage": {"V": 1.0, "kV": 1000.0, "mV": 0.001},
        "torque": {"N*m": 1.0},
        "resistance": {"ohm": 1.0, "kohm": 1e3, "Mohm": 1e6},
        "stiffness": {"N/mm": 1.0},
        "inertia": {"kg*m**2": 1.0},
        "share": {"%": 0.01},
    }
)  # fmt: skip
"""How much of the inside unit of a dimension one of each common word is. Held against pint by a test."""

_INSIDE_FOR_PINT = MappingProxyType(
    {
        "length": "mm", "mass": "kg", "angle": "deg", "voltage": "V", "torque": "N*m", "resistance": "ohm",
        "stiffness": "N/mm", "inertia": "kg*m**2",
    }
)  # fmt: skip

_DEFINITIONS = (
    "metre = [length] = m", "millimetre = 0.001 metre = mm", "centimetre = 0.01 metre = cm",
    "decimetre = 0.1 metre = dm", "kilometre = 1000 metre = km", "micrometre = 1e-6 metre = um",
    "inch = 0.0254 metre = in", "foot = 12 inch = ft", "yard = 3 foot = yd", "thousandth = 0.001 inch = thou = mil",
    "kilogram = [mass] = kg", "gram = 0.001 kilogram = g", "milligram = 1e-6 kilogram = mg",
    "tonne = 1000 kilogram = t", "pound = 0.45359237 kilogram = lb = lbs", "ounce = 0.0625 pound = oz",
    "second = [time] = s", "ampere = [current] = A",
    "radian = [angle] = rad", "degree = 0.017453292519943295 radian = deg", "arcminute = degree / 60 = arcmin",
    "newton = kilogram * metre / second ** 2 = N", "kilonewton = 1000 newton = kN",
    "pound_force = 9.80665 pound * metre / second ** 2 = lbf",
    "kilogram_force = 9.80665 kilogram * metre / second ** 2 = kgf",
    "volt = newton * metre / ampere / second = V", "kilovolt = 1000 volt = kV", "millivolt = 0.001 volt = mV",
    "ohm = volt / ampere", "kiloohm = 1000 ohm = kohm", "megaohm = 1e6 ohm = Mohm",
    "gigaohm = 1e9 ohm = Gohm", "milliohm = 0.001 ohm = mohm",
)  # fmt: skip

_SPELLINGS = (
    ("µ", "u"), ("μ", "u"), ("Ω", "ohm"), ("Ω", "ohm"), ("·", "*"), ("⋅", "*"), ("²", "**2"), ("^", "**"),
    ("°", "deg"), ("′", "arcmin"),
)  # fmt: skip
_WHOLE_WORDS = MappingProxyType(
    {
        "Nm": "N*m", "kNm": "kN*m", "Nmm": "N*mm", "lbft": "lbf*ft", "lb*ft": "lbf*ft", "ft*lb": "lbf*ft",
        "ft*lbf": "lbf*ft", "lbin": "lbf*in", "lb*in": "lbf*in", "in*lb": "lbf*in", "Ohm": "ohm", "inch": "in",
        "kOhm": "kohm", "MOhm": "Mohm", "lb/in": "lbf/in", "lbs/in": "lbf/in", "kg/mm": "kgf/mm",
    }
)  # fmt: skip

_UNSIGNED = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_UNIT = r"[A-Za-zµμ°Ω%Ω′][A-Za-zµμ°Ω%Ω0-9²^*·⋅/]*"
_AMOUNT = re.compile(
    rf"(?P<value>[+-]?{_UNSIGNED})\s*(?P<unit>{_UNIT})?\s*"
    rf"(?:(?:±|\+\s*/?\s*-)\s*(?P<pm>{_UNSIGNED})\s*(?P<pm_unit>{_UNIT})?"
    rf"|(?P<one>[+-]\s*{_UNSIGNED})(?:\s*/\s*|\s+)(?P<other>[+-]?\s*{_UNSIGNED})\s*(?P<two_unit>{_UNIT})?)?"
)
_TOLERANCE = re.compile(
    rf"(?:±\s*)?(?P<pm>{_UNSIGNED})\s*(?P<pm_unit>{_UNIT})?"
    rf"|(?P<one>[+-]\s*{_UNSIGNED})(?:\s*/\s*|\s+)(?P<other>[+-]?\s*{_UNSIGNED})\s*(?P<two_unit>{_UNIT})?"
)
_UNIT_PRODUCT = re.compile(r"[A-Za-z_]+(?:\*\*[1-4])?(?:[*/][A-Za-z_]+(?:\*\*[1-4])?){0,5}")
_DECIMAL_COMMA = re.compile(r"(\d),(\d)")
_OTHER_SPACES = re.compile(r"[\u00a0\u2007\u2009\u202f]")


class BadValue(FitcheckError):
    """Text that is no value of its kind; `what` is wrong and how to `mend` it."""

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(f"{what}; {mend}")
        self.what, self.mend = what, mend


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """A tolerance as written; `unit` None means that of the value, "%" a share of it."""

    below: float
    above: float
    unit: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A value as written: `unit` None is a bare number, whose meaning the layout's `units` give."""

    number: float
    unit: str | None = None
    tolerance: Tolerance | None = None
    known_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A value in the unit of its kind (or in a multiple, such as "d"); widths are >= 0, None where none is stated."""

    nominal: float
    unit: str
    widths: tuple[float, float] | None


def _a(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeio' else 'a'} {noun}"


def spelling(word: str) -> str:
    """A unit word in its plain form: "N·m" and "Nm" are "N*m", "MΩ" is "Mohm"."""
    plain = word.strip()
    for odd, usual in _SPELLINGS:
        plain = plain.replace(odd, usual)
    return _WHOLE_WORDS.get(plain, plain)


@cache
def factor(word: str, dimension: str) -> float:
    """How many inside units of a dimension one of that unit is; BadValue for an unknown word or another dimension.

    >>> factor("in", "length")
    25.4
    """
    plain = spelling(word)
    here = _PER_INSIDE[dimension].get(plain)
    if here is not None:
        return here
    for other, words in _PER_INSIDE.items():
        if plain in words:
            raise BadValue(f"{word!r} is a unit of {other}, not of {dimension}", f"write {_a(dimension)}")
    return _ask_pint(word, plain, dimension)


@cache
def registry() -> UnitRegistry[Any]:
    """pint with the trade's units alone. Loading pint costs about 0.3 s, so nothing asks before it must."""
    import pint

    own: UnitRegistry[Any] = pint.UnitRegistry(None)
    own.load_definitions(list(_DEFINITIONS))
    return own


def _ask_pint(word: str, plain: str, dimension: str) -> float:
    unknown = BadValue(f"{word!r} is no unit that fitcheck knows", _nearest_unit(word, dimension))
    if not _UNIT_PRODUCT.fullmatch(plain):
        raise unknown
    import pint

    own = registry()
    try:
        unit = own.parse_units(plain)
    except (pint.errors.UndefinedUnitError, ValueError) as error:  # ValueError: "nan" and "inf" are numbers to pint
        raise unknown from error
    inside = _INSIDE_FOR_PINT.get(dimension)
    if inside is None or unit.dimensionality != own.parse_units(inside).dimensionality:
        raise BadValue(f"{word!r} is not a unit of {dimension}", _nearest_unit(word, dimension))
    return float(own.Quantity(1.0, unit).to(inside).magnitude)


def _nearest_unit(word: str, dimension: str) -> str:
    known = list(_PER_INSIDE[dimension])
    by_case = [unit for unit in known if unit.lower() == word.lower()]
    near = by_case or difflib.get_close_matches(spelling(word), known, n=1, cutoff=0.5)
    return f"did you mean {near[0]!r}?" if near else f"units of {dimension} are {', '.join(known)}"


def read(text: str, kind: Kind) -> Written:
    """Read a value of that kind; BadValue says what is wrong. The unit, where stated, is checked here.

    >>> read("12 +0.5/-0.2 mm", LENGTH).tolerance
    Tolerance(below=0.2, above=0.5, unit=None)
    """
    plain = _plain(text)
    found = _AMOUNT.fullmatch(plain)
    if not found:
        raise _not_a_value(text, plain, kind)
    unit, tolerance = found["unit"], _tolerance(found)
    behind = found["pm_unit"] or found["two_unit"]
    if unit is None and behind and (behind != "%" or kind.dimension == "share"):
        unit = behind
    return checked(Written(number=float(found["value"]), unit=unit, tolerance=tolerance), kind, text)


def read_tolerance(text: str) -> Tolerance:
    """A tolerance on its own: "0.3", "± 0.3", "+0.5/-0.2", "2 %"."""
    found = _TOLERANCE.fullmatch(_plain(text))
    if not found:
        comma = _DECIMAL_COMMA.sub(r"\1.\2", text)
        mend = f"write {comma}" if comma != text else "write 0.3, +0.5/-0.2 or 2 %"
        raise BadValue(f"{text!r} is no tolerance", mend)
    tolerance = _tolerance(found)
    if tolerance is None:
        raise BadValue(f"{text!r} is no tolerance", "write 0.3, +0.5/-0.2 or 2 %")
    return tolerance


def _plain(text: str) -> str:
    return _OTHER_SPACES.sub(" ", text).replace("−", "-").strip()


def _tolerance(found: re.Match[str]) -> Tolerance | None:
    if found["pm"] is not None:
        return Tolerance(below=float(found["pm"]), above=float(found["pm"]), unit=found["pm_unit"])
    if found["one"] is None:
        return None
    one, other = (float(found[end].replace(" ", "")) for end in ("one", "other"))
    low, high = min(one, other), max(one, other)
    if low > 0 or high < 0:
        raise BadValue(
            f"{found['one']}/{found['other']} leaves the value itself outside its tolerance",
            f"write the middle of the band and ± {(high - low) / 2:g}",
        )
    # `+ 0.0` so that "-0" is plain zero.
    return Tolerance(below=-low + 0.0, above=high + 0.0, unit=found["two_unit"])


def _not_a_value(text: str, plain: str, kind: Kind) -> BadValue:
    what = f"{text!r} is no {kind.name}"
    comma = _DECIMAL_COMMA.sub(r"\1.\2", plain)
    if comma != plain and _AMOUNT.fullmatch(comma):
        return BadValue(f"{text!r} has a decimal comma", f"write {comma}")
    if re.search(r"\b(nan|inf|infinity)\b", plain, re.IGNORECASE):
        return BadValue(f"{text!r} is not a finite number", f"write a number, such as {kind.example}")
    if re.fullmatch(r"\d{1,3}( \d{3})+.*", plain):
        return BadValue(
            f"{text!r} has a space inside the number", f"write {re.sub(r'(?<=[0-9]) (?=[0-9])', '', plain)}"
        )
    return BadValue(what, f"write a number and, where needed, its unit and tolerance, such as {kind.example}")


def checked(written: Written, kind: Kind, text: str) -> Written:
    """The same value, once it is finite and its units are of the right kind; `text` is for messages."""
    numbers = [written.number]
    if written.tolerance:
        numbers += [written.tolerance.below, written.tolerance.above]
    if not all(math.isfinite(number) and abs(number) <= LARGEST for number in numbers):
        raise BadValue(f"{text!r} is not a finite number of a sensible size", f"write {_a(kind.name)}")
    units = [written.unit, written.tolerance.unit if written.tolerance else None]
    for unit in units:
        if unit is not None and unit not in kind.multiples and not (unit == "%" and unit is not written.unit):
            _check_unit(unit, kind, text)
    if written.unit is None and kind.bare is None and not (kind is SHARE and written.number == 0):
        raise BadValue(f"{text!r} has no unit", f"write it with its unit, such as {kind.example}")
    return written


def _check_unit(unit: str, kind: Kind, text: str) -> None:
    try:
        factor(unit, kind.dimension)
    except BadValue as error:
        for dimension in _PER_INSIDE:
            if dimension != kind.dimension and _is_of(unit, dimension):
                raise BadValue(
                    f"{text!r} is {_a(dimension)}; here {_a(kind.name)} is needed",
                    f"write {_a(kind.name)}, such as {kind.example}",
                ) from error
        raise BadValue(f"{text!r}: {error.what}", error.mend) from error


def _is_of(unit: str, dimension: str) -> bool:
    try:
        factor(unit, dimension)
    except BadValue:
        return False
    return True


def inside(written: Written, kind: Kind, units: Mapping[str, str]) -> Amount:
    """The value in the unit of its kind. `units` gives the unit words that bare lengths, masses and angles stand for.

    >>> inside(read("1 ± 0.1 in", LENGTH), LENGTH, {})
    Amount(nominal=25.4, unit='mm', widths=(2.54, 2.54))
    """
    if written.unit in kind.multiples:
        return Amount(nominal=written.number, unit=written.unit or "", widths=_widths(written, 1.0, kind))
    word = written.unit or (units.get(kind.bare, kind.unit) if kind.bare in NAMED else kind.bare)
    per = factor(word, kind.dimension) if word else 1.0
    per /= factor(kind.unit, kind.dimension) if kind.unit else 1.0
    return Amount(nominal=written.number * per, unit=kind.unit, widths=_widths(written, per, kind))


def _widths(written: Written, per: float, kind: Kind) -> tuple[float, float] | None:
    tolerance = written.tolerance
    if tolerance is None:
        return None
    if tolerance.unit == "%" and kind.dimension != "share":
        scale = abs(written.number) * per / 100
    elif tolerance.unit is None or tolerance.unit in kind.multiples or kind.dimension == "share":
        scale = per
    else:
        scale = factor(tolerance.unit, kind.dimension) / factor(kind.unit, kind.dimension)
    return (tolerance.below * scale, tolerance.above * scale)
