"""Plan, side and end view as on an alteration drawing: retained thin, new thick, removed dash-dot over them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from markupsafe import Markup
from shapely.geometry.base import BaseGeometry

from fitcheck.report.outline import Floats, creases
from fitcheck.report.painting import places, seen
from fitcheck.report.scene import DrawnPart, Scene, Scenes
from fitcheck.report.sheet import SEE_THROUGH
from fitcheck.report.study_page.ink import LINE_CLASS, Paper, balloon, line, path, scale_bar
from fitcheck.report.views import VIEWS, View, direction

_WIDE, _TALLEST, _SIDE, _ABOVE, _FOOT = 720.0, 460.0, 14.0, 34.0, 48.0
_RING = 10.0
_MOST_EDGES = 6_000
"""More edges than this would blacken the picture and swell the page: the outlines alone are drawn."""

_TONE = (
    ("t1", ("module",)),
    ("t2", ("spacer", "riser", "bracket", "frame")),
    ("t3", ("busbar", "terminal", "cable", "harness")),
)
"""Fill class and the roles that have it; all others share one. No meaning hangs on a fill alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Elevation:
    """One view; `hidden` are the numbers of parts that do not show enough to carry theirs."""

    name: str
    title: str
    drawing: Markup
    hidden: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbered:
    """A part as all drawings number it: what is in the proposed build first, then what is removed."""

    number: int
    part: DrawnPart


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Shadow:
    number: int
    part: DrawnPart
    shape: BaseGeometry
    edges: Floats
    place: int


def numbered(scenes: Scenes) -> list[Numbered]:
    shown = scenes.solved or scenes.proposed
    gone = (part for part in scenes.original.parts if part.name not in shown.by_name)
    return [Numbered(number=at, part=part) for at, part in enumerate((*shown.parts, *gone), 1)]


def elevations(scenes: Scenes) -> list[Elevation]:
    """All views; none for a study without parts."""
    parts = numbered(scenes)
    shown = scenes.solved or scenes.proposed
    return [_elevation(parts, shown, view) for view in VIEWS] if parts else []


def _elevation(parts: Sequence[Numbered], scene: Scene, view: View) -> Elevation:
    shadows = [shadow for shadow in _shadows(parts, scene, view) if not shadow.shape.is_empty]
    low_x, low_y, high_x, high_y = shapely.total_bounds([shadow.shape for shadow in shadows])
    scale = min((_WIDE - 2 * _SIDE) / ((high_x - low_x) or 1.0), _TALLEST / ((high_y - low_y) or 1.0))
    tall = (high_y - low_y) * scale + _ABOVE + _FOOT
    left = low_x - (_WIDE / scale - (high_x - low_x)) / 2
    paper = Paper(x=left, y=low_y - _FOOT / scale, scale=scale, tall=tall)
    ordered = sorted(shadows, key=lambda one: (one.part.change == "removed", _is_clear(one), one.place))
    bodies = Markup("").join(_body(shadow, paper) for shadow in ordered)
    rings, hidden = _rings(shadows, paper)
    drawing = Markup(
        '<svg class="elevation" viewBox="0 0 {:g} {:.1f}" role="img" aria-label="{}, with part numbers">{}{}{}{}</svg>'
    ).format(_WIDE, tall, view.title, bodies, rings, scale_bar(paper, 150.0), _directions(view, tall))
    return Elevation(name=view.name, title=view.title, drawing=drawing, hidden=hidden)


def _is_clear(shadow: _Shadow) -> bool:
    return shadow.part.role in SEE_THROUGH


def _shadows(parts: Sequence[Numbered], scene: Scene, view: View) -> Iterator[_Shadow]:
    turned = np.stack([direction(scene.axes, word) for word in (view.across, view.up, view.toward)], axis=1)
    shown = [seen(one.part.vertices @ turned, one.part.faces) for one in parts]
    for one, laid, place in zip(parts, shown, places(shown), strict=True):
        edges = creases(one.part.vertices, one.part.faces) @ turned[:, :2]
        yield _Shadow(number=one.number, part=one.part, shape=laid.shape, edges=edges, place=place)


def _body(shadow: _Shadow, paper: Paper) -> Markup:
    shape = path(paper.lay(shadow.shape))
    if shadow.part.change == "removed":
        return Markup('<path class="gone bare" d="{}"/>').format(shape)
    tone = "bare" if _is_clear(shadow) else next((name for name, roles in _TONE if shadow.part.role in roles), "t4")
    edges = _edges(shadow.edges, paper)
    # The fill lies under the part's own edges, its outline over them.
    return Markup('<path class="fill {}" d="{}"/>{}<path class="bare {}" d="{}"/>').format(
        tone, shape, edges, LINE_CLASS[shadow.part.change], shape
    )


def _edges(edges: Floats, paper: Paper) -> Markup:
    laid = np.round((edges - (paper.x, paper.y)) * paper.scale, 1)
    laid = laid[(np.abs(laid[:, 0] - laid[:, 1]) > 0.5).any(axis=1)]
    seen = {tuple(sorted((tuple(start), tuple(end)))) for start, end in laid.tolist()}
    if not seen or len(seen) > _MOST_EDGES:
        return Markup("")
    said = path(shapely.MultiLineString([[(x, paper.tall - y) for x, y in ends] for ends in sorted(seen)]))
    return Markup('<path class="edge" d="{}"/>').format(said)


def _rings(shadows: Iterable[_Shadow], paper: Paper) -> tuple[Markup, tuple[int, ...]]:
    """A number where a part shows enough of itself, the nearest part first; the others are named as hidden."""
    covered: BaseGeometry = shapely.Polygon()
    taken: list[tuple[float, float]] = []
    rings, hidden = [], []
    for shadow in sorted(shadows, key=lambda one: (one.part.change == "removed", -one.place)):
        if shadow.part.change == "removed":
            hidden.append(shadow.number)
            continue
        shape = paper.lay(shadow.shape)
        clear = _is_clear(shadow)
        spots = _rim(shape) if clear else _inside(shapely.difference(shape, covered))
        if not clear:
            covered = shapely.union(covered, shape)
        at = next(
            (spot for spot in spots if all(np.hypot(spot[0] - x, spot[1] - y) > 2.1 * _RING for x, y in taken)), None
        )
        if at is None:
            hidden.append(shadow.number)
            continue
        taken.append(at)
        rings.append(balloon(at, shadow.number))
    return Markup("").join(rings), tuple(sorted(hidden))


def _inside(shape: BaseGeometry) -> list[tuple[float, float]]:
    """Where the largest circle fits into what shows, if it holds most of a ring."""
    areas = [
        piece for piece in getattr(shape, "geoms", (shape,)) if piece.geom_type == "Polygon" and not piece.is_empty
    ]
    if not areas:
        return []
    largest = max(areas, key=lambda piece: piece.area)
    circle = shapely.maximum_inscribed_circle(largest, tolerance=1.0)
    x, y = circle.coords[0]
    return [(x, y)] if circle.length > 0.45 * _RING else []


def _rim(shape: BaseGeometry) -> list[tuple[float, float]]:
    """Places on the upper edge of a shape, from its right end on."""
    low_x, low_y, high_x, _ = shape.bounds
    return [(high_x - share * (high_x - low_x), low_y) for share in (0.07, 0.12, 0.17, 0.22, 0.27)]


def _directions(view: View, tall: float) -> Markup:
    x, y = _WIDE - 96.0, tall - 8.0
    arms = line([(x + 22, y), (x, y), (x, y - 16)], "arms")
    heads = Markup('<path class="head" d="M{0} {1}l-5-2.4v4.8z"/><path class="head" d="M{2} {3}l-2.4 5h4.8z"/>').format(
        f"{x + 26:.1f}", f"{y:.1f}", f"{x:.1f}", f"{y - 20:.1f}"
    )
    words = Markup(
        '<text x="{:.1f}" y="{:.1f}">{}</text><text x="{:.1f}" y="{:.1f}" text-anchor="middle">{}</text>'
    ).format(*(x + 30, y + 3.5, view.across), *(x, y - 23, view.up))
    return Markup('<g class="ways">{}{}{}</g>').format(arms, heads, words)
