"""The band of a finding laid beside what is required, as a small drawing: one for a table row, one for a plate."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from fitcheck.findings import Finding, Sense
from fitcheck.report.wording import as_found, band_places, floored, plain, raised

_ROW, _ROW_TALL = 150.0, 14.0
_WIDE, _TALL, _SIDE = 360.0, 68.0, 52.0
"""Of a plate's strip: width, height, and the room at both ends for figures."""
_INWARD, _APART = 4.0, 16.0
"""How far a figure reaches in over its end of the band, and how far apart two figures stand at the least."""
_WORDS_HALF = 90.0
"""Half the width of the longest words under a strip."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """From a round lower end to an upper one over `width` from `left`; zero is where parts touch."""

    bottom: float
    top: float
    left: float
    width: float

    def at(self, number: float) -> float:
        return self.left + (number - self.bottom) / (self.top - self.bottom) * self.width


def row_strip(finding: Finding, judge_by: str) -> Markup:
    """The strip of a table row, without figures; empty where there is no band or no requirement."""
    if finding.band is None or finding.required is None or finding.check == "overlap":
        return Markup("")
    scale = _scale(finding, judge_by, 1.0, _ROW - 2.0)
    low, high = (scale.at(end) for end in finding.band.judged(judge_by))
    limit, value = scale.at(finding.required), scale.at(finding.band.value)
    wrong = _wrong(finding, scale, limit)
    return Markup(
        '<svg class="strip" viewBox="0 0 {} {}" aria-hidden="true">'
        '<path class="wrong" d="M{:.1f} 2h{:.1f}v10h{:.1f}z"/>'
        '<path class="band" d="M{:.1f} 7H{:.1f}M{:.1f} 4v6M{:.1f} 4v6"/>'
        '<path class="limit" d="M{:.1f} 0v14"/><circle class="value" cx="{:.1f}" cy="7" r="2.4"/></svg>'
    ).format(f"{_ROW:g}", f"{_ROW_TALL:g}", wrong[0], wrong[1], -wrong[1], low, high, low, high, limit, value)


def plate_strip(finding: Finding, judge_by: str) -> Markup:
    """The strip under a plate, its ends and the requirement in figures; empty where there is none."""
    if finding.band is None or finding.required is None:
        return Markup("")
    scale = _scale(finding, judge_by, _SIDE, _WIDE - 2 * _SIDE)
    ends = finding.band.judged(judge_by)
    low, high = (scale.at(end) for end in ends)
    limit, value = scale.at(finding.required), scale.at(finding.band.value)
    wrong = _wrong(finding, scale, limit)
    decimals = band_places(finding)
    asked = "no overlap" if finding.check == "overlap" else f"required {plain(finding.required, decimals)}"
    anchor = "start" if limit < _WIDE / 3 else "end" if limit > _WIDE * 2 / 3 else "middle"
    return Markup(
        '<svg class="strip large" viewBox="0 0 {} {}" role="img" aria-label="{}">'
        '<path class="axis" d="M{} 30H{}"/><path class="wrong" d="M{:.1f} 22h{:.1f}v16h{:.1f}z"/>'
        '<path class="band" d="M{:.1f} 30H{:.1f}M{:.1f} 25v10M{:.1f} 25v10"/><path class="limit" d="M{:.1f} 16v26"/>'
        '<circle class="value" cx="{:.1f}" cy="30" r="4"/>'
        '<text x="{:.1f}" y="12" text-anchor="{}">{}</text>'
        '{}<text class="small" x="{:.1f}" y="65" text-anchor="middle">{} {}</text></svg>'
    ).format(
        f"{_WIDE:g}",
        f"{_TALL:g}",
        _said(finding, judge_by),
        f"{_SIDE:g}",
        f"{_WIDE - _SIDE:g}",
        *(wrong[0], wrong[1], -wrong[1]),
        *(low, high, low, high),
        limit,
        value,
        *(limit, anchor, asked),
        _figures(low, high, floored(ends[0], decimals), raised(ends[1], decimals)),
        *(_clear_of_ends(value), plain(finding.band.value, decimals), as_found(finding)),
    )


def _figures(low: float, high: float, bottom: str, top: str) -> Markup:
    """The ends of the band in figures, under the strip and away from each other, so that a narrow band keeps them
    apart; none where it has no width, for the value says the same."""
    if bottom == top:
        return Markup("")
    apart = max(0.0, (_APART - (high - low)) / 2)
    return Markup('<text x="{:.1f}" y="51" text-anchor="end">{}</text><text x="{:.1f}" y="51">{}</text>').format(
        low + _INWARD - apart, bottom, high - _INWARD + apart, top
    )


def _clear_of_ends(value: float) -> float:
    """The middle of the words under the strip, so that they stay on the drawing."""
    return min(max(value, _WORDS_HALF), _WIDE - _WORDS_HALF)


def _said(finding: Finding, judge_by: str) -> str:
    """The strip in words, for those who hear the page."""
    assert finding.band is not None  # noqa: S101 (the callers have looked)
    low, high = finding.band.judged(judge_by)
    decimals = band_places(finding)
    return (
        f"band from {floored(low, decimals)} to {raised(high, decimals)} {finding.unit}; "
        f"{finding.sense.value} {plain(finding.required or 0.0, decimals)} required"
    )


def _scale(finding: Finding, judge_by: str, left: float, width: float) -> _Scale:
    assert finding.band is not None  # noqa: S101 (the callers have looked)
    low, high = finding.band.judged(judge_by)
    required = finding.required or 0.0
    ends = (min(low, required, 0.0), max(high, required, 0.0))
    margin = 0.06 * (ends[1] - ends[0]) or 1.0
    return _Scale(bottom=ends[0] - (margin if ends[0] < 0.0 else 0.0), top=ends[1] + margin, left=left, width=width)


def _wrong(finding: Finding, scale: _Scale, limit: float) -> tuple[float, float]:
    """Where the wrong side of the requirement starts on the strip, and how long it is."""
    if finding.sense is Sense.AT_LEAST:
        return scale.left, limit - scale.left
    return limit, scale.left + scale.width - limit
