"""The dimension of a gap on an enlarged section: the arrow between its two points, and its figure."""

from __future__ import annotations

import math

import numpy as np
import shapely
from markupsafe import Markup
from shapely.geometry.base import BaseGeometry

from fitcheck.findings import Finding
from fitcheck.report.letters import width
from fitcheck.report.section_view import Plane
from fitcheck.report.study_page.ink import Paper, line
from fitcheck.report.wording import judged_range

_SHORT = 26.0
"""Shorter arrows point inward from outside, so that their heads do not fill the gap."""

_HEAD, _TAIL, _LABEL_TALL = 7.0, 20.0, 22.0

_Point = tuple[float, float]


def drawn(finding: Finding, judge_by: str, plane: Plane, paper: Paper) -> tuple[Markup, list[BaseGeometry]]:
    """The drawing and the room that it takes. Raises ValueError for a finding without points."""
    if finding.points is None:
        raise ValueError("a finding without points has no dimension")
    start, end = (paper.at(plane.flat(np.array(point))) for point in finding.points)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    text = judged_range(finding, judge_by)
    wide = width(text, 13.0, bold=True) + 16.0
    upright = abs(end[1] - start[1]) > abs(end[0] - start[0])
    # An upright arrow would lie on a leader that goes straight up: its figure stands aside.
    at = 360.0 - wide / 2 - 8.0 if upright else min(max(middle[0], wide / 2 + 8.0), 360.0 - wide / 2 - 8.0)
    leader = line([middle, (at, 8.0 + _LABEL_TALL)], "leader")
    label = Markup(
        '<rect class="label" x="{:.1f}" y="8" width="{:.1f}" height="{:g}"/>'
        '<text class="figure" x="{:.1f}" y="23.5" text-anchor="middle">{}</text>'
    ).format(at - wide / 2, wide, _LABEL_TALL, at, text)
    taken = [
        shapely.box(at - wide / 2, 8.0, at + wide / 2, 8.0 + _LABEL_TALL),
        shapely.LineString([middle, (at, 8.0 + _LABEL_TALL)]).buffer(2.0),
        shapely.LineString([start, end]).buffer(_TAIL),
    ]
    return Markup("").join([leader, _arrow(start, end), label]), taken


def _arrow(start: _Point, end: _Point) -> Markup:
    length = math.hypot(end[0] - start[0], end[1] - start[1])
    if length < 1.0:
        x, y = start
        return line([(x - 6, y - 6), (x + 6, y + 6)], "dim") + line([(x - 6, y + 6), (x + 6, y - 6)], "dim")
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    if length >= _SHORT:
        return line([start, end], "dim") + _head(start, along, 1.0) + _head(end, along, -1.0)
    before = (start[0] - along[0] * _TAIL, start[1] - along[1] * _TAIL)
    after = (end[0] + along[0] * _TAIL, end[1] + along[1] * _TAIL)
    return line([before, after], "dim") + _head(start, along, -1.0) + _head(end, along, 1.0)


def _head(tip: _Point, along: _Point, way: float) -> Markup:
    """A filled head at `tip` whose body lies toward `way` times `along`."""
    x, y = tip[0] + way * along[0] * _HEAD, tip[1] + way * along[1] * _HEAD
    across = (-along[1] * 2.6, along[0] * 2.6)
    return Markup('<path class="head" d="M{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}Z"/>').format(
        *tip, x + across[0], y + across[1], x - across[0], y - across[1]
    )
