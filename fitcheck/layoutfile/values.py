"""The kinds of values: lengths, masses and so on, each with its tolerance, as a layout writes them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field

from fitcheck import units
from fitcheck.layoutfile.fields import OneOf, Reads, Section, refused, scalar
from fitcheck.standards.instruments import KNOWN_BY
from fitcheck.units import BadValue, Kind, Written

KnownBy = Annotated[str, OneOf(KNOWN_BY)]

_NUMBER = r"(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?"
_UNIT = r"[A-Za-zµμ°ΩΩ%′][A-Za-z0-9µμ°ΩΩ%²^*·⋅/′]*"
_VALUE_PATTERN = (
    rf"^\s*[+\-−]?{_NUMBER}\s*({_UNIT})?\s*"
    rf"((±|\+\s*/?\s*-)\s*{_NUMBER}\s*({_UNIT})?"
    rf"|[+\-−]\s*{_NUMBER}(\s*/\s*|\s+)[+\-−]?\s*{_NUMBER}\s*({_UNIT})?)?\s*$"
)
_TEXT_VALUE = {"type": "string", "pattern": _VALUE_PATTERN}


@dataclass(frozen=True)
class _Said(Reads):
    """Any scalar, as text; what it must be depends on the value it belongs to."""

    what: str

    def read(self, raw: object) -> str:
        return scalar(raw, self.what)

    def schema(self) -> dict[str, Any]:
        return {"type": ["number", "string"]}


class _InFull(Section):
    """A value written as {value: 12, tolerance: 0.3, unit: mm, known_by: caliper}."""

    value: Annotated[str, _Said("a number")]
    tolerance: Annotated[str, _Said("a tolerance")] | None = None
    unit: Annotated[str, _Said("a unit")] | None = None
    known_by: KnownBy | None = None


@dataclass(frozen=True)
class Value(Reads):
    """A value of one kind. `sign` is "any", "not negative" or "positive"; `toleranced`: may a tolerance stand."""

    kind: Kind
    sign: str = "any"
    toleranced: bool = True

    def read(self, raw: object) -> Written:
        in_full = _InFull.model_validate(raw) if isinstance(raw, dict) else None
        try:
            if in_full is not None:
                written = self._from_full(in_full)
            else:
                written = units.read(scalar(raw, f"a {self.kind.name}"), self.kind)
        except BadValue as error:
            raise refused(error.what, error.mend) from error
        self._check(written)
        return written

    def _from_full(self, given: _InFull) -> Written:
        text = given.value if given.unit is None else f"{given.value} {given.unit}"
        plain = units.read(text, self.kind)
        tolerance = plain.tolerance
        if given.tolerance is not None:
            if tolerance is not None:
                raise refused("the tolerance is written twice", "write it once")
            tolerance = units.read_tolerance(given.tolerance)
        full = Written(number=plain.number, unit=plain.unit, tolerance=tolerance, known_by=given.known_by)
        return units.checked(full, self.kind, given.tolerance or text)

    def _check(self, written: Written) -> None:
        name, tolerance = self.kind.name, written.tolerance
        if tolerance is not None and not self.toleranced:
            raise refused(f"a tolerance on a {name} that takes none", "write the plain number")
        if self.sign == "any":
            return
        shown = f"{written.number:g}{' ' + written.unit if written.unit else ''}"
        if written.number < 0:
            raise refused(f"a negative {name}, {shown}", f"write a {name} that is {self.sign}")
        if written.number == 0 and self.sign == "positive":
            raise refused(f"a {name} of zero", f"write a {name} above zero")
        amount = units.inside(written, self.kind, {})
        below = amount.widths[0] if amount.widths else 0.0
        # A bare number beside a tolerance with a unit of its own is compared when the layout's units are known.
        same_unit = tolerance is None or tolerance.unit in (None, "%") or written.unit is not None
        if same_unit and (below > amount.nominal or (self.sign == "positive" and below == amount.nominal)):
            raise refused(f"the tolerance is as large as the {name} itself, {shown}", "write a smaller tolerance")

    def schema(self) -> dict[str, Any]:
        number: dict[str, Any] = {"type": "number"}
        if self.sign != "any":
            number["exclusiveMinimum" if self.sign == "positive" else "minimum"] = 0
        text: dict[str, Any] = dict(_TEXT_VALUE)
        if self.sign != "any":
            text["not"] = {"pattern": r"^\s*[-−]"}
        in_full = {
            "type": "object",
            "additionalProperties": False,
            "required": ["value"],
            "properties": {
                "value": {"description": "the number, with or without its unit", "anyOf": [number, text]},
                "tolerance": {
                    "description": "0.3, +0.5/-0.2 or 2 %",
                    "anyOf": [{"type": "number", "minimum": 0}, {"type": "string"}],
                },
                "unit": {"type": "string", "description": "such as mm, in, kg, lb"},
                "known_by": {"enum": list(KNOWN_BY), "description": "how the value is known"},
            },
        }
        forms = [text, in_full] if self.kind.bare is None else [number, text, in_full]
        name = " ".join((self.kind.name, self.kind.unit, "" if self.sign == "any" else self.sign)).strip()
        return {"title": name, "anyOf": forms, "examples": [self.kind.example]}


Size = Annotated[Written, Value(units.LENGTH, "positive")]
Length = Annotated[Written, Value(units.LENGTH)]
Distance = Annotated[Written, Value(units.LENGTH, "not negative")]
PlainDistance = Annotated[Written, Value(units.LENGTH, "not negative", toleranced=False)]
Mass = Annotated[Written, Value(units.MASS, "not negative")]
Angle = Annotated[Written, Value(units.ANGLE)]
Voltage = Annotated[Written, Value(units.VOLTAGE)]
Impulse = Annotated[Written, Value(units.IMPULSE, "positive")]
TrackingIndex = Annotated[Written, Value(units.TRACKING_INDEX, "positive", toleranced=False)]
Altitude = Annotated[Written, Value(units.ALTITUDE)]
Torque = Annotated[Written, Value(units.TORQUE, "positive")]
SpringRate = Annotated[Written, Value(units.STIFFNESS, "positive")]
Inertia = Annotated[Written, Value(units.INERTIA)]
Share = Annotated[Written, Value(units.SHARE, "not negative")]
Engagement = Annotated[Written, Value(units.IN_DIAMETERS, "positive")]
Bend = Annotated[Written, Value(units.IN_TIMES, "positive")]

Sizes = Annotated[list[Size], Field(min_length=3, max_length=3)]
Corner = Annotated[list[Length], Field(min_length=3, max_length=3)]
Point2 = Annotated[list[Length], Field(min_length=2, max_length=2)]
