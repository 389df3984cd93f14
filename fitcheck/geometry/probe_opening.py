"""A straight placing of a probe down the middle of an opening that is hardly wider than the probe.

Seen along a direction, all that is in the way is a flat picture; where the probe fits through, its axis has a round
patch of that picture free about it. The freest places over the target are looked for on a raster and then moved on to
where they are freest. What is found so is only a guess: it counts when the whole straight probe, and its stop all the
way out, keep clear of every triangle in space.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from fitcheck.geometry.probe_matter import Array, Block, Matter, Skin, near
from fitcheck.geometry.probe_reach import Probe
from fitcheck.geometry.triangles import closest_points, unit_normals

MOST_PLACES = 20_000
FEWEST_PLACES = 400
MOST_PAIRS = 8_000_000
"""Places on the raster times triangles in the way: about a second."""
MOST_NEAR, MOST_TRIANGLES = 400_000, 20_000
"""More triangles than this within reach, and over the target, are not looked at."""
MOST_NORMALS = 12
"""Faces that openings may lead through square on, the largest first."""
TRIES = 24
MOVES = 40
LEAST_MOVE_MM = 1e-4
CLEAR_MM = 1e-6
"""A probe that just touches a wall on its way is not shown to pass."""
BLUNT = 1.0 / 3.0
"""The end of a probe is no sharper than a ball of this share of its radius: 2 mm for the finger, whose edges are
rounded by that much."""

_CORNERS = np.array([[x, y, z] for x in (-1.0, 1.0) for y in (-1.0, 1.0) for z in (-1.0, 1.0)])
_SIDES = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
_FACES = np.array([[side[0], side[k], side[k + 1]] for side in _SIDES for k in (1, 2)])
_TURNS = np.arange(8) * np.pi / 4.0
_END = np.concatenate(
    [np.zeros((1, 2)), *(share * np.stack([np.cos(_TURNS), np.sin(_TURNS)], axis=1) for share in (0.35, 0.7, 0.95))]
)
"""Points about the axis at which the end may touch, as shares of the radius of its ball."""
_ABOUT = np.array([[x, y] for x in (-1.0, 0.0, 1.0) for y in (-1.0, 0.0, 1.0)])


class Placing(NamedTuple):
    """The point touched and where the middle of the stop then is."""

    touched: Array
    stop: Array


def middle_placing(target: list[Matter], others: list[Matter], probe: Probe) -> Placing | None:
    """A placing square to some face, down the middle of what is open there; None where none was found."""
    goal = np.concatenate([_triangles(piece) for piece in target])
    reach = probe.length + 2.0 * (probe.radius + probe.stop_radius)
    close = near(others, goal.min(axis=(0, 1)) - reach, goal.max(axis=(0, 1)) + reach)
    if sum(len(_triangles(piece)) for piece in close) > MOST_NEAR:
        return None
    walls = np.concatenate([np.empty((0, 3, 3)), *(_triangles(piece) for piece in close)])
    for along in _squares([*target, *close]):
        for found in _along(goal, walls, along, probe):
            if _gets_out(found.stop, along, others, probe.stop_radius):
                return found
    return None


def _gets_out(stop: Array, along: Array, matter: list[Matter], radius: float) -> bool:
    """Whether the stop comes straight out past all that is in the way."""
    if not matter:
        return True
    lows, highs = zip(*(piece.bounds for piece in matter), strict=True)
    low, high = np.min(lows, axis=0), np.max(highs, axis=0)
    # From wherever it stands, as far as the farthest corner and on.
    away = np.linalg.norm(np.maximum(np.abs(stop - low), np.abs(stop - high)))
    out = stop + along * (float(away) + 2.0 * radius)
    beside = np.minimum(stop, out) - radius, np.maximum(stop, out) + radius
    return all(_is_clear(_triangles(piece), stop, out, radius) for piece in near(matter, *beside))


def _triangles(piece: Matter) -> Array:
    if isinstance(piece, Skin):
        return piece.triangles
    return np.asarray((piece.middle + (_CORNERS * piece.half) @ piece.rotation.T)[_FACES])


def _squares(matter: list[Matter]) -> Iterator[Array]:
    """Unit vectors along the axes, the axes of boxes and the normals of the largest faces, each once, both ways."""
    axes = [np.eye(3)[::-1], *(piece.rotation.T for piece in matter if isinstance(piece, Block))]
    for piece in matter:
        if isinstance(piece, Skin):
            normals, areas = unit_normals(piece.triangles)
            axes.append(normals[np.argsort(-areas, kind="stable")[:MOST_NORMALS]])
    told: set[tuple[float, ...]] = set()
    for axis in np.concatenate(axes):
        for along in (axis, -axis):
            key = tuple(np.round(along, 6) + 0.0)
            if any(key) and key not in told:
                told.add(key)
                yield along


def _along(goal: Array, walls: Array, along: Array, probe: Probe) -> Iterator[Placing]:
    """Placings that come down along one direction, the probe itself clear of the walls."""
    frame = _frame(along)
    aims, bars = goal @ frame, walls @ frame
    blunt = BLUNT * probe.radius
    low, high = aims[..., :2].min(axis=(0, 1)) - blunt, aims[..., :2].max(axis=(0, 1)) + blunt
    left, right = bars[..., :2].min(axis=1) - probe.radius, bars[..., :2].max(axis=1) + probe.radius
    bars = bars[((left <= high) & (right >= low)).all(axis=1)]
    if max(len(bars), len(aims)) > MOST_TRIANGLES:
        return
    # What lies no higher than the target is not in the way of a probe that comes down on it.
    top = aims[..., 2].max()
    picture = bars[(bars[..., 2].max(axis=1) > top) & (bars[..., 2].min(axis=1) < top + probe.length)][..., :2]
    for place in _freest(picture, aims, (low, high), probe.radius):
        ends, touches = _touched(place[None], aims, blunt)
        if not np.isfinite(ends[0]):
            continue
        start = np.append(place, ends[0] + probe.radius)
        stop = np.append(place, ends[0] + probe.length + probe.stop_radius)
        if _is_clear(bars, start, stop, probe.radius):
            yield Placing(touched=frame @ touches[0], stop=frame @ stop)


def _frame(along: Array) -> Array:
    """Columns: two directions across, and the direction itself."""
    across = np.cross(along, np.eye(3)[np.abs(along).argmin()])
    across /= np.linalg.norm(across)
    return np.stack([across, np.cross(along, across), along], axis=1)


def _freest(picture: Array, aims: Array, span: tuple[Array, Array], radius: float) -> Array:
    """Places (K, 2) over the target with the most room about them, the freest first, none too narrow."""
    low, high = span
    size = np.maximum(high - low, 1e-9)
    count = int(np.clip(MOST_PAIRS / max(len(picture), len(_END) * len(aims), 1), FEWEST_PLACES, MOST_PLACES))
    step = max(radius / 2.0, float(np.sqrt(size.prod() / count)), float(size.max()) / count)
    shares = [(np.arange(cells) + 0.5) / cells for cells in np.ceil(size / step).astype(int)]
    places = low + np.stack(np.meshgrid(*shares, indexing="ij"), axis=-1).reshape(-1, 2) * size
    places = places[np.isfinite(_touched(places, aims, BLUNT * radius)[0])]
    room = _room(places, picture)
    hopeful = np.flatnonzero((room > 0.0) & (room >= radius - 2.0 * step))
    hopeful = hopeful[np.argsort(-room[hopeful], kind="stable")]
    # Spread over the picture, so that one wide opening does not take all the tries.
    chosen = np.unique(np.linspace(0, max(len(hopeful) - 1, 0), TRIES).astype(int))
    places = places[hopeful[chosen]] if len(hopeful) else places[:0]
    places, room = _moved(places, picture, step, radius + 2.0 * CLEAR_MM)
    wide = np.flatnonzero(room > radius)
    return np.asarray(places[wide[np.argsort(-room[wide], kind="stable")]])


def _moved(places: Array, picture: Array, step: float, enough: float) -> tuple[Array, Array]:
    """Each place gone on to where there is room enough, or the most of it, and that room."""
    reach = np.full(len(places), step)
    room = _room(places, picture)
    for _ in range(MOVES):
        going = np.flatnonzero((reach > LEAST_MOVE_MM) & (room < enough))
        if not len(going):
            break
        tried = places[going, None] + reach[going, None, None] * _ABOUT
        rooms = _room(tried.reshape(-1, 2), picture).reshape(len(going), -1)
        best = rooms.argmax(axis=1)
        better = rooms[np.arange(len(going)), best] > room[going] + 1e-12
        places[going[better]] = tried[np.flatnonzero(better), best[better]]
        room[going[better]] = rooms[np.flatnonzero(better), best[better]]
        reach[going[~better]] /= 2.0
    return places, room


def _room(places: Array, picture: Array) -> Array:
    """(P,) how far each place is from all flat triangles (T, 3, 2): 0 inside one, inf where there are none."""
    room = np.full(len(places), np.inf)
    for chunk in _chunks(len(places), len(picture)):
        at = places[chunk, None]
        inside = np.ones((len(at), len(picture)), dtype=bool)
        outside = inside.copy()
        square = np.full(inside.shape, np.inf)
        for corner in range(3):
            start, run = picture[:, corner], picture[:, (corner + 1) % 3] - picture[:, corner]
            off = at - start
            side = run[:, 0] * off[..., 1] - run[:, 1] * off[..., 0]
            inside &= side >= 0.0
            outside &= side <= 0.0
            share = np.clip((off * run).sum(axis=-1) / np.maximum((run * run).sum(axis=-1), 1e-300), 0.0, 1.0)
            square = np.minimum(square, ((off - share[..., None] * run) ** 2).sum(axis=-1))
        # A triangle seen edge on has no inside: its turn to the place is nought all along its line.
        doubled = _doubled(picture) > 0.0
        square[(inside | outside) & doubled] = 0.0
        room[chunk] = np.sqrt(square.min(axis=1, initial=np.inf))
    return room


def _doubled(picture: Array) -> Array:
    one, other = picture[:, 1] - picture[:, 0], picture[:, 2] - picture[:, 0]
    area = np.abs(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
    longest = np.maximum((one * one).sum(axis=1), (other * other).sum(axis=1))
    return np.where(area > 1e-12 * longest, area, 0.0)


def _touched(places: Array, aims: Array, blunt: float) -> tuple[Array, Array]:
    """How high the end of a probe stands that comes down at each place until its ball touches the target, (P,), -inf
    where it does not; and the points touched (P, 3)."""
    about = (places[:, None] + blunt * _END).reshape(-1, 2)
    heights = _heights(about, aims).reshape(len(places), -1)
    ends = heights - blunt * (1.0 - np.sqrt(1.0 - (_END**2).sum(axis=1)))
    best = ends.argmax(axis=1)
    rows = np.arange(len(places))
    points = np.column_stack([about.reshape(len(places), -1, 2)[rows, best], heights[rows, best]])
    return ends[rows, best], points


def _heights(places: Array, aims: Array) -> Array:
    """(P,) how high the target stands over each place, -inf where it does not."""
    flat = aims[_doubled(aims[..., :2]) > 0.0]
    heights = np.full(len(places), -np.inf)
    for chunk in _chunks(len(places), len(flat)):
        off = places[chunk, None] - flat[:, 0, :2]
        one, other = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
        whole = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
        second = (off[..., 0] * other[:, 1] - off[..., 1] * other[:, 0]) / whole
        third = (one[:, 0] * off[..., 1] - one[:, 1] * off[..., 0]) / whole
        over = (second >= 0.0) & (third >= 0.0) & (second + third <= 1.0)
        height = flat[:, 0, 2] + second * one[:, 2] + third * other[:, 2]
        heights[chunk] = np.where(over, height, -np.inf).max(axis=1, initial=-np.inf)
    return heights


def _chunks(places: int, triangles: int) -> Iterator[slice]:
    size = max(1, 400_000 // max(triangles, 1))
    for begin in range(0, places, size):
        yield slice(begin, begin + size)


def _is_clear(walls: Array, start: Array, end: Array, radius: float) -> bool:
    """Whether a ball that goes straight from one point to another keeps clear of all triangles."""
    if not len(walls):
        return True
    axis = np.broadcast_to(np.stack([start, end, end]), walls.shape)
    distance, _, _ = closest_points(axis, walls)
    return bool(distance.min() >= radius + CLEAR_MM)
