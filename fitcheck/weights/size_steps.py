"""What the tolerances of a shape's sizes do to its volume's figures: centroid, inertia."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from fitcheck.geometry.solids import Array, Solid
from fitcheck.model.part import Part
from fitcheck.model.quantity import Quantity
from fitcheck.model.shape import Box, Cylinder, Tube, meshes_of, sizes_of, with_sizes
from fitcheck.placing.local import MeshSource
from fitcheck.weights.shape_solids import solid_of

Steps = Sequence[tuple[Array, Array]]
"""For each value, how a figure changes with it alone, at its low and at its high end."""


def has_plain_sizes(part: Part) -> bool:
    """Whether the sizes of the part's shape do not work on each other, nor on where its middle is."""
    return isinstance(part.shape, Box | Cylinder | Tube)


def unsure_sizes(part: Part) -> list[Quantity]:
    """The toleranced sizes. The measured size of a mesh file only tells whether the file is right."""
    measured = [mesh.file_scale.length.name for mesh in meshes_of(part.shape) if mesh.file_scale is not None]
    return [size for size in sizes_of(part.shape) if not size.is_exact and size.name not in measured]


def solid_at(part: Part, meshes: MeshSource, ends: Mapping[str, float]) -> Solid:
    """The solid with some sizes, by name, elsewhere."""
    shape = with_sizes(part.shape, lambda value: replace(value, nominal=ends.get(value.name, value.nominal)))
    return solid_of(shape, meshes, hull_allowed=part.hull_allowed)


def added_up(steps: Steps, shape: tuple[int, ...]) -> tuple[Array, Array]:
    """(worst, rss): the larger step of each value added up, plainly and as squares."""
    furthest = np.zeros((1, *shape))
    furthest = np.concatenate([furthest, *(np.abs(ends).max(axis=0)[None] for ends in steps)])
    return furthest.sum(axis=0), np.sqrt((furthest**2).sum(axis=0))


def change_by_sizes(part: Part, figure: Callable[[Mapping[str, float]], Array]) -> tuple[Array, Array]:
    """(worst, rss) half-widths of a figure that depends on the sizes; `figure` gives it with some of them elsewhere.

    Of boxes, bars and tubes each size is taken to count by itself, so the plain sum over the sizes is the worst case.
    In prisms, trays and groups sizes work on each other: there every entry is also tried with all sizes at the ends
    that drive it, and what this differs from the plain sum by is put on top, in reserve for what no corner shows.
    """
    sizes, nominal = unsure_sizes(part), figure({})

    def change(ends: Mapping[str, float]) -> Array:
        return figure(ends) - nominal

    steps = [(change({size.name: size.low}), change({size.name: size.high})) for size in sizes]
    worst, rss = added_up(steps, nominal.shape)
    if len(sizes) > 1 and not has_plain_sizes(part):
        worst = worst + _beyond(sizes, steps, change, worst)
    return worst, rss


def _beyond(
    sizes: Sequence[Quantity], steps: Steps, change: Callable[[Mapping[str, float]], Array], plain: Array
) -> Array:
    """How far the corners that drive each entry up and down differ from the plain sum of single steps."""
    found = np.zeros(plain.shape)
    for entry in np.ndindex(plain.shape):
        # A tensor is symmetric: below its diagonal stands what stands above.
        if plain[entry] == 0.0 or list(entry) != sorted(entry):
            continue
        for way in (1.0, -1.0):
            ends = {
                size.name: size.low if way * low[entry] > way * high[entry] else size.high
                for size, (low, high) in zip(sizes, steps, strict=True)
            }
            apart = abs(abs(float(change(ends)[entry])) - plain[entry])
            found[entry] = found[entry[::-1]] = max(found[entry], apart)
    return found
