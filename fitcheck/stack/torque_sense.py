"""Does a torque make sense? Preload at both ends of what friction can be, the proof load, and what to beware of."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.model.part import Feature, Part, State
from fitcheck.model.sections import MAKERS_WORD, Screw
from fitcheck.sources import Source
from fitcheck.stack.grips import clamped_parts
from fitcheck.standards.engagement import FAMILIES
from fitcheck.standards.fasteners import Thread, thread, washer
from fitcheck.standards.materials import find
from fitcheck.standards.property_classes import CLASSES, proof_load_n
from fitcheck.standards.torque import full_torque_nm, preload_n
from fitcheck.study import Study

FRICTION = (0.10, 0.16)
FRICTION_SOURCE = Source(
    document="VDI 2230-1", clause="friction of plain and plated screws as delivered", verified="from memory, unverified"
)
"""Zinc-plated or plain steel, dry to lightly oiled. Wax or grease goes below, rust and stainless steel above."""

_STEEL_TORQUE = 0.8
"""From this share of what the screw could bear on, a torque is one that only a steel thread is sure to hold."""

_SLENDER = 5.0
"""A spacer this many times higher than its narrower side tips and buckles before it clamps; practice, no source."""

_SOFT_GPA = 0.1
"""Below this a material is a seal or a foam: it takes a set and the preload goes."""

_SOFT_ROLES = ("seal",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What to beware of. `settle_by` is what would settle whether the torque holds all the same; empty: a note only."""

    words: str
    settle_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sense:
    """Preloads and proof load in N; `looks_like_class` is the class that the torque may be, typed by mistake."""

    preload_low: float
    preload: float
    preload_high: float
    proof: float
    looks_like_class: str
    cautions: tuple[Caution, ...]

    @property
    def notes(self) -> tuple[str, ...]:
        return tuple(caution.words for caution in self.cautions)

    @property
    def settle_by(self) -> tuple[str, ...]:
        """What must be known or done before the torque can be called met, each once."""
        return tuple(dict.fromkeys(caution.settle_by for caution in self.cautions if caution.settle_by))


def sense_of(study: Study, screw: Screw) -> Sense | None:
    """None without a torque. Raises OutsideTable for a thread or class in no table, or a torque without a class."""
    if screw.torque_nm is None:
        return None
    if screw.property_class is None:
        like = _class_like(screw.torque_nm.nominal)
        looks = f"; {screw.torque_nm.nominal:g} looks like the property class itself, typed as a torque" if like else ""
        raise OutsideTable(f"a torque without a property class: nothing says what the screw bears{looks}")
    row, torque = thread(screw.thread), screw.torque_nm
    proof = proof_load_n(row, screw.property_class)
    high = preload_n(row, torque.high, FRICTION[0])
    return Sense(
        preload_low=preload_n(row, torque.low, FRICTION[1]),
        preload=preload_n(row, torque.nominal, sum(FRICTION) / 2),
        preload_high=high,
        proof=proof,
        looks_like_class=_class_like(torque.nominal),
        cautions=(*_into_soft_thread(screw, row), *_load_path(study, screw, high / _bearing_area(row))),
    )


def _class_like(torque: float) -> str:
    names = [each.name for each in CLASSES if each.name.replace(".", "", 1).isdigit()]
    return next((name for name in names if math.isclose(float(name), torque, abs_tol=1e-9)), "")


def load_path(study: Study, screw: Screw) -> Iterator[str]:
    """What to beware of in the clamped parts, in words, of a screw whose torque is not known."""
    return (caution.words for caution in _load_path(study, screw, None))


def _load_path(study: Study, screw: Screw, pressure: float | None) -> Iterator[Caution]:
    """`pressure` is the most under a washer in MPa; None: unknown."""
    for name in clamped_parts(screw):
        part = study.layout.by_name[name]
        yield from _soft(part, pressure)
        yield from _slender(study, screw, part)
    yield from _not_judged(study, screw)


def _not_judged(study: Study, screw: Screw) -> Iterator[Caution]:
    """What is clamped and of a material that nothing states: whether it creeps is left open, and that is said."""
    bare = [f"{clamp.thickness.nominal:g}" for clamp in screw.clamps if clamp.thickness is not None]
    parts = (study.layout.by_name[name] for name in clamped_parts(screw))
    unknown = [part.name for part in parts if part.role not in _SOFT_ROLES and not _is_known(part)]
    what = [f"the stated thickness{'es' if len(bare) > 1 else ''} {' and '.join(bare)}"] if bare else []
    if unknown:
        what.append(", ".join(unknown))
    if what:
        words = (
            f"not judged: what {' and '.join(what)} {'is' if len(bare) + len(unknown) == 1 else 'are'} made of; "
            "plastic or a seal creeps under a screw: name the part, and its material"
        )
        yield Caution(words=words)


def _is_known(part: Part) -> bool:
    return part.material is not None and find(part.material) is not None


def _into_soft_thread(screw: Screw, row: Thread) -> Iterator[Caution]:
    if screw.into_material is None or not _is_soft_thread(screw.into_material):
        return
    assert screw.torque_nm is not None and screw.property_class is not None  # noqa: S101, PT018 (sense_of saw to it)
    if screw.torque_nm.known_by in MAKERS_WORD:
        return
    settle_by = f"the case maker's torque for the thread in {screw.into_material}"
    full = full_torque_nm(row, screw.property_class, 0.12)
    if screw.torque_nm.high >= _STEEL_TORQUE * full:
        words = (
            f"{screw.torque_nm.nominal:g} N·m is a torque for a steel thread ({full:.1f} N·m uses a {row.name} "
            f"{screw.property_class} screw up at friction 0.12); the thread in {screw.into_material} may strip first: "
            "use the case maker's torque, a wire insert, or a trial piece"
        )
        yield Caution(words=words, settle_by=settle_by)
    elif _is_plastic_thread(screw.into_material):
        words = f"nothing here says which torque a thread in {screw.into_material} holds: use the case maker's"
        yield Caution(words=words, settle_by=settle_by)


def _is_plastic_thread(into: str) -> bool:
    material = find(into)
    return into.strip().casefold() == "plastic" or (material is not None and not material.is_metal)


def _is_soft_thread(into: str) -> bool:
    family = into.strip().casefold()
    if family in FAMILIES:
        return "steel" not in family and "iron" not in family
    material = find(into)
    return material is None or "steel" not in material.name


def _soft(part: Part, pressure: float | None) -> Iterator[Caution]:
    sleeve = f"a metal sleeve through {part.name}, listed under clamps in its place"
    material = find(part.material) if part.material is not None else None
    if part.role in _SOFT_ROLES or (material is not None and material.stiffness.typical < _SOFT_GPA):
        words = f"{part.name} is soft and lies in the load path: it takes a set and the preload goes"
        yield Caution(words=f"{words}; put a sleeve in it", settle_by=sleeve)
    elif material is not None and not material.is_metal:
        pressed = "" if pressure is None else f"up to {pressure:.0f} MPa under a washer, and "
        words = (
            f"{part.name} ({material.name}) is plastic in the load path: {pressed}"
            "it creeps; clamp on a metal sleeve, or tighten again after a day and a heat cycle"
        )
        yield Caution(words=words, settle_by=sleeve)


def _bearing_area(row: Thread) -> float:
    try:
        under = washer("ISO 7089", row.name)
    except OutsideTable:
        return math.pi / 4 * ((2.0 * row.diameter) ** 2 - row.holes[1] ** 2)
    return math.pi / 4 * (under.outside**2 - max(under.inside, row.holes[1]) ** 2)


def _slender(study: Study, screw: Screw, part: Part) -> Iterator[Caution]:
    if part.role not in ("spacer", "riser", "frame"):
        return
    axis, _ = study.layout.direction(screw.direction)
    chain = study.chain(State.BEGINNING)
    sizes = [(chain.plane(part, k, Feature.HIGH) - chain.plane(part, k, Feature.LOW)).nominal for k in range(3)]
    narrow = min(size for k, size in enumerate(sizes) if k != axis)
    if sizes[axis] > _SLENDER * narrow:
        words = (
            f"{part.name} is {sizes[axis]:g} high on a side of {narrow:g}: slender, it leans before it clamps; "
            "brace it or make it wider"
        )
        wide = math.ceil(sizes[axis] / _SLENDER)
        yield Caution(words=words, settle_by=f"{part.name} braced, or {wide:g} wide and more")
