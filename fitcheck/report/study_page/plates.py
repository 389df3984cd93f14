"""Plates of the tightest places: a section through each, whole and enlarged, to scale and dimensioned."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from markupsafe import Markup
from shapely.geometry.base import BaseGeometry

from fitcheck.findings import Finding, Status
from fitcheck.report.balloon_places import place
from fitcheck.report.outline import cut, silhouette
from fitcheck.report.path_labels import around
from fitcheck.report.path_legs import ELECTRICAL, Over, Path, deciding, path_of, total_words
from fitcheck.report.path_plane import PathPlane, path_plane
from fitcheck.report.scene import DrawnPart, Scene, Scenes
from fitcheck.report.section_view import Plane, plane_of
from fitcheck.report.study_page import dimension, paths
from fitcheck.report.study_page.ink import LINE_CLASS, Paper, balloon, line, scale_bar
from fitcheck.report.study_page.ink import path as to_path
from fitcheck.report.study_page.rows import FOUND, Row, is_aged
from fitcheck.report.study_page.strips import plate_strip
from fitcheck.report.wording import straight_across

MOST_PLATES = 12
"""Of gaps and the like, and as many again of electrical paths."""

_WIDE, _DETAIL_TALL, _WHOLE_TALL = 360.0, 252.0, 252.0
_NOTHING = Markup("")
_Box = tuple[float, float, float, float]
_NOT_A_GAP = ("overlap", "containment")
"""Met, these say nothing of how tight a place is: parts that stand on one another touch."""

_RING = 21.0
"""The room of a part's number in its ring."""
_BAR_LONG = 90.0
_BAR = shapely.box(0.0, _DETAIL_TALL - 26.0, _BAR_LONG + 72.0, _DETAIL_TALL)
"""The most room that the scale bar of an enlarged view takes."""
_FOOT = 26.0
"""Room under the whole section for its scale bar."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """One place drawn. `key` names the numbered parts as (number, name, role, change).

    `legs` are the legs of an electrical path as (letter, length, what it runs over, class of its line), `sum` what they
    add up to, `laid` the path laid straight.
    """

    number: int
    row: Row
    plane: str
    whole: Markup
    detail: Markup
    strip: Markup
    key: tuple[tuple[int, str, str, str], ...]
    notes: tuple[str, ...]
    legs: tuple[tuple[str, str, str, str], ...] = ()
    sum: str = ""
    straight: str = ""
    laid: Markup = _NOTHING


def chosen(rows: Sequence[Row], scenes: Scenes, most: int = MOST_PLATES) -> tuple[list[Row], int]:
    """The rows that get a plate, worst first, and how many could have had one.

    First the tightest place of each check and pair of roles, then whatever else is in trouble, each pair of parts once.
    Of electrical paths all that are in trouble, and the tightest of each check that is met.
    """
    able = [row for row in rows if _can_be_drawn(row, scenes)]
    pairs: dict[tuple[object, ...], Row] = {}
    for row in able:
        pairs.setdefault((row.finding.check, frozenset(row.finding.parts), row.layout == FOUND), row)
    kinds: dict[tuple[object, ...], Row] = {}
    for row in pairs.values():
        roles = sorted(scene_of(row, scenes).by_name[name].role for name in row.finding.parts)
        kinds.setdefault((row.finding.check, *roles, row.layout == FOUND), row)
    first = list(kinds.values())
    troubled = (row for row in pairs.values() if row.finding.status is not Status.MET and row not in first)
    ordered = [row for row in (*first, *troubled) if row.finding.check not in ELECTRICAL]
    picked = {row.index for row in (*ordered[:most], *_electrical(able)[:most])}
    return [row for row in able if row.index in picked], len(pairs)


def _electrical(able: Sequence[Row]) -> list[Row]:
    """The rows of electrical paths that decide, of the layout as written before those of the heights found."""
    written, found = ([row for row in able if (row.layout == FOUND) is later] for later in (False, True))
    return [
        row
        for rows in (written, found)
        for row in rows
        if any(row.finding is one for one in deciding(each.finding for each in rows))
    ]


def scene_of(row: Row, scenes: Scenes) -> Scene:
    """The build and age that a row speaks of."""
    scene = scenes.solved if row.layout == FOUND and scenes.solved is not None else scenes.proposed
    return scene.aged if is_aged(row) and scene.aged is not None else scene


def plates(rows: Iterable[Row], scenes: Scenes) -> list[Plate]:
    return [_plate(number, row, scene_of(row, scenes)) for number, row in enumerate(rows, 1)]


def _can_be_drawn(row: Row, scenes: Scenes) -> bool:
    finding = row.finding
    if finding.points is None or finding.required is None or finding.build != scenes.proposed.build:
        return False
    if finding.status is Status.MET and finding.check in _NOT_A_GAP:
        return False
    return len(finding.parts) == 2 and all(name in scene_of(row, scenes).by_name for name in finding.parts)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cut:
    number: int
    part: DrawnPart
    shape: BaseGeometry


def _plate(number: int, row: Row, scene: Scene) -> Plate:
    if row.finding.check in ELECTRICAL:
        return _path_plate(number, row, scene)
    finding = row.finding
    plane = plane_of(scene, finding)
    cuts = [each for each in _cuts(scene, plane) if not each.shape.is_empty]
    window = _window(finding, plane)
    paper = _paper(window)
    laid = _in_frame(cuts, window, paper, finding)
    figures, taken = dimension.drawn(finding, row.judge_by, plane, paper)
    detail, numbered = _detail(laid, row, paper, figures, taken)
    return Plate(
        number=number,
        row=row,
        plane=plane.words,
        whole=_whole(cuts, window, finding),
        detail=detail,
        strip=plate_strip(finding, row.judge_by),
        key=_key(numbered),
        notes=_notes(row),
    )


def _path_plate(number: int, row: Row, scene: Scene) -> Plate:
    finding = row.finding
    path = path_of(finding, scene)
    cut_at = path_plane(scene, finding, path)
    cuts = [each for each in _cuts(scene, cut_at.plane) if not each.shape.is_empty]
    window = _path_window(finding, path, cut_at)
    paper = _paper(window)
    laid = _in_frame(cuts, window, paper, finding)
    behind = _behind(scene, path, cut_at, cuts, window, paper)
    figures, taken = paths.drawn(finding, row.judge_by, path, cut_at, paper)
    over = [leg.part for leg in path.legs if leg.part]
    detail, numbered = _detail(laid, row, paper, figures, taken, behind=behind, named=over)
    return Plate(
        number=number,
        row=row,
        plane=cut_at.plane.words,
        whole=_whole(cuts, window, finding),
        detail=detail,
        strip=plate_strip(finding, row.judge_by),
        key=_key(numbered),
        notes=(*filter(None, (cut_at.words,)), *_notes(row)),
        legs=tuple(paths.listed(path)),
        sum=total_words(path, finding),
        straight=straight_across(finding),
        laid=paths.laid_straight(finding, path),
    )


def _key(numbered: Iterable[_Cut]) -> tuple[tuple[int, str, str, str], ...]:
    return tuple((each.number, each.part.name, each.part.role, each.part.change) for each in numbered)


def _paper(window: _Box) -> Paper:
    return Paper(x=window[0], y=window[1], scale=_WIDE / (window[2] - window[0]), tall=_DETAIL_TALL)


def _behind(scene: Scene, path: Path, cut_at: PathPlane, cuts: Sequence[_Cut], window: _Box, paper: Paper) -> Markup:
    """The outline of insulation that the path runs over and the section passes by."""
    names = {leg.part for leg in path.legs if leg.over is Over.SURFACE} - {each.part.name for each in cuts}
    frame = _frame(window)
    drawn = []
    for name in sorted(names):
        part = scene.by_name[name]
        flat = (part.vertices - cut_at.plane.through) @ np.stack([cut_at.plane.across, cut_at.plane.up], axis=1)
        shape = paper.lay(shapely.intersection(silhouette(flat, part.faces), frame))
        drawn.append(Markup('<path class="behind" d="{}"/>').format(to_path(shape)))
    return Markup("").join(drawn)


def _cuts(scene: Scene, plane: Plane) -> Iterator[_Cut]:
    for number, part in enumerate(scene.parts, 1):
        shape = cut(part.vertices, part.faces, plane.normal, plane.across, plane.up, plane.through)
        yield _Cut(number=number, part=part, shape=shape)


def _notes(row: Row) -> tuple[str, ...]:
    notes = []
    if is_aged(row):
        notes.append("parts drawn at end of life")
    if row.layout == FOUND:
        notes.append("drawn with the heights found")
    if row.finding.in_play:
        notes.append("parts with play are drawn where they stand, the line ends where they may go")
    return tuple(notes)


def _window(finding: Finding, plane: Plane) -> _Box:
    """What the enlarged view shows: some ten times the gap or its requirement."""
    points = [plane.flat(np.array(point)) for point in finding.points or ()]
    length = float(np.hypot(points[1][0] - points[0][0], points[1][1] - points[0][1]))
    return _about(points, 5.0 * max(length, finding.required or 0.0, 1.0))


def _path_window(finding: Finding, path: Path, cut_at: PathPlane) -> _Box:
    """All of a path, half as large as the picture, so that there is room for its figures."""
    points = [cut_at.plane.flat(np.array(point)) for point in (*path.corners, *(finding.points or ()))]
    xs, ys = zip(*points, strict=True)
    return _about(points, max(1.25 * (max(xs) - min(xs)), 1.9 * (max(ys) - min(ys)), 2.5))


def _about(points: Sequence[tuple[float, float]], half: float) -> _Box:
    """A window so wide on either side of the middle of points."""
    xs, ys = zip(*points, strict=True)
    x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    return (x - half, y - half * _DETAIL_TALL / _WIDE, x + half, y + half * _DETAIL_TALL / _WIDE)


def _frame(window: _Box) -> BaseGeometry:
    """A little more than the window, so that what is cut off at its edge shows no outline there."""
    return shapely.box(*window).buffer((window[2] - window[0]) * 0.1, join_style="mitre")


def _in_frame(cuts: Iterable[_Cut], window: _Box, paper: Paper, finding: Finding) -> list[tuple[_Cut, BaseGeometry]]:
    return _laid(cuts, paper, _frame(window), finding)


def _laid(
    cuts: Iterable[_Cut], paper: Paper, frame: BaseGeometry | None, finding: Finding
) -> list[tuple[_Cut, BaseGeometry]]:
    """The shapes in units of the picture, cut to a little more than its frame; the two parts in question last."""
    laid = []
    for each in sorted(cuts, key=lambda one: one.part.name in finding.parts):
        shape = paper.lay(each.shape if frame is None else shapely.intersection(each.shape, frame))
        if not shape.is_empty:
            laid.append((each, shape))
    return laid


def _paths(laid: Iterable[tuple[_Cut, BaseGeometry]], finding: Finding) -> Markup:
    drawn = []
    for each, shape in laid:
        tone = "b0"
        if each.part.name in finding.parts:
            tone = "b1" if each.part.name == finding.parts[0] else "b2"
        name = f"{tone} {LINE_CLASS[each.part.change]}"
        drawn.append(Markup('<path class="{}" d="{}"/>').format(name, to_path(shape)))
        if finding.check in ELECTRICAL and each.part.conducts:
            kind = "insulating" if each.part.conducts == "insulation" else "metal"
            drawn.append(Markup('<path class="hatch {}" d="{}"/>').format(kind, to_path(shape)))
    return Markup("").join(drawn)


def _whole(cuts: list[_Cut], window: _Box, finding: Finding) -> Markup:
    low_x, low_y, high_x, high_y = shapely.total_bounds([shapely.box(*window), *(each.shape for each in cuts)])
    room = _WHOLE_TALL - _FOOT - 8.0
    scale = min((_WIDE - 16.0) / (high_x - low_x), room / (high_y - low_y))
    tall = (high_y - low_y) * scale + _FOOT + 8.0
    left = low_x - (_WIDE / scale - (high_x - low_x)) / 2
    paper = Paper(x=left, y=low_y - _FOOT / scale, scale=scale, tall=tall)
    corner, far = paper.at((window[0], window[3])), paper.at((window[2], window[1]))
    # A window too small to see is framed by a box of a size that can be seen.
    wide, deep = max(far[0] - corner[0], 14.0), max(far[1] - corner[1], 14.0)
    middle = ((corner[0] + far[0]) / 2, (corner[1] + far[1]) / 2)
    return Markup(
        '<svg class="section whole" viewBox="0 0 {:g} {:.1f}" role="img" aria-label="The whole section; a box marks '
        'the enlarged place">{}<rect class="spot" x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}"/>{}</svg>'
    ).format(
        _WIDE,
        tall,
        _paths(_laid(cuts, paper, None, finding), finding),
        *(middle[0] - wide / 2, middle[1] - deep / 2, wide, deep),
        scale_bar(paper, 110.0),
    )


def _detail(
    laid: list[tuple[_Cut, BaseGeometry]],
    row: Row,
    paper: Paper,
    figures: Markup,
    taken: Sequence[BaseGeometry],
    *,
    behind: Markup = _NOTHING,
    named: Sequence[str] = (),
) -> tuple[Markup, list[_Cut]]:
    """The enlarged view with its `figures`, which leave what is not `taken` to the numbers of the parts.

    The two parts in question and those `named` bear a number even where none fits on them.
    """
    rings, numbered = _balloons(laid, row.finding.parts, named, [*taken, _BAR])
    said = f"Enlarged: {row.subject}, {row.found} where {row.required} is required"
    drawn = Markup(
        '<svg class="section detail" viewBox="0 0 {:g} {:g}" role="img" aria-label="{}">{}{}{}{}{}</svg>'
    ).format(
        _WIDE,
        _DETAIL_TALL,
        said,
        behind,
        _paths(laid, row.finding),
        rings,
        figures,
        scale_bar(paper, _BAR_LONG),
    )
    return drawn, numbered


def _balloons(
    laid: list[tuple[_Cut, BaseGeometry]], pair: Sequence[str], named: Sequence[str], taken: Sequence[BaseGeometry]
) -> tuple[Markup, list[_Cut]]:
    """A number on each part that shows enough of itself clear of the figures, the two in question first, then those
    `named`; one of these that has no room for it gets it beside, with a line."""
    held = list(taken)
    rings, numbered = [], []

    def rank(one: tuple[_Cut, BaseGeometry]) -> tuple[bool, bool, int]:
        return one[0].part.name not in pair, one[0].part.name not in named, one[0].number

    for each, shape in sorted(laid, key=rank):
        spot = place(shape, (_RING, _RING), (4.0, 4.0, _WIDE - 4.0, _DETAIL_TALL - 4.0), held)
        leader = _NOTHING
        if spot is None and each.part.name in (*pair, *named):
            spot, leader = _beside(shape, held)
        if spot is not None:
            held.append(around(spot, (_RING, _RING)))
            rings.append(leader + balloon(spot, each.number))
            numbered.append(each)
    return Markup("").join(rings), numbered


def _beside(shape: BaseGeometry, held: Sequence[BaseGeometry]) -> tuple[tuple[float, float] | None, Markup]:
    """The free place for a ring that is nearest to a shape, and the line from there to a point of the shape."""
    seen = shapely.intersection(shape, shapely.box(4.0, 4.0, _WIDE - 4.0, _DETAIL_TALL - 4.0))
    if seen.is_empty:
        return None, _NOTHING
    of = shapely.point_on_surface(seen)
    taken = shapely.union_all(held)
    half = _RING / 2 + 4.0
    spots = [
        (x, y)
        for x in np.arange(half, _WIDE - half, _RING / 2)
        for y in np.arange(half, _DETAIL_TALL - half, _RING / 2)
    ]
    for x, y in sorted(spots, key=lambda at: math.hypot(at[0] - of.x, at[1] - of.y)):
        if math.hypot(x - of.x, y - of.y) > _RING and not around((x, y), (_RING, _RING)).intersects(taken):
            at = (float(x), float(y))
            return at, line([(of.x, of.y), at], "leader")
    return None, _NOTHING
