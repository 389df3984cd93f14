"""Numbers and names as a report says them, rounded so that nothing looks better than it is."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import pairwise

from fitcheck.findings import TOUCH_MM, Band, Finding, Sense, Status

BASIS = {"worst case": "worst case", "rss": "root-sum-square"}

_SEEN_MM = 0.005
"""Less than this does not show in two decimals."""

_PHRASES = {"gap": "gap between {}", "overlap": "overlap of {}", "clearance": "clearance between {}"}


def places(unit: str, numbers: Sequence[float], width: float) -> int:
    """How many decimals to print: two, or three where the band is under 1 and the third says something.

    A mass spread over 1 kg or more gets one.
    """
    if unit == "kg":
        return 1 if width >= 1.0 else 2
    third = any(abs(round(number, 2) - number) > TOUCH_MM for number in numbers)
    return 3 if width < 1.0 and third else 2


def plain(number: float, decimals: int) -> str:
    """Rounded to nearest, thousands set off by a space, never "-0.00"."""
    text = f"{number:,.{decimals}f}".replace(",", " ")
    return text.lstrip("-") if float(text.replace(" ", "")) == 0.0 else text


def as_stated(number: float) -> str:
    """Every decimal that says something, up to the sixth: a value of the layout must not be rounded away."""
    return plain(number, 6).rstrip("0").rstrip(".")


def floored(number: float, decimals: int) -> str:
    """Rounded down: the low end of a band must not be printed above what it is."""
    step = 10.0**decimals
    return plain(math.floor(number * step + TOUCH_MM * step) / step, decimals)


def raised(number: float, decimals: int) -> str:
    """Rounded up: the high end of a band, or a half-width, must not be printed below what it is."""
    step = 10.0**decimals
    return plain(math.ceil(number * step - TOUCH_MM * step) / step, decimals)


def band_places(finding: Finding) -> int:
    band = finding.band
    if band is None:
        return 2
    numbers = [band.value, band.low, band.high]
    if finding.required is not None:
        numbers.append(finding.required)
    return places(finding.unit, numbers, band.high - band.low)


def range_text(low: float, high: float, decimals: int) -> str:
    """ "1.25 to 3.75"; one number when there is no width."""
    if high - low <= TOUCH_MM:
        return plain(low, decimals)
    bottom, top = floored(low, decimals), raised(high, decimals)
    return bottom if bottom == top else f"{bottom} to {top}"


def with_unit(finding: Finding, low: float, high: float) -> str:
    """ "1.25 to 3.75 mm". A depth below zero is said as the distance that it is: "2.00 to 3.00 mm apart"."""
    decimals, unit = band_places(finding), f" {finding.unit}".rstrip()
    if finding.check != "overlap":
        return range_text(low, high, decimals) + unit
    if high <= TOUCH_MM:
        return f"{range_text(-high, -low, decimals)}{unit} apart"
    if low >= -TOUCH_MM:
        return f"{range_text(low, high, decimals)}{unit} deep"
    return f"{raised(-low, decimals)}{unit} apart to {raised(high, decimals)}{unit} deep"


def value_text(finding: Finding, value: float) -> str:
    """One number with its unit, rounded to the nearest: "2.31 mm"; for an overlap "2.31 mm apart" or "deep"."""
    text = f"{plain(abs(value) if finding.check == 'overlap' else value, band_places(finding))} {finding.unit}".rstrip()
    if finding.check != "overlap":
        return text
    return f"{text} {'deep' if value > TOUCH_MM else 'apart'}"


def as_found(finding: Finding) -> str:
    """Of which place a value speaks: the parts as they are drawn, or moved in their play to where they are nearest."""
    return "where the play is worst" if finding.in_play else "as drawn"


def judged_range(finding: Finding, judge_by: str) -> str:
    """The band that decides, with its unit; empty when nothing was measured."""
    return "" if finding.band is None else with_unit(finding, *finding.band.judged(judge_by))


def straight_across(finding: Finding) -> str:
    """ "3.00 mm": how far apart the ends of a path that bends or crosses metal lie, as drawn; else empty."""
    if finding.points is None or len(finding.way) < 3:
        return ""
    across = math.dist(*finding.points)
    bends = sum(math.dist(*leg) for leg in pairwise(finding.way)) - across > _SEEN_MM
    crosses_metal = finding.band is not None and across - finding.band.value > _SEEN_MM
    return f"{plain(across, 2)} mm" if bends or crosses_metal else ""


def requirement(finding: Finding) -> str:
    """ "at least 2.00 mm"; empty when nothing is required."""
    if finding.required is None:
        return ""
    if finding.check == "overlap":
        return "no overlap"
    number = plain(finding.required, band_places(finding))
    return f"{finding.sense.value} {number} {finding.unit}".rstrip()


def spare(finding: Finding, judge_by: str) -> float | None:
    """How far the worse end of the judged band is on the right side of the requirement; negative: on the wrong one."""
    if finding.band is None or finding.required is None:
        return None
    low, high = finding.band.judged(judge_by)
    return low - finding.required if finding.sense is Sense.AT_LEAST else finding.required - high


def has_width(band: Band) -> bool:
    return band.high - band.low > TOUCH_MM


def listed(names: Sequence[str]) -> str:
    """ "m1", "m1 and case", "m1, m2 and case"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def subject(finding: Finding) -> str:
    """What a finding is about, in words: "gap between m1 and case"."""
    if not finding.parts:
        return finding.check
    said = _PHRASES.get(finding.check, finding.check + " of {}").format(listed(finding.parts))
    return f"{said}, by {finding.rule.rule_set}" if finding.rule.rule_set else said


def counted(number: int, one: str, many: str = "") -> str:
    """ "1 finding", "3 findings"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


WORST_FIRST = (Status.NOT_MET, Status.CANNOT_TELL, Status.UNDER_CONCESSION, Status.NOT_CHECKED, Status.MET)


def worst_first(findings: Sequence[Finding], judge_by: str) -> list[Finding]:
    """Grouped by status, the least to spare first; findings without a number follow, in the order they came."""

    def rank(finding: Finding) -> tuple[int, bool, float]:
        left = spare(finding, judge_by)
        return (WORST_FIRST.index(finding.status), left is None, 0.0 if left is None else left)

    return sorted(findings, key=rank)


def settling(finding: Finding) -> str:
    """What would settle it, as something to do: "measure the inside length (x) of case to ± 0.5 mm (in the layout:
    case.inside.x)"; what names no value of the layout is said as it is.
    """
    found = _ASKED.fullmatch(finding.settle_by)
    act = "" if found is None else value_act(found["part"], found["value"])
    if found is not None and act:
        return f"{act}{found['accuracy'] or ''} (in the layout: {found['part']}.{found['value']})"
    return f"find out {finding.settle_by}" if "±" in finding.settle_by else finding.settle_by


_ASKED = re.compile(r"(?:measure )?(?P<part>[^.]+)\.(?P<value>[^ ]+)(?P<accuracy> to ± .+)?")


def value_act(part: str, value: str) -> str:
    """How a value of the layout becomes known: "measure the wall thickness of case" for ("case", "wall"), "weigh m1"
    for ("m1", "mass"); empty for a value that has no words here.
    """
    if value == "mass":
        return f"weigh {part}"
    if value in _SIZES:
        return f"measure the {_SIZES[value]} of {part}"
    *stem, last = value.split(".")
    if stem and stem[0] in _PLACED:
        side = f"{last} side" if last in ("left", "right") else last
        what = f"{part} lies along {last}" if last in _ALONG else f"the {side} of {part} lies"
        return f"measure where {what}"
    piece = f"{{}} of piece {stem[0]}" if stem and stem[0].isdigit() else ""
    which = _WHICH.get(".".join(stem), piece)
    return f"measure the {which.format(_ALONG[last])} of {part}" if which and last in _ALONG else ""


_ALONG = {"x": "length (x)", "y": "width (y)", "z": "height (z)"}
_WHICH = {"": "{}", "inside": "inside {}", "outline": "overall {}"}
_PLACED = ("place", "low_corner", "inside_low_corner")
_SIZES = {
    "diameter": "diameter",
    "length": "length",
    "height": "height",
    "wall": "wall thickness",
    "floor": "floor thickness",
    "inside": "inside diameter",
    "outside": "outside diameter",
    "flange.width": "width of the flange",
    "flange.thickness": "thickness of the flange",
    "lip.width": "width of the lip",
    "lip.thickness": "thickness of the lip",
    "turn.x": "angle about x",
    "turn.y": "angle about y",
    "turn.z": "angle about z",
}


def mending(finding: Finding) -> str:
    """What would mend it: "move m5 left by 7.8 mm, with its cover (in the layout: m5.place.left 18 → 10.2)"."""

    def said(move: re.Match[str]) -> str:
        carried = f", with {listed(move['carried'].split(', '))}" if move["carried"] else ""
        return f"{carried} (in the layout: {move['name']} {move['old']} → {move['new']})"

    text = _MOVED.sub(said, finding.mend)
    return text.replace("no change of a single placing number", "no single move of one part")


_MOVED = re.compile(
    r" \((?P<name>[^:()]+): (?P<old>[-+.\de]+) -> (?P<new>[-+.\de]+)(?:; (?P<carried>[^()]+) follow)?\)"
)


def is_act(mend: str) -> bool:
    """Whether a hint says what to do, and not that nothing was found."""
    return bool(mend) and not mend.startswith(("no ", "none ", "not "))
