"""Plan, side and end view of one build."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from shapely.geometry.base import BaseGeometry

from fitcheck.report import sheet
from fitcheck.report.outline import Floats, creases
from fitcheck.report.painting import places, seen
from fitcheck.report.scene import DrawnPart, Scene

_OPPOSITE = {"rearward": "forward", "right": "left", "up": "down"}

# Inches of the sheet: the drawing's width and greatest height, room above for balloons and below for scale and axes,
# and how much more where balloons stand below as well. Two sheets of half a page go on one; where the list of parts
# leaves no room for a drawing that is worth it, the sheet has a page to itself.
_WIDTH = sheet.WIDTH - 2 * sheet.EDGE
_TALLEST = 5.2
_HALF = 5.83
_LEAST = 2.2
_ABOVE = 0.6
_BELOW = 0.8
_ROW = 0.5
_UNDER = 0.25
_TITLE = 0.7
_RADIUS = 0.13
_FEW = 6
"""No more balloons than this stand in one row above; more are shared out above and below."""


@dataclass(frozen=True, kw_only=True)
class View:
    """`across` and `up` are the vehicle directions of the sheet's right and top, `toward` points to the viewer."""

    name: str
    title: str
    across: str
    up: str
    toward: str


Spot = tuple[float, float]

VIEWS = (
    View(name="plan", title="plan, seen from above", across="rearward", up="right", toward="up"),
    View(name="side", title="side, seen from the left", across="rearward", up="up", toward="left"),
    View(name="end", title="end, seen from the rear", across="right", up="up", toward="rearward"),
)


def direction(axes: tuple[str, str, str], word: str) -> Floats:
    """The unit vector, in case axes, of a vehicle direction word."""
    opposite = _OPPOSITE | {value: name for name, value in _OPPOSITE.items()}
    vector = np.zeros(3)
    if word in axes:
        vector[axes.index(word)] = 1.0
    else:
        vector[axes.index(opposite[word])] = -1.0
    return vector


@dataclass(frozen=True, kw_only=True, eq=False)
class _Shadow:
    part: DrawnPart
    number: int
    shape: BaseGeometry
    edges: Floats
    place: int


def sheets(scene: Scene) -> Iterator[tuple[str, Figure]]:
    """(name, drawn sheet) of each view."""
    for view in VIEWS:
        yield view.name, _sheet(scene, view)


def _sheet(scene: Scene, view: View) -> Figure:
    shadows = _shadows(scene, view)
    low_x, low_y, high_x, high_y = shapely.total_bounds([shadow.shape for shadow in shadows])
    bounds = (low_x, low_y, high_x, high_y)
    rings, scale = _at_scale(shadows, bounds, _TALLEST)
    room = _HALF - _TITLE - _ABOVE - _BELOW - _ROW - sheet.key_height(_key_lines(scene, rings), _WIDTH) - _UNDER
    if room >= _LEAST:
        rings, scale = _at_scale(shadows, bounds, room)
    lines = _key_lines(scene, rings)
    listed = sheet.key_height(lines, _WIDTH)
    below = _BELOW + _ROW * any(ring.at[1] < low_y for ring in rings)
    tall = (high_y - low_y) / scale + _ABOVE + below
    height = _TITLE + tall + listed + _UNDER
    figure = sheet.new_sheet(
        height,
        scene.title or "Layout",
        f"{scene.build} build, {view.title}; drawn as stated, without tolerances",
    )
    box = (low_x, low_y - below * scale, high_x, high_y + _ABOVE * scale)
    axes = sheet.bare_axes(figure, (0.3, height - _TITLE - tall, _WIDTH, tall), box)
    for order, shadow in enumerate(sorted(shadows, key=lambda one: (one.part.role in sheet.SEE_THROUGH, one.place))):
        _draw(axes, shadow, order)
    for ring in rings:
        _number(axes, ring)
    sheet.scale_bar(axes)
    sheet.directions(axes, view.across, view.up)
    sheet.key(figure, 0.3, height - _TITLE - tall - 0.15, _WIDTH, lines)
    return figure


def _at_scale(shadows: list[_Shadow], bounds: tuple[float, ...], tallest: float) -> tuple[list[_Ring], float]:
    """The balloons and the mm an inch of a drawing as large as the sheet allows, at most so many inches tall."""
    low_x, low_y, high_x, high_y = bounds
    scale = max((high_x - low_x) / (_WIDTH - 0.3), (high_y - low_y) / tallest) or 1.0
    return _rings(shadows, _RADIUS * scale, bounds), scale


def _shadows(scene: Scene, view: View) -> list[_Shadow]:
    across, up, toward = (direction(scene.axes, word) for word in (view.across, view.up, view.toward))
    turned = np.stack([across, up, toward], axis=1)
    shown = [seen(part.vertices @ turned, part.faces) for part in scene.parts]
    return [
        _Shadow(
            part=part,
            number=number,
            shape=one.shape,
            edges=creases(part.vertices, part.faces) @ turned[:, :2],
            place=place,
        )
        for number, (part, one, place) in enumerate(zip(scene.parts, shown, places(shown), strict=True), 1)
    ]


def _draw(axes: Axes, shadow: _Shadow, order: int) -> None:
    style = sheet.LINE_STYLE[shadow.part.change]
    clear = shadow.part.role in sheet.SEE_THROUGH
    face = "none" if clear else sheet.fill(shadow.part.role)
    # Edges lie under their own outline and over everything behind the part.
    axes.add_collection(
        LineCollection(list(shadow.edges), colors=sheet.FAINT, linewidths=0.4, zorder=2 + order * 0.01 + 0.004)
    )
    sheet.draw(axes, shadow.shape, facecolor=face, edgecolor="none", zorder=2 + order * 0.01)
    sheet.draw(axes, shadow.shape, facecolor="none", edgecolor=sheet.INK, zorder=2 + order * 0.01 + 0.005, **style)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Ring:
    """A part's balloon; `of` is the point that a leader goes to, None where the balloon stands on the part."""

    shadow: _Shadow
    at: Spot
    of: Spot | None = None


def _number(axes: Axes, ring: _Ring) -> None:
    if ring.of is not None:
        axes.plot(*zip(ring.of, ring.at, strict=True), color=sheet.FAINT, linewidth=0.5, zorder=40)
        axes.plot(*([value] for value in ring.of), marker="o", markersize=1.8, color=sheet.INK, zorder=41)
    sheet.balloon(axes, ring.at, ring.shadow.number, ring.shadow.part.status)


def _rings(shadows: list[_Shadow], radius: float, bounds: tuple[float, ...]) -> list[_Ring]:
    """A balloon on what shows of each part; parts hidden or too small for one get it on a row above or below, with a
    leader."""
    covered: BaseGeometry = shapely.Polygon()
    outside: list[tuple[_Shadow, Spot]] = []
    rings: list[_Ring] = []
    for shadow in sorted(shadows, key=lambda one: -one.place):
        clear = shadow.part.role in sheet.SEE_THROUGH
        shows = shapely.difference(shadow.shape, covered)
        if not clear:
            covered = shapely.union(covered, shadow.shape)
        if shows.is_empty:
            continue
        at, room = (_rim_point(shadow.shape, [spot for _, spot in outside]), 0.0) if clear else _roomiest(shows, radius)
        if room >= radius and all(np.hypot(at[0] - ring.at[0], at[1] - ring.at[1]) > 2.4 * radius for ring in rings):
            rings.append(_Ring(shadow=shadow, at=at))
        elif clear or room > 0.05 * radius:
            outside.append((shadow, at))
    return rings + _outside(outside, radius, bounds)


def _roomiest(shape: BaseGeometry, wanted: float) -> tuple[Spot, float]:
    """A place within a shape and the free radius about it: its centroid where `wanted` fits there, else where the
    largest circle fits."""
    largest = max(getattr(shape, "geoms", (shape,)), key=lambda piece: piece.area)
    if largest.geom_type != "Polygon" or largest.is_empty:
        return (0.0, 0.0), 0.0
    middle = largest.centroid
    if largest.contains(middle) and largest.boundary.distance(middle) >= wanted:
        return (middle.x, middle.y), wanted
    circle = shapely.maximum_inscribed_circle(largest, tolerance=max(largest.length / 500.0, 1e-3))
    (x, y), _ = circle.coords
    return (float(x), float(y)), float(circle.length)


def _rim_point(shape: BaseGeometry, taken: Sequence[Spot]) -> Spot:
    """A point on the upper edge of a shape, a little in from its right end; not one that another shape has."""
    low_x, _, high_x, high_y = shape.bounds
    spots = [(low_x + share * (high_x - low_x), high_y) for share in (0.93, 0.89, 0.85, 0.81)]
    return next((spot for spot in spots if spot not in taken), spots[0])


def _outside(outside: list[tuple[_Shadow, Spot]], radius: float, bounds: tuple[float, ...]) -> list[_Ring]:
    """Balloons on a row above the drawing, and where they are many also below, far enough apart not to touch."""
    low_x, low_y, high_x, high_y = bounds
    middle = (low_y + high_y) / 2 if len(outside) > _FEW else -np.inf
    upper = [one for one in outside if one[1][1] >= middle]
    lower = [one for one in outside if one[1][1] < middle]
    half = _WIDTH / 2 * radius / _RADIUS
    limits = ((low_x + high_x) / 2 - half, (low_x + high_x) / 2 + half)
    return [*_row(upper, high_y + 3.0 * radius, radius, limits), *_row(lower, low_y - 3.0 * radius, radius, limits)]


def _row(parts: list[tuple[_Shadow, Spot]], y: float, radius: float, limits: tuple[float, float]) -> list[_Ring]:
    """Their balloons on one row; the leaders together are as short as can be, so that none crosses another."""
    if not parts:
        return []
    from scipy.optimize import linear_sum_assignment

    ordered = sorted(parts, key=lambda one: (one[1][0], one[0].number))
    places = np.array([(x, y) for x in _spread([at[0] for _, at in ordered], 2.8 * radius, limits)])
    ends = np.array([at for _, at in ordered])
    which, taken = linear_sum_assignment(np.linalg.norm(ends[:, None] - places[None], axis=2))
    return [
        _Ring(shadow=ordered[one][0], of=ordered[one][1], at=(float(places[place][0]), y))
        for one, place in zip(which, taken, strict=True)
    ]


def _spread(wanted: list[float], apart: float, limits: tuple[float, float]) -> list[float]:
    """Ascending places as near as can be to those wanted, no two closer than `apart`; shifted back if they overrun."""
    places: list[float] = []
    for place in wanted:
        places.append(max(place, places[-1] + apart) if places else place)
    overrun = max(0.0, places[-1] + apart / 2 - limits[1])
    for index in range(len(places) - 1, -1, -1):
        most = places[index + 1] - apart if index + 1 < len(places) else places[index] - overrun
        places[index] = min(places[index], most)
    return places


def _key_lines(scene: Scene, rings: Sequence[_Ring]) -> list[tuple[str, str]]:
    """What each number stands for, of those that the view shows; then what the lines mean."""
    lines = []
    for number, part in sorted((ring.shadow.number, ring.shadow.part) for ring in rings):
        sign = sheet.STATUS_SIGN.get(part.status) if part.status else None
        trouble = f" – {sign[1]}" if sign else ""
        lines.append((f"{number}{' ' + sign[0] if sign else ''}", f"{part.name} ({part.role}){trouble}"))
    changes = {part.change for part in scene.parts}
    return lines + [(change, f"{change} part") for change in sheet.LINE_STYLE if change in changes]
