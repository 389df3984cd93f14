"""The swap: the vehicle before and after as loadings, and why one of them cannot be told where it cannot."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from fitcheck.findings import Band
from fitcheck.geometry.composite import BandedWeight
from fitcheck.model.part import Change, State
from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import Vehicle
from fitcheck.placing.forms import Form
from fitcheck.study import Study
from fitcheck.vehicle import raised_axle
from fitcheck.vehicle.frames import CaseInVehicle, VehiclePoint, rotation_of
from fitcheck.vehicle.loading import Load, Loading, Span, fixed, span_of
from fitcheck.vehicle.supplier import in_vehicle_axes
from fitcheck.weights.bodies import Body, body_of

AXLES = {"front": (0.0, 0.0, 1.0), "rear": (1.0, 0.0, 1.0)}
"""Where an axle's weight stands: multiples of wheelbase, track and height."""

CORNERS = {
    "front left": (0.0, -0.5, 1.0), "front right": (0.0, 0.5, 1.0),
    "rear left": (1.0, -0.5, 1.0), "rear right": (1.0, 0.5, 1.0),
}  # fmt: skip


SIDES = {"left", "right"}
"""Weights of whole sides: they tell where the centre lies across the vehicle; the mass is that of the axles."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Swap:
    """A loading is None where it cannot be told; `unknown` says why.

    `total_known` holds the loading that is good for sums of mass alone, should only places be missing. `quantities`
    are the values of the vehicle section and of the swapped parts' masses by name, `guesses` the guessed ones of them.
    """

    vehicle: Vehicle
    bodies: tuple[Body, ...]
    case: CaseInVehicle | None
    before: Loading | None
    after: Loading | None
    laden: Loading | None
    total_known: Loading | None
    raised: Band | None
    quantities: Mapping[str, Quantity] = field(default_factory=dict)
    guesses: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    says: tuple[str, ...] = ()

    @property
    def final(self) -> Loading | None:
        """The loading that limits are held against: with the payload where there is one."""
        return self.laden or self.after


def swap_of(study: Study) -> Swap | None:
    """The swap that a layout describes; None where it gives no vehicle."""
    vehicle = study.layout.sections.vehicle
    if vehicle is None:
        return None
    vehicle = in_vehicle_axes(vehicle)
    bodies = tuple(body for body in (body_of(study, part) for part in study.layout.parts) if body is not None)
    swapped = [body for body in bodies if body.row.change != Change.RETAINED]
    case = _case(study, vehicle)
    raised = raised_axle.height(vehicle)
    says: list[str] = []
    before = _before(vehicle, raised, says)
    missing = [body.row.part for body in swapped if body.weight is None]
    unknown = _unknown(vehicle, missing)
    carried = None if before is None or missing else before.with_loads(tuple(_parts(swapped, case)))
    if carried is not None and _least_between(carried) <= 0.0:
        unknown.append("what was taken out may weigh as much as the whole vehicle")
        carried = None
    after = carried if case is not None or not swapped else None
    payload = tuple(_payload(vehicle))
    quantities = {value.name: value for value in _quantities(vehicle)}
    quantities |= {body.row.mass.name: body.row.mass for body in swapped if body.row.mass is not None}
    return Swap(
        vehicle=vehicle,
        bodies=bodies,
        case=case,
        before=before,
        after=after,
        laden=after.with_loads(payload) if after is not None and payload else None,
        total_known=None if carried is None else carried.with_loads(payload),
        raised=raised,
        quantities=quantities,
        guesses=_guesses(study, swapped, quantities.values()),
        unknown=tuple(unknown),
        says=tuple(says),
    )


def _least_between(loading: Loading) -> float:
    """What the vehicle may weigh at the least with the old parts out and nothing new in yet."""
    there = (load for load in loading.loads if load.is_vehicle or load.sign < 0.0)
    return sum(min(load.sign * end for end in load.mass.ends) for load in there)


def _case(study: Study, vehicle: Vehicle) -> CaseInVehicle | None:
    if vehicle.case_low is None:
        return None
    x, y, z = (value.nominal for value in vehicle.case_low)
    return CaseInVehicle(rotation=rotation_of(study.layout.axes), datum=VehiclePoint(x, y, z))


def _unknown(vehicle: Vehicle, missing: list[str]) -> list[str]:
    said = []
    if not vehicle.weighed:
        said.append("the vehicle is not weighed: write `weighed` with front and rear, the original build in")
    if missing:
        said.append(f"no mass or centre is known for {', '.join(missing)}: weigh what is missing before it leaves")
    if vehicle.case_low is None:
        said.append("where the case sits in the vehicle is not stated: write `case_low`")
    return said


def _before(vehicle: Vehicle, raised: Band | None, says: list[str]) -> Loading | None:
    """The vehicle as weighed."""
    if not vehicle.weighed:
        return None
    _say_sides(vehicle, says)
    height = _height(vehicle, raised, says)
    aside = _aside(vehicle)
    return Loading(
        loads=tuple(_wheels(vehicle, aside)),
        stretch=(span_of(vehicle.wheelbase), None if vehicle.track is None else span_of(vehicle.track), height),
        datum=None if vehicle.case_low is None else _spans(vehicle.case_low),
        sides_weighed=aside is not None and vehicle.track is not None,
    )


def _say_sides(vehicle: Vehicle, says: list[str]) -> None:
    """What is known of left and right, and what is taken for granted."""
    names = {name for name, _ in vehicle.weighed}
    if names == set(CORNERS) and vehicle.track is None:
        says.append("four wheels are weighed but no track is given: left and right stay out, the centre is on the line")
    elif names >= SIDES and vehicle.track is None:
        says.append("the sides are weighed but no track is given: left and right stay out, the centre is on the line")
    elif names == set(AXLES):
        says.append("only axles are weighed: the vehicle's own centre of gravity is taken on its centre line")


def _height(vehicle: Vehicle, raised: Band | None, says: list[str]) -> Span | None:
    """How high the vehicle's own centre stands: as stated, else by the raised axle."""
    height = None
    if vehicle.cg_height is not None:
        height = span_of(vehicle.cg_height)
        if raised is not None and (raised.low > height.high or raised.high < height.low):
            says.append(
                f"the stated height of the centre of gravity, {height.nominal:.0f} mm, and that of the raised axle, "
                f"{raised.value:.0f} mm, contradict each other; the stated one is used"
            )
    elif raised is not None and raised.low <= 0.0:
        says.append(
            f"by the raised axle the centre of gravity would stand {raised.value:.0f} mm above the ground, which "
            "cannot be: look at those readings again; height and stability factor are not told"
        )
    elif raised is not None:
        height = Span(name="height by the raised axle", nominal=raised.value, low=raised.low, high=raised.high)
        says.append("the height of the centre of gravity comes from the weighing with one axle raised")
        if vehicle.raised_axle is not None and raised.value < vehicle.raised_axle.wheel_radius.low:
            says.append(
                "by the raised axle the centre of gravity lies below the wheel centres, since lifting took weight off "
                "the axle that stayed down: look at those readings again before the height is believed"
            )
    else:
        says.append("no height of the vehicle's centre of gravity is given: height and stability factor are not told")
    return height


def _wheels(vehicle: Vehicle, aside: Span | None) -> Iterable[Load]:
    """The weighed vehicle as weights at its wheels, or on its axles where the sides put them."""
    nowhere = fixed("wheels")
    for name, mass in vehicle.weighed:
        if name in SIDES:
            continue
        along, across, up = (CORNERS | AXLES)[name]
        off = nowhere
        if vehicle.track is None:
            across = 0.0
        elif aside is not None:
            # The share is the nominal one; how far it may be off stands as a place of its own, at the widest track.
            wide, across = vehicle.track.high, aside.nominal
            off = Span(
                name=aside.name,
                nominal=0.0,
                low=(aside.low - aside.nominal) * wide,
                high=(aside.high - aside.nominal) * wide,
            )
        yield Load(sign=1.0, mass=span_of(mass), own=(nowhere, off, nowhere), multiple=(along, across, up))


def _aside(vehicle: Vehicle) -> Span | None:
    """How far the weighed sides put the centre to the right, as a share of the track; None without side weights.

    The sides share it out as the axles share the wheelbase. It rises with the right side and falls with the left one.
    """
    read = dict(vehicle.weighed)
    if not read.keys() >= SIDES:
        return None
    left, right = read["left"], read["right"]

    def share(to_left: float, to_right: float) -> float:
        return 0.5 * (to_right - to_left) / (to_right + to_left)

    return Span(
        name="vehicle.weighed sides",
        nominal=share(left.nominal, right.nominal),
        low=share(left.high, right.low),
        high=share(left.low, right.high),
    )


def _spans(values: tuple[Quantity, Quantity, Quantity]) -> tuple[Span, Span, Span]:
    return (span_of(values[0]), span_of(values[1]), span_of(values[2]))


def _parts(bodies: Iterable[Body], case: CaseInVehicle | None) -> Iterable[Load]:
    rotation = np.eye(3) if case is None else np.array(case.rotation)
    for body in bodies:
        if body.row.mass is not None and body.weight is not None:
            yield Load(
                sign=-1.0 if body.row.change == Change.REMOVED else 1.0,
                mass=span_of(body.row.mass),
                own=_turned(body.row.part, body.weight, rotation),
                in_case=True,
                shifts=_shifts(body.weight, rotation),
            )


def _turned(part: str, item: BandedWeight, rotation: np.ndarray) -> tuple[Span, Span, Span]:
    """The part's centre along the vehicle axes, still from the case datum. Axes turn by quarters, so bands go along."""
    nominal = rotation @ item.weight.centre
    ends = [rotation @ item.centre_low, rotation @ item.centre_high]
    spans = [
        Span(
            name=f"{part}.centre.{'xyz'[axis]}",
            nominal=float(nominal[axis]),
            low=float(min(end[axis] for end in ends)),
            high=float(max(end[axis] for end in ends)),
        )
        for axis in range(3)
    ]
    return (spans[0], spans[1], spans[2])


def _shifts(item: BandedWeight, rotation: np.ndarray) -> tuple[dict[str, tuple[float, float]], ...]:
    """What carries the part's centre along each vehicle axis."""
    found: tuple[dict[str, tuple[float, float]], ...] = ({}, {}, {})
    for name, ends in item.shifts.items():
        for axis, steps in enumerate(zip(*(rotation @ end for end in ends), strict=True)):
            if any(steps):
                found[axis][name] = (float(steps[0]), float(steps[1]))
    return found


def _payload(vehicle: Vehicle) -> Iterable[Load]:
    for each in vehicle.payload:
        yield Load(sign=1.0, mass=span_of(each.mass), own=_spans(each.place))


def _quantities(vehicle: Vehicle) -> Iterable[Quantity]:
    """Every value of the section that a figure of the vehicle rests on."""
    single = (vehicle.wheelbase, vehicle.track, vehicle.cg_height, vehicle.ground_clearance)
    yield from (value for value in single if value is not None)
    for named in (vehicle.weighed, vehicle.weighed_after, vehicle.springs, vehicle.pack_weighed):
        yield from (value for _, value in named)
    yield from vehicle.case_low or ()
    for each in vehicle.payload:
        yield each.mass
        yield from each.place
    if vehicle.raised_axle is not None:
        yield from (vehicle.raised_axle.lift, vehicle.raised_axle.other_axle, vehicle.raised_axle.wheel_radius)


def measured_exact(swap: Swap) -> tuple[Quantity, ...]:
    """Values of the vehicle that are measured by nature and yet taken as exact, since nothing says how sure they are.

    Corners and places are exact by the format's own rule.
    """
    named = tuple(
        value
        for name, value in swap.quantities.items()
        if value.is_exact and name.startswith("vehicle.") and ".case_low" not in name and ".at." not in name
    )
    inertia = swap.vehicle.inertia
    if inertia is None or swap.vehicle.inertia_half is not None:
        return named
    return (*named, Quantity(name="vehicle.inertia", nominal=inertia[0][0], unit="kg·m²", at=swap.vehicle.at))


def _guesses(study: Study, swapped: list[Body], values: Iterable[Quantity]) -> tuple[str, ...]:
    """The guessed values that the vehicle's figures rest on: its own, and those of the parts that were swapped."""
    found = {value.name for value in values if value.is_guess}
    guessed = {name for name, value in study.layout.quantities.items() if value.is_guess}
    if guessed:
        chain = study.chain(State.BEGINNING)
        for body in swapped:
            part = study.layout.by_name[body.row.part]
            found |= {name for name in guessed if name.startswith(f"{part.name}.")}
            found |= guessed & _values([chain.at_rest(part, axis) for axis in range(3)])
    return tuple(sorted(found))


def _values(forms: Iterable[Form]) -> set[str]:
    return {name for form in forms for name in form.terms}
