"""Modules swell: the pieces of a shape at the end of life."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from fitcheck.placing.forms import Extra, Form, constant
from fitcheck.placing.local import BarSolid, BoxSolid, Local, MeshSolid, PrismSolid, Solid, outline_axes

Factors = tuple[Form, Form, Form]
"""1 + growth along each shape axis."""


def factors_of(growth: Mapping[int, Form]) -> Factors:
    one, two, three = (growth.get(axis, constant(0.0)) + 1.0 for axis in range(3))
    return (one, two, three)


def grown(pieces: Sequence[Local], factors: Factors, extra: Extra, name: str) -> tuple[Local, ...]:
    """The pieces scaled about the shape's origin along the shape's axes.

    A round piece, and a piece turned inside a group, keeps its kind: where the scaling differs across it, the largest
    is taken, so that no gap is overstated.
    """
    return tuple(_piece(piece, factors, extra, f"{name}/{number}") for number, piece in enumerate(pieces))


def _piece(piece: Local, factors: Factors, extra: Extra, name: str) -> Local:
    centre = [extra.product(piece.centre[axis], factors[axis], f"{name}/centre {axis}") for axis in range(3)]
    own = [
        max(
            (factors[axis] for axis in range(3) if abs(piece.rotation[axis][k]) > 1e-9),
            key=lambda factor: factor.high(extra.widths),
        )
        for k in range(3)
    ]
    return replace(
        piece,
        centre=(centre[0], centre[1], centre[2]),
        solid=_solid(piece.solid, (own[0], own[1], own[2]), extra, name),
    )


def _solid(solid: Solid, factors: Factors, extra: Extra, name: str) -> Solid:
    match solid:
        case BoxSolid(half=half):
            sides = [extra.product(half[k], factors[k], f"{name}/side {k}") for k in range(3)]
            return BoxSolid(half=(sides[0], sides[1], sides[2]))
        case BarSolid(along=along):
            across = max((factors[k] for k in outline_axes(along)), key=lambda factor: factor.high(extra.widths))
            return replace(
                solid,
                radius=extra.product(solid.radius, across, f"{name}/radius"),
                half_length=extra.product(solid.half_length, factors[along], f"{name}/length"),
            )
        case PrismSolid(along=along):
            first, second = outline_axes(along)
            return replace(
                solid,
                across=(
                    extra.product(solid.across[0], factors[first], f"{name}/across 0"),
                    extra.product(solid.across[1], factors[second], f"{name}/across 1"),
                ),
                half_height=extra.product(solid.half_height, factors[along], f"{name}/height"),
            )
        case MeshSolid(vertices=vertices):
            scale = np.array([factor.nominal for factor in factors])
            low, high = vertices.min(axis=0), vertices.max(axis=0)
            # How far a vertex may stand from its nominal grown place because the growth itself is uncertain.
            unsure = [
                max(factor.high(extra.widths) - factor.nominal, factor.nominal - factor.low(extra.widths))
                for factor in factors
            ]
            reach = np.maximum(np.abs(low), np.abs(high)) @ np.array(unsure)
            return replace(solid, vertices=vertices * scale, tolerance=solid.tolerance + float(reach))
