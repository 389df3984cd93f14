"""Creepage in a section: the shortest way over surfaces, narrow air bridged, floating metal crossed for nothing.

The whole contour of every body can be walked, the faces of a closed joint too. Where bodies touch, one passes over.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

import numpy as np

from fitcheck.geometry.section_paths.air import Air
from fitcheck.geometry.section_paths.bridges import Bridges, in_air, straight_bridges
from fitcheck.geometry.section_paths.graph import Links, Node, shortest, way_of
from fitcheck.geometry.section_paths.grazing import grazing_bridges
from fitcheck.geometry.section_paths.metal import A, B, Metals
from fitcheck.geometry.section_paths.metal_bridges import metal_bridges
from fitcheck.geometry.section_paths.rings import Array
from fitcheck.geometry.section_paths.section import Over, Point, Way
from fitcheck.geometry.section_paths.walls import Walls

OnWalls = dict[int, list[tuple[float, int, Point]]]
"""Wall -> where bridges land on it: how far along, the number of the landing, and its point."""


def creepage_way(air: Air, walls: Walls, metals: Metals, x_mm: float) -> Way | None:
    """The shortest way over surfaces from conductor a to conductor b; None when no surface and no bridge joins them."""
    if B in metals.touched_by(A):
        return Way(legs=())
    links = Links()
    on_walls: OnWalls = defaultdict(list)
    found = [*straight_bridges(walls, x_mm), *grazing_bridges(walls, x_mm), *metal_bridges(walls, metals, x_mm)]
    _add_bridges(links, on_walls, walls, in_air(air, found))
    _add_walls(links, on_walls, walls)
    _add_metal(links, walls, metals)
    legs = shortest(("metal", A), ("metal", B), links.steps)
    return None if legs is None else way_of(legs)


def _add_bridges(links: Links, on_walls: OnWalls, walls: Walls, bridges: Bridges) -> None:
    every = zip(bridges.one, bridges.other, bridges.starts, bridges.ends, strict=True)
    for number, (one, other, start, end) in enumerate(every):
        first = _landing(on_walls, walls, int(one), start, 2 * number)
        second = _landing(on_walls, walls, int(other), end, 2 * number + 1)
        links.add(first, second, Over.BRIDGE, _point(start), _point(end))


def _landing(on_walls: OnWalls, walls: Walls, where: int, point: Array, number: int) -> Node:
    if where < 0:
        return ("metal", -1 - where)
    on_walls[where].append((float(np.linalg.norm(point - walls.starts[where])), number, _point(point)))
    return ("landing", number)


def _add_walls(links: Links, on_walls: OnWalls, walls: Walls) -> None:
    for wall in range(len(walls.starts)):
        start, end = int(walls.start_nodes[wall]), int(walls.end_nodes[wall])
        stops: list[tuple[Node, Point]] = [(("node", start), _point(walls.nodes[start]))]
        stops += [(("landing", number), point) for _, number, point in sorted(on_walls.get(wall, []))]
        stops.append((("node", end), _point(walls.nodes[end])))
        for (node, point), (following, next_point) in pairwise(stops):
            links.add(node, following, Over.SURFACE, point, next_point)


def _add_metal(links: Links, walls: Walls, metals: Metals) -> None:
    """Surfaces are reached where they touch metal, and metal where it touches other metal."""
    for owner in range(len(metals.shapes)):
        for node in np.flatnonzero(metals.touching(owner, walls.nodes)).tolist():
            point = _point(walls.nodes[node])
            links.add(("node", node), ("metal", owner), Over.METAL, point, point)
        for other in metals.touched_by(owner):
            if other < owner:
                links.add(("metal", owner), ("metal", other), Over.METAL, (0.0, 0.0), (0.0, 0.0))


def _point(point: Array) -> Point:
    return (float(point[0]), float(point[1]))
