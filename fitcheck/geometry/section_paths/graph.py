"""Shortest ways in a graph whose nodes are points and pieces of metal."""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Callable, Iterable
from typing import NamedTuple

from fitcheck.geometry.section_paths.section import SAME_MM, Leg, Over, Point, Way

Node = tuple[str, int]
"""What kind of place it is, and its number among those."""


class Step(NamedTuple):
    """A way on from a node: where to, and the straight leg that is covered."""

    to: Node
    leg: Leg


Steps = Callable[[Node], Iterable[Step]]


def shortest(start: Node, end: Node, steps: Steps) -> list[Leg] | None:
    """The legs of a shortest way, asking for the steps of a node when it is reached; None when there is no way."""
    reached: set[Node] = set()
    before: dict[Node, tuple[Node, Leg]] = {}
    best: dict[Node, float] = {start: 0.0}
    waiting: list[tuple[float, int, Node]] = [(0.0, 0, start)]
    number = 0
    while waiting:
        length, _, node = heapq.heappop(waiting)
        if node in reached:
            continue
        reached.add(node)
        if node == end:
            return _back(start, end, before)
        for to, leg in steps(node):
            total = length + leg.length
            if to not in reached and total < best.get(to, float("inf")):
                best[to], before[to] = total, (node, leg)
                number += 1
                heapq.heappush(waiting, (total, number, to))
    return None


def _back(start: Node, end: Node, before: dict[Node, tuple[Node, Leg]]) -> list[Leg]:
    legs = []
    while end != start:
        end, leg = before[end]
        legs.append(leg)
    return legs[::-1]


def way_of(legs: Iterable[Leg]) -> Way:
    """A way without legs of no length, straight neighbours made one, and a leg wherever metal is crossed."""
    kept = [leg for leg in legs if leg.length > 0.0]
    found: list[Leg] = []
    for leg in kept:
        if found and _apart(found[-1].end, leg.start):
            found.append(Leg(Over.METAL, found[-1].end, leg.start))
        if found and leg.over is found[-1].over is not Over.BRIDGE and _straight_on(found[-1], leg):
            leg = Leg(leg.over, found.pop().start, leg.end)
        found.append(leg)
    return Way(legs=tuple(found))


def _apart(one: Point, other: Point) -> bool:
    return abs(one[0] - other[0]) > SAME_MM or abs(one[1] - other[1]) > SAME_MM


def _straight_on(one: Leg, other: Leg) -> bool:
    first = (one.end[0] - one.start[0], one.end[1] - one.start[1])
    second = (other.end[0] - other.start[0], other.end[1] - other.start[1])
    across = first[0] * second[1] - first[1] * second[0]
    return abs(across) <= SAME_MM * max(one.length, other.length) and first[0] * second[0] + first[1] * second[1] > 0.0


class Links:
    """A graph held in memory, walked both ways."""

    def __init__(self) -> None:
        self._steps: dict[Node, list[Step]] = defaultdict(list)

    def add(self, one: Node, other: Node, over: Over, start: Point, end: Point) -> None:
        self._steps[one].append(Step(other, Leg(over, start, end)))
        self._steps[other].append(Step(one, Leg(over, end, start)))

    def steps(self, node: Node) -> list[Step]:
        return self._steps.get(node, [])
