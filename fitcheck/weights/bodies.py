"""One part as a body: its mass, where its centre of mass stands, and its inertia, each with how sure it is."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from fitcheck.geometry.composite import BandedWeight, Weight
from fitcheck.geometry.solids import Solid
from fitcheck.model.part import FREE_SPACE_ROLES, Part, State
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Group
from fitcheck.placing.chain import Chain
from fitcheck.placing.forms import Form, Widths, dot, form_of
from fitcheck.placing.local import MeshSource, bounds_along
from fitcheck.placing.rotation import IDENTITY
from fitcheck.result import LedgerRow
from fitcheck.standards.materials import find
from fitcheck.study import Study
from fitcheck.weights.own_inertia import own_inertia
from fitcheck.weights.shape_solids import NoSolidError, loose_share, loose_volumes, reaches, solid_of
from fitcheck.weights.size_steps import change_by_sizes, has_plain_sizes, solid_at, unsure_sizes

KG_PER_MM3 = 1e-9
"""A density in kg/m3 times a volume in mm3."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A ledger row and, where mass and centre are known, what the composite is made of."""

    row: LedgerRow
    weight: BandedWeight | None


def body_of(study: Study, part: Part) -> Body | None:
    """The part as a body, worked out once for a study; None for parts that stand for free space."""
    if part.role in FREE_SPACE_ROLES:
        return None
    return study.remembered(("body", part.name), lambda: _body(study, part))


def _body(study: Study, part: Part) -> Body:
    chain = study.chain(State.BEGINNING).swept(study.widths)
    solid, why = _solid_or_reason(part, study.meshes, chain)
    mass, source, mass_reason = _mass(part, solid, why, study.meshes)
    if solid is None and part.centre_of_mass is None:
        return _unknown(part, mass, source, mass_reason or f"centre of mass unknown: {why}")
    centre, drift = _centre(chain, part, solid, study.meshes)
    held = {**study.widths, **chain.extra.helpers}  # the forms have made their helper values by now
    low = np.array([form.low(held) for form in centre]) - drift
    high = np.array([form.high(held) for form in centre]) + drift
    nominal = np.array([form.nominal for form in centre])
    band = np.maximum(nominal - low, high - nominal)
    row = LedgerRow(
        part=part.name,
        change=part.change,
        mass=mass,
        centre=_three(nominal),
        centre_band=_three(band),
        source=source,
        reason=mass_reason,
    )
    if mass is None:
        return Body(row=row, weight=None)
    own = own_inertia(chain, part, solid, mass, study.meshes)
    return Body(
        row=row,
        weight=BandedWeight(
            weight=Weight(mass=mass.nominal, centre=nominal, inertia=own.tensor),
            mass_low=mass.low,
            mass_high=mass.high,
            centre_low=low,
            centre_high=high,
            inertia_half=own.worst,
            inertia_rss_half=own.rss,
            shifts=_shifts(part, centre, held, drift),
            name=part.name,
        ),
    )


def _shifts(part: Part, centre: list[Form], held: Widths, drift: float) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """How far each value that the part's place goes back to carries its centre, at both of its ends."""
    found: dict[str, tuple[np.ndarray, np.ndarray]] = {}
    for axis, form in enumerate(centre):
        for name, share in form.terms.items():
            below, above = held[name]
            low, high = found.setdefault(name, (np.zeros(3), np.zeros(3)))
            low[axis], high[axis] = -share * below, share * above
    if drift:
        found |= {f"{part.name}/turned {axis}": (-drift * unit, drift * unit) for axis, unit in enumerate(np.eye(3))}
    return found


def _three(values: np.ndarray) -> tuple[float, float, float]:
    return (float(values[0]), float(values[1]), float(values[2]))


def _unknown(part: Part, mass: Quantity | None, source: str, reason: str) -> Body:
    row = LedgerRow(
        part=part.name,
        change=part.change,
        mass=mass,
        centre=None,
        centre_band=(0.0, 0.0, 0.0),
        source=source,
        reason=reason,
    )
    return Body(row=row, weight=None)


def _solid_or_reason(part: Part, meshes: MeshSource, chain: Chain) -> tuple[Solid | None, str]:
    try:
        return solid_of(part.shape, meshes, hull_allowed=part.hull_allowed), _overlapping_members(part, chain)
    except NoSolidError as error:
        return None, str(error)


def _overlapping_members(part: Part, chain: Chain) -> str:
    """Members of a group that overlap would count twice; then no volume is taken from the group."""
    if not isinstance(part.shape, Group):
        return ""
    spans = []
    for piece in chain.pieces(part):
        rows = [bounds_along([piece], row, chain.extra, f"{part.name}/alone") for row in IDENTITY]
        spans.append([(low.nominal, high.nominal) for low, high in rows])
    for one, other in combinations(spans, 2):
        if all(min(a[1], b[1]) - max(a[0], b[0]) > 1e-6 for a, b in zip(one, other, strict=True)):
            return "members of the group share space, or their boxes do"
    return ""


def _mass(part: Part, solid: Solid | None, why: str, meshes: MeshSource) -> tuple[Quantity | None, str, str]:
    """(mass, where it comes from, why it is unknown)."""
    if part.mass is not None:
        return part.mass, part.mass.known_by or "stated", ""
    if part.material is None:
        return None, "", "no mass, and no material to work it out from"
    material = find(part.material)
    if material is None:
        return None, "", f"no mass, and no density known for {part.material}"
    if solid is None or why:
        return None, "", f"no mass, and no volume: {why}"
    density = material.density
    typical = solid.volume * density.typical * KG_PER_MM3
    low, high = _volumes(part, solid, meshes)
    return (
        Quantity(
            name=f"{part.name}.mass",
            nominal=typical,
            unit="kg",
            below=typical - low * density.low * KG_PER_MM3,
            above=high * density.high * KG_PER_MM3 - typical,
            basis=f"volume x density of {material.name}",
            at=part.at,
        ),
        f"volume x density of {material.name}" + (" (of its hull)" if part.hull_allowed else ""),
        "",
    )


def _volumes(part: Part, solid: Solid, meshes: MeshSource) -> tuple[float, float]:
    """The volume with every size at the end that lowers it, and at the end that raises it.

    A larger size makes a shape larger or smaller wherever the others stand, so no build lies beyond.
    """
    falling, rising = {}, {}
    for size in unsure_sizes(part):
        ends = sorted((size.low, size.high), key=lambda end: solid_at(part, meshes, {size.name: end}).volume)
        falling[size.name], rising[size.name] = ends
    skin = sum(loose_volumes(part.shape, meshes))
    if not falling:
        return max(0.0, solid.volume - skin), solid.volume + skin
    low, high = (solid_at(part, meshes, ends).volume for ends in (falling, rising))
    return max(0.0, low - skin), high + skin


def _centre(chain: Chain, part: Part, solid: Solid | None, meshes: MeshSource) -> tuple[list[Form], float]:
    """Where the centre of mass stands in case axes, as forms, and how far uncertain turns carry it about the part's
    own origin; mm.
    """
    rotation = chain.rotation(part)
    bounds = [bounds_along(chain.pieces(part), row, chain.extra, f"{part.name}/own") for row in IDENTITY]
    local: list[Form] = []
    aside = np.zeros(3) if solid is None else _aside(part, solid, meshes, bounds, chain.extra.widths)
    held = chain.extra.widths
    for axis, (low, high) in enumerate(bounds):
        if part.centre_of_mass is not None:
            local.append(low + form_of(part.centre_of_mass[axis]))
        else:
            # In proportion to the size, so that it moves with the faces.
            assert solid is not None  # noqa: S101 (the caller gives one or the other)
            share = float(solid.centroid[axis]) / (high.nominal - low.nominal)
            apart = chain.extra.loose(float(aside[axis]), f"{part.name}/centroid {axis}")
            local.append(low * (1.0 - share) + high * share + apart)
    arm = math.hypot(*(max(abs(form.low(held)), abs(form.high(held))) for form in local))
    drift = arm * sum(math.radians(max(turn.angle.below, turn.angle.above)) for turn in part.turns)
    return [dot(rotation[axis], local) + chain.at_rest(part, axis) for axis in range(3)], drift


def _aside(
    part: Part, solid: Solid, meshes: MeshSource, bounds: Sequence[tuple[Form, Form]], held: Widths
) -> np.ndarray:
    """(3,) how far the centroid may lie, in mm, from where it would keep its share of the overall size.

    A thicker floor draws a tray's centroid down though its faces stay, and so does a surface that lies elsewhere.
    """
    if has_plain_sizes(part) or part.centre_of_mass is not None:
        return np.zeros(3)
    sides = [high - low for low, high in bounds]
    nominal, named = np.array([side.nominal for side in sides]), {size.name: size for size in unsure_sizes(part)}

    def share(ends: Mapping[str, float]) -> np.ndarray:
        if not ends:
            return np.asarray(solid.centroid / nominal)
        held_at = {name: end - named[name].nominal for name, end in ends.items()}
        size = [
            side.nominal + sum(side.terms.get(name, 0.0) * step for name, step in held_at.items()) for side in sides
        ]
        return np.asarray(solid_at(part, meshes, ends).centroid / np.array(size))

    largest = np.array([side.high(held) for side in sides])
    by_size = change_by_sizes(part, share)[0] * largest
    loose = loose_share(part.shape, solid.volume, meshes)
    reach = np.array(reaches(solid, list(zip(nominal, largest, strict=True))))
    return np.asarray(by_size + min(loose, 1.0) * reach)
