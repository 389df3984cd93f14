"""The `vehicle` section as written to the model."""

from __future__ import annotations

from collections.abc import Mapping

from fitcheck.layoutfile.build_shapes import corner_of
from fitcheck.layoutfile.desk import Desk
from fitcheck.layoutfile.fields import nearest
from fitcheck.layoutfile.inertia import inertia_of
from fitcheck.layoutfile.sections import Document
from fitcheck.layoutfile.sections_vehicle import ClearanceSection, PackWeighedSection, VehicleSection
from fitcheck.layoutfile.tree import Path
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import Payload, RaisedAxle, Vehicle
from fitcheck.standards import instruments
from fitcheck.standards.rule_cards import CARDS
from fitcheck.units import LENGTH, MASS, STIFFNESS, Kind, Written

AXLES = {"front", "rear"}
SIDES = {"left", "right"}
CORNERS = {"front left", "front right", "rear left", "rear right"}
_PATH: Path = ("vehicle",)

Named = tuple[tuple[str, Quantity], ...]


def vehicle(desk: Desk, document: Document) -> Vehicle | None:
    written = document.vehicle
    if written is None:
        return None
    clearance, least = _clearance(desk, written)
    case_low = written.case_low
    inertia, off = (written.inertia and inertia_of(desk, written.inertia, (*_PATH, "inertia"))) or (None, None)
    return Vehicle(
        wheelbase=_one(desk, written.wheelbase, "wheelbase"),
        track=desk.maybe(written.track, LENGTH, "vehicle.track", (*_PATH, "track")),
        weighed=_weights(desk, written.weighed, "weighed"),
        cg_height=desk.maybe(written.cg_height, LENGTH, "vehicle.cg_height", (*_PATH, "cg_height")),
        limits=_limits(desk, written),
        case_low=None if case_low is None else corner_of(desk, case_low, "vehicle.case_low", (*_PATH, "case_low")),
        weighed_after=_weights(desk, written.weighed_after, "weighed_after"),
        weighed_as=written.weighed_as,
        payload=_payload(desk, written),
        springs=_springs(desk, written),
        ground_clearance=clearance,
        ground_clearance_least=least,
        raised_axle=_raised_axle(desk, written),
        pack_weighed=_pack_weighed(desk, written),
        category=written.category,
        inertia=inertia,
        inertia_half=off,
        rule_cards=_rule_cards(desk, written),
        held_by=_held_by(desk, written, document),
        steered=written.steered,
        frame=written.frame or "rearward-right-up",
        at=desk.key_at(_PATH),
    )


def _one(desk: Desk, written: Written, key: str) -> Quantity:
    return desk.exact(written, LENGTH, f"vehicle.{key}", (*_PATH, key))


def _named(desk: Desk, written: Mapping[str, Written], kind: Kind, key: str) -> Named:
    return tuple(
        (
            name.replace("_", " "),
            desk.measured(value, kind, f"vehicle.{key}.{name.replace('_', ' ')}", (*_PATH, key, name), ""),
        )
        for name, value in written.items()
    )


def _springs(desk: Desk, section: VehicleSection) -> Named:
    """Spring rates. A bare one means N/mm in a metric layout; in any other it would be taken for pounds per inch."""
    for name, rate in section.springs.items():
        if rate.unit is None and not desk.is_metric:
            at = desk.value_at((*_PATH, "springs", name))
            mend = f"write it with its unit, such as {STIFFNESS.example} or 450 lbf/in"
            desk.problem(at, f"{rate.number:g} has no unit, and this layout's units are not mm and kg", mend)
    return _named(desk, section.springs, STIFFNESS, "springs")


def _weights(desk: Desk, written: Mapping[str, Written] | None, key: str) -> Named:
    """Axle weights, those of the sides beside them, or those of the four corners."""
    weights = _named(desk, written or {}, MASS, key)
    names = {name for name, _ in weights}
    if written and names not in (AXLES, AXLES | SIDES, CORNERS) and not desk.is_damaged((*_PATH, key)):
        mend = "write front and rear (left and right may stand beside them), or all four corners, such as front left"
        desk.problem(desk.key_at((*_PATH, key)), f"{key} holds {', '.join(sorted(names))}", mend)
    for name, reading in weights:
        if reading.low <= 0.0:
            mend = "write what the scale shows, with a tolerance smaller than that"
            desk.problem(reading.at, f"the {name} weight may be nothing at all", mend)
    if names == AXLES | SIDES:
        _sides_agree(desk, dict(weights), key)
    return weights


def _sides_agree(desk: Desk, weights: Mapping[str, Quantity], key: str) -> None:
    """Axles and sides weigh one vehicle. A reading without a tolerance is taken as one of a common scale."""
    by_axle, by_side = (sum(weights[name].nominal for name in names) for names in (AXLES, SIDES))
    off = 0.0
    for reading in weights.values():
        stated = max(reading.below, reading.above)
        off += stated or instruments.half_width("weighing", "mass", reading.nominal) or 0.0
    if abs(by_axle - by_side) > off:
        desk.problem(
            desk.key_at((*_PATH, key)),
            f"front and rear come to {by_axle:g} kg, left and right to {by_side:g} kg: their accuracy explains "
            f"no more than {off:.1f} kg",
            "weigh again, or look for a slip in a digit",
        )


def _limits(desk: Desk, written: VehicleSection) -> Named:
    limits = written.limits
    given = {key: getattr(limits, key) for key in ("front", "rear", "gross")} if limits else {}
    return _named(desk, {key: value for key, value in given.items() if value is not None}, MASS, "limits")


def _payload(desk: Desk, written: VehicleSection) -> tuple[Payload, ...]:
    found = []
    for number, each in enumerate(written.payload):
        path: Path = (*_PATH, "payload", number)
        called = f"vehicle.payload.{number + 1}"
        mass = desk.measured(each.mass, MASS, f"{called}.mass", (*path, "mass"), "")
        found.append(Payload(mass=mass, place=corner_of(desk, each.at, f"{called}.at", (*path, "at"))))
    return tuple(found)


def _clearance(desk: Desk, written: VehicleSection) -> tuple[Quantity | None, Quantity | None]:
    given = written.ground_clearance
    path: Path = (*_PATH, "ground_clearance")
    if isinstance(given, ClearanceSection):
        least = desk.maybe(given.at_least, LENGTH, "vehicle.ground_clearance.at_least", (*path, "at_least"))
        return desk.exact(given.measured, LENGTH, "vehicle.ground_clearance", (*path, "measured")), least
    return desk.maybe(given, LENGTH, "vehicle.ground_clearance", path), None


def _raised_axle(desk: Desk, section: VehicleSection) -> RaisedAxle | None:
    written = section.raised_axle
    if written is None:
        return None
    path: Path = (*_PATH, "raised_axle")
    called = "vehicle.raised_axle"
    lift = desk.exact(written.lift, LENGTH, f"{called}.lift", (*path, "lift"))
    if lift.high >= desk.exact(section.wheelbase, LENGTH, "vehicle.wheelbase", (*_PATH, "wheelbase")).low:
        desk.problem(lift.at, "the axle is lifted by as much as the wheelbase", "write how high its wheels stood")
    return RaisedAxle(
        raised=written.raised,
        lift=lift,
        other_axle=desk.measured(written.other_axle, MASS, f"{called}.other_axle", (*path, "other_axle"), ""),
        wheel_radius=desk.exact(written.wheel_radius, LENGTH, f"{called}.wheel_radius", (*path, "wheel_radius")),
    )


def _rule_cards(desk: Desk, written: VehicleSection) -> tuple[str, ...]:
    known = [each.name for each in CARDS]
    folded = {name.casefold() for name in known}
    for number, name in enumerate(written.rule_cards):
        if name.strip().casefold() not in folded:
            at = desk.value_at((*_PATH, "rule_cards", number))
            desk.problem(at, f"there is no rule card {name!r}", nearest(name, known))
    return tuple(written.rule_cards)


def _pack_weighed(desk: Desk, written: VehicleSection) -> Named:
    given = written.pack_weighed
    path: Path = (*_PATH, "pack_weighed")
    if given is None:
        return ()
    if not isinstance(given, PackWeighedSection):
        return (("original", desk.measured(given, MASS, "vehicle.pack_weighed.original", path, "")),)
    builds = {key: getattr(given, key) for key in ("original", "proposed")}
    return _named(desk, {key: value for key, value in builds.items() if value is not None}, MASS, "pack_weighed")


def _held_by(desk: Desk, written: VehicleSection, document: Document) -> tuple[tuple[str, int], ...]:
    for name in written.held_by:
        if name not in document.screws and not desk.is_damaged(("screws",)):
            at = desk.key_at((*_PATH, "held_by", name))
            desk.problem(at, f"there is no screw {name!r} under screws", nearest(name, document.screws))
    return tuple(written.held_by.items())
