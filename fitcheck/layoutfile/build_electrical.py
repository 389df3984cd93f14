"""The `electrical` section as written to the model."""

from __future__ import annotations

from fitcheck.errors import NOWHERE
from fitcheck.layoutfile.build_rules import pair_of, selector_of
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.fields import nearest
from fitcheck.layoutfile.sections import Document
from fitcheck.layoutfile.sections_studies import HouseRuleSection, PotentialSection
from fitcheck.layoutfile.tree import Path
from fitcheck.model.part import FREE_SPACE_ROLES, Part
from fitcheck.model.quantity import Quantity, exact
from fitcheck.model.sections import Electrical, HouseRule, Potential
from fitcheck.standards import materials
from fitcheck.standards.spacing_rules import IEC, RULE_SETS
from fitcheck.units import ALTITUDE, IMPULSE, LENGTH, VOLTAGE, Written

# What is taken where the section is silent: the harsher of what a case in a vehicle may see.
DEFAULT_POLLUTION_DEGREE = 3
DEFAULT_ALTITUDE_M = 2000.0


def electrical(desk: Desk, document: Document, parts: tuple[Part, ...]) -> Electrical | None:
    """The section; potentials that parts name are looked up in it."""
    written = document.electrical
    potentials = () if written is None else _potentials(desk, written.potentials)
    _look_up(desk, parts, [potential.name for potential in potentials])
    if written is None:
        return None
    path: Path = ("electrical",)
    impulse = desk.maybe(written.impulse, IMPULSE, "electrical.impulse", (*path, "impulse"))
    supply = desk.maybe(written.supply, VOLTAGE, "electrical.supply", (*path, "supply"))
    altitude = desk.maybe(written.altitude, ALTITUDE, "electrical.altitude", (*path, "altitude"))
    if impulse is not None and written.overvoltage_category is not None:
        at = desk.key_at((*path, "overvoltage_category"))
        desk.problem(at, "impulse and overvoltage_category say the same thing twice", "keep one of the two")
    if written.overvoltage_category is not None and supply is None and not desk.is_damaged((*path, "supply")):
        at = desk.key_at((*path, "overvoltage_category"))
        desk.problem(at, "overvoltage_category without supply", "add supply: 294 V")
    chassis = [selector_of(desk, word, (*path, "chassis", k)) for k, word in enumerate(written.chassis)]
    return Electrical(
        potentials=potentials,
        chassis=tuple(str(selector) for selector in chassis),
        system=written.system or "isolated",
        impulse_kv=impulse,
        overvoltage_category=written.overvoltage_category,
        supply_v=supply,
        pollution_degree=int(written.pollution_degree or DEFAULT_POLLUTION_DEGREE),
        altitude_m=altitude or exact("electrical.altitude", DEFAULT_ALTITUDE_M, "m", NOWHERE),
        insulation=written.insulation or "basic",
        cemented=tuple(_cemented(desk, parts, pair, (*path, "cemented", k)) for k, pair in enumerate(written.cemented)),
        rules=_rule_sets(desk, written.rules),
        also=_house_rules(desk, written.also),
        recurring_peak=_recurring_peak(desk, written.recurring_peak, potentials),
        at=desk.key_at(path),
    )


def _rule_sets(desk: Desk, written: list[str]) -> tuple[str, ...]:
    """The rule sets beside the first, each once."""
    path: Path = ("electrical", "rules")
    if written and IEC not in written:
        desk.problem(desk.value_at(path), f"{IEC} is left out; other rule sets stand beside it", f"add {IEC} to them")
    for number, name in enumerate(written):
        if name in written[:number]:
            desk.problem(desk.value_at((*path, number)), f"{name} is named twice", "keep one of the two")
    return tuple(dict.fromkeys(name for name in written if name != IEC))


def _house_rules(desk: Desk, written: list[HouseRuleSection]) -> tuple[HouseRule, ...]:
    found: list[HouseRule] = []
    for number, rule in enumerate(written):
        path: Path = ("electrical", "also", number)
        called = f"electrical.{rule.name}"
        if rule.clearance is None and rule.creepage is None and not desk.is_damaged(path):
            desk.problem(desk.value_at(path), f"{rule.name!r} asks for nothing", "add clearance: 10 mm, or creepage")
        if rule.name in (*RULE_SETS, *(known.name for known in found)):
            desk.problem(desk.value_at((*path, "name")), f"there is a rule {rule.name!r} already", "name it otherwise")
        found.append(
            HouseRule(
                name=rule.name,
                because=rule.because,
                clearance=desk.maybe(rule.clearance, LENGTH, f"{called}.clearance", (*path, "clearance")),
                creepage=desk.maybe(rule.creepage, LENGTH, f"{called}.creepage", (*path, "creepage")),
                above=desk.maybe(rule.above, VOLTAGE, f"{called}.above", (*path, "above")),
                at=desk.value_at(path),
            )
        )
    return tuple(found)


def _potentials(desk: Desk, written: dict[str, Written | PotentialSection]) -> tuple[Potential, ...]:
    found = []
    for name, entry in written.items():
        path: Path = ("electrical", "potentials", name)
        if isinstance(entry, PotentialSection):
            volts = desk.exact(entry.volts, VOLTAGE, f"electrical.{name}", (*path, "volts"))
            found.append(Potential(name=name, volts=volts, circuit=entry.circuit or "main"))
        else:
            found.append(Potential(name=name, volts=desk.exact(entry, VOLTAGE, f"electrical.{name}", path)))
    return tuple(found)


def _recurring_peak(desk: Desk, written: Written | None, potentials: tuple[Potential, ...]) -> Quantity | None:
    """The highest recurring peak; it stands on top of what lasts, so it cannot be less."""
    path: Path = ("electrical", "recurring_peak")
    peak = desk.maybe(written, VOLTAGE, "electrical.recurring_peak", path)
    circuits = {potential.circuit for potential in potentials}
    largest = max((_largest_difference(potentials, circuit) for circuit in circuits), default=0.0)
    if peak is not None and peak.nominal < largest:
        what = f"a recurring peak of {peak.nominal:g} V, but {largest:g} V lasts between two potentials"
        desk.problem(desk.value_at(path), what, f"write {largest:g} V or more, or leave it out")
    return peak


def _largest_difference(potentials: tuple[Potential, ...], circuit: str) -> float:
    """In V, the circuit's own zero included."""
    volts = [0.0, *(potential.volts.nominal for potential in potentials if potential.circuit == circuit)]
    return max(volts) - min(volts)


def _cemented(desk: Desk, parts: tuple[Part, ...], written: list[str], path: Path) -> tuple[str, str]:
    """Two insulators: a joint with metal is no path over insulation, and to call it closed would do nothing."""
    pair = pair_of(desk, written, path)
    for part in parts:
        if part.name in pair and (part.potential is not None or _is_metal(part)):
            what = f"{part.name!r} is cemented, but it is {'live' if part.potential is not None else 'metal'}"
            mend = "name two insulators; where a conductor is moulded in, draw the insulation round it"
            desk.problem(desk.value_at((*path, pair.index(part.name))), what, mend)
    return pair


def _is_metal(part: Part) -> bool:
    material = materials.find(part.material) if part.material else None
    return material is not None and material.is_metal


def _look_up(desk: Desk, parts: tuple[Part, ...], known: list[str]) -> None:
    for part in parts:
        path: Path = ("parts", part.name, "potential")
        if part.potential is not None and part.role in FREE_SPACE_ROLES:
            what = f"{part.name!r} is a {part.role}, which stands for space: it has no potential"
            desk.problem(desk.value_at(path), what, "take the potential away, or give the part the role of what it is")
            continue
        if part.potential is None or part.potential in known or desk.is_damaged(("electrical",)):
            continue
        own = desk.value_at(path)
        mend = nearest(part.potential, known) if known else "add electrical: {potentials: {plus: 294 V, minus: 0 V}}"
        desk.problem(own, f"there is no potential {part.potential!r} under electrical", mend)
