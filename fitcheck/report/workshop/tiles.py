"""Full-size templates on ordinary paper: tiles with an overlap, a bar to check the scale, and a map of the pages."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitcheck.makeable.contour import ring_of
from fitcheck.makeable.templates import Template
from fitcheck.model.shape import Point2
from fitcheck.report.workshop.origin import Origin
from fitcheck.report.workshop.paper import INK, QUIET, Paper

PAPERS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}
"""Width and height in mm, standing; what then takes fewer sheets lies on its side."""

SIDE, HEAD, FOOT = 12.0, 11.0, 25.0
"""Paper that is left free at both sides, above and below: no printer reaches the very edge."""

OVERLAP = 10.0
BAR = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One page: column from the left, row from the top, its number, and the low corner of what it shows, in mm."""

    column: int
    row: int
    page: int
    low: Point2

    @property
    def name(self) -> str:
        return f"{column_name(self.column)}{self.row + 1}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """How a template is laid on pages. `page` is the width and height of one as it lies, `window` what it shows; pages
    that would stay empty are left out.
    """

    paper: str
    page: Point2
    window: Point2
    columns: int
    rows: int
    low: Point2
    tiles: tuple[Tile, ...]

    @property
    def has_map(self) -> bool:
        return self.columns * self.rows > 1


def column_name(index: int) -> str:
    """A, B, …, Z, AA, AB, …"""
    name = ""
    index += 1
    while index:
        index, letter = divmod(index - 1, 26)
        name = chr(ord("A") + letter) + name
    return name


def tiling(template: Template, paper: str) -> Tiling:
    """Columns and rows about the middle of the template, the paper upright or on its side: the way that takes fewer
    sheets, upright where it makes no difference.
    """
    width, height = PAPERS[paper]
    upright, lying = (_laid(template, paper, page) for page in ((width, height), (height, width)))
    return lying if len(lying.tiles) < len(upright.tiles) else upright


def _laid(template: Template, paper: str, page: Point2) -> Tiling:
    window = (page[0] - 2.0 * SIDE, page[1] - HEAD - FOOT)
    (low_x, low_y), (high_x, high_y) = template.box
    counts, lows = [], []
    for span, low, size in ((high_x - low_x, low_x, window[0]), (high_y - low_y, low_y, window[1])):
        count = max(1, math.ceil((span - OVERLAP) / (size - OVERLAP) - 1e-9))
        counts.append(count)
        lows.append(low - (count * (size - OVERLAP) + OVERLAP - span) / 2.0)
    columns, rows = counts
    tiles: list[Tile] = []
    first = 2 if columns * rows > 1 else 1
    for row in range(rows):
        for column in range(columns):
            up = rows - 1 - row
            corner = (lows[0] + column * (window[0] - OVERLAP), lows[1] + up * (window[1] - OVERLAP))
            if _shows_something(template, corner, window):
                tiles.append(Tile(column=column, row=row, page=first + len(tiles), low=corner))
    return Tiling(
        paper=paper,
        page=page,
        window=window,
        columns=columns,
        rows=rows,
        low=(lows[0], lows[1]),
        tiles=tuple(tiles),
    )


def _shows_something(template: Template, low: Point2, window: Point2) -> bool:
    from shapely import LinearRing, Point, box

    seen = box(low[0], low[1], low[0] + window[0], low[1] + window[1])
    return any(seen.intersects(LinearRing(ring_of(contour))) for contour in template.contours) or any(
        seen.intersects(Point(centre.at)) for centre in template.centres
    )


def render(template: Template, paper_name: str, origin: Origin) -> bytes:
    """The whole PDF: the map with what to do, then the tiles row by row from the top left."""
    plan = tiling(template, paper_name)
    paper = Paper(f"{template.name}: full-size template on {paper_name}")
    if plan.has_map:
        _map_page(paper, template, plan, origin)
    for tile in plan.tiles:
        _tile_page(paper, template, plan, tile, origin)
    return paper.finished()


def scale_bar(paper: Paper, at: Point2, *, upright: bool = False) -> None:
    """A bar of exactly BAR mm with a tick each ten."""
    x, y = at
    for step in range(11):
        along = step * BAR / 10.0
        tall = 4.0 if step % 5 == 0 else 2.2
        ends = [(along, 0.0), (along, tall)]
        paper.line([(x + b, y + a) if upright else (x + a, y + b) for a, b in ends], "edge")
    paper.line([(x, y), (x, y + BAR)] if upright else [(x, y), (x + BAR, y)], "edge")
    if not upright:
        paper.text((x + BAR + 2.0, y), "100 mm: measure it before use", 2.8, bold=True)


def _foot(paper: Paper, template: Template, plan: Tiling, origin: Origin, page: str) -> None:
    width = plan.page[0]
    scale_bar(paper, (SIDE, 13.0))
    shown, size = paper.fitted(f"{template.name}, {origin.title}", width - 2.0 * SIDE - 45.0, 2.6)
    paper.text((SIDE, 8.6), shown, size)
    source = f"{origin.layout_file}  {origin.sha256[:12]}  {origin.made_on}"
    shown, size = paper.fitted(source, width - 2.0 * SIDE - 45.0, 2.2)
    paper.text((SIDE, 5.4), shown, size, ink=QUIET)
    paper.text((width - SIDE, 8.6), page, 2.8, anchor="end", bold=True)


def _lies(page: Point2) -> str:
    return "upright" if page[0] <= page[1] else "on its side"


HOW = (
    (
        "Print at 100 %, never fitted to the page, on {paper} {lies}. Measure the bar on every page, across and "
        "upright: 100 mm each. If it is not, do not use the sheet."
    ),
    (
        "Cut one page of each pair along its dashed line and lay it over the next so that the crosses fall together. "
        "Pages that would stay empty are left out."
    ),
    (
        "Check two overall sizes of the joined sheet against the drawing. Paper moves with damp: mark centres, do not "
        "scale from it. Near live parts use dry paper and no metal punch."
    ),
)


def _map_page(paper: Paper, template: Template, plan: Tiling, origin: Origin) -> None:
    width, height = plan.page
    paper.page(width, height)
    y = height - HEAD - 6.0
    title, size = paper.fitted(f"{template.name}: full size, 1:1", width - 2.0 * SIDE, 5.0, bold=True)
    paper.text((SIDE, y), title, size, bold=True)
    y -= 4.0
    for text in (*template.says, *(line.format(paper=plan.paper, lies=_lies(plan.page)) for line in HOW)):
        for line in paper.wrapped(text, width - 2.0 * SIDE, 3.0):
            y -= 4.1
            paper.text((SIDE, y), line, 3.0)
        y -= 1.2
    room = (width - 2.0 * SIDE, y - FOOT - 12.0)
    step = (plan.window[0] - OVERLAP, plan.window[1] - OVERLAP)
    spans = (plan.columns * step[0] + OVERLAP, plan.rows * step[1] + OVERLAP)
    scale = min(room[0] / spans[0], room[1] / spans[1])
    corner = (SIDE + (room[0] - spans[0] * scale) / 2.0, FOOT + 6.0 + (room[1] - spans[1] * scale) / 2.0)

    def at(point: Point2) -> Point2:
        return (corner[0] + (point[0] - plan.low[0]) * scale, corner[1] + (point[1] - plan.low[1]) * scale)

    for contour in template.contours:
        paper.line([at(point) for point in ring_of(contour, 0.2)], "edge", closed=True)
    for centre in template.centres:
        _cross(paper, at(centre.at), 1.5)
    for tile in plan.tiles:
        x, low = at(tile.low)
        paper.box(x, low, plan.window[0] * scale, plan.window[1] * scale, "overlap")
        middle = (x + plan.window[0] * scale / 2.0, low + plan.window[1] * scale / 2.0)
        paper.text((middle[0], middle[1] - 1.0), f"{tile.name}", 3.4, anchor="middle", bold=True, ground=True)
        paper.text((middle[0], middle[1] - 4.8), f"page {tile.page}", 2.4, anchor="middle", ink=QUIET, ground=True)
    _foot(paper, template, plan, origin, f"map, page 1 of {1 + len(plan.tiles)}")


def _tile_page(paper: Paper, template: Template, plan: Tiling, tile: Tile, origin: Origin) -> None:
    width, height = plan.page
    paper.page(width, height)

    def at(point: Point2) -> Point2:
        return (SIDE + point[0] - tile.low[0], FOOT + point[1] - tile.low[1])

    with paper.window(SIDE, FOOT, *plan.window):
        for contour in template.contours:
            paper.line([at(point) for point in ring_of(contour)], "edge", closed=True)
        for centre in template.centres:
            x, y = at(centre.at)
            _cross(paper, (x, y), max(6.0, centre.radius + 2.0))
            paper.text((x + 0.8 * centre.radius + 1.2, y + 0.8 * centre.radius + 0.8), centre.text, 3.0)
    _joints(paper, plan, tile)
    scale_bar(paper, (SIDE - 6.0, FOOT), upright=True)
    if plan.has_map:
        paper.text((width - SIDE, height - HEAD + 3.0), tile.name, 6.0, bold=True, anchor="end")
        _foot(paper, template, plan, origin, f"{tile.name}, page {tile.page} of {1 + len(plan.tiles)}")
    else:
        for number, text in enumerate((*template.says, "print at 100 %, not fitted; measure the bars before use")):
            shown, size = paper.fitted(text, width - 2.0 * SIDE, 2.6)
            paper.text((SIDE, height - HEAD + 6.0 - 3.4 * number), shown, size)
        _foot(paper, template, plan, origin, "page 1 of 1")


def _cross(paper: Paper, at: Point2, arm: float) -> None:
    paper.line([(at[0] - arm, at[1]), (at[0] + arm, at[1])], "thin")
    paper.line([(at[0], at[1] - arm), (at[0], at[1] + arm)], "thin")


def _joints(paper: Paper, plan: Tiling, tile: Tile) -> None:
    """Where this page overlaps its neighbours: a dashed line, crosses on it that both pages show, and their names."""
    (x, y), (wide, high) = (SIDE, FOOT), plan.window
    half = OVERLAP / 2.0
    known = {(other.column, other.row): other.name for other in plan.tiles}
    lines: list[tuple[str, list[Point2], Point2, bool]] = []
    for (column, row), line, seat, upright in (
        ((-1, 0), [(x + half, y), (x + half, y + high)], (x + half + 3.4, y + high / 2.0), True),
        ((1, 0), [(x + wide - half, y), (x + wide - half, y + high)], (x + wide - half - 1.2, y + high / 2.0), True),
        ((0, 1), [(x, y + half), (x + wide, y + half)], (x + wide / 2.0, y + half + 1.2), False),
        ((0, -1), [(x, y + high - half), (x + wide, y + high - half)], (x + wide / 2.0, y + high - half - 3.2), False),
    ):
        name = known.get((tile.column + column, tile.row + row))
        if name is not None:
            lines.append((name, line, seat, upright))
    for name, line, seat, upright in lines:
        paper.line(line, "overlap")
        paper.text(seat, f"joins {name}", 2.6, anchor="middle", upright=upright, ink=INK)
        (x0, y0), (x1, y1) = line
        for share in (0.2, 0.8):
            _cross(paper, (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share), 3.0)
