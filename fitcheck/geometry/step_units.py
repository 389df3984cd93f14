"""The units of length that a STEP file states.

Units are written in many ways that the standard allows, and the library that cuts solids takes some of them for
millimetres without a word. They are read here, and handed on in one plain way.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from fitcheck.geometry.step_text import StepText, members, reference

PREFIXES = {
    b"ATTO": 1e-15, b"FEMTO": 1e-12, b"PICO": 1e-9, b"NANO": 1e-6, b"MICRO": 1e-3, b"MILLI": 1.0, b"CENTI": 10.0,
    b"DECI": 100.0, b"": 1000.0, b"DECA": 1e4, b"HECTO": 1e5, b"KILO": 1e6, b"MEGA": 1e9,
}  # fmt: skip
"""mm per metre with an SI prefix; names as in ISO 10303-41 (from memory, and as STEP files show them)."""

NAMES = {
    1e-3: "micrometre", 0.0254: "thousandth of an inch", 1.0: "millimetre", 10.0: "centimetre", 25.4: "inch",
    100.0: "decimetre", 304.8: "foot", 914.4: "yard", 1000.0: "metre", 1e6: "kilometre", 1_609_344.0: "mile",
}  # fmt: skip

NUMBER = re.compile(rb"(?:[A-Z_]+\s*\()?\s*([-+]?[0-9]+\.?[0-9]*(?:[Ee][-+]?[0-9]+)?)\s*\)?")
"""A measure as a parameter: the bare number, or inside the word for its kind, such as LENGTH_MEASURE(25.4)."""

DEEPEST = 8
"""Units based on one another, such as a foot of twelve inches."""


class NoUnit(Exception):
    """The file, or one of its parts, does not say what its lengths are in."""


@dataclass(frozen=True, kw_only=True)
class StepUnits:
    """`used` are (name, mm) of each unit of length that the file's spaces use, largest last; `records` those units by
    the number of their record, in mm.
    """

    used: tuple[tuple[str, float], ...]
    records: dict[int, float]


def units_of(text: StepText) -> StepUnits:
    """Raises NoUnit where a space has no unit of length or two of them, and where there is no space."""
    records: dict[int, float] = {}
    for number in text.places:
        entity = text.entity(number)
        if entity.get(b"GEOMETRIC_REPRESENTATION_CONTEXT", [b""])[-1] != b"3":
            continue
        listed = b",".join(entity.get(b"GLOBAL_UNIT_ASSIGNED_CONTEXT", []))
        lengths = {unit: _length(text, unit, 0) for unit in map(int, re.findall(rb"#(\d+)", listed))}
        known = {unit: mm for unit, mm in lengths.items() if mm is not None}
        if len(set(known.values())) != 1:
            raise NoUnit
        records |= known
    if not records:
        raise NoUnit
    used = tuple((NAMES.get(mm, f"{mm:g} mm"), mm) for mm in sorted(set(records.values())))
    return StepUnits(used=used, records=records)


def _length(text: StepText, number: int, depth: int) -> float | None:
    """mm of a unit, None where it is one of something else, or cannot be made out."""
    entity = text.entity(number)
    if b"LENGTH_UNIT" not in entity:
        return None
    metric = entity.get(b"SI_UNIT", [])
    if len(metric) > 1:
        return PREFIXES.get(metric[-2].strip(b".$*")) if metric[-1] == b".METRE." else None
    converted = entity.get(b"CONVERSION_BASED_UNIT")
    factor = reference(converted[-1]) if converted is not None else None
    if factor is None or depth > DEEPEST:
        return None
    for kind, parameters in text.entity(factor).items():
        base = reference(parameters[1]) if kind.endswith(b"MEASURE_WITH_UNIT") and len(parameters) > 1 else None
        value = NUMBER.fullmatch(parameters[0])
        mm = _length(text, base, depth + 1) if base is not None else None
        if value is not None and mm is not None and float(value[1]) > 0.0:
            return float(f"{float(value[1]) * mm:.12g}")
    return None


def in_plain_units(text: StepText, units: StepUnits) -> bytes:
    """The text with every unit of length that is no plain metric one written out as so many millimetres, and with the
    kinds of each space in the order of the alphabet, as the standard has them: out of it they bring the library down.
    """
    changed = {number: _as_millimetres(text, units, number) for number in units.records if _is_converted(text, number)}
    for number, (start, end) in text.places.items():
        kinds = list(members(text.data[start:end]))
        if number not in changed and kinds != sorted(kinds):
            changed[number] = b"(%s)" % b"".join(b"%s(%s)" % (kind, b",".join(each)) for kind, each in sorted(kinds))
    pieces, done = [], 0
    for start, end, new in sorted((*text.places[number], new) for number, new in changed.items()):
        pieces += [text.data[done:start], new]
        done = end
    return b"".join([*pieces, text.data[done:]])


def _is_converted(text: StepText, number: int) -> bool:
    return b"CONVERSION_BASED_UNIT" in text.entity(number)


def _as_millimetres(text: StepText, units: StepUnits, number: int) -> bytes:
    """A unit's contents, and after them the records that they rest on, under numbers that are free."""
    exponents = text.highest + 1 + 3 * list(units.records).index(number)
    size, metric = exponents + 1, exponents + 2
    return (
        b"(CONVERSION_BASED_UNIT('',#%d)LENGTH_UNIT()NAMED_UNIT(#%d));\n" % (size, exponents)
        + b"#%d=DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);\n" % exponents
        + b"#%d=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(%s),#%d);\n" % (size, _real(units.records[number]), metric)
        + b"#%d=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))" % metric
    )


def _real(mm: float) -> bytes:
    """A number as part 21 has it: with a point, and a capital E."""
    digits, _, power = repr(mm).partition("e")
    return (digits + ("" if "." in digits else ".") + (f"E{int(power):+03d}" if power else "")).encode()
