"""The vehicle's part of the JSON result."""

from __future__ import annotations

from typing import Any

from fitcheck.findings import Band
from fitcheck.report.result_file import (
    BandEntry,
    CardEntry,
    FastenerEntry,
    FurtherEntry,
    LimitEntry,
    MomentEntry,
    ReconciledEntry,
    RestraintEntry,
    VehicleChangeEntry,
    VehicleEntry,
    VehicleStateEntry,
)
from fitcheck.result import LimitTest, MomentRow, RestraintRow, VehicleBalance, VehicleChange, VehicleState


def entry(vehicle: VehicleBalance) -> VehicleEntry:
    """Everything about the vehicle; `laden` is left out without a payload."""
    extras: dict[str, Any] = {} if vehicle.laden is None else {"laden": _state(vehicle.laden)}
    clearance = vehicle.ground_clearance
    return VehicleEntry(
        wheelbase_mm=vehicle.wheelbase_mm,
        track_mm=vehicle.track_mm,
        weighed_as=vehicle.weighed_as,
        steered=vehicle.steered,
        before=None if vehicle.before is None else _state(vehicle.before),
        after=None if vehicle.after is None else _state(vehicle.after),
        change=None if vehicle.change is None else _change(vehicle.change),
        limits=tuple(_limit(test) for test in vehicle.limits),
        further=tuple(
            FurtherEntry(at=more.at, kg=more.kg, bound_by=more.bound_by, room_kg=_maybe(more.room))
            for more in vehicle.further
        ),
        moments=tuple(_moment(row) for row in vehicle.moments),
        reconciled=tuple(
            ReconciledEntry(
                what=one.what,
                summed_kg=_band(one.summed),
                scale_kg=_band(one.scale),
                difference_kg=one.difference,
                allowed_kg=one.allowed,
                scale_basis=one.scale_basis,
            )
            for one in vehicle.reconciled
        ),
        spring_drop_mm={axle: _band(drop) for axle, drop in vehicle.spring_drop_mm},
        ground_clearance_mm=None if clearance is None else (_band(clearance[0]), _maybe(clearance[1])),
        raised_axle_height_mm=_maybe(vehicle.raised_axle_height),
        restraint=tuple(_restraint(row) for row in vehicle.restraint),
        rule_cards=tuple(
            CardEntry(name=card.name, says=card.says, answer=card.answer, source=card.source) for card in vehicle.cards
        ),
        unknown=vehicle.unknown,
        says=vehicle.says,
        **extras,
    )


def _band(band: Band) -> BandEntry:
    return BandEntry(value=band.value, low=band.low, high=band.high, rss_low=band.rss_low, rss_high=band.rss_high)


def _maybe(band: Band | None) -> BandEntry | None:
    return None if band is None else _band(band)


def _state(state: VehicleState) -> VehicleStateEntry:
    x, y, z = state.cg
    named = {
        "front_kg": state.front,
        "rear_kg": state.rear,
        "total_kg": state.total,
        "left_kg": state.left,
        "right_kg": state.right,
        "cg_x_mm": x,
        "cg_y_mm": y,
        "cg_z_mm": z,
        "stability_factor": state.stability_factor,
        "front_share": state.front_share,
        "rear_share": state.rear_share,
    }
    return VehicleStateEntry(
        front_kg=state.front.value,
        rear_kg=state.rear.value,
        total_kg=state.total.value,
        left_kg=_value(state.left),
        right_kg=_value(state.right),
        cg_mm=(x.value, y.value, _value(z)),
        stability_factor=_value(state.stability_factor),
        cg_elsewhere_mm=dict(state.cg_elsewhere),
        front_share=state.front_share.value,
        rear_share=state.rear_share.value,
        inertia_kg_m2=state.inertia_kg_m2,
        inertia_worst_kg_m2=state.inertia_worst,
        inertia_rss_kg_m2=state.inertia_rss,
        bands={name: _band(band) for name, band in named.items() if band is not None},
    )


def _value(band: Band | None) -> float | None:
    return None if band is None else band.value


def _change(change: VehicleChange) -> VehicleChangeEntry:
    x, y, z = change.cg
    return VehicleChangeEntry(
        front_kg=_band(change.front),
        rear_kg=_band(change.rear),
        total_kg=_band(change.total),
        cg_mm=(_band(x), _band(y), _maybe(z)),
        left_kg=_maybe(change.left),
        right_kg=_maybe(change.right),
        front_share=_band(change.front_share),
        rear_share=_band(change.rear_share),
        stability_factor=_maybe(change.stability_factor),
        inertia_kg_m2=change.inertia_kg_m2,
        inertia_worst_kg_m2=change.inertia_worst,
        inertia_rss_kg_m2=change.inertia_rss,
    )


def _limit(test: LimitTest) -> LimitEntry:
    return LimitEntry(
        of=test.of,
        limit_kg=test.limit_kg,
        before=_maybe(test.before),
        after=_maybe(test.after),
        margin_kg=test.margin_kg,
        scale_kg=test.scale_kg,
        status=test.status,
    )


def _moment(row: MomentRow) -> MomentEntry:
    return MomentEntry(
        part=row.part,
        change=row.change,
        mass_kg=row.mass_kg,
        mass_half_kg=row.mass_half_kg,
        arm_mm=row.arm_mm,
        arm_half_mm=row.arm_half_mm,
        moment_kg_m=row.moment_kg_m,
        moment_half_kg_m=row.moment_half_kg_m,
        moment_rss_kg_m=row.moment_rss_kg_m,
        source=row.source,
        reason=row.reason,
    )


def _restraint(row: RestraintRow) -> RestraintEntry:
    return RestraintEntry(
        direction=row.direction,
        g=row.g,
        force_n=row.force.value,
        force_high_n=row.force.high,
        force_band_n=_band(row.force),
        source=row.source,
        shares=tuple(
            FastenerEntry(
                screw=share.screw,
                count=share.count,
                way="pull" if share.way == "pull" else "shear",
                share_n=share.share.high,
                share_band_n=_band(share.share),
                strength_n=share.strength_n,
                basis=share.basis,
            )
            for share in row.shares
        ),
    )
