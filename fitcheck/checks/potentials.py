"""What each part is to electricity, and the voltage that counts between two of them.

A part with a potential is live. Parts chosen under `chassis` are bonded. A cover, an insulator, a part with a material
group or a tracking index, its own or its material's, is insulation, unless its material is a metal. All other matter
floats: metal at no potential of its own, which makes a way shorter. What nothing marks as metal counts as floating
metal too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from fitcheck.model.layout import Layout
from fitcheck.model.part import FREE_SPACE_ROLES, Build, Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import Electrical, Potential
from fitcheck.standards import insulation, materials
from fitcheck.standards.insulation import MATERIAL_GROUPS

MAIN = "main"
MINUS = "minus"
EVERY = "every "
ANYTHING = "anything"
INSULATING_ROLES = ("insulator", "cover")
STATE_VOLTAGE = "state under electrical potentials the highest and the lowest potential in use, such as plus and minus"


class Kind(StrEnum):
    LIVE = "live"
    BONDED = "bonded"
    INSULATION = "insulation"
    FLOATING = "floating"


@dataclass(frozen=True, slots=True, kw_only=True)
class Voltage:
    """The voltage that counts between two parts, in V, and in words why."""

    volts: float
    why: str


def live_parts(layout: Layout, build: Build) -> list[Part]:
    return [part for part in layout.in_build(build) if part.potential is not None]


def kind_of(electrical: Electrical, part: Part) -> Kind | None:
    """What the part is to electricity; None for what stands for space and not for matter."""
    if part.role in FREE_SPACE_ROLES:
        return None
    if part.potential is not None:
        return Kind.LIVE
    if is_bonded(electrical, part):
        return Kind.BONDED
    return Kind.INSULATION if is_insulation(part) else Kind.FLOATING


def is_bonded(electrical: Electrical, part: Part) -> bool:
    """Whether `chassis` names the part, its role or anything."""
    return any(word in (part.name, EVERY + part.role, ANYTHING) for word in electrical.chassis)


def is_insulation(part: Part) -> bool:
    material = materials.find(part.material) if part.material else None
    if material is not None and material.is_metal:
        return False
    tracks = part.cti is not None or (material is not None and material.cti is not None)
    return tracks or part.role in INSULATING_ROLES or part.material_group is not None


def is_known_metal(part: Part) -> bool:
    """Whether the layout says that the part is of metal."""
    material = materials.find(part.material) if part.material else None
    return material is not None and material.is_metal


def group_of(part: Part) -> str:
    """The material group of an insulating part: its own, else its material's, else the worst."""
    known = materials.find(part.material) if part.material else None
    own = part.material_group or (None if part.cti is None else insulation.material_group(part.cti))
    own = own or (known.material_group if known is not None else None)
    return own if own in MATERIAL_GROUPS else MATERIAL_GROUPS[-1]


def worst_group(parts: Iterable[Part]) -> str:
    """The group that asks for most; the worst there is where there is no insulation."""
    return max((group_of(part) for part in parts), key=MATERIAL_GROUPS.index, default=MATERIAL_GROUPS[-1])


def taken_as_metal(layout: Layout, build: Build) -> list[str]:
    """Parts that count as floating metal although nothing says that they are of metal."""
    electrical = layout.sections.electrical
    if electrical is None:
        return []
    return [
        part.name
        for part in layout.in_build(build)
        if kind_of(electrical, part) is Kind.FLOATING and not is_known_metal(part)
    ]


def guessed(electrical: Electrical) -> tuple[str, ...]:
    """The electrical values that are guesses."""
    stated = [potential.volts for potential in electrical.potentials]
    figures = (electrical.impulse_kv, electrical.supply_v, electrical.altitude_m, electrical.recurring_peak)
    stated += [value for value in figures if value]
    return tuple(value.name for value in stated if value.is_guess)


def whole_voltage(electrical: Electrical, circuit: str) -> float:
    """The largest difference within a circuit, its own zero included, at the outer ends of the bands."""
    volts = [potential.volts for potential in electrical.potentials if potential.circuit == circuit]
    return max([0.0, *(value.high for value in volts)]) - min([0.0, *(value.low for value in volts)])


def without_voltage(electrical: Electrical, live: Iterable[Part]) -> dict[str, list[Part]]:
    """Live parts by circuit, of the circuits whose potentials are all the same: their voltage is not known."""
    found: dict[str, list[Part]] = {}
    for part in live:
        potential = potential_of(electrical, part)
        if potential is not None and whole_voltage(electrical, potential.circuit) <= 0.0:
            found.setdefault(potential.circuit, []).append(part)
    return found


def no_voltage(circuit: str) -> str:
    return f"the voltage of circuit {circuit} is not known: all its potentials are the same"


def voltage_between(electrical: Electrical, one: Part, other: Part) -> Voltage | None:
    """The voltage of a live part against another live or a bonded one; None where both are at one potential."""
    first, second = potential_of(electrical, one), potential_of(electrical, other)
    if first is None or second is None:
        live = first or second
        return None if live is None else against_chassis(electrical, live)
    if first.circuit != second.circuit:
        volts = max(whole_voltage(electrical, first.circuit), whole_voltage(electrical, second.circuit))
        return _unless_none(
            volts, f"between circuits {first.circuit} and {second.circuit}: the larger one's whole voltage"
        )
    if first.name == second.name:
        return None
    return _unless_none(_difference(first.volts, second.volts), f"between {first.name} and {second.name}")


def potential_of(electrical: Electrical, part: Part) -> Potential | None:
    return next((found for found in electrical.potentials if found.name == part.potential), None)


def against_chassis(electrical: Electrical, live: Potential) -> Voltage | None:
    """The voltage of a potential against what is bonded; None where chassis is at that potential."""
    if electrical.system == "isolated":
        why = "against chassis, which may stand at either end of an isolated pack: the whole voltage of the circuit"
        return _unless_none(whole_voltage(electrical, live.circuit), why)
    if live.circuit != MAIN:
        why = f"against chassis: the whole voltage of circuit {live.circuit}"
        return _unless_none(whole_voltage(electrical, live.circuit), why)
    return _unless_none(_from_minus(electrical, live.volts), "against chassis, which is bonded to minus")


def _from_minus(electrical: Electrical, volts: Quantity) -> float:
    """From the potential named minus, else from the lowest of the main circuit, its own zero included."""
    main = [potential for potential in electrical.potentials if potential.circuit == MAIN]
    named = [potential.volts for potential in main if potential.name == MINUS]
    if named:
        return 0.0 if volts == named[0] else _difference(volts, named[0])
    return volts.high - min([0.0, *(potential.volts.low for potential in main)])


def _difference(one: Quantity, other: Quantity) -> float:
    return max(one.high - other.low, other.high - one.low)


def _unless_none(volts: float, why: str) -> Voltage | None:
    return None if volts <= 0.0 else Voltage(volts=volts, why=why)
