"""Vehicle data told in other published axes, brought into the vehicle frame before anything else looks at them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType

from fitcheck.model.quantity import Quantity
from fitcheck.model.sections import Vehicle
from fitcheck.model.shape import Triple
from fitcheck.result import Matrix3
from fitcheck.vehicle.frames import (
    ForwardLeftUp,
    ForwardRightDown,
    Three,
    VehiclePoint,
    from_forward_left_up,
    from_forward_right_down,
    tensor_to_forward_left_up,
    tensor_to_forward_right_down,
    to_forward_left_up,
    to_forward_right_down,
)

_Read = Callable[[Three], VehiclePoint]

_READ: MappingProxyType[str, tuple[_Read, Callable[[Matrix3], Matrix3]]] = MappingProxyType(
    {
        "forward-left-up": (lambda at: from_forward_left_up(ForwardLeftUp(*at)), tensor_to_forward_left_up),
        "forward-right-down": (lambda at: from_forward_right_down(ForwardRightDown(*at)), tensor_to_forward_right_down),
    }
)


def in_vehicle_axes(vehicle: Vehicle) -> Vehicle:
    """The same vehicle with `case_low`, the places of the payload and the inertia in the vehicle frame."""
    if vehicle.frame not in _READ:
        return vehicle
    read, turned = _READ[vehicle.frame]
    inertia = vehicle.inertia
    if inertia is not None:
        one, two, three = inertia
        inertia = turned((one, two, three))
    return replace(
        vehicle,
        case_low=None if vehicle.case_low is None else _place(vehicle.case_low, read),
        payload=tuple(replace(each, place=_place(each.place, read)) for each in vehicle.payload),
        inertia=inertia,
        frame="rearward-right-up",
    )


def in_other_axes(point: VehiclePoint) -> tuple[tuple[str, Three], ...]:
    """The point as both other conventions tell it, from the same datum; name and coordinates."""
    return (
        ("forward-left-up", to_forward_left_up(point).three),
        ("forward-right-down", to_forward_right_down(point).three),
    )


def _place(place: Triple, read: _Read) -> Triple:
    x, y, z = place
    units = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    signs = [read(unit).three[axis] for axis, unit in enumerate(units)]
    return (_signed(x, signs[0]), _signed(y, signs[1]), _signed(z, signs[2]))


def _signed(value: Quantity, sign: float) -> Quantity:
    """The value along a turned axis: its band turns with it."""
    if sign > 0.0:
        return value
    return replace(value, nominal=-value.nominal, below=value.above, above=value.below)
