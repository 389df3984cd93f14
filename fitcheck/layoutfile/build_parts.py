"""Parts as written to parts of the model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fitcheck.errors import OutsideTable
from fitcheck.layoutfile.build_places import Body, Placer, refuse_circles
from fitcheck.layoutfile.build_play import plays_of, refuse_contact_in_play
from fitcheck.layoutfile.build_shapes import Shaper, corner_of, turns_of
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.fields import AXES, nearest
from fitcheck.layoutfile.inertia import inertia_of
from fitcheck.layoutfile.resolve import Resolved, resolve
from fitcheck.layoutfile.sections import Document
from fitcheck.layoutfile.sections_parts import GrowsSection
from fitcheck.layoutfile.sections_shapes import ShapeSection
from fitcheck.model.part import Change, Part, Placing
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Mesh, Shape, Triple
from fitcheck.standards import materials
from fitcheck.standards.insulation import material_group
from fitcheck.units import MASS, SHARE, TRACKING_INDEX

_NEEDED = {
    "role": "say what it is for, such as role: module",
    "change": "say change: retained, removed or new",
    "shape": "add a shape, such as {box: [410, 168, 126]}",
}


def build_parts(desk: Desk, document: Document, axes: Sequence[str]) -> tuple[Part, ...]:
    """Every part that could be read; what is wrong is noted on the desk."""
    resolved = resolve(desk, document.parts, axes)
    bodies = {name: _body(desk, part, document.shapes) for name, part in resolved.items()}
    placer = Placer(desk, axes, bodies)
    placings = {name: placer.placings(part) for name, part in resolved.items()}
    refuse_circles(desk, placings)
    refuse_contact_in_play(desk, resolved, placings)
    parts = [_part(desk, part, bodies[name], placings[name]) for name, part in resolved.items()]
    return tuple(part for part in parts if part is not None)


def _known_by(desk: Desk, part: Resolved) -> str:
    return str(part.get("known_by") or desk.known_by)


def _body(desk: Desk, part: Resolved, shapes: Mapping[str, ShapeSection]) -> Body:
    written: Any = part.get("shape")
    shape: Shape | None = None
    if written is not None:
        shaper = Shaper(desk, dict(shapes), _known_by(desk, part))
        shape = shaper.shape(written, part.name, part.path("shape"))
    turn: Any = part.get("turn")
    return Body(shape, turns_of(desk, turn, f"{part.name}.turn", part.path("turn")))


def _part(desk: Desk, part: Resolved, body: Body, placings: tuple[Placing, ...]) -> Part | None:
    missing = [key for key in _NEEDED if key not in part.entries]
    if missing and not part.damaged:
        for key in missing:
            desk.problem(desk.key_at(("parts", part.name)), f"{part.name!r} has no {key!r}", _NEEDED[key])
    file_origin = _corner(desk, part, "file_origin")
    if file_origin is not None and body.shape is not None and not isinstance(body.shape, Mesh):
        desk.problem(desk.key_at(part.path("file_origin")), f"{part.name} is no mesh", "give its low_corner instead")
    mass = _mass(desk, part)
    material = _material(desk, part, mass)
    grows = _grows(desk, part)
    centre = _corner(desk, part, "centre_of_mass")
    inertia: Any = part.get("inertia")
    tensor, half = (inertia and inertia_of(desk, inertia, part.path("inertia"))) or (None, None)
    if missing or body.shape is None:
        return None
    return Part(
        name=part.name,
        role=str(part.get("role")),
        change=Change(str(part.get("change"))),
        shape=body.shape,
        placings=placings,
        file_origin=file_origin,
        turns=body.turns,
        mass=mass,
        material=material,
        grade=_grade(part, material),
        centre_of_mass=centre,
        inertia=tensor,
        inertia_half=half,
        hull_allowed=part.get("hull") == "allowed",
        grows=grows,
        potential=_text(part.get("potential")),
        material_group=_text(part.get("material_group")),
        cti=_cti(desk, part),
        known_by=_known_by(desk, part),
        play=plays_of(desk, part),
        at=desk.key_at(("parts", part.name)),
    )


def _text(value: object) -> str | None:
    return None if value is None else str(value)


def _corner(desk: Desk, part: Resolved, key: str) -> Triple | None:
    written: Any = part.get(key)
    return None if written is None else corner_of(desk, written, f"{part.name}.{key}", part.path(key))


def _mass(desk: Desk, part: Resolved) -> Quantity | None:
    written: Any = part.get("mass")
    if written is None:
        return None
    mass = desk.measured(written, MASS, f"{part.name}.mass", part.path("mass"), _known_by(desk, part))
    if mass.low < 0:
        desk.problem(
            mass.at, f"the tolerance is larger than the mass itself, {mass.nominal:g} kg", "write a smaller one"
        )
    return mass


def _material(desk: Desk, part: Resolved, mass: Quantity | None) -> str | None:
    """The material, by its name in the table; one that is not there serves only a part whose mass is given."""
    written = part.get("material")
    if written is None:
        return None
    found = materials.find(str(written))
    if found is not None:
        return found.name
    if mass is None and not desk.is_damaged(("parts", part.name, "mass")):
        desk.problem(
            desk.value_at(part.path("material")),
            f"no material {written!r} in the table, and {part.name} has no mass of its own",
            f"{nearest(str(written), materials.names())} Or state the mass",
        )
    return str(written)


def _cti(desk: Desk, part: Resolved) -> float | None:
    """The tracking index in V; it has to be in a material group, and in the one that is stated."""
    written: Any = part.get("cti")
    if written is None:
        return None
    path = part.path("cti")
    volts = desk.exact(written, TRACKING_INDEX, f"{part.name}.cti", path).nominal
    try:
        group = material_group(volts)
    except OutsideTable as error:
        mend = "no creepage distance is given for such a surface: keep the way off it, or use another material"
        desk.problem(desk.value_at(path), str(error), mend)
        return None
    stated = _text(part.get("material_group"))
    if stated is not None and stated != group:
        what = f"material_group {stated}, but a tracking index of {volts:g} V is group {group}"
        desk.problem(desk.value_at(path), what, "keep the one that the data sheet states")
    return volts


def _grade(part: Resolved, material: str | None) -> str:
    """What the layout calls its material where the table has another name for it: S235 for a mild steel."""
    written = _text(part.get("material")) or ""
    return written if any(letter.isdigit() for letter in written) and written != material else ""


def _grows(desk: Desk, part: Resolved) -> tuple[tuple[int, Quantity], ...]:
    written = part.get("grows")
    if not isinstance(written, GrowsSection):
        return ()
    path = part.path("grows")
    shares = [(number, axis, getattr(written, axis)) for number, axis in enumerate(AXES)]
    return tuple(
        (number, desk.exact(share, SHARE, f"{part.name}.grows.{axis}", (*path, axis)))
        for number, axis, share in shares
        if share is not None
    )
