"""What the text of a STEP file itself says: the unit of its lengths, and whether anything in it is curved."""

from __future__ import annotations

import re

PREFIXES = {
    b"MICRO": 1e-3, b"MILLI": 1.0, b"CENTI": 10.0, b"DECI": 100.0, b"DECA": 1e4, b"HECTO": 1e5, b"KILO": 1e6,
    b"NANO": 1e-6, b"": 1000.0,
}  # fmt: skip
"""mm per metre with an SI prefix; names as in ISO 10303-41 (from memory, and as STEP files show them)."""

NAMES = {1e-3: "micrometre", 1.0: "millimetre", 10.0: "centimetre", 25.4: "inch", 304.8: "foot", 1000.0: "metre"}

STRAIGHT = re.compile(
    rb"(EDGE|SURFACE|SEAM|INTERSECTION|COMPOSITE)_CURVE|CURVE_STYLE\w*|SURFACE_(STYLE|SIDE)\w*|SURFACE_MODEL"
    rb"|\w*SURFACE_SHAPE_REPRESENTATION|PLANE\w*|FILL_AREA\w*|COMPOSITE_CURVE_SEGMENT|SHELL_BASED_SURFACE_MODEL"
    rb"|GEOMETRIC_CURVE_SET|\w*ANNOTATION\w*|MECHANICAL_DESIGN\w*"
)
"""Words with "curve" or "surface" in them that bend nothing."""

BENT = re.compile(rb"CURVE|SURFACE|CIRCLE|ELLIPSE|PARABOLA|HYPERBOLA|SPLINE|BEZIER|CLOTHOID|CONIC|SPHERE|TORUS|CYLIND")


class NoUnit(Exception):
    """The file, or one of its parts, does not say what its lengths are in."""


def without_remarks(data: bytes) -> bytes:
    return re.sub(rb"/\*.*?\*/", b" ", data, flags=re.DOTALL) if b"/*" in data else data


def units_of(data: bytes) -> tuple[tuple[str, float], ...]:
    """(name, mm) of each unit of length that the file's spaces use, largest last. Raises NoUnit."""
    spaces = re.finditer(rb"GEOMETRIC_REPRESENTATION_CONTEXT\s*\(\s*'?[^()']*'?\s*,?\s*3\s*\)", data)
    found: dict[float, str] = {}
    for space in spaces:
        entity = _around(data, space.start())
        listed = re.search(rb"GLOBAL_UNIT_ASSIGNED_CONTEXT\s*\(\s*\(([^)]*)\)", entity)
        lengths = [_length(data, int(ref)) for ref in re.findall(rb"#(\d+)", listed[1])] if listed else []
        known = [each for each in lengths if each is not None]
        if not known:
            raise NoUnit
        for mm in known:
            found[mm] = NAMES.get(mm, f"{mm:g} mm")
    if not found:
        raise NoUnit
    return tuple((found[mm], mm) for mm in sorted(found))


def is_curved(data: bytes) -> bool:
    """Whether any curve or surface in it may be other than straight or flat."""
    words = {found[1] for found in re.finditer(rb"[=)(]\s*([A-Z][A-Z0-9_]*)\s*\(", data)}
    return any(BENT.search(word) and not STRAIGHT.fullmatch(word) for word in words)


def _around(data: bytes, place: int) -> bytes:
    end = data.find(b";", place)
    return data[data.rfind(b";", 0, place) + 1 : end if end >= 0 else len(data)]


def _entity(data: bytes, number: int) -> bytes:
    found = re.search(rb"(?:^|[;\s])#%d\s*=((?:[^';]|'[^']*')*);" % number, data)
    return found[1] if found else b""


def _length(data: bytes, number: int) -> float | None:
    """mm of a unit, None where it is one of something else, or cannot be made out."""
    entity = _entity(data, number)
    if not re.search(rb"\bLENGTH_UNIT\s*\(", entity):
        return None
    converted = re.search(rb"CONVERSION_BASED_UNIT\s*\(\s*'[^']*'\s*,\s*#(\d+)", entity)
    if converted:
        measure = re.search(rb"LENGTH_MEASURE\s*\(\s*([-+0-9.Ee]+)\s*\)\s*,\s*#(\d+)", _entity(data, int(converted[1])))
        base = None if measure is None else _metric(_entity(data, int(measure[2])))
        if measure is None or base is None:
            return None
        return float(f"{float(measure[1]) * base:.12g}")
    return _metric(entity)


def _metric(entity: bytes) -> float | None:
    found = re.search(rb"SI_UNIT\s*\(\s*(?:\.([A-Z]+)\.|\$)\s*,\s*\.METRE\.", entity)
    return None if found is None else PREFIXES.get(found[1] or b"")
