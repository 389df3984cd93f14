"""The drawn loop of each stack: up one side, down the other, and what is left open is the height asked for.

Segments are not to scale, or a washer could not be seen beside a case; each says its length. The bar beside a segment
is its share of the worst-case uncertainty.
"""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.patches import FancyArrowPatch, Rectangle

from fitcheck.report import sheet
from fitcheck.report.letters import broken, shortened, width
from fitcheck.report.wording import floored, listed, plain, raised
from fitcheck.result_heights import HeightsAnswer, LinkRow, StackRow

_WIDTH = sheet.WIDTH
_PER_LINK = 0.52
_LEAST_TALL = 2.6
_UP, _DOWN, _OPEN = "#b9cbdc", "#e6cf9f", "#fbfaf7"
_LEGEND = (
    "Left: what adds. Right: what takes away, and what is left (dashed). Not to scale. Grey bars: share of the "
    "worst-case uncertainty."
)
_BAR = 1.0
"""Inches of a bar that stands for the whole uncertainty."""
_SHARE_WIDE = 0.55
"""Inches of its figure beside it."""


def render(answer: HeightsAnswer) -> dict[str, bytes]:
    """File name to content, PNG and SVG of each stack, in the order of the demands."""
    files: dict[str, bytes] = {}
    for number, stack in enumerate(answer.stacks, start=1):
        files |= {f"stack_{number}.{kind}": content for kind, content in _draw(stack).items()}
    return files


def _draw(stack: StackRow) -> dict[str, bytes]:
    ups = [link for link in stack.links if link.factor * link.nominal_mm >= 0]
    downs = [link for link in stack.links if link.factor * link.nominal_mm < 0]
    tall = max(_LEAST_TALL, _PER_LINK * (max(len(ups), len(downs) + 1) + 1))
    height = tall + 1.75
    band = stack.band
    aged = f", {stack.state}" if stack.state else ""
    under = (
        f"{plain(band.value, 2)} as drawn; worst case {floored(band.low, 2)} to {raised(band.high, 2)}; "
        f"root-sum-square {floored(band.rss_low, 2)} to {raised(band.rss_high, 2)}; asked for: "
        + listed([f"{word} {required:g}" for word, required in stack.required])
    )
    figure = sheet.new_sheet(height, f"Stack: {stack.title}{aged} [mm]", under)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(0.0, _WIDTH)
    axes.set_ylim(0.0, height)
    bottom, middle = 0.62, _WIDTH / 2
    _side(axes, ups, bottom, tall, left=True, closing=None if band.value >= 0 else stack)
    _side(axes, downs, bottom, tall, left=False, closing=stack if band.value >= 0 else None)
    for level in (bottom, bottom + tall):
        axes.plot((middle - 0.75, middle + 0.75), (level, level), color=sheet.INK, linewidth=1.1)
    for number, line in enumerate(broken(_LEGEND, 7.5, 72.0 * (_WIDTH - 2 * sheet.EDGE))):
        axes.text(sheet.EDGE, 0.32 - 0.15 * number, line, fontsize=7.5, va="center", color=sheet.INK)
    return sheet.save(figure)


def _side(
    axes: Axes, links: Sequence[LinkRow], bottom: float, tall: float, *, left: bool, closing: StackRow | None
) -> None:
    """One side of the loop: up on the left from the lower end, down on the right from the upper end."""
    sizes = [abs(link.factor * link.nominal_mm) for link in links]
    if closing is not None:
        sizes.append(abs(closing.band.value))
    heights = _heights(sizes, tall)
    level = bottom if left else bottom + tall
    for number, height in enumerate(heights):
        low = level if left else level - height
        link = links[number] if number < len(links) else None
        _segment(axes, low, height, link, left=left, closing=closing)
        level = level + height if left else level - height


def _heights(sizes: Sequence[float], tall: float) -> list[float]:
    """Drawn heights that add up to the whole, none too low for its label."""
    if not sizes:
        return []
    least = min(0.3, tall / len(sizes))
    roots = [size**0.5 for size in sizes]
    rest = tall - least * len(sizes)
    whole = sum(roots)
    return [least + (rest * root / whole if whole else rest / len(sizes)) for root in roots]


def _segment(
    axes: Axes, low: float, height: float, link: LinkRow | None, *, left: bool, closing: StackRow | None
) -> None:
    middle, wide = _WIDTH / 2, 0.46
    x = middle - 0.62 if left else middle + 0.16
    color = _OPEN if link is None else (_UP if left else _DOWN)
    axes.add_patch(
        Rectangle(
            (x, low),
            wide,
            height,
            facecolor=color,
            edgecolor=sheet.INK,
            linewidth=0.8 if link is not None else 1.4,
            linestyle="-" if link is not None else (0, (4, 2)),
        )
    )
    ends = (low + 0.04, low + height - 0.04) if left else (low + height - 0.04, low + 0.04)
    centre = x + wide / 2
    axes.add_patch(
        FancyArrowPatch((centre, ends[0]), (centre, ends[1]), arrowstyle="-|>", mutation_scale=8, color=sheet.INK)
    )
    at, edge = low + height / 2, x if left else x + wide
    side = -1.0 if left else 1.0
    align = "right" if left else "left"
    if link is None:
        assert closing is not None  # noqa: S101 (only the closing segment has no link)
        axes.text(
            edge + side * 0.1, at, _closing(closing.band.value), ha=align, va="center", fontsize=9,
            fontweight="bold", color=sheet.INK,
        )  # fmt: skip
        return
    room = 72.0 * (_WIDTH / 2 - 0.72 - sheet.EDGE - _BAR * max(link.share_worst, 0.0) - _SHARE_WIDE)
    axes.text(edge + side * 0.1, at + 0.02, _label(link, room), ha=align, va="center", fontsize=8, color=sheet.INK)
    if link.share_worst > 0:
        bar = _BAR * link.share_worst
        start = 0.3 if left else _WIDTH - 0.3 - bar
        axes.add_patch(Rectangle((start, at - 0.05), bar, 0.1, facecolor=sheet.FAINT, edgecolor="none"))
        beside = start + bar + 0.06 if left else start - 0.06
        said = f"{100 * link.share_worst:.0f} %"
        axes.text(beside, at, said, ha="left" if left else "right", va="center", fontsize=7.5, color=sheet.INK)


def _closing(value: float) -> str:
    return f"left open: {plain(value, 2)}" if value >= 0 else f"lacking: {plain(-value, 2)}"


def _label(link: LinkRow, room: float) -> str:
    """The name, cut short where it has not so much `room` in points, and the size."""
    factor = "" if abs(abs(link.factor) - 1.0) < 1e-9 else f"{abs(link.factor):g} x "
    if link.below_mm == link.above_mm:
        tolerance = f" ± {link.above_mm:g}" if link.above_mm else " (exact)"
    else:
        tolerance = f" +{link.above_mm:g}/-{link.below_mm:g}"
    said = f"  {factor}{abs(link.nominal_mm):g}{tolerance}"
    return shortened(link.value, 8.0, room - width(said, 8.0)) + said
