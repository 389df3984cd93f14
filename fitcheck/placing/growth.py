"""Modules swell: the pieces of a shape at the end of life."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from fitcheck.placing.forms import NEGLIGIBLE, Extra, Form, constant
from fitcheck.placing.local import BarSolid, BoxSolid, Local, MeshSolid, PrismSolid, Solid, outline_axes

Factors = tuple[Form, Form, Form]
"""1 + growth along each shape axis."""


def factors_of(growth: Mapping[int, Form]) -> Factors:
    one, two, three = (growth.get(axis, constant(0.0)) + 1.0 for axis in range(3))
    return (one, two, three)


def grown(pieces: Sequence[Local], factors: Factors, extra: Extra, name: str) -> tuple[Local, ...]:
    """The pieces scaled about the shape's origin along the shape's axes.

    A piece turned inside a group would be sheared; it keeps its kind and becomes large enough to hold what it grows to,
    so that no gap is overstated.
    """
    return tuple(_piece(piece, factors, extra, f"{name}/{number}") for number, piece in enumerate(pieces))


def _piece(piece: Local, factors: Factors, extra: Extra, name: str) -> Local:
    centre = [extra.product(piece.centre[axis], factors[axis], f"{name}/centre {axis}") for axis in range(3)]
    return replace(
        piece,
        centre=(centre[0], centre[1], centre[2]),
        solid=_solid(piece.solid, _stretch(piece, factors), extra, name),
    )


Stretch = tuple[tuple[Form, Form, Form], tuple[Form, Form, Form], tuple[Form, Form, Form]]
"""How a piece's own axes are stretched (on the diagonal) and sheared into each other (off it)."""


def _stretch(piece: Local, factors: Factors) -> Stretch:
    rotation = piece.rotation

    def entry(k: int, j: int) -> Form:
        total = constant(0.0)
        for axis in range(3):
            share = rotation[axis][k] * rotation[axis][j]
            if share:
                total = total + factors[axis] * share
        return total

    one, two, three = ((entry(k, 0), entry(k, 1), entry(k, 2)) for k in range(3))
    return (one, two, three)


def _solid(solid: Solid, stretch: Stretch, extra: Extra, name: str) -> Solid:
    match solid:
        case BoxSolid(half=half):
            sides = [_half(k, half, stretch, extra, name) for k in range(3)]
            return BoxSolid(half=(sides[0], sides[1], sides[2]))
        case BarSolid(along=along):
            first, second = outline_axes(along)
            sizes = [solid.radius] * 3
            sizes[along] = solid.half_length
            across = [_half(k, sizes, stretch, extra, name, among=(k, along)) for k in (first, second)]
            return replace(
                solid,
                radius=extra.largest(across, f"{name}/radius") + _shear(first, second, sizes, stretch, extra),
                half_length=_half(along, sizes, stretch, extra, name),
            )
        case PrismSolid(along=along):
            return _prism(solid, along, stretch, extra, name)
        case MeshSolid(vertices=vertices):
            factors = [stretch[k][k] for k in range(3)]
            scale = np.array([factor.nominal for factor in factors])
            reach = np.abs(vertices).max(axis=0)
            # How far a vertex may stand from its nominal grown place: uncertain growth, and shear inside a group.
            unsure = [_spread(factor, extra) for factor in factors]
            sheared = sum(extra.high_of(_size(stretch[k][j])) * reach[j] for k in range(3) for j in range(3) if k != j)
            return replace(
                solid, vertices=vertices * scale, tolerance=solid.tolerance + float(reach @ np.array(unsure)) + sheared
            )


def _half(
    k: int,
    half: Sequence[Form],
    stretch: Stretch,
    extra: Extra,
    name: str,
    among: tuple[int, ...] = (0, 1, 2),
) -> Form:
    """Half the size along axis k of the box around the stretched and sheared piece."""
    total = extra.product(half[k], stretch[k][k], f"{name}/side {k}")
    for j in among:
        if j != k and not _is_zero(stretch[k][j]):
            total = total + extra.product(half[j], _size(stretch[k][j]), f"{name}/shear {k} {j}")
    return total


def _shear(first: int, second: int, half: Sequence[Form], stretch: Stretch, extra: Extra) -> Form:
    """What the two axes across a bar are sheared into each other, as a length."""
    return half[first] * extra.high_of(_size(stretch[first][second]))


def _prism(solid: PrismSolid, along: int, stretch: Stretch, extra: Extra, name: str) -> PrismSolid:
    first, second = outline_axes(along)
    reach = [solid.half_height] * 3
    reach[first], reach[second] = solid.across[0] * 0.5, solid.across[1] * 0.5
    sheared = []
    for k in (first, second):
        others = [j for j in range(3) if j != k and not _is_zero(stretch[k][j])]
        more = sum(extra.high_of(_size(stretch[k][j])) * extra.high_of(reach[j]) for j in others)
        sheared.append(extra.loose(more, f"{name}/shear {k}"))
    return replace(
        solid,
        across=(
            extra.product(solid.across[0], stretch[first][first], f"{name}/across 0"),
            extra.product(solid.across[1], stretch[second][second], f"{name}/across 1"),
        ),
        half_height=_half(along, reach, stretch, extra, name),
        skin=(solid.skin[0] + sheared[0], solid.skin[1] + sheared[1]),
        edge=solid.edge + max(extra.high_of(each) for each in sheared),
    )


def _is_zero(form: Form) -> bool:
    return abs(form.nominal) < NEGLIGIBLE and not form.terms


def _size(form: Form) -> Form:
    """The magnitude of a shear, whichever way it goes."""
    return form if form.nominal >= 0 else -form


def _spread(form: Form, extra: Extra) -> float:
    return max(form.high(extra.widths) - form.nominal, form.nominal - form.low(extra.widths))
