"""What the owner's page says of the changes, and what to look after: plain sentences, signs in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from fitcheck.findings import Finding
from fitcheck.report.owner_page_units import Units
from fitcheck.result import FurtherMass, VehicleBalance

LONGEST = 120
"""Characters of any one text of the layout: the page must stay one page."""

LEAST_TOLD_KG = 0.1
"""Less room than this is none."""


def shortened(text: str, longest: int = LONGEST) -> str:
    """One page has no room for a list of a hundred parts; report.txt and ledger.csv beside it have."""
    return text if len(text) <= longest else f"{text[:longest].rstrip()} …"


def joined(names: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}" if names else ""


def the(name: str) -> str:
    """The name of a limit as part of a sentence."""
    return "the whole vehicle" if name == "gross mass" else f"the {name}"


def changes(vehicle: VehicleBalance, findings: Sequence[Finding], units: Units) -> Iterable[str]:
    change = vehicle.change
    if change is None:
        yield "How the vehicle changes cannot be told yet:"
        yield from (shortened(f"{reason[0].upper()}{reason[1:]}.") for reason in vehicle.unknown)
        return
    yield f"The vehicle is {units.heavier(change.total.value)}."
    yield f"The front axle is {units.heavier(change.front.value)}, the rear axle is {units.heavier(change.rear.value)}."
    for test in vehicle.limits:
        if test.before is not None and test.before.value > test.limit_kg:
            yield f"Before the change {the(test.of)} was above its limit already."
    x, y, z = change.cg
    moves = [
        units.moved(x.value, "toward the rear", "toward the front"),
        units.moved(y.value, "to the right", "to the left"),
        "" if z is None else units.moved(z.value, "up", "down"),
    ]
    told = joined([move for move in moves if move])
    yield f"Its balance point (centre of gravity) moves {told}." if told else "Its balance point stays where it was."
    yield from _loaded(vehicle, units)
    yield from _sides(vehicle, units)
    yield from _firmness(vehicle)
    yield from _sinking(vehicle, units)
    yield from _clearance(vehicle, findings, units)


def _sinking(vehicle: VehicleBalance, units: Units) -> Iterable[str]:
    """How far each axle with a known spring rate goes down or up."""
    told = []
    for way, sinks in (("sinks", True), ("rises", False)):
        axles = [
            f"{units.length(abs(drop.value))} at the {axle} axle"
            for axle, drop in vehicle.spring_drop_mm
            if (drop.value >= 0.0) == sinks
        ]
        if axles:
            told.append(f"{way} by {joined(axles)}")
    if told:
        without = ", without the stated load" if vehicle.laden is not None else ""
        yield f"On its springs it {joined(told)}{without}."


def _sides(vehicle: VehicleBalance, units: Units) -> Iterable[str]:
    """Left and right, where wheels or sides were weighed."""
    after = vehicle.laden or vehicle.after
    if after is not None and after.left is not None and after.right is not None:
        aboard = ", with the stated load aboard" if vehicle.laden is not None else ""
        left, right = units.mass(after.left.value), units.mass(after.right.value)
        yield f"The left wheels then carry {left}, the right ones {right}{aboard}."


def _clearance(vehicle: VehicleBalance, findings: Sequence[Finding], units: Units) -> Iterable[str]:
    """What stays free under the vehicle, and what was asked for."""
    if vehicle.ground_clearance is None:
        return
    before, after = vehicle.ground_clearance
    least = next((finding.required for finding in findings if finding.check == "ground clearance"), None)
    asked = "" if least is None else f"; at least {units.length(least)} is asked for"
    measured = f"Free under the vehicle: {units.length(before.value)} as measured before"
    if after is None:
        yield f"{measured}; what is left after cannot be told without the rates of both axles' springs{asked}."
        return
    aboard = " with the stated load aboard" if vehicle.laden is not None else ""
    sure = "" if after.high - after.low < 0.1 else f" ({units.length_between(after)} at the worst)"
    yield f"{measured}, {units.length(after.value)} after{aboard}{sure}{asked}."


def _loaded(vehicle: VehicleBalance, units: Units) -> Iterable[str]:
    """Where the stated load puts the balance point, from where it is after the change without it."""
    if vehicle.laden is None or vehicle.after is None:
        return
    x, y, z = vehicle.after.cg
    to_x, to_y, to_z = vehicle.laden.cg
    moves = [
        units.moved(to_x.value - x.value, "toward the rear", "toward the front"),
        units.moved(to_y.value - y.value, "to the right", "to the left"),
        "" if z is None or to_z is None else units.moved(to_z.value - z.value, "up", "down"),
    ]
    told = joined([move for move in moves if move])
    if told:
        yield f"With the stated load aboard the balance point goes on {told}."


def _firmness(vehicle: VehicleBalance) -> Iterable[str]:
    """How firmly it stands, in words before the figure."""
    before, after = vehicle.before, vehicle.after
    if before is None or after is None:
        return
    old, new = before.stability_factor, after.stability_factor
    if old is None or new is None:
        yield (
            "How firmly it stands against tipping cannot be told: the height of its balance point or the width between "
            "its wheels is not given."
        )
        return
    way = "as firmly as before"
    if abs(new.value - old.value) >= 0.0005:
        way = "a little less firmly than before" if new.value < old.value else "a little more firmly than before"
    without = ", both without the stated load" if vehicle.laden is not None else ""
    yield (
        f"Against tipping sideways it stands {way}: {new.value:.3f} after, {old.value:.3f} before{without} (half the "
        "width between its wheels over the height of its balance point; more is firmer)."
    )
    yield from _firmness_loaded(vehicle, new.value)


def _firmness_loaded(vehicle: VehicleBalance, unloaded: float) -> Iterable[str]:
    loaded = None if vehicle.laden is None else vehicle.laden.stability_factor
    if vehicle.laden is None:
        return
    if loaded is None:
        yield "How firmly it stands with the stated load aboard cannot be told."
        return
    way = "as firmly as without it"
    if abs(loaded.value - unloaded) >= 0.0005:
        way = "less firmly than without it" if loaded.value < unloaded else "more firmly than without it"
    yield f"With the stated load aboard it stands {way}: {loaded.value:.3f}."


def look_after(vehicle: VehicleBalance, units: Units) -> Iterable[str]:
    """What the owner has to see to."""
    yield "Have both axles weighed when the work is done, and keep the slips with this page."
    yield from _room(vehicle, units)
    change, before, after = vehicle.change, vehicle.before, vehicle.after
    if change is None or before is None or after is None:
        return
    # From about one part in fifty a driver may notice, and lamps and pressures were set for another load.
    if max(abs(change.front.value) / before.front.value, abs(change.rear.value) / before.rear.value) >= 0.02:
        yield "Have tyre pressures, headlamps and brakes set for the new axle loads."
    old, new = (state.front_share if vehicle.steered == "front" else state.rear_share for state in (before, after))
    yield (
        f"The steered axle carries {100.0 * new.value:.0f} % of the mass, {100.0 * old.value:.0f} % before"
        + (": the steering may feel lighter." if new.value < old.value - 0.005 else ".")
    )


def _room(vehicle: VehicleBalance, units: Units) -> Iterable[str]:
    """How much more may go aboard. Only what holds over the whole band is promised."""
    if not vehicle.further:
        return
    aboard = " on top of the stated load" if vehicle.laden is not None else ""
    free = [more for more in vehicle.further if more.kg >= LEAST_TOLD_KG]
    none = [more for more in vehicle.further if more.kg < LEAST_TOLD_KG]
    if free:
        told = ", or ".join(f"{units.mass_down(more.kg)} {_place(more)}" for more in free)
        yield f"Room for more{aboard}, doubt taken off: {told}."
    if none and all(_is_used_up(more) for more in vehicle.further):
        names = joined(list(dict.fromkeys(the(more.bound_by) for more in none)))
        yield f"Nothing more may go aboard{aboard}: no room left on {names}."
    elif none:
        yield f"No room for more can be promised {joined([_place(more) for more in none])}."


def _place(more: FurtherMass) -> str:
    return more.at.replace("the pack", "the battery")


def _is_used_up(more: FurtherMass) -> bool:
    return more.room is not None and more.room.high <= 0.0
