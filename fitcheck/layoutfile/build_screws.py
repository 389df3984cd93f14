"""The `screws` section as written to the model."""

from __future__ import annotations

from fitcheck import units
from fitcheck.layoutfile.build_shapes import corner_of
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.fields import nearest
from fitcheck.layoutfile.sections import Document
from fitcheck.layoutfile.sections_studies import IntoSection, ScrewSection
from fitcheck.layoutfile.tree import Path
from fitcheck.model.sections import Clamped, Screw
from fitcheck.units import IN_DIAMETERS, LENGTH, TORQUE, BadValue

_WASHER = "washer "


def screws(desk: Desk, document: Document) -> tuple[Screw, ...]:
    return tuple(_screw(desk, name, written) for name, written in document.screws.items())


def _screw(desk: Desk, name: str, written: ScrewSection) -> Screw:
    path: Path = ("screws", name)
    called = f"screws.{name}"
    into = written.into
    if into is not None:
        _check_into(desk, into, (*path, "into"))
    clamps = [
        _clamped(desk, text, f"{called}.clamps.{k + 1}", (*path, "clamps", k)) for k, text in enumerate(written.clamps)
    ]
    depth = into.usable_depth if into else None
    return Screw(
        name=name,
        thread=written.thread,
        head=written.head,
        property_class=written.property_class,
        torque_nm=desk.maybe(written.torque, TORQUE, f"{called}.torque", (*path, "torque")),
        direction=written.direction or "down",
        clamps=tuple(clamp for clamp in clamps if clamp is not None),
        into_material=into.material if into else None,
        usable_depth=desk.maybe(depth, LENGTH, f"{called}.usable_depth", (*path, "into", "usable_depth")),
        into_nut=into.nut if into else None,
        engagement=desk.maybe(written.engagement, IN_DIAMETERS, f"{called}.engagement", (*path, "engagement")),
        spare=desk.maybe(written.spare, LENGTH, f"{called}.spare", (*path, "spare")),
        length=desk.maybe(written.length, LENGTH, f"{called}.length", (*path, "length")),
        places=tuple(
            corner_of(desk, point, f"{called}.at.{k + 1}", (*path, "at", k)) for k, point in enumerate(written.at)
        ),
        at=desk.key_at(path),
    )


def _check_into(desk: Desk, into: IntoSection, path: Path) -> None:
    if desk.is_damaged(path):
        return
    if (into.nut is None) == (into.material is None):
        desk.problem(desk.key_at(path), "a screw goes into a nut or into a material", "write one of nut and material")
    elif into.nut is not None and into.usable_depth is not None:
        desk.problem(desk.key_at((*path, "usable_depth")), "a nut has no usable depth", "take usable_depth away")
    elif into.material is not None and into.usable_depth is None:
        desk.problem(desk.key_at(path), "a thread in a material without usable_depth", "add usable_depth: 20")


def _clamped(desk: Desk, text: str, name: str, path: Path) -> Clamped | None:
    """A part of that name, a washer, or a thickness."""
    if text in desk.part_names:
        return Clamped(part=text)
    if text.startswith(_WASHER):
        return Clamped(washer=text[len(_WASHER) :].strip())
    try:
        written = units.read(text, LENGTH)
    except BadValue as error:
        if text[:1].isdigit():
            desk.problem(desk.value_at(path), error.what, error.mend)
        else:
            what = f"{text!r} is no part, no washer and no thickness"
            desk.problem(desk.value_at(path), what, nearest(text, (*desk.part_names, "washer ISO 7089")))
        return None
    if written.number <= 0:
        desk.problem(desk.value_at(path), f"a thickness of {text}", "write a thickness above zero")
    return Clamped(thickness=desk.exact(written, LENGTH, name, path))
