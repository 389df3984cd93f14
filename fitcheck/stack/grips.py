"""What a screw holds together, along itself: parts, washers and stated thicknesses."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.model.part import Feature, State
from fitcheck.model.sections import Clamped, Screw
from fitcheck.placing.forms import Form, Widths, constant, form_of, is_helper
from fitcheck.standards.fasteners import washer
from fitcheck.study import Study


@dataclass(frozen=True, slots=True, kw_only=True)
class Grip:
    """The clamped length as a form. `of` lists (what, nominal thickness) from the head on; `widths` are its values'."""

    form: Form
    widths: Widths
    of: tuple[tuple[str, float], ...]

    @property
    def low(self) -> float:
        return self.form.low(self.widths)

    @property
    def high(self) -> float:
        return self.form.high(self.widths)

    @property
    def values(self) -> tuple[str, ...]:
        return tuple(name for name in self.form.terms if not is_helper(name))


def grip_of(study: Study, screw: Screw) -> Grip:
    """The grip of one screw at the beginning of life. Raises OutsideTable for a washer that no table holds, and for a
    screw that clamps nothing, whose length nothing can be said of."""
    if not screw.clamps:
        raise OutsideTable("nothing is listed under clamps: what does it hold?")
    axis, _ = study.layout.direction(screw.direction)
    form = constant(0.0)
    widths: dict[str, tuple[float, float]] = {}
    of: list[tuple[str, float]] = []
    for number, clamp in enumerate(screw.clamps, start=1):
        what, own, own_widths = _one(study, screw, clamp, number, axis)
        form = form + own
        widths |= own_widths
        of.append((what, own.nominal))
    return Grip(form=form, widths={**study.widths, **widths}, of=tuple(of))


def _one(
    study: Study, screw: Screw, clamp: Clamped, number: int, axis: int
) -> tuple[str, Form, dict[str, tuple[float, float]]]:
    if clamp.part is not None:
        part, chain = study.layout.by_name[clamp.part], study.chain(State.BEGINNING).swept(study.widths)
        own = chain.plane(part, axis, Feature.HIGH) - chain.plane(part, axis, Feature.LOW)
        return clamp.part, own, dict(chain.extra.helpers)
    if clamp.washer is not None:
        row = washer(clamp.washer, screw.thread)
        name = f"screws.{screw.name}.clamps.{number}"
        pm = row.thickness_pm
        return f"washer {row.standard}", Form(row.thickness, {name: 1.0}), {name: (pm, pm)}
    assert clamp.thickness is not None  # noqa: S101 (exactly one of the three is set)
    own = form_of(clamp.thickness)
    return "stated thickness", own, {clamp.thickness.name: (clamp.thickness.below, clamp.thickness.above)}


def clamped_parts(screw: Screw) -> Iterator[str]:
    return (clamp.part for clamp in screw.clamps if clamp.part is not None)
