"""One part as a body: its mass, where its centre of mass stands, and its inertia, each with how sure it is."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from fitcheck.geometry import solids
from fitcheck.geometry.composite import BandedWeight, Weight
from fitcheck.geometry.solids import Solid
from fitcheck.model.part import FREE_SPACE_ROLES, Part, State
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Group, sizes_of, with_sizes
from fitcheck.placing.chain import Chain
from fitcheck.placing.forms import Form, dot, form_of
from fitcheck.placing.local import MeshSource, bounds_along
from fitcheck.placing.rotation import IDENTITY
from fitcheck.result import LedgerRow
from fitcheck.standards.materials import find
from fitcheck.study import Study
from fitcheck.weights.shape_solids import NoSolidError, loose_volumes, solid_of

KG_PER_MM3 = 1e-9
"""A density in kg/m3 times a volume in mm3."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A ledger row and, where mass and centre are known, what the composite is made of."""

    row: LedgerRow
    weight: BandedWeight | None


def body_of(study: Study, part: Part) -> Body | None:
    """The part as a body; None for parts that stand for free space."""
    if part.role in FREE_SPACE_ROLES:
        return None
    chain = study.chain(State.BEGINNING).swept(study.widths)
    solid, why = _solid_or_reason(part, study.meshes, chain)
    mass, source, mass_reason = _mass(part, solid, why, study.meshes)
    if solid is None and part.centre_of_mass is None:
        return _unknown(part, mass, source, mass_reason or f"centre of mass unknown: {why}")
    centre, drift = _centre(chain, part, solid)
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
    weight = Weight(mass=mass.nominal, centre=nominal, inertia=_inertia(chain, part, solid, mass.nominal))
    return Body(
        row=row,
        weight=BandedWeight(weight=weight, mass_low=mass.low, mass_high=mass.high, centre_low=low, centre_high=high),
    )


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
    """The volume less and plus what each size can take off or add by itself, summed."""
    falls, rises = 0.0, 0.0
    for size in sizes_of(part.shape):
        ends = []
        for end in (size.low, size.high):

            def at_end(value: Quantity, name: str = size.name, end: float = end) -> Quantity:
                return replace(value, nominal=end) if value.name == name else value

            changed = with_sizes(part.shape, at_end)
            ends.append(solid_of(changed, meshes, hull_allowed=part.hull_allowed).volume - solid.volume)
        falls += max(0.0, -min(ends))
        rises += max(0.0, *ends)
    skin = sum(loose_volumes(part.shape, meshes))
    return max(0.0, solid.volume - falls - skin), solid.volume + rises + skin


def _centre(chain: Chain, part: Part, solid: Solid | None) -> tuple[list[Form], float]:
    """Where the centre of mass stands in case axes, as forms, and how far uncertain turns carry it about the part's
    own origin; mm.
    """
    rotation = chain.rotation(part)
    bounds = [bounds_along(chain.pieces(part), row, chain.extra, f"{part.name}/own") for row in IDENTITY]
    local: list[Form] = []
    held = chain.extra.widths
    for axis, (low, high) in enumerate(bounds):
        if part.centre_of_mass is not None:
            local.append(low + form_of(part.centre_of_mass[axis]))
        else:
            # In proportion to the size, so that it moves with the faces.
            assert solid is not None  # noqa: S101 (the caller gives one or the other)
            share = float(solid.centroid[axis]) / (high.nominal - low.nominal)
            local.append(low * (1.0 - share) + high * share)
    arm = math.hypot(*(max(abs(form.low(held)), abs(form.high(held))) for form in local))
    drift = arm * sum(math.radians(max(turn.angle.below, turn.angle.above)) for turn in part.turns)
    return [dot(rotation[axis], local) + chain.origin(part, axis) for axis in range(3)], drift


def _inertia(chain: Chain, part: Part, solid: Solid | None, mass: float) -> np.ndarray:
    """About the centre of mass, in case axes, kg m2; that of an even spread unless the layout states it."""
    rotation = np.array(chain.rotation(part))
    if part.inertia is not None:
        own = np.array(part.inertia)
    elif solid is not None:
        own = solid.inertia(mass)
    else:
        # Mass and centre are given for a shape without a volume: its box, filled evenly.
        spans = [bounds_along(chain.pieces(part), row, chain.extra, f"{part.name}/own") for row in IDENTITY]
        own = solids.box([high.nominal - low.nominal for low, high in spans]).inertia(mass)
    return np.asarray(rotation @ own @ rotation.T)
