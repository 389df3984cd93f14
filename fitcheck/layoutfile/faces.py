"""Face words against case axes: which side of a part is its front, and where the inside of a turned tray looks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fitcheck.model.part import Feature
from fitcheck.model.shape import Turn

_FACE_DIRECTIONS = {
    "front": "forward", "rear": "rearward", "left": "left", "right": "right", "bottom": "down", "top": "up",
}  # fmt: skip
OPPOSITE = {
    "front": "rear", "rear": "front", "left": "right", "right": "left", "bottom": "top", "top": "bottom",
    "forward": "rearward", "rearward": "forward", "down": "up", "up": "down",
}  # fmt: skip

# Vehicle directions as vectors of a right-handed set: rearward, right, up.
_VECTORS = {
    "rearward": (1, 0, 0), "forward": (-1, 0, 0), "right": (0, 1, 0), "left": (0, -1, 0), "up": (0, 0, 1),
    "down": (0, 0, -1),
}  # fmt: skip

DEFAULT_AXES = ("rearward", "right", "up")


def axes_problem(axes: Sequence[str]) -> tuple[str, str] | None:
    """What is wrong with a set of axes words, and how to mend it; None for a right-handed set."""
    a, b, c = (_VECTORS[word] for word in axes)
    turning = (
        a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
    )
    if turning == 0:
        return "two axes lie along the same line of the vehicle", "use each of the three lines once"
    if turning < 0:
        return (
            f"a left-handed set of axes: {', '.join(axes)}",
            f"turn one round, for example y: {OPPOSITE[axes[1]]} (and the numbers along it)",
        )
    return None


@dataclass(frozen=True, slots=True)
class Face:
    """A plane of a part: across which axis, which plane, and which way (+1, -1) it looks."""

    axis: int
    feature: Feature
    looks: int


def outer(word: str, axes: Sequence[str]) -> Face:
    """The outer face of that name.

    >>> outer("front", ("rearward", "right", "up"))
    Face(axis=0, feature=<Feature.LOW: 'low'>, looks=-1)
    """
    direction = _FACE_DIRECTIONS[word]
    if direction in axes:
        return Face(axes.index(direction), Feature.HIGH, 1)
    return Face(axes.index(OPPOSITE[direction]), Feature.LOW, -1)


def inner(word: str, axes: Sequence[str]) -> Face:
    """The inside face of that name; it looks into the hollow."""
    face = outer(word, axes)
    feature = Feature.INSIDE_LOW if face.feature is Feature.LOW else Feature.INSIDE_HIGH
    return Face(face.axis, feature, -face.looks)


Upright = tuple[int, int]
"""Where a shape's own z points after its turns: (case axis, sign)."""


def upright(turns: Iterable[Turn]) -> Upright | None:
    """Where a tray opens to; None unless every turn is an exact quarter turn."""
    axis, sign = 2, 1
    for turn in turns:
        quarters = turn.angle.nominal / 90.0
        if quarters != round(quarters) or not turn.angle.is_exact:
            return None
        one, two = (turn.axis + 1) % 3, (turn.axis + 2) % 3
        for _ in range(round(quarters) % 4):
            if axis == one:
                axis = two
            elif axis == two:
                axis, sign = one, -sign
    return axis, sign


def floor_of(opens: Upright) -> Face:
    """The inside floor plane of a tray; it looks out of the opening."""
    axis, sign = opens
    return Face(axis, Feature.INSIDE_LOW if sign > 0 else Feature.INSIDE_HIGH, sign)


def rim_of(opens: Upright) -> Face:
    """The plane of a tray's rim."""
    axis, sign = opens
    return Face(axis, Feature.HIGH if sign > 0 else Feature.LOW, sign)
