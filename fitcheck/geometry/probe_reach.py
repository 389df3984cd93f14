"""Where a probe may get to: a bound from above, on a grid, that no real probe exceeds.

The probe is taken as a ball of its own thickness on any path, however bent, no longer than the probe, from where its
stop can stand. A cell counts as open unless the ball at every point of it, in every build, would be inside matter: so
walls are thinner here than they are, by half the diagonal of a cell, and openings wider. Every stretch of a path no
longer than a cell ends in a neighbouring cell, corner neighbours included; so steps from cell to cell count no more
than the path is long.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.probe_matter import ROUNDED_MM, Block, Field, Grid, Matter, distances

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """A probe: radius of its body, length from its stop to its end, radius of the largest ball within its stop; mm.

    Its end is thinner: no more than `tip_length` of it has the radius `tip_radius`.
    """

    radius: float
    length: float
    stop_radius: float
    tip_radius: float
    tip_length: float


def grid_over(matter: list[Matter], stop_radius: float, most_cells: int, finest: float) -> Grid:
    """Cells over all matter with room for the stop to pass all round it, no smaller than `finest` and not too many."""
    lows, highs = zip(*(piece.bounds for piece in matter), strict=True)
    low, high = np.min(lows, axis=0), np.max(highs, axis=0)
    cell = finest
    while True:
        margin = 2.0 * stop_radius + 3.0 * cell + max(piece.slack for piece in matter)
        counts = np.ceil((high - low + 2.0 * margin) / cell).astype(int)
        if counts.prod() <= most_cells:
            return Grid(low=low - margin, cell=cell, shape=(int(counts[0]), int(counts[1]), int(counts[2])))
        cell *= 1.1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Entered:
    """Cells of a grid: those where the middle of the stop may stand, of the body, and of the tip."""

    stop: Mask
    body: Mask
    tip: Mask


def may_enter(grid: Grid, field: Field, probe: Probe, target: list[Matter]) -> Entered:
    """The cells that a probe may get to.

    `field` are the distances to all matter that is in the way, up to `stop_radius` at least. Cells farther from the
    target than the probe is long are left out: no path that matters leads through them.
    """
    from scipy import ndimage

    stop = _open(grid, field, probe.stop_radius)
    labels, _ = ndimage.label(stop, structure=np.ones((3, 3, 3)))
    outside = np.isin(labels, np.unique(_rim(labels))) & stop
    length = probe.length + probe.stop_radius
    near = _window(grid, target, length + probe.tip_length + 2.0 * grid.cell)
    steps, tip_steps = math.ceil(length / grid.cell) + 1, math.ceil(probe.tip_length / grid.cell) + 1
    entered = _spread(outside[near], steps, _open(grid, field[near], probe.radius))
    tipped = _spread(entered, tip_steps, _open(grid, field[near], probe.tip_radius))
    body, tip = np.zeros(grid.shape, dtype=bool), np.zeros(grid.shape, dtype=bool)
    body[near], tip[near] = entered, tipped
    return Entered(stop=outside, body=body, tip=tip)


def _spread(begin: Mask, steps: int, into: Mask) -> Mask:
    """Every cell within so many steps, corner neighbours included."""
    from scipy import ndimage

    everywhere = np.ones((3, 3, 3), dtype=bool)
    return np.asarray(ndimage.binary_dilation(begin, everywhere, iterations=steps, mask=into | begin))


def _window(grid: Grid, target: list[Matter], reach: float) -> tuple[slice, slice, slice]:
    """The cells whose middles lie in the bounding box of the target grown by `reach`."""
    lows, highs = zip(*(piece.bounds for piece in target), strict=True)
    return grid.window(np.min(lows, axis=0) - reach, np.max(highs, axis=0) + reach)


def _open(grid: Grid, field: Field, radius: float) -> Mask:
    """Cells in which a ball of that radius may be."""
    return np.asarray(field >= radius - grid.half_diagonal)


def _rim(labels: NDArray[np.int32]) -> NDArray[np.int32]:
    sides = [labels.take(end, axis=axis).ravel() for axis in range(3) for end in (0, -1)]
    found = np.concatenate(sides)
    return found[found > 0]


def may_touch(grid: Grid, entered: Entered, probe: Probe, target: list[Matter]) -> bool:
    """Whether body or tip may come to touch the target, which may have moved towards it by its slack."""
    return bool(touching_cells(grid, entered, probe, target).any())


def touching_cells(grid: Grid, entered: Entered, probe: Probe, target: list[Matter]) -> Mask:
    """The cells entered from which body or tip may touch the target."""
    slack = max(piece.slack for piece in target)
    # Distances to boxes are exact, those to points on a surface too large by their spread at the most.
    spread = 0.0 if all(isinstance(piece, Block) for piece in target) else grid.cell / 2.0
    grown = grid.half_diagonal + slack + spread + ROUNDED_MM
    reach = max(probe.radius, probe.tip_radius) + grown
    window = _window(grid, target, reach)
    local = Grid(
        low=grid.low + np.array([part.start for part in window]) * grid.cell,
        cell=grid.cell,
        shape=tuple(part.stop - part.start for part in window),
    )
    near = distances(local, [replace(piece, slack=0.0) for piece in target], reach + 1.0)
    found = np.zeros(grid.shape, dtype=bool)
    found[window] = (entered.body[window] & (near <= probe.radius + grown)) | (
        entered.tip[window] & (near <= probe.tip_radius + grown)
    )
    return found


def on_the_way(grid: Grid, entered: Entered, probe: Probe, touching: Mask) -> Mask:
    """The cells entered by which a way no longer than the probe may lead from its stop to where it touches."""
    steps = math.ceil((probe.length + probe.stop_radius) / grid.cell) + math.ceil(probe.tip_length / grid.cell) + 2
    into = entered.tip | entered.stop
    return _steps_from(entered.stop, into, steps) + _steps_from(touching, into, steps) <= steps


def _steps_from(begin: Mask, into: Mask, most: int) -> NDArray[np.int16]:
    """How many steps each cell is away; more than `most` where it is farther."""
    steps = np.full(begin.shape, most + 1, dtype=np.int16)
    steps[begin] = 0
    reached = begin
    for step in range(1, most + 1):
        wider = _wider(reached) & into
        new = wider & ~reached
        if not new.any():
            break
        steps[new] = step
        reached = reached | wider
    return steps


def _wider(mask: Mask) -> Mask:
    """The cells and all their neighbours, corner neighbours included."""
    for axis in range(3):
        rolled = np.moveaxis(mask, axis, 0)
        grown = rolled.copy()
        grown[1:] |= rolled[:-1]
        grown[:-1] |= rolled[1:]
        mask = np.moveaxis(grown, 0, axis)
    return mask
