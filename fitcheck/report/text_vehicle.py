"""The vehicle in words and tables: before and after, limits and margins, and what the figures rest on."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fitcheck.findings import Band
from fitcheck.report.look import Look
from fitcheck.report.wording import floored, plain, raised
from fitcheck.result import FurtherMass, Matrix3, RestraintRow, VehicleBalance, VehicleChange, VehicleState

_TENSOR = ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))


def section(vehicle: VehicleBalance, look: Look, *, whole: bool) -> list[str]:
    """Before, after and the limits; with `whole` also moments, scales, springs, mountings and rule cards."""
    lines = look.heading("The vehicle before and after")
    lines += look.table(("", "before", "after", "change"), _states(vehicle), left=1)
    for text in (*vehicle.unknown, *vehicle.says):
        lines += look.paragraph(f"- {text}", indent="  ", hang="    ")
    lines += look.paragraph(
        "Vehicle axes: x rearward of the front axle, y right of the centre line, z up from the ground. Behind each ± "
        "stands the worst case, in brackets the root-sum-square; for inertia and for changes of centre, shares and "
        "stability factor the worst case is loose: never exceeded, not always reached.",
        indent="  ",
    )
    if vehicle.after is not None:
        for name, at in vehicle.after.cg_elsewhere:
            told = ", ".join(plain(value, 1) for value in at)
            lines += look.paragraph(f"The centre after, told {name} from the front axle: ({told}).", indent="  ")
    lines += _limits(vehicle, look)
    if whole:
        lines += _moments(vehicle, look)
        lines += _scales(vehicle, look)
        lines += _springs(vehicle, look)
        lines += _restraint(vehicle.restraint, look)
        lines += _cards(vehicle, look)
    return lines


_Line = tuple[str, str, str, str]
_OfState = Callable[[VehicleState], Band | None]
_OfChange = Callable[[VehicleChange], Band | None]


def _states(vehicle: VehicleBalance) -> list[_Line]:
    rows = [
        _row(vehicle, "front axle [kg]", lambda state: state.front, lambda change: change.front, 2),
        _row(vehicle, "rear axle [kg]", lambda state: state.rear, lambda change: change.rear, 2),
        _row(vehicle, "gross [kg]", lambda state: state.total, lambda change: change.total, 2),
    ]
    sides_known = vehicle.before is not None and vehicle.before.left is not None
    if sides_known:
        rows.append(_row(vehicle, "left wheels [kg]", lambda state: state.left, lambda change: change.left, 2))
        rows.append(_row(vehicle, "right wheels [kg]", lambda state: state.right, lambda change: change.right, 2))
    if vehicle.laden is not None:
        laden = vehicle.laden
        loads: list[tuple[str, Band | None]] = [
            ("front axle", laden.front),
            ("rear axle", laden.rear),
            ("gross", laden.total),
        ]
        loads += [("left wheels", laden.left), ("right wheels", laden.right)] if sides_known else []
        rows += [(f"{name}, payload aboard [kg]", "", _cell(band, 2), "") for name, band in loads]
    for axis, name in enumerate("xyz"):
        rows.append(_row(vehicle, f"centre of gravity {name} [mm]", _centre(axis), _centre_shift(axis), 1))
    rows.append(
        _row(
            vehicle,
            "stability factor",
            lambda state: state.stability_factor,
            lambda change: change.stability_factor,
            3,
        )
    )
    rows += _loaded(vehicle.laden)
    front, rear = (" (steered)" if axle == vehicle.steered else "" for axle in ("front", "rear"))
    rows.append(
        _row(
            vehicle,
            f"share on the front axle{front} [%]",
            lambda state: _percent(state.front_share),
            lambda change: _percent(change.front_share),
            1,
        )
    )
    rows.append(
        _row(
            vehicle,
            f"share on the rear axle{rear} [%]",
            lambda state: _percent(state.rear_share),
            lambda change: _percent(change.rear_share),
            1,
        )
    )
    return rows + _inertia(vehicle)


def _loaded(laden: VehicleState | None) -> list[_Line]:
    """Balance and firmness with the payload; the change between the builds is told without it."""
    if laden is None:
        return []
    rows = [
        (f"centre {name}, loaded [mm]", "", _cell(place, 1), "") for name, place in zip("xyz", laden.cg, strict=True)
    ]
    return [*rows, ("stability factor, loaded", "", _cell(laden.stability_factor, 3), "")]


def _centre(axis: int) -> _OfState:
    return lambda state: state.cg[axis]


def _centre_shift(axis: int) -> _OfChange:
    return lambda change: change.cg[axis]


def _percent(band: Band) -> Band:
    return Band(
        value=100.0 * band.value,
        low=100.0 * band.low,
        high=100.0 * band.high,
        rss_low=100.0 * band.rss_low,
        rss_high=100.0 * band.rss_high,
    )


def _inertia(vehicle: VehicleBalance) -> list[_Line]:
    before, after, change = vehicle.before, vehicle.after, vehicle.change
    if before is None or before.inertia_kg_m2 is None:
        return []
    rows = []
    for i, j in _TENSOR:
        old, new, apart = (
            _with_halves(one.inertia_kg_m2, one.inertia_worst, one.inertia_rss, i, j) if one is not None else "unknown"
            for one in (before, after, change)
        )
        grows = change is not None and change.inertia_kg_m2 is not None and change.inertia_kg_m2[i][j] > 0.0
        plus = "+" if grows and apart.partition(" ")[0].strip("0.") else ""
        rows.append((f"inertia {'xyz'[i]}{'xyz'[j]} [kg m²]", old, new, plus + apart))
    return rows


def _with_halves(tensor: Matrix3 | None, worst: Matrix3 | None, rss: Matrix3 | None, i: int, j: int) -> str:
    if tensor is None:
        return "unknown"
    halves = tuple(0.0 if half is None else half[i][j] for half in (worst, rss))
    width = f" ± {raised(halves[0], 2)} ({raised(halves[1], 2)})" if halves[0] >= 1e-5 else ""
    return plain(tensor[i][j], 2) + width


def _row(vehicle: VehicleBalance, label: str, pick: _OfState, moved: _OfChange, decimals: int) -> _Line:
    """One figure before and after, and its change."""
    before = None if vehicle.before is None else pick(vehicle.before)
    after = None if vehicle.after is None else pick(vehicle.after)
    band = None if vehicle.change is None else moved(vehicle.change)
    plus = "+" if band is not None and plain(band.value, decimals).strip("0.") and band.value > 0.0 else ""
    return (label, _cell(before, decimals), _cell(after, decimals), plus + _cell(band, decimals))


def _cell(band: Band | None, decimals: int) -> str:
    if band is None:
        return "unknown"
    worst = max(band.high - band.value, band.value - band.low)
    rss = max(band.rss_high - band.value, band.value - band.rss_low)
    if worst < 10.0 ** -(decimals + 3):
        return plain(band.value, decimals)
    return f"{plain(band.value, decimals)} ± {raised(worst, decimals)} ({raised(rss, decimals)})"


def _signed(number: float, decimals: int) -> str:
    text = plain(number, decimals)
    return f"+{text}" if number > 0.0 and text.strip("0.") else text


def _limits(vehicle: VehicleBalance, look: Look) -> list[str]:
    if not vehicle.limits:
        return []
    lines = look.heading("Limits of the rating plate, each by itself [kg]")
    rows = []
    for test in vehicle.limits:
        left = "unknown"
        if test.scale_kg is not None and test.scale_kg > test.limit_kg:
            left = f"{raised(test.scale_kg - test.limit_kg, 2)} over by the scale"
        elif test.after is not None:
            spare = test.limit_kg - test.after.value
            left = f"{floored(spare, 2)} left" if spare >= 0.0 else f"{raised(-spare, 2)} over"
        rows.append(
            (test.of, _cell(test.before, 2), _cell(test.after, 2), plain(test.limit_kg, 2), left, test.status.value)
        )
    lines += look.table(("", "before", "after", "limit", "margin as drawn", ""), rows, left=1)
    for more in vehicle.further:
        lines += look.paragraph(_further(more), indent="  ", hang="    ")
    return lines


def _further(more: FurtherMass) -> str:
    room, bound = more.room, f"bound by {_bound(more.bound_by)}"
    told = "" if room is None or room.high - room.low < 1e-6 else f" (as drawn {_room(room)})"
    if more.kg > 0.0:
        return f"Still to be added {more.at}: at most {floored(more.kg, 1)} kg{told}, {bound}."
    if room is not None and room.high <= 0.0:
        return f"Nothing more {more.at}: {_bound(more.bound_by)} is used up{told}."
    return f"Whether anything may be added {more.at} cannot be told{told}, {bound}."


def _bound(name: str) -> str:
    return f"the {name}" if name.endswith("lifting off") else f"the limit of the {name}"


def _room(room: Band) -> str:
    """As drawn, worst case and root-sum-square, each rounded down so that no more seems to be left."""
    ends = [
        f"{floored(low, 1)} to {floored(high, 1)}"
        for low, high in ((room.low, room.high), (room.rss_low, room.rss_high))
    ]
    return f"{floored(room.value, 1)}, worst case {ends[0]}, root-sum-square {ends[1]} kg"


def _moments(vehicle: VehicleBalance, look: Look) -> list[str]:
    lines = look.heading("Moments about the front axle")
    rows = []
    for row in vehicle.moments:
        mass = "unknown" if row.mass_kg is None else _plus_minus(row.mass_kg, row.mass_half_kg, 2)
        arm = "unknown" if row.arm_mm is None else _plus_minus(row.arm_mm[0], row.arm_half_mm[0], 1)
        moment = "unknown" if row.moment_kg_m is None else _plus_minus(row.moment_kg_m, row.moment_half_kg_m, 2)
        if row.moment_kg_m is not None and row.moment_rss_kg_m >= 1e-5:
            moment += f" ({raised(row.moment_rss_kg_m, 2)})"
        rows.append((row.part, row.source, row.change, mass, arm, moment))
    return lines + look.table(("part", "mass from", "change", "mass [kg]", "arm x [mm]", "moment [kg m]"), rows, left=2)


def _plus_minus(value: float, half: float, decimals: int) -> str:
    return plain(value, decimals) + (f" ± {raised(half, decimals)}" if half >= 10.0 ** -(decimals + 3) else "")


def _scales(vehicle: VehicleBalance, look: Look) -> list[str]:
    if not vehicle.reconciled:
        return []
    lines = look.heading("The parts beside the scale [kg]")
    rows = [
        (one.what, _cell(one.summed, 2), _cell(one.scale, 2), _signed(one.difference, 2), plain(one.allowed, 2))
        for one in vehicle.reconciled
    ]
    return lines + look.table(("", "parts come to", "scale says", "difference", "explained"), rows, left=1)


def _springs(vehicle: VehicleBalance, look: Look) -> list[str]:
    lines: list[str] = []
    for axle, drop in vehicle.spring_drop_mm:
        way = "sinks" if drop.value >= 0.0 else "rises"
        size = drop if drop.value >= 0.0 else _other_way(drop)
        lines += look.paragraph(f"The {axle} axle {way} by {_cell(size, 1)} mm.", indent="  ")
    if vehicle.ground_clearance is not None:
        before, after = vehicle.ground_clearance
        aboard = "" if vehicle.laden is None else ", payload aboard"
        told = "cannot be told without the springs of both axles"
        if after is not None:
            told = f"{_cell(after, 1)} mm after{aboard}"
        lines += look.paragraph(f"Ground clearance {_cell(before, 1)} mm as measured, {told}.", indent="  ")
    if vehicle.raised_axle_height is not None:
        lines += look.paragraph(
            f"Height of the centre of gravity by the raised axle: {_cell(vehicle.raised_axle_height, 1)} mm.",
            indent="  ",
        )
    return look.heading("Springs, ground clearance and height") + lines if lines else []


def _other_way(band: Band) -> Band:
    """The same, counted downward."""
    return Band(value=-band.value, low=-band.high, high=-band.low, rss_low=-band.rss_high, rss_high=-band.rss_low)


def _restraint(rows: Sequence[RestraintRow], look: Look) -> list[str]:
    if not rows:
        return []
    lines = look.heading("Forces on the mountings: an estimate for an engineer to sign")
    for row in rows:
        lines += look.paragraph(
            f"{row.direction}, {row.g:g} g: {_kilonewtons(row.force)} kN [{row.source}]",
            indent="  ",
            hang="    ",
        )
        for share in row.shares:
            strength = (
                f"strength {plain(share.strength_n / 1000.0, 2)} kN, {share.basis}"
                if share.strength_n is not None
                else share.basis
            )
            lines += look.paragraph(
                f"one of {share.count} {share.screw}, {share.way}: {_kilonewtons(share.share)} kN; {strength}",
                indent="      ",
            )
    return lines


def _kilonewtons(force: Band) -> str:
    return _cell(
        Band(
            value=force.value / 1000.0,
            low=force.low / 1000.0,
            high=force.high / 1000.0,
            rss_low=force.rss_low / 1000.0,
            rss_high=force.rss_high / 1000.0,
        ),
        2,
    )


def _cards(vehicle: VehicleBalance, look: Look) -> list[str]:
    if not vehicle.cards:
        return []
    lines = look.heading("Rule cards asked for by name")
    for card in vehicle.cards:
        lines += look.paragraph(f"{card.name}: {card.says} [{card.source}]", indent="  ", hang="    ")
        lines += look.paragraph(card.answer, indent="      ")
    return lines
