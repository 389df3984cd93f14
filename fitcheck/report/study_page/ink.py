"""Flat shapes and lines as SVG: the one place where coordinates become text."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import shapely
from markupsafe import Markup
from shapely.geometry.base import BaseGeometry

_FINE = 0.08
"""How far, in units of the picture, an outline may be smoothed: well under a line's width."""

LINE_CLASS = {"retained": "kept", "removed": "gone", "new": "new"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """From mm to the units of a picture: `scale` a mm, (`x`, `y`) mm in the lower left corner, y upward."""

    x: float
    y: float
    scale: float
    tall: float

    def at(self, point: tuple[float, float]) -> tuple[float, float]:
        return (point[0] - self.x) * self.scale, self.tall - (point[1] - self.y) * self.scale

    def lay(self, shape: BaseGeometry) -> BaseGeometry:
        """The shape in units of the picture, smoothed to what can be seen."""
        laid = shapely.affinity.affine_transform(
            shape, [self.scale, 0, 0, -self.scale, -self.x * self.scale, self.tall + self.y * self.scale]
        )
        return shapely.simplify(laid, _FINE)


def path(shape: BaseGeometry) -> str:
    """The `d` of a path for areas and lines, one decimal."""
    pieces = []
    for piece in getattr(shape, "geoms", (shape,)):
        if piece.is_empty:
            continue
        if piece.geom_type == "Polygon":
            pieces += [_ring(ring.coords, closed=True) for ring in (piece.exterior, *piece.interiors)]
        elif piece.geom_type == "LineString":
            pieces.append(_ring(piece.coords, closed=False))
        elif hasattr(piece, "geoms"):
            pieces.append(path(piece))
    return "".join(pieces)


def _ring(points: Iterable[tuple[float, ...]], *, closed: bool) -> str:
    said = [f"{_short(x)} {_short(y)}" for x, y, *_ in points]
    if closed:
        said = said[:-1]
    return f"M{'L'.join(said)}{'Z' if closed else ''}" if said else ""


def _short(number: float) -> str:
    text = f"{number:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def line(points: Iterable[tuple[float, float]], name: str) -> Markup:
    return Markup('<path class="{}" d="{}"/>').format(name, _ring(list(points), closed=False))


def balloon(at: tuple[float, float], number: int) -> Markup:
    """A part's number in a ring."""
    return Markup(
        '<circle class="ring" cx="{:.1f}" cy="{:.1f}" r="9"/><text class="number" x="{:.1f}" y="{:.1f}">{}</text>'
    ).format(*at, at[0], at[1] + 3.6, number)


def scale_bar(paper: Paper, most: float) -> Markup:
    """A bar of a round length, not longer than `most` units, in the lower left corner."""
    length = _round(most / paper.scale)
    wide, y = length * paper.scale, paper.tall - 10
    return Markup(
        '<g class="bar"><path class="under" d="M4 {y:.1f}h{back:.1f}v-13h-{back:.1f}z"/>'
        '<path class="whole" d="M8 {bar:.1f}h{wide:.1f}v4h-{wide:.1f}z"/>'
        '<path class="half" d="M8 {bar:.1f}h{half:.1f}v4h-{half:.1f}z"/>'
        '<text x="{text:.1f}" y="{base:.1f}">{length} mm</text></g>'
    ).format(
        y=y + 5,
        back=wide + 60,
        bar=y - 3,
        wide=wide,
        half=wide / 2,
        text=wide + 13,
        base=y + 2,
        length=f"{length:g}",
    )


def _round(most: float) -> float:
    """The largest of 1, 2 or 5 times a power of ten that is not above `most`."""
    power = 10.0 ** int(f"{most:e}".split("e")[1])
    return next(step * power for step in (5.0, 2.0, 1.0) if step * power <= most * (1 + 1e-9))
