"""A groove across a way between two live parts: how deep and where, no narrower than the air that counts as bridged.

It is cut right through a box or a prism that is not turned, along the whole face.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from fitcheck.checks.live_sites import Site, sites
from fitcheck.checks.live_trials import STEP_MM, Bench, Trial, steps
from fitcheck.model import shape
from fitcheck.model.part import Part
from fitcheck.model.shape import Point2, Prism, Ring
from fitcheck.placing.local import outline_axes
from fitcheck.placing.outermost import Box
from fitcheck.standards.insulation import GROOVE_MM

DEEPER_MM = 12.0
"""A groove this much deeper than what is missing at the least is not looked for."""
DEEPEST_SHARE = 0.5
"""Of the thickness beneath: what a groove may take; common practice, no source."""
HAIR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Groove:
    """A groove from `low` to `low` + `wide` along the stretch, `deep` mm into the face."""

    site: Site
    low: float
    wide: float
    deep: float

    @property
    def high(self) -> float:
        return self.low + self.wide


def groove(bench: Bench) -> str:
    """The shallowest groove that mends the pair, in words; empty where none was found, and for ways through air."""
    for site in sites(bench) if bench.creeps else ():
        for cut in _grooves(bench, site):
            found = _shallowest(bench, cut)
            if found is not None and bench.accepts(with_groove(bench, found)):
                return _words(bench, found)
    return ""


def _grooves(bench: Bench, site: Site) -> Iterator[Groove]:
    """Grooves of no depth yet: as wide as they must be, and a step wider where tolerances could make them narrower."""
    least = steps(GROOVE_MM[bench.electrical.pollution_degree]) * STEP_MM
    for wide in (least, least + STEP_MM):
        cut = Groove(site=site, low=site.halfway - wide / 2.0, wide=wide, deep=0.0)
        if wide <= site.length + HAIR and _thickness(bench, cut) > 0.0:
            yield cut


def _shallowest(bench: Bench, cut: Groove) -> Groove | None:
    first = bench.more(2.0)
    most = min(_thickness(bench, cut) * DEEPEST_SHARE, first * STEP_MM + DEEPER_MM)
    deep = bench.least(lambda depth: bench.holds(with_groove(bench, replace(cut, deep=depth))), first, most)
    return None if deep is None else replace(cut, deep=deep)


def with_groove(bench: Bench, cut: Groove) -> Trial:
    """The layout with the groove cut."""
    body = cut.site.body
    drawn = _outline(body, cut.site.across)
    assert drawn is not None  # noqa: S101 (without one there is no thickness to cut into)
    part = replace(body, shape=replace(drawn, outline=_notched(bench, drawn, cut)))
    parts = tuple(part if old.name == part.name else old for old in bench.layout.parts)
    return Trial(key=cut, layout=replace(bench.layout, parts=parts), changed=(), cut=_taken_away(bench, cut))


def _taken_away(bench: Bench, cut: Groove) -> Box:
    """The matter that goes, at its outermost."""
    site, chain = cut.site, bench.study.chain(bench.state)
    bounds = bench.study.bounds(bench.state)[site.body.name]
    drawn = [(chain.low(site.body, k).nominal, chain.high(site.body, k).nominal) for k in range(3)]
    loose = max(
        abs(out - at) for outer, inner in zip(bounds, drawn, strict=True) for out, at in zip(outer, inner, strict=True)
    )
    floor = site.plane - site.sign * cut.deep
    sides = {
        site.run: (cut.low, cut.high),
        site.normal: (min(site.plane, floor), max(site.plane, floor)),
        site.across: drawn[site.across],
    }
    x, y, z = ((sides[k][0] - loose, sides[k][1] + loose) for k in range(3))
    return x, y, z


def _outline(body: Part, along: int) -> Prism | None:
    """The body as a prism along an axis; None where it is none, is turned, or grows."""
    if body.turns or body.grows:
        return None
    if isinstance(body.shape, Prism):
        return body.shape if body.shape.along == along else None
    if not isinstance(body.shape, shape.Box):
        return None
    first, second = (body.shape.size[axis] for axis in outline_axes(along))
    ring = ((0.0, 0.0), (first.nominal, 0.0), (first.nominal, second.nominal), (0.0, second.nominal))
    return Prism(outline=ring, holes=(), extent=(first, second), height=body.shape.size[along], along=along)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edge:
    """One side of an outline as (along the stretch, out of the face), counted in case axes."""

    start: Point2
    end: Point2

    @property
    def span(self) -> tuple[float, float]:
        return min(self.start[0], self.end[0]), max(self.start[0], self.end[0])


def _edges(bench: Bench, drawn: Prism, site: Site) -> list[_Edge]:
    """The sides of the outline and its holes, outline first."""
    points = [[_in_case(bench, drawn, site, point) for point in ring] for ring in (drawn.outline, *drawn.holes)]
    return [_Edge(start=one, end=other) for ring in points for one, other in pairwise([*ring, ring[0]])]


def _in_case(bench: Bench, drawn: Prism, site: Site, point: Point2) -> Point2:
    run, normal = _numbers(site)
    chain = bench.study.chain(bench.state)
    lows = [min(each[k] for each in drawn.outline) for k in (0, 1)]
    at_run = point[run] - lows[run] + chain.low(site.body, site.run).nominal
    at_normal = point[normal] - lows[normal] + chain.low(site.body, site.normal).nominal
    return at_run, at_normal


def _numbers(site: Site) -> tuple[int, int]:
    """Which coordinate of the outline goes along the stretch, and which out of the face."""
    return (0, 1) if site.run < site.normal else (1, 0)


def _is_face(edge: _Edge, cut: Groove) -> bool:
    low, high = edge.span
    level = max(abs(edge.start[1] - cut.site.plane), abs(edge.end[1] - cut.site.plane)) < HAIR
    return level and low + HAIR < cut.low and cut.high < high - HAIR


def _thickness(bench: Bench, cut: Groove) -> float:
    """How much matter lies beneath the groove; 0 where there is no flat side wide enough."""
    drawn = _outline(cut.site.body, cut.site.across)
    edges = [] if drawn is None else _edges(bench, drawn, cut.site)
    if not any(_is_face(edge, cut) for edge in edges):
        return 0.0
    below = [
        cut.site.sign * (cut.site.plane - at)
        for edge in edges
        if edge.span[0] < cut.high and edge.span[1] > cut.low and not _is_face(edge, cut)
        for at in (edge.start[1], edge.end[1])
    ]
    return min((depth for depth in below if depth > HAIR), default=0.0)


def _notched(bench: Bench, drawn: Prism, cut: Groove) -> Ring:
    """The outline with the groove in it."""
    site = cut.site
    run, normal = _numbers(site)
    ring: list[Point2] = []
    edges = _edges(bench, drawn, site)
    for point, edge in zip(drawn.outline, edges[: len(drawn.outline)], strict=True):
        ring.append(point)
        if not _is_face(edge, cut):
            continue
        floor = site.plane - site.sign * cut.deep
        corners = [(cut.low, site.plane), (cut.low, floor), (cut.high, floor), (cut.high, site.plane)]
        for along, out in corners if edge.end[0] > edge.start[0] else corners[::-1]:
            moved = {run: along - edge.start[0] + point[run], normal: out - edge.start[1] + point[normal]}
            ring.append((moved[0], moved[1]))
    return tuple(ring)


def _words(bench: Bench, cut: Groove) -> str:
    low, high = (round(each, 3) for each in (cut.low, cut.high))
    axis = "xyz"[cut.site.run]
    air = GROOVE_MM[bench.electrical.pollution_degree]
    return (
        f"a groove {cut.wide:.10g} mm wide (never less than {air:.10g} mm) and {cut.deep:.10g} mm deep right across "
        f"{cut.site.face(bench.layout)}, from {axis} = {low:.10g} to {high:.10g}"
    )
