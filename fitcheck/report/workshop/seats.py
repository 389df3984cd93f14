"""Where the names of openings and the radii of arcs stand on a face: clear of its lines and of each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.model.shape import Point2

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

Box = tuple[float, float, float, float]
"""Low x, low y, high x, high y, in mm on paper."""

CLEAR = 0.3
"""Free paper around letters, in mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """Where a text begins on its base line; `tip` is the end of its leader, None where it stands close by."""

    at: Point2
    tip: Point2 | None = None


@dataclass
class Seats:
    """What stands on the paper already: lines as chains of points, and boxes of letters."""

    lines: list[Array] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)

    def line(self, points: Iterable[Point2], *, closed: bool = False) -> None:
        chain = list(points)
        if closed:
            chain.append(chain[0])
        ends = np.array(chain, dtype=np.float64)
        self.lines.append(np.hstack((ends[:-1], ends[1:])))

    def take(self, seats: Sequence[Seat], width: float, height: float) -> Seat:
        """The first seat on which a text of that size is clear, or the one where it meets least; it is taken then."""
        drawn = np.vstack(self.lines) if self.lines else np.zeros((0, 4))
        boxes = [_box(seat.at, width, height) for seat in seats]
        met = [self._met(box, drawn) for box in boxes]
        best = met.index(min(met))
        self.boxes.append(boxes[best])
        return seats[best]

    def _met(self, box: Box, drawn: Array) -> int:
        low_x, low_y, high_x, high_y = box
        letters = sum(
            low_x < other[2] and other[0] < high_x and low_y < other[3] and other[1] < high_y for other in self.boxes
        )
        # Letters over letters cannot be read at all; over a line they can, if need be.
        return 10 * letters + int(_crossing(drawn, box).sum())


def _box(at: Point2, width: float, height: float) -> Box:
    x, y = at
    return x - CLEAR, y - 0.2 * height - CLEAR, x + width + CLEAR, y + 0.8 * height + CLEAR


def _crossing(lines: Array, box: Box) -> NDArray[np.bool_]:
    """(N,): which of the lines (start x, start y, end x, end y) have a point in the box."""
    first, last = np.zeros(len(lines)), np.ones(len(lines))
    inside = np.ones(len(lines), dtype=bool)
    for axis in (0, 1):
        start, step = lines[:, axis], lines[:, axis + 2] - lines[:, axis]
        low, high = box[axis], box[axis + 2]
        is_level = np.abs(step) < 1e-12
        inside &= ~is_level | ((start > low) & (start < high))
        safe = np.where(is_level, 1.0, step)
        one, other = (low - start) / safe, (high - start) / safe
        first = np.where(is_level, first, np.maximum(first, np.minimum(one, other)))
        last = np.where(is_level, last, np.minimum(last, np.maximum(one, other)))
    found: NDArray[np.bool_] = inside & (first < last)
    return found


def around(low: Point2, high: Point2, width: float, height: float, *, is_round: bool) -> Iterator[Seat]:
    """Seats around a box, the upper right one first; farther ones with a leader to what stands in the box."""
    middle = ((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0)
    # A circle leaves the corners of its box free.
    share = 0.36 if is_round else 0.5
    reach = (share * (high[0] - low[0]), share * (high[1] - low[1]))
    for away in (0.6, 4.0, 8.0):
        rights = (middle[0] + reach[0] + away, middle[0] - reach[0] - away - width)
        ups = (middle[1] + reach[1] + away, middle[1] - reach[1] - away - 0.8 * height)
        for x, y in ((rights[0], ups[0]), (rights[0], ups[1]), (rights[1], ups[0]), (rights[1], ups[1])):
            sides = (1.0 if x > middle[0] else -1.0, 1.0 if y > middle[1] else -1.0)
            tip = (middle[0] + sides[0] * reach[0], middle[1] + sides[1] * reach[1])
            yield Seat(at=(x, y), tip=tip if away > 1.0 else None)


def within(low: Point2, high: Point2, width: float, height: float) -> Iterator[Seat]:
    """Seats inside a box, the low left one first."""
    lefts = (low[0] + 1.2, (low[0] + high[0] - width) / 2.0, high[0] - 1.2 - width)
    feet = (low[1] + 1.4, (low[1] + high[1] - 0.6 * height) / 2.0, high[1] - 1.4 - 0.8 * height)
    for y in feet:
        yield from (Seat(at=(x, y)) for x in lefts)


def beside(tip: Point2, way: Point2, width: float, height: float) -> Iterator[Seat]:
    """Seats for a text whose leader ends at a point of a curve; `way` is square to the curve there, of length 1."""
    for away in (-5.0, -8.0, 5.0, 8.0, -12.0, 12.0):
        x, y = tip[0] + way[0] * away, tip[1] + way[1] * away
        is_right = way[0] * away >= 0.0
        yield Seat(at=(x if is_right else x - width, y - 0.3 * height), tip=tip)
