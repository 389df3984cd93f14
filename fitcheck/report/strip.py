"""One gap as a line of characters: its band laid beside what is required."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.findings import TOUCH_MM, Finding, Sense
from fitcheck.report.look import Look
from fitcheck.report.wording import band_places, floored, raised

_CELLS = 56


@dataclass(frozen=True, slots=True, kw_only=True)
class _Marks:
    wrong: str
    right: str
    limit: str
    start: str
    run: str
    end: str
    value: str


_ASCII = _Marks(wrong="/", right=".", limit="!", start="[", run="-", end="]", value="o")
_FINE = _Marks(wrong="░", right="·", limit="┃", start="├", run="─", end="┤", value="●")


def _marks(look: Look) -> _Marks:
    return _ASCII if look.ascii_only else _FINE


def legend(look: Look) -> str:
    """What the characters of a strip mean, in one sentence."""
    marks = _marks(look)
    return (
        f"In each strip {marks.limit} is what is required, {marks.wrong * 3} the wrong side of it, "
        f"{marks.start}{marks.run}{marks.value}{marks.run}{marks.end} the band with the value as drawn; "
        "of parts with play, where that is worst."
    )


def strip(finding: Finding, judge_by: str, look: Look) -> str:
    """One line from a round lower to a round upper end; empty where there is no band or no requirement."""
    if finding.band is None or finding.required is None:
        return ""
    low, high = finding.band.judged(judge_by)
    ends = (min(low, finding.required, 0.0), max(high, finding.required, 0.0))
    margin = 0.06 * (ends[1] - ends[0]) or 1.0
    # Zero is where parts touch: the strip starts there unless the band reaches below it.
    bottom = ends[0] - margin if ends[0] < 0.0 else 0.0
    top = ends[1] + margin

    def cell(number: float) -> int:
        return max(0, min(_CELLS - 1, round((number - bottom) / (top - bottom) * (_CELLS - 1))))

    marks = _marks(look)
    limit = cell(finding.required)
    at_least = finding.sense is Sense.AT_LEAST
    line = [marks.wrong if (at == limit or (at < limit) == at_least) else marks.right for at in range(_CELLS)]
    value = cell(finding.band.value)
    if value == limit and abs(finding.band.value - finding.required) > TOUCH_MM:
        # Both are to be seen, and the side on which the value stands must be true.
        value += 1 if finding.band.value > finding.required else -1
    _lay_band(line, min(cell(low), value), value, max(cell(high), value), marks)
    if value != limit:
        line[limit] = marks.limit
    decimals = band_places(finding)
    return f"{floored(bottom, decimals)} {''.join(line)} {raised(top, decimals)} {finding.unit}".rstrip()


def _lay_band(line: list[str], start: int, value: int, end: int, marks: _Marks) -> None:
    """Draw the band over the line; where it is a single cell only its value shows."""
    for at in range(start, end + 1):
        line[at] = marks.run
    if end > start:
        line[start], line[end] = marks.start, marks.end
    line[value] = marks.value
