"""Where the figures of a path's legs stand in a picture: clear of each other, of the path and of what is written."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

Spot = tuple[float, float]
Line = tuple[Spot, Spot]
Box = tuple[float, float, float, float]
_Floats = npt.NDArray[np.float64]

_BESIDE = (0.4, 1.0)
"""How far beside its leg a figure is tried first, in its own heights, from the leg to the figure's edge."""
_SHARES = (0.5, 0.3, 0.7)
_RINGS = (0.9, 1.6, 2.4, 3.4, 4.6, 6.0, 8.0, 10.5)
"""Then about the leg, with a line to it."""
_WAYS = 24
_CROSSED = 6.0
"""What such a line counts for where it runs over the path, for each length of it."""
_COVERED = 1.0
"""What a text counts for where it covers an outline, for each length of that."""
_NOTHING = shapely.GeometryCollection()
_ROUNDS = 5
"""How often the texts are placed anew where some found no room."""
_FEW = 12
"""With more texts each looks for its place once: more would take long, and their letters may be left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A text to be placed beside a leg: `size` is the width and height of the room that it takes, `far` how long the
    line to its leg may be. The leg may be of no length.
    """

    text: str
    size: Spot
    leg: Line
    far: float = math.inf


@dataclass(frozen=True, kw_only=True)
class Label:
    """A text with its middle `at`, for the leg's point `of`; `led` where it stands so far off that it needs a line."""

    text: str
    size: Spot
    at: Spot
    of: Spot
    led: bool

    @property
    def box(self) -> BaseGeometry:
        """The room that the text takes."""
        return around(self.at, self.size)

    @property
    def leader(self) -> Line:
        """The line from the leg to the edge of the text."""
        away = (self.at[0] - self.of[0], self.at[1] - self.of[1])
        inside = min(
            (half / abs(part) for half, part in zip((self.size[0] / 2, self.size[1] / 2), away, strict=True) if part),
            default=0.0,
        )
        left = max(0.0, 1.0 - inside)
        return self.of, (self.of[0] + left * away[0], self.of[1] + left * away[1])

    @cached_property
    def covered(self) -> BaseGeometry:
        """All that it covers, the line included."""
        if not self.led:
            return self.box
        return shapely.union(self.box, shapely.LineString(self.leader).buffer(0.08 * self.size[1]))


def around(at: Spot, size: Spot) -> BaseGeometry:
    """The room of this width and height about a middle."""
    return shapely.box(at[0] - size[0] / 2, at[1] - size[1] / 2, at[0] + size[0] / 2, at[1] + size[1] / 2)


def over_piece(start: float, end: float, wide: float, mark: float) -> float | None:
    """Where a letter so `wide` stands over a piece of a line, clear of a `mark` across it; None without room."""
    middles = (start + share * (end - start) for share in (0.5, 0.25, 0.75))
    return next((x for x in middles if wide <= min(2 * (x - start), 2 * (end - x)) and abs(x - mark) > wide / 2), None)


def seen_of(line: Line, path: BaseGeometry) -> Line:
    """The longest piece of a line that the path does not cover; all of it where there is none."""
    seen = shapely.difference(shapely.LineString(line), path)
    piece = max(getattr(seen, "geoms", (seen,)), key=lambda one: one.length)
    ends = [(float(x), float(y)) for x, y in piece.coords]
    return (ends[0], ends[-1]) if ends else line


def labels(
    wanted: Sequence[Wanted],
    *,
    frame: Box,
    path: BaseGeometry,
    taken: Sequence[BaseGeometry] = (),
    shown: BaseGeometry = _NOTHING,
) -> list[Label]:
    """A place for each text, in units of the picture, in their order; one for which there is no room is left out.

    `frame` is (left, low, right, high); no text leaves it, or touches another, the `path` (as wide as it is drawn) or
    what is `taken`; a place that covers less of the outlines `shown` is better.
    """
    shapely.prepare(path)
    order, most = list(range(len(wanted))), dict[int, Label]()
    for _ in range(_ROUNDS if len(wanted) <= _FEW else 1):
        placed = _in_turn(wanted, order, frame, path, taken, shown)
        if len(placed) > len(most):
            most = placed
        shut_out = [number for number in order if number not in placed]
        if not shut_out:
            break
        # Who found no room, hemmed in by those before it, has the first choice next time.
        order = [*shut_out, *(number for number in order if number in placed)]
    return [most[number] for number in sorted(most)]


def _in_turn(
    wanted: Sequence[Wanted],
    order: Sequence[int],
    frame: Box,
    path: BaseGeometry,
    taken: Sequence[BaseGeometry],
    shown: BaseGeometry,
) -> dict[int, Label]:
    placed: dict[int, Label] = {}
    # Once each has its place all look again: what was the best at first may now be worse than what is free.
    for number in (*order, *order) if len(order) <= _FEW else order:
        placed.pop(number, None)
        written = shapely.union_all([*taken, *(label.covered for label in placed.values())])
        shapely.prepare(written)
        one = wanted[number]
        found = _beside(one, frame, path, written, shown) or _about(one, frame, path, written, shown)
        if found is not None:
            placed[number] = found
    return placed


def _beside(one: Wanted, frame: Box, path: BaseGeometry, written: BaseGeometry, shown: BaseGeometry) -> Label | None:
    """The nearest free place beside the leg, on either side."""
    starts, square = _stance(one, frame)
    tried = [(of, of + _off(one, side, gap)) for gap in _BESIDE for of in starts for side in (square, -square)]
    of, at = (np.array(spots) for spots in zip(*tried, strict=True))
    free = _free(one, at, frame, path, written)
    worth = np.where(free, np.linalg.norm(at - of, axis=1) + _hidden(one, at, shown), np.inf)
    return _label(one, of, at, worth, led=False)


def _about(one: Wanted, frame: Box, path: BaseGeometry, written: BaseGeometry, shown: BaseGeometry) -> Label | None:
    """A free place farther off, with a line to the leg that runs over nothing written, and over little of the path."""
    starts, _ = _stance(one, frame)
    ways = [np.array((math.cos(turn), math.sin(turn))) for turn in np.arange(_WAYS) * 2.0 * np.pi / _WAYS]
    tried = [(of, of + _off(one, way, gap)) for gap in _RINGS for of in starts for way in ways]
    tried += [(starts[0], spot) for spot in _spread(frame, one.size)]
    of, at = (np.array(spots) for spots in zip(*tried, strict=True))
    away = np.linalg.norm(at - of, axis=1)
    lines = shapely.linestrings(np.stack([of, at], axis=1))
    free = (away <= one.far) & _free(one, at, frame, path, written)
    free[free] = ~shapely.intersects(lines[free], written)
    worth = np.where(free, away, np.inf)
    worth[free] += _hidden(one, at[free], shown)
    worth[free] += _CROSSED * shapely.length(shapely.intersection(lines[free], path))
    return _label(one, of, at, worth, led=True)


def _hidden(one: Wanted, at: _Floats, shown: BaseGeometry) -> _Floats:
    """What the outlines count for that the text would cover there."""
    half = np.array(one.size) / 2
    boxes = shapely.box(*(at - half).T, *(at + half).T)
    return np.asarray(_COVERED * shapely.length(shapely.intersection(boxes, shown)))


def _free(one: Wanted, at: _Floats, frame: Box, path: BaseGeometry, written: BaseGeometry) -> npt.NDArray[np.bool_]:
    half = np.array(one.size) / 2
    inside: npt.NDArray[np.bool_] = np.all((at - half >= frame[:2]) & (at + half <= frame[2:]), axis=1)
    boxes = shapely.box(*(at[inside] - half).T, *(at[inside] + half).T)
    inside[inside] = ~shapely.intersects(path, boxes) & ~shapely.intersects(written, boxes)
    return inside


def _label(one: Wanted, of: _Floats, at: _Floats, worth: _Floats, *, led: bool) -> Label | None:
    # Rounded, so that of equal places the one tried first is taken on every machine.
    best = int(np.argmin(np.round(worth, 6)))
    if not np.isfinite(worth[best]):
        return None
    place, point = (float(at[best, 0]), float(at[best, 1])), (float(of[best, 0]), float(of[best, 1]))
    return Label(text=one.text, size=one.size, at=place, of=point, led=led)


def _stance(one: Wanted, frame: Box) -> tuple[list[_Floats], _Floats]:
    """Places on the leg, and the way square to it that leads out of the picture."""
    start, end = np.array(one.leg[0]), np.array(one.leg[1])
    along = end - start
    length = float(np.linalg.norm(along))
    square = np.array((-along[1], along[0])) / length if length > 0.0 else np.array((0.0, 1.0))
    starts = [start + share * along for share in _SHARES]
    middle = np.array(((frame[0] + frame[2]) / 2, (frame[1] + frame[3]) / 2))
    return starts, -square if float((middle - starts[0]) @ square) > 0.0 else square


def _off(one: Wanted, way: _Floats, gap: float) -> _Floats:
    """From the leg to the middle of the text, so that its edge is that far off whichever way it lies."""
    wide, tall = one.size
    return np.asarray(way * (gap * tall + (abs(way[0]) * wide + abs(way[1]) * tall) / 2))


def _spread(frame: Box, size: Spot) -> Iterator[_Floats]:
    """Places all over the frame, half a text apart across and a text apart upward."""
    for y in np.arange(frame[1] + size[1] / 2, frame[3] - size[1] / 2, size[1]):
        for x in np.arange(frame[0] + size[0] / 2, frame[2] - size[0] / 2, size[0] / 2):
            yield np.array((x, y))
