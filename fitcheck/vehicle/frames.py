"""The frames that points are told in, one type each, so that two datums can never be mixed.

    case            the layout's own axes, from the case datum
    vehicle         x rearward of the front axle, y right of the centre line, z above the ground
    forward-left-up x forward, y left, z up (ISO 8855), from the same datum as the vehicle frame unless another is given
    forward-right-down  x forward, y right, z down, the older convention of vehicle dynamics; likewise

All of them are right-handed, and a mirrored set of axes is refused. Lengths in mm, inertia in kg m2.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

from fitcheck.errors import FitcheckError
from fitcheck.result import Matrix3

Three = tuple[float, float, float]

DIRECTIONS: dict[str, Three] = {
    "rearward": (1.0, 0.0, 0.0), "forward": (-1.0, 0.0, 0.0),
    "right": (0.0, 1.0, 0.0), "left": (0.0, -1.0, 0.0),
    "up": (0.0, 0.0, 1.0), "down": (0.0, 0.0, -1.0),
}  # fmt: skip
"""Direction words as unit vectors of the vehicle frame."""


class MirroredFrame(FitcheckError):
    """The axes are no right-handed set; taken as they are, left and right would change places."""


@dataclass(frozen=True, slots=True)
class _Point:
    """Three coordinates in mm, in one frame. A difference exists only within one frame."""

    x: float
    y: float
    z: float

    @property
    def three(self) -> Three:
        return (self.x, self.y, self.z)

    def __sub__(self, other: Self) -> Three:
        if type(other) is not type(self):
            raise TypeError(f"a {type(other).__name__} cannot be taken from a {type(self).__name__}: other datum")
        return (self.x - other.x, self.y - other.y, self.z - other.z)


class CasePoint(_Point):
    """In case axes, from the case datum."""

    __slots__ = ()


class VehiclePoint(_Point):
    """x rearward of the front axle, y right of the centre line, z above the ground."""

    __slots__ = ()


class ForwardLeftUp(_Point):
    """x forward, y left, z up: ISO 8855."""

    __slots__ = ()


class ForwardRightDown(_Point):
    """x forward, y right, z down."""

    __slots__ = ()


FRONT_AXLE_ON_GROUND = VehiclePoint(0.0, 0.0, 0.0)

_LEFT_UP: Matrix3 = ((-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0))
_RIGHT_DOWN: Matrix3 = ((-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, -1.0))


def to_forward_left_up(point: VehiclePoint, zero: VehiclePoint = FRONT_AXLE_ON_GROUND) -> ForwardLeftUp:
    """The same point as ISO 8855 tells it, from `zero`.

    >>> to_forward_left_up(VehiclePoint(1200.0, 10.0, 540.0))
    ForwardLeftUp(x=-1200.0, y=-10.0, z=540.0)
    """
    return ForwardLeftUp(*_turned(_LEFT_UP, point - zero))


def from_forward_left_up(point: ForwardLeftUp, zero: VehiclePoint = FRONT_AXLE_ON_GROUND) -> VehiclePoint:
    return VehiclePoint(*_sum(zero.three, _turned(_LEFT_UP, point.three)))


def to_forward_right_down(point: VehiclePoint, zero: VehiclePoint = FRONT_AXLE_ON_GROUND) -> ForwardRightDown:
    """The same point with x forward, y right and z down, from `zero`."""
    return ForwardRightDown(*_turned(_RIGHT_DOWN, point - zero))


def from_forward_right_down(point: ForwardRightDown, zero: VehiclePoint = FRONT_AXLE_ON_GROUND) -> VehiclePoint:
    return VehiclePoint(*_sum(zero.three, _turned(_RIGHT_DOWN, point.three)))


def tensor_to_forward_left_up(inertia: Matrix3) -> Matrix3:
    """An inertia tensor of the vehicle frame in ISO 8855 axes: xz and yz change sign. Its own inverse."""
    return turned_tensor(_LEFT_UP, inertia)


def tensor_to_forward_right_down(inertia: Matrix3) -> Matrix3:
    """An inertia tensor of the vehicle frame with x forward, y right, z down. Its own inverse."""
    return turned_tensor(_RIGHT_DOWN, inertia)


def turned_tensor(rotation: Matrix3, inertia: Matrix3) -> Matrix3:
    """R I Rt."""
    rows = [_turned(rotation, column) for column in zip(*inertia, strict=True)]
    one, two, three = (_turned(rotation, column) for column in zip(*rows, strict=True))
    return (one, two, three)


def rotation_of(axes: tuple[str, str, str]) -> Matrix3:
    """The rotation from axes that point in these directions to the vehicle frame; its columns are the axes.

    Raises MirroredFrame where they are left-handed, or no set of three at all.

    >>> rotation_of(("forward", "left", "up"))[0]
    (-1.0, 0.0, 0.0)
    """
    columns = [DIRECTIONS[word] for word in axes]
    x, y, z = columns
    across = (y[1] * z[2] - y[2] * z[1], y[2] * z[0] - y[0] * z[2], y[0] * z[1] - y[1] * z[0])
    handed = sum(one * other for one, other in zip(x, across, strict=True))
    if handed != 1.0:
        raise MirroredFrame(
            f"axes {', '.join(axes)} are {'mirrored' if handed == -1.0 else 'no set of three'}: "
            "x, y, z must be a right-handed set\n    mend: turn one axis round, or swap two"
        )
    one, two, three = zip(*columns, strict=True)
    return (one, two, three)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseInVehicle:
    """Where the case sits: the rotation from case axes and the case datum as a point of the vehicle."""

    rotation: Matrix3
    datum: VehiclePoint

    def point(self, point: CasePoint) -> VehiclePoint:
        return VehiclePoint(*_sum(self.datum.three, self.direction(point.three)))

    def back(self, point: VehiclePoint) -> CasePoint:
        turned_back: Matrix3 = tuple(zip(*self.rotation, strict=True))  # type: ignore[assignment]
        return CasePoint(*_turned(turned_back, point - self.datum))

    def direction(self, vector: Three) -> Three:
        """A direction of case axes in the vehicle frame; no datum comes into it."""
        return _turned(self.rotation, vector)


def _turned(rotation: Matrix3, vector: Three) -> Three:
    one, two, three = (sum(a * b for a, b in zip(row, vector, strict=True)) for row in rotation)
    return (one, two, three)


def _sum(one: Three, other: Three) -> Three:
    return (one[0] + other[0], one[1] + other[1], one[2] + other[2])
