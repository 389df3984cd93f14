"""The drawing sheet: colours, line types, scale bar, balloons and saving, the same for every picture."""

from __future__ import annotations

import io
import textwrap
import warnings
from collections.abc import Sequence
from typing import Any

import matplotlib as mpl
import shapely
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path
from matplotlib.text import Text
from shapely.geometry.base import BaseGeometry

from fitcheck.findings import Status
from fitcheck.report.letters import broken, shortened

INK = "#26303a"
FAINT = "#8b95a0"
PAPER = "#fbfaf7"

_FILLS = {
    "module": "#b9cbdc",
    "enclosure": "#dcdad3",
    "lid": "#dcdad3",
    "cover": "#dcdad3",
    "spacer": "#e6cf9f",
    "riser": "#e6cf9f",
    "bracket": "#e6cf9f",
    "frame": "#e6cf9f",
    "column": "#c9bfb0",
    "fastener": "#c9bfb0",
    "duct": "#cfc3d9",
    "fan": "#cfc3d9",
    "disconnect": "#e3bda6",
    "junction box": "#e3bda6",
    "controller": "#e3bda6",
    "busbar": "#d9a98c",
    "terminal": "#d9a98c",
    "cable": "#d9a98c",
    "harness": "#d9a98c",
}
"""Muted fills that differ in lightness as well as in hue; no meaning hangs on them alone."""

WIDTH = 8.2
"""Inches of a sheet. Reduced to the 180 mm between the edges of an A4 page, its smallest letters are 6.4 pt high."""

EDGE = 0.3
"""Inches left free on either side."""

_DPI = 280
"""Of the sheet as drawn; on A4 paper, where it is reduced, some 320."""

SEE_THROUGH = ("enclosure", "lid", "cover", "keep-out", "service space")
"""Drawn as outline only, so that what they hold shows."""

LINE_STYLE: dict[str, dict[str, Any]] = {
    "retained": {"linewidth": 0.7, "linestyle": "-"},
    "removed": {"linewidth": 0.9, "linestyle": (0, (9, 2, 1.5, 2))},
    "new": {"linewidth": 1.7, "linestyle": "-"},
}
"""As on alteration drawings: retained thin, removed dash-dot, new thick."""

STATUS_SIGN = {
    Status.NOT_MET: ("X", "not met"),
    Status.CANNOT_TELL: ("?", "cannot tell"),
    Status.UNDER_CONCESSION: ("C", "under concession"),
}
"""Told by sign and word; parts without trouble carry none."""

_SETTINGS: Any = {
    "svg.hashsalt": "fitcheck",
    "svg.fonttype": "path",
    "hatch.linewidth": 0.5,
    "font.family": ["DejaVu Sans"],
    "font.size": 8.0,
    "text.color": INK,
    "axes.edgecolor": FAINT,
    "path.simplify": False,
}


_RING_INCH = 0.225
"""A balloon's width: its marker of 14.5 pt with its line, and a little air."""


def fill(role: str) -> str:
    return _FILLS.get(role, "#e2e2de")


def new_sheet(height: float, title: str, under: str) -> Figure:
    """An empty sheet of WIDTH by `height` inches with its title block in the upper 0.7; give it to `save` when drawn.

    Long titles are cut short, what stands under them is wrapped.
    """
    width, most = WIDTH, (WIDTH - 2 * EDGE) * 72.0
    title = shortened(title, 11.0, most, bold=True)
    lines = broken(under, 8.0, most)[:3]
    with mpl.rc_context(_SETTINGS):
        figure = Figure(figsize=(width, height), facecolor=PAPER, dpi=_DPI)
        figure.text(EDGE / width, 1 - 0.2 / height, title, fontsize=11, fontweight="bold", va="center", color=INK)
        for number, line in enumerate(lines):
            figure.text(EDGE / width, 1 - (0.4 + 0.13 * number) / height, line, fontsize=8, va="center", color=INK)
    return figure


def save(figure: Figure) -> dict[str, bytes]:
    """The sheet as "png" and "svg" bytes, free of dates, so that equal drawings are equal files."""
    png, svg = io.BytesIO(), io.BytesIO()
    for text in figure.findobj(Text):
        text.set_parse_math(False)  # a dollar sign in a name is a dollar sign
    with mpl.rc_context(_SETTINGS), warnings.catch_warnings():
        # A letter that the typeface lacks is drawn as a box; the reports in text have it.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        FigureCanvasAgg(figure)
        figure.savefig(png, format="png", dpi=_DPI, metadata={"Software": None}, facecolor=PAPER)
        FigureCanvasSVG(figure)
        figure.savefig(svg, format="svg", metadata={"Date": None, "Creator": "fitcheck"}, facecolor=PAPER)
    return {"png": png.getvalue(), "svg": svg.getvalue()}


def bare_axes(figure: Figure, at: tuple[float, float, float, float], box: tuple[float, float, float, float]) -> Axes:
    """Axes without frame, equal scale both ways. `at` (left, bottom, width, height) in inches, `box` the (x low, y low,
    x high, y high) to be shown, in mm; it stands in the middle."""
    width, height = figure.get_size_inches()
    axes = figure.add_axes((at[0] / width, at[1] / height, at[2] / width, at[3] / height))
    axes.set_axis_off()
    middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    scale = max((box[2] - box[0]) / at[2], (box[3] - box[1]) / at[3]) or 1.0
    axes.set_xlim(middle[0] - at[2] * scale / 2, middle[0] + at[2] * scale / 2)
    axes.set_ylim(middle[1] - at[3] * scale / 2, middle[1] + at[3] * scale / 2)
    return axes


def mm_per_inch(axes: Axes) -> float:
    """The drawing's scale: how many mm one inch of the sheet shows."""
    inches = axes.bbox.width / axes.figure.dpi
    low, high = axes.get_xlim()
    return float((high - low) / inches)


def written(axes: Axes, text: Text) -> BaseGeometry:
    """The room that a text takes with the box about it, in mm of the drawing."""
    figure: Any = axes.figure
    canvas: Any = figure.canvas if isinstance(figure.canvas, FigureCanvasAgg) else FigureCanvasAgg(figure)
    pen = canvas.get_renderer()
    extent = text.get_window_extent(pen)
    box = text.get_bbox_patch()
    if box is not None:
        text.update_bbox_position_size(pen)
        extent = box.get_window_extent(pen)
    return shapely.box(*axes.transData.inverted().transform(extent).flatten())


def draw(axes: Axes, shape: BaseGeometry, **style: Any) -> None:
    """Lay a flat shape down: areas filled and outlined, lines as lines."""
    style.setdefault("joinstyle", "miter")
    for piece in getattr(shape, "geoms", (shape,)):
        if piece.geom_type == "Polygon" and not piece.is_empty:
            rings = [Path(ring.coords, closed=True) for ring in (piece.exterior, *piece.interiors)]
            axes.add_patch(PathPatch(Path.make_compound_path(*rings), **style))
        elif piece.geom_type == "LineString" and not piece.is_empty:
            x, y = piece.xy
            line = {key: style[key] for key in ("linewidth", "linestyle", "zorder") if key in style}
            axes.add_line(Line2D(x, y, color=style.get("edgecolor", INK), **line))


def scale_bar(axes: Axes) -> BaseGeometry:
    """A bar of a round length in the lower left corner, in two halves told by tone; returns the room that it takes."""
    scale = mm_per_inch(axes)
    length = _round_length(1.6 * scale)
    left, bottom = axes.get_xlim()[0], axes.get_ylim()[0]
    x, y, thick = left + 0.1 * scale, bottom + 0.12 * scale, 0.05 * scale
    text = axes.text(x + length + 0.06 * scale, y + thick / 2, f"{length:g} mm", va="center", fontsize=7.5, zorder=55)
    text.set_bbox({"fc": PAPER, "ec": "none", "pad": 2.0})
    _rectangle(axes, (x - thick, y - thick, length + 2 * thick, 3 * thick), facecolor=PAPER, edgecolor="none")
    for start, tone in ((x, INK), (x + length / 2, PAPER)):
        _rectangle(axes, (start, y, length / 2, thick), facecolor=tone, edgecolor=INK, linewidth=0.6)
    return shapely.union(written(axes, text), shapely.box(x - thick, y - thick, x + length + thick, y + 2 * thick))


def _rectangle(axes: Axes, box: tuple[float, float, float, float], **style: Any) -> None:
    axes.add_patch(Rectangle(box[:2], box[2], box[3], zorder=55, **style))


def _round_length(most: float) -> float:
    """The largest of 1, 2 or 5 times a power of ten that is not above `most`."""
    power = 10.0 ** _exponent(most)
    return next(step * power for step in (5.0, 2.0, 1.0) if step * power <= most * (1 + 1e-9))


def _exponent(number: float) -> int:
    return int(f"{number:e}".split("e")[1])


def directions(axes: Axes, across: str, up: str) -> None:
    """Two short arrows in the lower right corner that say which way the picture lies."""
    scale = mm_per_inch(axes)
    right, bottom = axes.get_xlim()[1], axes.get_ylim()[0]
    x, y, arm = right - 1.25 * scale, bottom + 0.12 * scale, 0.35 * scale
    arrow = {"arrowstyle": "-|>", "lw": 0.7, "color": INK, "shrinkA": 0, "shrinkB": 0, "mutation_scale": 6}
    axes.annotate("", (x + arm, y), (x, y), arrowprops=arrow)
    axes.annotate("", (x, y + arm), (x, y), arrowprops=arrow)
    axes.text(x + arm * 1.15, y, across, va="center", ha="left", fontsize=7.5)
    axes.text(x, y + arm * 1.1, up, va="bottom", ha="center", fontsize=7.5)


def head(axes: Axes, said: str, spot: tuple[float, float], *, zorder: float) -> tuple[BaseGeometry, BaseGeometry]:
    """What is judged, in a box at the top, with a line to `spot`; returns the room that each of them takes."""
    scale = mm_per_inch(axes)
    (left, right), (_, top) = axes.get_xlim(), axes.get_ylim()
    box = {"boxstyle": "square,pad=0.4", "fc": "white", "ec": INK, "lw": 0.9}
    text = axes.text(0.0, 0.0, said, ha="center", va="center", fontsize=8, bbox=box, zorder=55, linespacing=1.3)
    low_x, low_y, high_x, high_y = written(axes, text).bounds
    middle, rim = (left + right) / 2, 0.1 * scale
    room = max(0.0, (right - left - (high_x - low_x)) / 2 - rim)
    place = (min(max(spot[0], middle - room), middle + room), top - (high_y - low_y) / 2 - rim)
    text.set_position(place)
    axes.plot([spot[0], place[0]], [spot[1], place[1]], color=INK, linewidth=0.6, zorder=zorder)
    return written(axes, text), shapely.LineString([spot, place]).buffer(0.03 * scale)


def balloon_size(axes: Axes, number: int, status: Status | None = None) -> tuple[float, float]:
    """Width and height of what `balloon` draws, in mm of the drawing."""
    if status not in STATUS_SIGN:
        return _RING_INCH * mm_per_inch(axes), _RING_INCH * mm_per_inch(axes)
    box = _status_box(axes, (0.0, 0.0), number, status)
    left, low, right, high = written(axes, box).bounds
    box.remove()
    return right - left, high - low


def balloon(axes: Axes, at: tuple[float, float], number: int, status: Status | None = None) -> None:
    """A part number in a ring; a part in trouble has a box instead, with the sign of its status."""
    if status in STATUS_SIGN:
        _status_box(axes, at, number, status)
        return
    ring: dict[str, Any] = {"marker": "o", "markersize": 14.5, "markerfacecolor": "white", "markeredgecolor": INK}
    axes.plot(*([value] for value in at), markeredgewidth=0.8, zorder=50, **ring)
    axes.text(*at, str(number), ha="center", va="center_baseline", fontsize=7.5, zorder=51)


def _status_box(axes: Axes, at: tuple[float, float], number: int, status: Status) -> Text:
    box = {"boxstyle": "square,pad=0.25", "fc": "white", "ec": INK, "lw": 1.3}
    said = f"{number} {STATUS_SIGN[status][0]}"
    return axes.text(*at, said, ha="center", va="center", fontsize=7.5, fontweight="bold", bbox=box, zorder=52)


def key_height(lines: Sequence[tuple[str, str]], width: float) -> float:
    """How many inches `key` will need."""
    return max(sum(_block(text, width) for _, text in column) for column in _columns(lines, width))


def key(figure: Figure, left: float, top: float, width: float, lines: Sequence[tuple[str, str]]) -> None:
    """A list of (mark, text) in as many columns as `width` inches allow, wrapped; the mark may be a line type."""
    columns = _columns(lines, width)
    across = width / len(columns)
    for index, column in enumerate(columns):
        x, y = left + index * across, top
        for mark, text in column:
            _mark(figure, x, y, mark)
            for number, line in enumerate(_wrapped(text, width)):
                _at(figure, x + _MARK_WIDTH, y - number * _LINE, line)
            y -= _block(text, width)


_COLUMN_WIDTH = 2.5
_MARK_WIDTH = 0.55
_LINE = 0.145


def _columns(lines: Sequence[tuple[str, str]], width: float) -> list[Sequence[tuple[str, str]]]:
    number = max(1, int(width / _COLUMN_WIDTH))
    deep = max(1, -(-len(lines) // number))
    return [lines[start : start + deep] for start in range(0, len(lines), deep)] or [()]


def _wrapped(text: str, width: float) -> list[str]:
    across = width / max(1, int(width / _COLUMN_WIDTH))
    return textwrap.wrap(text, int((across - _MARK_WIDTH) / 0.066)) or [""]


def _block(text: str, width: float) -> float:
    return _LINE * len(_wrapped(text, width)) + 0.03


def note(figure: Figure, left: float, top: float, text: str) -> None:
    """One line of text, its upper left corner in inches."""
    _at(figure, left, top, text)


def _mark(figure: Figure, x: float, y: float, mark: str) -> None:
    if mark not in LINE_STYLE:
        _at(figure, x + _MARK_WIDTH - 0.1, y, mark, ha="right")
        return
    width, height = figure.get_size_inches()
    ends = [(x + 0.08) / width, (x + _MARK_WIDTH - 0.08) / width]
    figure.add_artist(Line2D(ends, [(y - 0.06) / height] * 2, color=INK, **LINE_STYLE[mark]))


def _at(figure: Figure, x: float, y: float, text: str, **style: Any) -> None:
    width, height = figure.get_size_inches()
    figure.text(x / width, y / height, text, fontsize=7.5, va="top", **style)
