"""A closer look for a thin probe, where coarse cells cannot see that a joint is shut.

The coarse cells that the probe may get to are cut into fine ones, a tile of them at a time, and those that are open are
joined. Tiles share a layer of cells, so that neighbours always meet in one tile. Lengths are left to the coarse cells.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.probe_matter import Grid, Matter, distances, near
from fitcheck.geometry.probe_reach import Entered, Mask, Probe, may_touch, on_the_way, touching_cells

Labels = NDArray[np.int64]
Tile = tuple[int, int, int]

SPLITS = 8
"""Fine cells along the side of a coarse one."""
PATCH_BITS = 31
"""Patches are fewer than this power of two, so that two of their numbers fit into one."""
TILE = 4
"""Coarse cells along the side of a tile."""


@dataclass(slots=True)
class _Joined:
    """What the tiles say: how many patches of open cells there are, which are one, and where they touch what."""

    count: int = 0
    pairs: list[Labels] = field(default_factory=list)
    starts: list[Labels] = field(default_factory=list)
    touching: dict[int, list[Labels]] = field(default_factory=dict)
    layers: dict[tuple[Tile, int], Labels] = field(default_factory=dict)


def may_touch_closely(
    grid: Grid, entered: Entered, matter: list[Matter], probe: Probe, targets: list[list[Matter]], most_tiles: int
) -> list[bool] | None:
    """For each target whether the probe may come to touch it; None when there is too much to look at."""
    touching = np.any([touching_cells(grid, entered, probe, target) for target in targets], axis=0)
    tiles = list(_tiles(on_the_way(grid, entered, probe, touching) & ~entered.stop))
    if len(tiles) > most_tiles:
        return None
    at_its_stop = Entered(stop=entered.stop, body=entered.stop, tip=entered.stop)
    open_to_all = [may_touch(grid, at_its_stop, probe, target) for target in targets]
    joined = _Joined(touching={number: [] for number in range(len(targets))})
    for tile in tiles:
        _look_at(tile, grid, entered, matter, probe, targets, joined)
    return [one or other for one, other in zip(open_to_all, _reached(joined, len(targets)), strict=True)]


def _tiles(beyond: Mask) -> Iterator[Tile]:
    """Tiles that hold a cell on the way that the stop may not get to, in order.

    Where the stop may stand nothing is in doubt, and a way from there goes through one of these.
    """
    across, along, up = (range(0, size, TILE) for size in beyond.shape)
    for tile in product(across, along, up):
        if beyond[_coarse(tile)].any():
            yield tile


def _coarse(tile: Tile) -> tuple[slice, slice, slice]:
    """A tile's coarse cells and the next one along each axis."""
    return (slice(tile[0], tile[0] + TILE + 1), slice(tile[1], tile[1] + TILE + 1), slice(tile[2], tile[2] + TILE + 1))


def _fine(mask: Mask) -> Mask:
    """The fine cells of a tile and one layer of the next along each axis, of those that exist."""
    for axis in range(3):
        mask = np.repeat(mask, SPLITS, axis=axis).take(
            range(min(mask.shape[axis] * SPLITS, TILE * SPLITS + 1)), axis=axis
        )
    return mask


def _look_at(
    tile: Tile,
    grid: Grid,
    entered: Entered,
    matter: list[Matter],
    probe: Probe,
    targets: list[list[Matter]],
    joined: _Joined,
) -> None:
    from scipy import ndimage

    tip, body = _fine(entered.tip[_coarse(tile)]), _fine(entered.body[_coarse(tile)])
    fine = Grid(low=grid.low + np.array(tile) * grid.cell, cell=grid.cell / SPLITS, shape=tip.shape)
    low, high = fine.low, fine.low + np.array(fine.shape) * fine.cell
    about = probe.radius + max((piece.slack for piece in matter), default=0.0) + fine.half_diagonal
    close_by = near(matter, low - about, high + about)
    if close_by:
        room = distances(fine, close_by, about) + fine.half_diagonal
        tip, body = tip & (room >= probe.tip_radius), body & (room >= probe.radius)
    labels, count = ndimage.label(tip, np.ones((3, 3, 3)))  # where the body may be, the thinner tip may be too
    labels = np.where(labels > 0, labels.astype(np.int64) + joined.count, 0)
    joined.count += count
    _note(labels[_fine(entered.stop[_coarse(tile)])], joined.starts)
    for number, target in enumerate(targets):
        grown = fine.half_diagonal + max(piece.slack for piece in target) + fine.cell / 2.0
        reach = probe.radius + grown
        close = near([replace(piece, slack=0.0) for piece in target], low - reach, high + reach)
        if close:
            gap = distances(fine, close, reach + 1.0)
            touching = (gap <= probe.tip_radius + grown) | (body & (gap <= reach))
            _note(labels[touching], joined.touching[number])
    _join(tile, labels, joined)


def _note(labels: Labels, where: list[Labels]) -> None:
    """Which patches these cells are of; their numbers follow one another within a tile, so counting finds them."""
    found = labels[labels > 0]
    if len(found):
        first = found.min()
        where.append(first + np.flatnonzero(np.bincount(found - first)))


def _join(tile: Tile, labels: Labels, joined: _Joined) -> None:
    """Join the patches of a tile with those of the tile before it along each axis, in the layer that both hold."""
    for axis in range(3):
        before = _before(tile, axis)
        last = joined.layers.pop((before, axis), None)
        first = np.take(labels, [0], axis=axis)
        if last is not None:
            both = (last > 0) & (first > 0)
            codes = np.unique(last[both] << PATCH_BITS | first[both])
            joined.pairs.append(np.stack([codes >> PATCH_BITS, codes & (1 << PATCH_BITS) - 1], axis=1))
        if labels.shape[axis] == TILE * SPLITS + 1:
            joined.layers[tile, axis] = np.take(labels, [-1], axis=axis)


def _before(tile: Tile, axis: int) -> Tile:
    x, y, z = (start - TILE if number == axis else start for number, start in enumerate(tile))
    return (x, y, z)


def _reached(joined: _Joined, targets: int) -> list[bool]:
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    pairs = np.concatenate([np.empty((0, 2), dtype=np.int64), *joined.pairs])
    size = joined.count + 1
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(size, size))
    _, component = connected_components(graph, directed=False)
    begun = np.unique(component[_all(joined.starts)])
    return [bool(np.isin(component[_all(joined.touching[number])], begun).any()) for number in range(targets)]


def _all(found: list[Labels]) -> Labels:
    return np.concatenate([np.empty(0, dtype=np.int64), *found])
