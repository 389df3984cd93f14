"""Where the figures of a path's legs stand in a picture: beside their leg, clear of each other and of the path."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

Spot = tuple[float, float]
Line = tuple[Spot, Spot]

_AWAY = (0.9, 1.7, 2.6, 3.6, 5.0)
"""How far from its leg a figure is tried, in heights of its letters."""
_ALONG = (0.5, 0.25, 0.75)


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A figure with its middle `at`, for the leg's point `of`; `led` where it stands so far off that it needs a line to
    its leg."""

    text: str
    at: Spot
    of: Spot
    led: bool


def labels(
    texts: Sequence[str],
    legs: Sequence[Line],
    *,
    letter: Spot,
    frame: tuple[float, float, float, float],
    taken: Sequence[shapely.Polygon] = (),
) -> list[Label]:
    """A place for each text that is not empty, in units of the picture.

    `letter` is the width and height of one, `frame` (left, low, right, high); `taken` is already written on.
    """
    lines = shapely.MultiLineString([leg for leg in legs if leg[0] != leg[1]])
    boxes, placed = list(taken), []
    for text, leg in zip(texts, legs, strict=True):
        if text:
            size = (letter[0] * len(text), letter[1])
            label = min(_tried(text, leg, size, frame), key=lambda one: _worth(one, size, frame, lines, boxes))
            boxes.append(_box(label.at, size))
            placed.append(label)
    return placed


def _tried(text: str, leg: Line, size: Spot, frame: tuple[float, float, float, float]) -> Iterator[Label]:
    (x, y), (across, up) = leg[0], (leg[1][0] - leg[0][0], leg[1][1] - leg[0][1])
    length = math.hypot(across, up) or 1.0
    square = (-up / length, across / length) if length else (0.0, 1.0)
    middle = ((frame[0] + frame[2]) / 2, (frame[1] + frame[3]) / 2)
    for away in _AWAY:
        # A wide figure stands farther off an upright leg than off a level one.
        off = away * size[1] + abs(square[0]) * size[0] / 2
        for share in _ALONG:
            of = (x + share * across, y + share * up)
            toward = (middle[0] - of[0]) * square[0] + (middle[1] - of[1]) * square[1]
            for side in (-1.0, 1.0) if toward >= 0.0 else (1.0, -1.0):
                at = (of[0] + side * off * square[0], of[1] + side * off * square[1])
                yield Label(text=text, at=at, of=of, led=away > _AWAY[1])


def _worth(
    label: Label,
    size: Spot,
    frame: tuple[float, float, float, float],
    lines: shapely.MultiLineString,
    boxes: Sequence[shapely.Polygon],
) -> tuple[float, float]:
    """The less, the better: what it covers first, then how far off it stands."""
    box = _box(label.at, size)
    outside = box.area - shapely.intersection(box, shapely.box(*frame)).area
    over = sum(float(shapely.intersection(box, other).area) for other in boxes)
    crossed = float(shapely.intersection(box, lines).length) * size[1]
    return round(outside * 4 + over * 3 + crossed, 1), math.dist(label.at, label.of)


def _box(at: Spot, size: Spot) -> shapely.Polygon:
    return shapely.box(at[0] - size[0] / 2, at[1] - size[1] / 2, at[0] + size[0] / 2, at[1] + size[1] / 2)
