"""Matter in the way of a probe, and how far from it each cell of a grid lies.

Boxes are exact; all else is known by points spread over its surface. Distances to those are too large by up to the
spread, never too small, and so they never make a way look narrower than it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Field = NDArray[np.float32]

AT_ONCE = 400_000
"""Cells looked up at a time, so that memory stays small."""
ROUNDED_MM = 1e-3
"""More than single precision loses over a few metres; added, so that rounding makes no way look narrower."""
MOST_SPLITS = 400
"""A triangle's edge is cut into no more pieces than this."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """A solid box: middle (3,), rotation (3, 3) with its axes as columns, half sizes (3,), in mm.

    `slack` is how far its surface may recede in any build within tolerance.
    """

    middle: Array
    rotation: Array
    half: Array
    slack: float = 0.0

    def distance(self, points: Array) -> Array:
        """(N,) signed distance of points (N, 3): negative inside."""
        over = np.abs((points - self.middle) @ self.rotation) - self.half
        outside = np.linalg.norm(np.maximum(over, 0.0), axis=1)
        return np.asarray(outside + np.minimum(over.max(axis=1), 0.0))

    @property
    def is_square(self) -> bool:
        """Whether its faces are square to the axes."""
        return bool((np.abs(self.rotation) > 1.0 - 1e-12).sum() == 3)

    @property
    def bounds(self) -> tuple[Array, Array]:
        reach = np.abs(self.rotation) @ self.half
        return self.middle - reach, self.middle + reach


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Skin:
    """A surface as triangles (N, 3, 3), open or closed. `slack` as for a block."""

    triangles: Array
    slack: float = 0.0

    def points(self, spread: float) -> Array:
        """Points (N, 3) on the surface, none of it farther than `spread` from one of them; very large faces apart."""
        sides = np.linalg.norm(self.triangles - np.roll(self.triangles, 1, axis=1), axis=2).max(axis=1)
        # Corners of a small triangle lie at most its longest side / sqrt(3) from any of its points.
        splits = np.clip(np.ceil(sides / (spread * np.sqrt(3.0))), 1, MOST_SPLITS).astype(int)
        return np.concatenate([_lattice(self.triangles[splits == count], count) for count in np.unique(splits)])

    def points_at_most(self, count: int, spread: float) -> tuple[Array, float]:
        """Points as dense as `spread` calls for, or about `count` of them where that is fewer; and their spread."""
        sides = np.diff(self.triangles, axis=1)
        area = float(np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1).sum()) / 2.0
        spread = max(spread, float(np.sqrt(area / count)))
        return self.points(spread), spread

    def near(self, low: Array, high: Array) -> Skin | None:
        """The triangles whose bounding boxes meet the box between two corners; None where there are none."""
        meets = (self.triangles.min(axis=1) <= high).all(axis=1) & (self.triangles.max(axis=1) >= low).all(axis=1)
        return replace(self, triangles=self.triangles[meets]) if meets.any() else None

    @property
    def bounds(self) -> tuple[Array, Array]:
        return self.triangles.min(axis=(0, 1)), self.triangles.max(axis=(0, 1))


Matter = Block | Skin


def _lattice(triangles: Array, count: int) -> Array:
    one, other = np.meshgrid(np.arange(count + 1), np.arange(count + 1), indexing="ij")
    inside = one + other <= count
    shares = np.stack([one[inside], other[inside]], axis=1) / count
    weights = np.concatenate([1.0 - shares.sum(axis=1, keepdims=True), shares], axis=1)
    return np.asarray(np.einsum("kw,twd->tkd", weights, triangles).reshape(-1, 3))


def near(matter: Iterable[Matter], low: Array, high: Array) -> list[Matter]:
    """The matter that may meet the box between two corners."""
    found: list[Matter] = []
    for piece in matter:
        lowest, highest = piece.bounds
        if (lowest <= high).all() and (highest >= low).all():
            part = piece.near(low, high) if isinstance(piece, Skin) else piece
            found += [part] if part is not None else []
    return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grid:
    """Cubic cells: `low` (3,) is the corner of the first, `cell` their size in mm, `shape` how many along each axis."""

    low: Array
    cell: float
    shape: tuple[int, int, int]

    @property
    def half_diagonal(self) -> float:
        return float(self.cell * np.sqrt(3.0) / 2.0)

    def centres(self, cells: NDArray[np.int64]) -> Array:
        """Middles (N, 3) of cells (N, 3)."""
        return np.asarray(self.low + (cells + 0.5) * self.cell)

    def window(self, low: Array, high: Array) -> tuple[slice, slice, slice]:
        """The cells whose middles lie between two corners."""
        first = np.ceil((low - self.low) / self.cell - 0.5).astype(int)
        last = np.floor((high - self.low) / self.cell - 0.5).astype(int) + 1
        first, last = np.clip(first, 0, self.shape), np.clip(last, 0, self.shape)
        return (slice(first[0], last[0]), slice(first[1], last[1]), slice(first[2], last[2]))


def distances(grid: Grid, matter: list[Matter], reach: float) -> Field:
    """For every cell the distance of its middle to the nearest matter with its slack added, `reach` where it is more.

    A value is never less than the true distance to that matter in any build; inside blocks it is negative.
    """
    field = np.full(grid.shape, reach, dtype=np.float32)
    for piece in matter:
        low, high = piece.bounds
        window = grid.window(low - reach, high + reach)
        part = field[window]
        if isinstance(piece, Block) and piece.is_square:
            np.minimum(part, _square_distances(grid, window, piece) + np.float32(piece.slack + ROUNDED_MM), out=part)
            continue
        measure = _measured(piece, grid.cell / 2.0, reach)
        flat = part.reshape(-1).copy()
        for begin, cells in _cells_of(window):
            far = measure(grid.centres(cells)) + piece.slack + ROUNDED_MM
            flat[begin : begin + len(cells)] = np.minimum(flat[begin : begin + len(cells)], far)
        field[window] = flat.reshape(part.shape)
    return field


def _square_distances(grid: Grid, window: tuple[slice, slice, slice], block: Block) -> Field:
    """Distances of the cells of a window to a square box, worked out axis by axis."""
    low, high = block.bounds
    over = []
    for axis, part in enumerate(window):
        middles = grid.low[axis] + (np.arange(part.start, part.stop) + 0.5) * grid.cell
        sides = np.maximum(low[axis] - middles, middles - high[axis])
        over.append(sides.astype(np.float32).reshape(np.roll((-1, 1, 1), axis)))
    deepest = np.maximum(np.maximum(over[0], over[1]), over[2])
    outside = np.sqrt(sum(np.maximum(side, 0.0) ** 2 for side in over))
    return np.asarray(np.where(deepest > 0.0, outside, deepest), dtype=np.float32)


def _measured(piece: Matter, spread: float, reach: float) -> Callable[[Array], Array]:
    if isinstance(piece, Block):
        return piece.distance
    from scipy.spatial import cKDTree

    tree = cKDTree(piece.points(spread))
    return lambda points: np.minimum(tree.query(points, distance_upper_bound=reach)[0], reach)


def _cells_of(window: tuple[slice, slice, slice]) -> Iterator[tuple[int, NDArray[np.int64]]]:
    sizes = [part.stop - part.start for part in window]
    total = int(np.prod(sizes))
    starts = np.array([part.start for part in window])
    for begin in range(0, total, AT_ONCE):
        flat = np.arange(begin, min(begin + AT_ONCE, total))
        yield begin, np.stack(np.unravel_index(flat, sizes), axis=1) + starts
