"""The as-built record: `measured` as written to the model."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from fitcheck import units
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.fields import AXES, nearest
from fitcheck.layoutfile.quantities import quantities_of
from fitcheck.layoutfile.sections import Document
from fitcheck.layoutfile.sections_studies import ReadingSection
from fitcheck.layoutfile.tree import Path
from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import Reading
from fitcheck.units import ANGLE, LENGTH, MASS, RESISTANCE, VOLTAGE, BadValue, Kind

_SUBJECTS = ("of", "gap", "mass", "isolation_resistance")
_KIND_OF_UNIT = {"kg": MASS, "deg": ANGLE}


def measured(desk: Desk, document: Document, parts: Iterable[Part]) -> tuple[Reading, ...]:
    if not document.measured:
        return ()
    values = {value.name: value for part in parts for value in quantities_of(part)}
    found = [_reading(desk, document, values, number, each) for number, each in enumerate(document.measured)]
    return tuple(reading for reading in found if reading is not None)


def _reading(
    desk: Desk, document: Document, values: Mapping[str, Quantity], number: int, written: ReadingSection
) -> Reading | None:
    path: Path = ("measured", number)
    given = [key for key in _SUBJECTS if getattr(written, key) is not None]
    if len(given) != 1:
        if not desk.is_damaged(path):
            what = f"a reading of {' and '.join(given)}" if given else "a reading of nothing"
            desk.problem(desk.value_at(path), what, f"write exactly one of {', '.join(_SUBJECTS)}")
        return None
    if written.size is not None and written.of is None:
        desk.problem(desk.key_at((*path, "size")), "a size of no part", "write of: PART, size: z")
    if written.at is not None and written.isolation_resistance is None:
        desk.problem(desk.key_at((*path, "at")), "a test voltage of no isolation resistance", "take it away")
    if written.bus is not None and written.isolation_resistance is None:
        desk.problem(desk.key_at((*path, "bus")), "a bus of no isolation resistance", "take it away")
    kind, of, unit_kind = _subject(desk, document, values, written, path)
    return Reading(
        kind=kind,
        of=of,
        readings=_readings(desk, written, unit_kind, path),
        known_by=written.known_by or "",
        at_volts=desk.maybe(written.at, VOLTAGE, f"measured.{number + 1}.at", (*path, "at")),
        bus=written.bus or "",
        at=desk.value_at(path),
    )


def _subject(
    desk: Desk, document: Document, values: Mapping[str, Quantity], written: ReadingSection, path: Path
) -> tuple[str, tuple[str, ...], Kind]:
    """What was read: its kind, its names, and the kind of its values."""
    if written.gap is not None:
        one, other = (desk.part(name, (*path, "gap", k)) for k, name in enumerate(written.gap))
        return "gap", (one, other), LENGTH
    if written.mass is not None:
        return "mass", (desk.part(written.mass, (*path, "mass")),), MASS
    if written.isolation_resistance is not None:
        return "isolation resistance", (_potential(desk, document, written.isolation_resistance, path),), RESISTANCE
    return _size(desk, values, written, path)


def _potential(desk: Desk, document: Document, name: str, path: Path) -> str:
    known = document.electrical.potentials if document.electrical else {}
    if name not in known and not desk.is_damaged(("electrical",)):
        at = desk.value_at((*path, "isolation_resistance"))
        desk.problem(at, f"there is no potential {name!r} under electrical", nearest(name, known))
    return name


def _size(
    desk: Desk, values: Mapping[str, Quantity], written: ReadingSection, path: Path
) -> tuple[str, tuple[str, ...], Kind]:
    """A size of a part ({of: m1, size: z}), or a value by its whole name ({of: case.inside.x})."""
    of = written.of or ""
    if of in desk.part_names and written.size is None:
        if not desk.is_damaged((*path, "size")):
            desk.problem(
                desk.value_at(path), f"which size of {of!r} was read?", "add size: x, y, z, or a size of its shape"
            )
        return "size", (of,), LENGTH
    name = of if written.size is None else f"{of}.{written.size}"
    if name in values:
        kind = _KIND_OF_UNIT.get(values[name].unit, LENGTH)
        if name.endswith(".mass"):
            return "mass", (name.removesuffix(".mass"),), kind
        return "size", ((of,) if written.size is None else (of, written.size)), kind
    if of in desk.part_names and written.size in AXES:
        return "size", (of, str(written.size)), LENGTH
    if not desk.is_damaged(("parts", of)):
        _tell_unknown(desk, values, written, of, path)
    return "size", (of,), LENGTH


def _tell_unknown(desk: Desk, values: Mapping[str, Quantity], written: ReadingSection, of: str, path: Path) -> None:
    if written.size is not None and of in desk.part_names:
        sizes = [name.removeprefix(f"{of}.") for name in values if name.startswith(f"{of}.")]
        at = desk.value_at((*path, "size"))
        desk.problem(at, f"{of} has no size {written.size!r}", nearest(written.size, dict.fromkeys((*AXES, *sizes))))
        return
    what = f"there is no part or value {of!r}"
    desk.problem(desk.value_at((*path, "of")), what, nearest(of, (*desk.part_names, *values)))


def _readings(desk: Desk, written: ReadingSection, kind: Kind, path: Path) -> tuple[Quantity, ...]:
    several = isinstance(written.reading, list)
    texts = written.reading if isinstance(written.reading, list) else [written.reading]
    found = []
    for k, text in enumerate(texts):
        where: Path = (*path, "reading", k) if several else (*path, "reading")
        try:
            value = units.read(text, kind)
        except BadValue as error:
            desk.problem(desk.value_at(where), error.what, error.mend)
            continue
        name = f"measured.{int(path[1]) + 1}.{k + 1}"
        found.append(desk.measured(value, kind, name, where, written.known_by or ""))
    return tuple(found)
