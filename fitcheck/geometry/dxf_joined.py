"""Runs of a flat drawing joined end to end into closed contours; what does not close is told with its place."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fitcheck.geometry.dxf_runs import Bow, Contour, Point2, Run, Straight


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """`widest` is the largest distance of two ends that were joined. `open_ends` are ends that meet no other,
    `branches` places where more than two meet, `doubles` how many runs lay on another and were left out.
    """

    contours: tuple[Contour, ...]
    widest: float
    open_ends: tuple[Point2, ...]
    branches: tuple[Point2, ...]
    doubles: int


def joined(runs: Iterable[Run], within: float) -> Joined:
    """Join runs whose ends lie no farther apart than `within`; runs shorter than that are left out as specks."""
    whole, ended = [], []
    once, doubles = _once(runs, within)
    for run in once:
        if isinstance(run, Bow) and run.is_whole:
            whole.append(Contour((run,)))
        elif math.dist(run.start, run.end) > within or _length(run) > 4.0 * within:
            ended.append(run)
    places = _places([point for run in ended for point in (run.start, run.end)], within)
    at: dict[int, list[tuple[int, bool]]] = {}
    for number in range(len(ended)):
        for side in (0, 1):
            at.setdefault(places[2 * number + side], []).append((number, bool(side)))
    points = {place: _end(ended[meeting[0][0]], meeting[0][1]) for place, meeting in at.items()}
    open_ends = tuple(points[place] for place, meeting in at.items() if len(meeting) == 1)
    branches = tuple(points[place] for place, meeting in at.items() if len(meeting) > 2)
    if open_ends or branches:
        return Joined(contours=tuple(whole), widest=0.0, open_ends=open_ends, branches=branches, doubles=doubles)
    widest = max((math.dist(*(_end(ended[n], side) for n, side in pair)) for pair in at.values()), default=0.0)
    contours = (*whole, *_traced(ended, places, at))
    return Joined(contours=contours, widest=widest, open_ends=(), branches=(), doubles=doubles)


def _traced(runs: Sequence[Run], places: Sequence[int], at: dict[int, list[tuple[int, bool]]]) -> list[Contour]:
    """Go round, run by run; two meet at every place."""
    left = set(range(len(runs)))
    found = []
    for first in range(len(runs)):
        if first not in left:
            continue
        chain: list[Run] = []
        number, backward = first, False
        while number in left:
            left.remove(number)
            chain.append(runs[number].turned() if backward else runs[number])
            leaving = places[2 * number + (0 if backward else 1)]
            one, other = at[leaving]
            number, backward = other if one == (number, not backward) else one
        found.append(Contour(tuple(chain)))
    return found


def _end(run: Run, last: bool) -> Point2:
    return run.end if last else run.start


def _length(run: Run) -> float:
    if isinstance(run, Straight):
        return math.dist(run.start, run.end)
    if isinstance(run, Bow):
        return abs(run.sweep) * run.radius
    return sum(math.dist(a, b) for a, b in zip(run.points, run.points[1:], strict=False))


def _places(points: Sequence[Point2], within: float) -> list[int]:
    """The number of the place that each point lies at: points within reach of one another share one."""
    import numpy as np
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    if not points:
        return []
    pairs = cKDTree(np.array(points)).query_pairs(within, output_type="ndarray")
    links = coo_matrix((np.ones(len(pairs), dtype=np.int8), (pairs[:, 0], pairs[:, 1])), (len(points),) * 2)
    return [int(each) for each in connected_components(links, directed=False)[1]]


def _once(runs: Iterable[Run], within: float) -> tuple[list[Run], int]:
    """Each run once, also where the drawing has it twice, one on the other."""
    found: dict[object, Run] = {}
    count = 0
    for run in runs:
        count += 1
        found.setdefault(_key(run, within), run)
    return list(found.values()), count - len(found)


def _key(run: Run, within: float) -> object:
    def cell(point: Point2) -> tuple[int, int]:
        return round(point[0] / within), round(point[1] / within)

    if isinstance(run, Bow) and run.is_whole:
        return "circle", cell(run.centre), round(run.radius / within)
    ends = frozenset((cell(run.start), cell(run.end)))
    if isinstance(run, Straight):
        return "line", ends
    if isinstance(run, Bow):
        return "arc", cell(run.middle), ends
    return "free", tuple(cell(point) for point in min(run.points, run.points[::-1]))
