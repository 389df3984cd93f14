"""The loop of each stack: up on the left what adds, down on the right what takes away, dashed what is left open."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from fitcheck.report.wording import plain
from fitcheck.result_heights import LinkRow, StackRow

_WIDE, _LEAST, _PER_LINK, _TOP = 460.0, 40.0, 56.0, 10.0
_LEFT, _RIGHT, _BAR = 176.0, 246.0, 38.0
"""Where the two sides stand, and how wide they are."""

_SHARE = 120.0
"""Length of the line that stands for the whole uncertainty."""


def loop(stack: StackRow) -> Markup:
    """Not to scale, or a washer could not be seen beside a case; each segment says its length."""
    ups = [link for link in stack.links if link.factor * link.nominal_mm >= 0]
    downs = [link for link in stack.links if link.factor * link.nominal_mm < 0]
    lacking = stack.band.value < 0
    count = max(len(ups) + lacking, len(downs) + (not lacking))
    tall = _PER_LINK * max(count, 2)
    left = _side(ups, tall, left=True, closing=stack.band.value if lacking else None)
    right = _side(downs, tall, left=False, closing=None if lacking else stack.band.value)
    ends = Markup('<path class="level" d="M{0} {1}H{2}M{0} {3}H{2}"/>').format(
        f"{_LEFT - 12:g}", f"{_TOP:g}", f"{_RIGHT + _BAR + 12:g}", f"{_TOP + tall:g}"
    )
    return Markup(
        '<svg class="loop" viewBox="0 0 {:g} {:.1f}" role="img" aria-label="Loop of the stack; the table holds the '
        'same figures">{}{}{}</svg><p class="quiet">Left: what adds. Right: what takes away, and dashed what is left '
        "open. Not to scale. The line under a label is its share of the worst-case uncertainty.</p>"
    ).format(_WIDE, tall + 2 * _TOP, left, right, ends)


def _side(links: Sequence[LinkRow], tall: float, *, left: bool, closing: float | None) -> Markup:
    """One side, up from the lower end on the left, down from the upper end on the right."""
    sizes = [abs(link.factor * link.nominal_mm) for link in links]
    if closing is not None:
        sizes.append(abs(closing))
    drawn = []
    level = _TOP + tall if left else _TOP
    for at, height in enumerate(_heights(sizes, tall)):
        top = level - height if left else level
        link = links[at] if at < len(links) else None
        drawn.append(_segment(top, height, link, closing, left=left))
        level += -height if left else height
    return Markup("").join(drawn)


def _heights(sizes: Sequence[float], tall: float) -> list[float]:
    """Drawn heights that add up to the whole, none too low for its label."""
    if not sizes:
        return []
    least = min(_LEAST, tall / len(sizes))
    roots = [size**0.5 for size in sizes]
    rest, whole = tall - least * len(sizes), sum(roots)
    return [least + (rest * root / whole if whole else rest / len(sizes)) for root in roots]


def _segment(top: float, height: float, link: LinkRow | None, closing: float | None, *, left: bool) -> Markup:
    x = _LEFT if left else _RIGHT
    name = "open" if link is None else "up" if left else "down"
    middle, centre = top + height / 2, x + _BAR / 2
    tip, tail = (top + 5, top + height - 5) if left else (top + height - 5, top + 5)
    barb = 6 if left else -6
    box = Markup(
        '<rect class="{}" x="{:g}" y="{:.1f}" width="{:g}" height="{:.1f}"/><path class="arrow" d="M{:g} {:.1f}V{:.1f}'
        'm-3 {:g}l3 {:g}l3 {:g}"/>'
    ).format(name, x, top, _BAR, height, centre, tail, tip, barb, -barb, barb)
    edge, anchor = (x - 8, "end") if left else (x + _BAR + 8, "start")
    if link is None:
        word = "left open" if (closing or 0.0) >= 0 else "lacking"
        return box + _words(edge, middle, anchor, word, f"{plain(abs(closing or 0.0), 2)} mm", "open-words")
    share = _SHARE * max(0.0, min(1.0, link.share_worst))
    start = edge - share if left else edge
    bar = Markup('<path class="share" d="M{:.1f} {:.1f}h{:.1f}"/>').format(start, middle + 16, share) if share else ""
    return box + _words(edge, middle, anchor, _short(link.value), _figures(link), "words") + bar


def _words(x: float, middle: float, anchor: str, first: str, second: str, name: str) -> Markup:
    return Markup(
        '<text class="{}" x="{:g}" y="{:.1f}" text-anchor="{}">{}</text><text class="figures" x="{:g}" y="{:.1f}" '
        'text-anchor="{}">{}</text>'
    ).format(name, x, middle - 4, anchor, first, x, middle + 10, anchor, second)


def _short(name: str) -> str:
    return name if len(name) <= 26 else name[:25] + "…"


def _figures(link: LinkRow) -> str:
    factor = "" if abs(abs(link.factor) - 1.0) < 1e-9 else f"{abs(link.factor):g} × "
    width = " exact"
    if link.below_mm != link.above_mm:
        width = f" +{link.above_mm:g}/−{link.below_mm:g}"
    elif link.above_mm:
        width = f" ± {link.above_mm:g}"
    return f"{factor}{abs(link.nominal_mm):g}{width}"
