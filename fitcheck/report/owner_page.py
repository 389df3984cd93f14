"""What the owner's page says, before anybody draws it: one page, plain words, signs in words."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from fitcheck.findings import Band, Status
from fitcheck.report.owner_page_changes import changes, joined, look_after, shortened, the
from fitcheck.report.owner_page_units import Units
from fitcheck.report.wording import counted
from fitcheck.result import LimitTest, Result, VehicleBalance, VehicleState

LISTED = 4
"""Parts named in each column; the ledger beside the page has them all."""

LONGEST_NAME = 30
"""Characters of a part's name on the page: it must stay one page."""

ISOLATE, END_ISOLATE = "\u2068", "\u2069"
"""What stands between them keeps its own direction of writing; nothing is drawn for them."""

NOT_AN_APPROVAL = "at or below the cited figure; not an approval"

_UNMET = {
    "ground clearance": "Too little stays free under the vehicle.",
    "restraint": "The fasteners named are too weak, by a first estimate.",
    "weighed mass": "The parts and the scale contradict each other.",
    "rule card": "A rule that was asked for by name is not kept.",
}
"""Check -> what the headline says when it is not met and every axle is."""

CAUTIONS = (
    "Weigh on level ground, chocks at the wheels, nobody aboard and nobody beneath.",
    "Nobody goes under a vehicle that stands on a jack: stands first, on firm ground.",
    "A battery stays live with its switch off. Work at it is for people trained for it.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One axle, or the whole vehicle: before, after and limit in kg. `low` and `high` bound the value after."""

    name: str
    before: float | None
    after: float | None
    low: float
    high: float
    limit: float | None
    is_over: bool
    figures: str
    margin: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnerPage:
    """Everything on the page, in its order. `mood` is "good", "bad" or "open": how the headline is framed."""

    title: str
    subject: str
    headline: str
    mood: str
    out: tuple[str, ...]
    came: tuple[str, ...]
    kept: tuple[str, ...]
    bars: tuple[Bar, ...]
    legend: str
    changes: tuple[str, ...]
    look_after: tuple[str, ...]
    cautions: tuple[str, ...]
    sure: tuple[str, ...]
    origin: str
    vehicle: VehicleBalance


def owner_page(result: Result, *, also_imperial: bool = False) -> OwnerPage | None:
    """The page of a result; None where the layout gives no vehicle."""
    vehicle = None if result.balance is None else result.balance.vehicle
    if vehicle is None:
        return None
    units = Units(also_imperial=also_imperial)
    headline, mood = _headline(result, vehicle, units)
    columns = {change: tuple(_parts(vehicle, change, units)) for change in ("removed", "new", "retained")}
    return OwnerPage(
        title="What the new battery does to the vehicle",
        subject=shortened(result.title or result.file),
        headline=headline,
        mood=mood,
        out=columns["removed"],
        came=columns["new"],
        kept=columns["retained"],
        bars=tuple(_bars(vehicle, units)),
        legend=_legend(vehicle),
        changes=tuple(changes(vehicle, result.findings, units)),
        look_after=tuple(look_after(vehicle, units)),
        cautions=(*_on_the_lift(vehicle, units), *CAUTIONS),
        sure=tuple(_sure(result, vehicle, units)),
        origin=f"Worked out by fitcheck from {shortened(result.file)}, fingerprint {result.sha256[:12]}. The outline "
        "is no picture of the vehicle; only axles, case and balance point stand where they are. This page approves "
        "nothing: the maker, the law and the inspector come first.",
        vehicle=vehicle,
    )


def _legend(vehicle: VehicleBalance) -> str:
    after = "after" if vehicle.laden is None else "after, with the stated load aboard"
    return (
        f"Thin grey bar: before. Thick bar: {after}, its whiskers how far it may be off. Upright line: the limit. A "
        f"bar that ends before the line is {NOT_AN_APPROVAL}."
    )


def _headline(result: Result, vehicle: VehicleBalance, units: Units) -> tuple[str, str]:
    broken = [test for test in vehicle.limits if test.status is Status.NOT_MET]
    if broken:
        said = " and ".join(_over(test, units) for test in broken)
        return f"{said[0].upper()}{said[1:]}. As planned it must not go on the road.", "bad"
    unmet = {finding.check for finding in result.findings if finding.status is Status.NOT_MET}
    if unmet:
        told = [words for check, words in _UNMET.items() if check in unmet] or ["Something else is not kept."]
        return f"{' '.join(told)} Have it sorted out before the work goes on.", "bad"
    open_ones = [test.of for test in vehicle.limits if test.status is not Status.MET]
    if open_ones or vehicle.after is None:
        about = joined([the(name) for name in open_ones]) or "the vehicle"
        return f"It cannot be told yet how {about} will come out: too little is known, or not closely enough.", "open"
    if not vehicle.limits:
        return "No figures from the rating plate were given, so nothing can be said about them.", "open"
    names = joined([the(test.of) for test in vehicle.limits])
    verb = "stays" if len(vehicle.limits) == 1 else "stay"
    # Whoever reads no further must not take an empty vehicle's figures for a loaded one's.
    if vehicle.weighed_as == "kerb" and vehicle.laden is None:
        return f"Weighed empty, {names} {verb} {NOT_AN_APPROVAL}. Loaded, it is not known.", "good"
    return f"{names[0].upper()}{names[1:]} {verb} {NOT_AN_APPROVAL}.", "good"


def _apart(name: str) -> str:
    """A name in a script that runs from right to left is set apart, or it would turn the mass beside it around."""
    runs_left = any(unicodedata.bidirectional(letter) in ("R", "AL") for letter in name)
    return f"{ISOLATE}{name}{END_ISOLATE}" if runs_left else name


def _over(test: LimitTest, units: Units) -> str:
    if test.after is None or test.after.value <= test.limit_kg:
        return f"{the(test.of)} was weighed above its limit"
    return f"{the(test.of)} would carry {units.mass(test.after.value - test.limit_kg, 1)} more than its limit"


def _parts(vehicle: VehicleBalance, change: str, units: Units) -> Iterable[str]:
    rows = [row for row in vehicle.moments if row.change == change]
    for row in rows[:LISTED]:
        mass = "mass not known" if row.mass_kg is None else units.mass(row.mass_kg, 1)
        yield f"{_apart(shortened(row.part, LONGEST_NAME))}: {mass}"
    if len(rows) > LISTED:
        yield f"and {counted(len(rows) - LISTED, 'more', 'more')}, see ledger.csv"
    known = [row.mass_kg for row in rows if row.mass_kg is not None]
    if len(rows) > 1 and len(known) == len(rows):
        yield f"together {units.mass(sum(known), 1)}"


def _bars(vehicle: VehicleBalance, units: Units) -> Iterable[Bar]:
    tests = {test.of: test for test in vehicle.limits}
    before, after = _loads(vehicle.before), _loads(vehicle.laden or vehicle.after)
    unladen = _loads(vehicle.after) if vehicle.laden is not None else {}
    for name in ("front axle", "rear axle", "gross mass"):
        test = tests.get(name)
        # The whole mass may be known where the axles are not: then only its limit tells it.
        now = test.after if test is not None and test.after is not None else after.get(name)
        was = before[name].value if name in before else None
        limit = None if test is None else test.limit_kg
        yield Bar(
            name=the(name)[4:],
            before=was,
            after=None if now is None else now.value,
            low=0.0 if now is None else now.low,
            high=0.0 if now is None else now.high,
            limit=limit,
            is_over=test is not None and test.status is Status.NOT_MET,
            figures=_figures(was, None if now is None else now.value, unladen.get(name), limit, units),
            margin=_margin(test, units),
        )


def _loads(state: VehicleState | None) -> dict[str, Band]:
    return {} if state is None else {"front axle": state.front, "rear axle": state.rear, "gross mass": state.total}


def _figures(before: float | None, after: float | None, unladen: Band | None, limit: float | None, units: Units) -> str:
    """Before, after and limit; with a load aboard also what it comes to."""
    told = [f"before {'not known' if before is None else units.mass(before)}"]
    if unladen is not None:
        told.append(f"after {units.mass(unladen.value)}")
    named = "after" if unladen is None else "loaded"
    told.append(f"{named} {'not known' if after is None else units.mass(after)}")
    told.append(f"limit {'not given' if limit is None else units.mass(limit)}")
    return " → ".join(told)


def _margin(test: LimitTest | None, units: Units) -> str:
    if test is None:
        return "no limit given"
    if test.after is None:
        return "cannot be told"
    if test.scale_kg is not None and test.scale_kg > test.limit_kg:
        return f"{units.mass(test.scale_kg - test.limit_kg, 1)} over by the scale"
    spare = test.limit_kg - test.after.value
    words = f"{units.mass_down(spare)} left" if spare >= 0.0 else f"{units.mass(-spare, 1)} over"
    return f"{words}, but too close to call" if test.status is Status.CANNOT_TELL else words


def _on_the_lift(vehicle: VehicleBalance, units: Units) -> Iterable[str]:
    """A vehicle on a lift is balanced with its pack in."""
    plain = "On a lift the vehicle shifts when its battery leaves: secure it at both ends first"
    before, between = vehicle.before, vehicle.between
    move = 0.0 if before is None or between is None else between.cg[0].value - before.cg[0].value
    told = units.moved(move, "to the rear", "to the front")
    yield f"{plain}; its balance point goes {told}." if told else f"{plain}."


def _sure(result: Result, vehicle: VehicleBalance, units: Units) -> Iterable[str]:
    final: VehicleState | None = vehicle.laden or vehicle.after
    if final is not None and final.total.high - final.total.low > 0.05:
        yield (
            f"With every reading at its worst the front axle comes to {units.between(final.front)}, the rear axle to "
            f"{units.between(final.rear)}, the whole to {units.between(final.total)}."
        )
    number = len(result.taken_as_exact)
    if number:
        which = "it" if number == 1 else "one"
        yield f"{counted(number, 'value')} came without any word on accuracy; if {which} is off, these figures are too."
    if result.guesses:
        yield f"{counted(len(result.guesses), 'value')} {'is' if len(result.guesses) == 1 else 'are'} a guess."
    if vehicle.before is not None and vehicle.before.left is None:
        yield "Only the axles were weighed: the vehicle is taken as even from left to right before the change."
    if vehicle.laden is not None:
        yield "Axle figures after the change are with the stated load aboard."
    elif vehicle.weighed_as == "kerb":
        yield "Weighed empty: that a limit holds proves nothing for the loaded vehicle."
    elif vehicle.weighed_as == "":
        yield "Whether it was weighed empty or loaded is not stated."
    for one in vehicle.reconciled:
        if abs(one.difference) > one.allowed:
            yield f"The parts and the scale differ by {units.mass(abs(one.difference), 1)} ({one.what}): find out why."
