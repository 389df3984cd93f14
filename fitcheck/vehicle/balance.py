"""The vehicle's side of the balance, put together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from fitcheck.findings import Band, Status, judge
from fitcheck.result import Balance, CardAnswer, VehicleBalance, VehicleChange, VehicleState
from fitcheck.study import Study
from fitcheck.vehicle import cards, inertia, limits, restraint, springs
from fitcheck.vehicle.figures import change_of, state_of
from fitcheck.vehicle.further import further
from fitcheck.vehicle.loading import Loading
from fitcheck.vehicle.moments import moments
from fitcheck.vehicle.reconcile import reconciled
from fitcheck.vehicle.swap import Swap, measured_exact, swap_of


@dataclass(frozen=True, kw_only=True, eq=False)
class Weighed:
    """What the checks of the vehicle look at: the swap itself and everything worked out from it.

    `loaded_drops` is how far each axle sinks from the weighed vehicle to the finished one, with the payload if there is
    one. `conceded` names the checks that the layout writes a concession for.
    """

    swap: Swap
    summary: VehicleBalance
    cards: tuple[cards.CardTest, ...]
    loaded_drops: Mapping[str, Band]
    judge_by: str
    conceded: frozenset[str] = frozenset()


def weighed(study: Study, balance: Balance) -> Weighed | None:
    """The vehicle with both builds; None where the layout gives no vehicle."""
    swap = swap_of(study)
    if swap is None:
        return None
    judge_by = study.layout.judge_by
    before, after = _state(swap.before), _state(swap.after)
    change = None
    if swap.before is not None and swap.after is not None:
        change = change_of(swap.before, swap.after)
    before, after, change = _with_inertia(swap, before, after, change)
    drops = springs.drops(swap, change)
    # The clearance was measured as the vehicle was weighed, so a payload presses it further down.
    loaded = drops
    if swap.before is not None and swap.laden is not None:
        loaded = springs.drops(swap, change_of(swap.before, swap.laden))
    clearance = springs.clearance_after(study, swap, loaded)
    asked = tuple(cards.tests(cards.Facts(swap=swap, drops=drops, clearance=clearance)))
    vehicle = swap.vehicle
    summary = VehicleBalance(
        wheelbase_mm=vehicle.wheelbase.nominal,
        track_mm=None if vehicle.track is None else vehicle.track.nominal,
        weighed_as=vehicle.weighed_as or "",
        steered=vehicle.steered or "front",
        before=before,
        after=after,
        laden=_state(swap.laden),
        between=None if swap.after is None else _state(_between(swap.after)),
        change=change,
        limits=tuple(limits.tests(swap, judge_by)),
        further=tuple(further(swap, judge_by)),
        moments=moments(swap),
        reconciled=tuple(reconciled(swap, balance.original, balance.proposed, after, judge_by)),
        spring_drop_mm=tuple(drops.items()),
        ground_clearance=_clearance(swap, clearance),
        raised_axle_height=swap.raised,
        restraint=tuple(restraint.rows(study.layout, balance.proposed)),
        cards=tuple(_answer(test, judge_by) for test in asked),
        case_box_mm=springs.case_box(study, swap),
        taken_as_exact=measured_exact(swap),
        guesses=tuple(value for value in swap.quantities.values() if value.is_guess and "vehicle." in value.name),
        unknown=swap.unknown,
        says=tuple(_says(swap, after)),
    )
    conceded = frozenset(concession.check for concession in study.layout.concessions)
    return Weighed(swap=swap, summary=summary, cards=asked, loaded_drops=loaded, judge_by=judge_by, conceded=conceded)


def _between(after: Loading) -> Loading:
    """The old parts out, the new ones not yet in."""
    return replace(after, loads=tuple(load for load in after.loads if load.is_vehicle or load.sign < 0.0))


def _state(loading: Loading | None) -> VehicleState | None:
    return None if loading is None else state_of(loading)


def _with_inertia(
    swap: Swap, before: VehicleState | None, after: VehicleState | None, change: VehicleChange | None
) -> tuple[VehicleState | None, VehicleState | None, VehicleChange | None]:
    found = inertia.swapped(swap)
    if before is None or after is None or change is None or found is None:
        return _as_stated(swap, before), after, change
    return (
        replace(
            before,
            inertia_kg_m2=found.before.tensor,
            inertia_worst=found.before.worst,
            inertia_rss=found.before.rss,
        ),
        replace(after, inertia_kg_m2=found.after.tensor, inertia_worst=found.after.worst, inertia_rss=found.after.rss),
        replace(
            change, inertia_kg_m2=found.change.tensor, inertia_worst=found.change.worst, inertia_rss=found.change.rss
        ),
    )


def _as_stated(swap: Swap, before: VehicleState | None) -> VehicleState | None:
    """The state before with the tensor that the layout states, which needs no build to be known."""
    stated = inertia.stated(swap)
    if before is None or stated is None:
        return before
    return replace(before, inertia_kg_m2=stated.tensor, inertia_worst=stated.worst, inertia_rss=stated.rss)


def _clearance(swap: Swap, after: Band | None) -> tuple[Band, Band | None] | None:
    measured = swap.vehicle.ground_clearance
    if measured is None:
        return None
    low, high = measured.low, measured.high
    return Band(value=measured.nominal, low=low, high=high, rss_low=low, rss_high=high), after


def _answer(test: cards.CardTest, judge_by: str) -> CardAnswer:
    if test.required is None:
        answer = test.note
    elif test.found is None:
        answer = f"cannot tell: {test.note}" if test.note else "cannot tell"
    else:
        status = judge(test.found, test.required, test.sense, judge_by)
        words = {Status.MET: "at or on the safe side of the cited figure; not an approval"}
        answer = (
            f"found {test.found.value:.1f} {test.unit}, {test.sense.value} {test.required:.1f} {test.unit}: "
            f"{words.get(status, status.value)}; {test.note}"
        )
    return CardAnswer(name=test.card.name, says=test.card.says, answer=answer, source=str(test.card.source))


def _says(swap: Swap, after: VehicleState | None) -> list[str]:
    """What the figures take for granted."""
    vehicle, said = swap.vehicle, list(swap.says)
    if after is not None and min(after.front.low, after.rear.low) < 0.0:
        said.append("an axle may lift off the ground: its load comes out below zero")
    if vehicle.weighed_as == "kerb" and not vehicle.payload:
        said.append("weighed at kerb mass: a limit that is met proves nothing for the laden vehicle")
    elif not vehicle.weighed_as:
        said.append("whether the vehicle was weighed empty or laden is not stated (`weighed_as`)")
    if not vehicle.steered:
        said.append("the front axle is taken as the steered one (`steered` says otherwise)")
    if vehicle.category and not restraint.is_tabled(vehicle.category):
        said.append(
            f"the table of shocks by vehicle category does not know {vehicle.category!r}: of the forces on the "
            "mountings only those of the conversion code are told"
        )
    if vehicle.payload:
        said.append("limits are held against the vehicle with the payload aboard")
    return said
