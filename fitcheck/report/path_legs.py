"""The legs of an electrical path: how long each is, what it runs over, and which of them count."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import groupby, pairwise

import numpy as np

from fitcheck.findings import Finding, Point, Status
from fitcheck.report.near import off
from fitcheck.report.outline import Floats
from fitcheck.report.scene import DrawnPart, Scene
from fitcheck.report.wording import as_found, counted, plain, worst_first

ELECTRICAL = ("clearance", "creepage")
"""The checks whose findings are paths between metal."""

_ON_MM = 0.05
"""A leg that lies this near to a surface runs over it."""
_ON_SHARE = 0.12
"""Or this near for its length: over the facets of a round it is a chord, while a bridge stands half its width off."""
_SAME_MM = 1e-6
_AGREES_MM = 0.006
"""Legs that add up to the finding within this, each, are all of it."""


class Over(StrEnum):
    """What a leg runs over."""

    SURFACE = "surface"
    BRIDGED = "bridged"
    AIR = "air"
    STRAIGHT = "straight"
    METAL = "metal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One straight piece of a path, `length` in mm. `part` is what it runs over, "" in air; `mark` its letter.

    `counts` is false for what is spent for nothing: across floating metal, and beside it over less than X.
    """

    mark: str
    start: Point
    end: Point
    over: Over
    part: str
    length: float
    counts: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """All legs of a finding. `bridged_mm` is X; `agrees` tells whether the legs that count add up to its value."""

    legs: tuple[Leg, ...]
    bridged_mm: float | None
    agrees: bool

    @property
    def total(self) -> float:
        return sum(leg.length for leg in self.legs if leg.counts)

    @property
    def corners(self) -> list[Floats]:
        ends = [self.legs[0].start, *(leg.end for leg in self.legs)] if self.legs else []
        return [np.array(point) for point in ends]


def path_of(finding: Finding, scene: Scene) -> Path:
    """The path of a finding that has points, over the parts as they are drawn; without legs where its ends touch."""
    corners = [np.array(point) for point in (finding.way or finding.points or ())]
    steps = [(one, other) for one, other in pairwise(corners) if np.linalg.norm(other - one) > _SAME_MM]
    legs = [_leg(one, other, finding, scene) for one, other in steps]
    legs = _counted(_joined(legs), scene.bridged_mm)
    marked = tuple(replace(leg, mark=_letters(number)) for number, leg in enumerate(legs))
    path = Path(legs=marked, bridged_mm=scene.bridged_mm, agrees=True)
    found = None if finding.band is None else finding.band.value
    agrees = found is None or abs(path.total - found) <= _AGREES_MM * max(len(legs), 1)
    return replace(path, agrees=agrees)


def words(leg: Leg, bridged_mm: float | None) -> str:
    """ "over block", "bridged: narrower than X = 1.0 mm"."""
    said = {
        Over.SURFACE: f"over {leg.part}",
        Over.BRIDGED: _bridged_words(leg, bridged_mm),
        Over.AIR: "through air",
        Over.STRAIGHT: "straight, whatever lies between",
        Over.METAL: f"across {leg.part}, metal without a potential",
    }[leg.over]
    return said if leg.counts else f"{said}: counts nothing"


def _bridged_words(leg: Leg, bridged_mm: float | None) -> str:
    """In a groove that narrows downward the bridge is where it is X wide."""
    if bridged_mm is None:
        return "bridged"
    if leg.length >= bridged_mm - _SAME_MM:
        return f"bridged where it is X = {bridged_mm:.1f} mm wide"
    return f"bridged: narrower than X = {bridged_mm:.1f} mm"


def total_words(path: Path, finding: Finding) -> str:
    """ "1.00 + 4.00 + 1.00 = 6.00 mm as drawn", or the number of legs where they are many."""
    counting = [leg for leg in path.legs if leg.counts]
    if finding.band is None or not counting:
        return ""
    place = as_found(finding)
    if not path.agrees:
        found = plain(finding.band.value, 2)
        return f"{found} mm {place}; the legs as drawn here add up to {plain(path.total, 2)} mm, the finding decides"
    if len(counting) == 1:
        return f"{plain(path.total, 2)} mm {place}"
    if len(counting) > _MOST_SUMMED:
        return f"{counted(len(counting), 'leg')}, together {plain(path.total, 2)} mm {place}"
    return f"{' + '.join(plain(leg.length, 2) for leg in counting)} = {plain(path.total, 2)} mm {place}"


_MOST_SUMMED = 8


def critical(findings: Iterable[Finding], scene: Scene, judge_by: str) -> list[Finding]:
    """The electrical findings to be drawn, worst first."""
    return deciding(worst_first([one for one in findings if can_be_drawn(one, scene)], judge_by))


def deciding(worst_first: Iterable[Finding]) -> list[Finding]:
    """Of findings in that order the electrical ones in trouble, and of each check the tightest that is met.

    What several rules or both ages ask of one way is there once.
    """
    chosen: dict[tuple[object, ...], Finding] = {}
    met: set[str] = set()
    for one in worst_first:
        if one.check not in ELECTRICAL:
            continue
        if one.status is not Status.MET or one.check not in met:
            chosen.setdefault((one.check, one.parts, one.way or one.points), one)
        if one.status is Status.MET:
            met.add(one.check)
    return list(chosen.values())


def can_be_drawn(finding: Finding, scene: Scene) -> bool:
    return (
        finding.points is not None
        and finding.build == scene.build
        and len(finding.parts) == 2
        and all(name in scene.by_name for name in finding.parts)
    )


def _letters(number: int) -> str:
    """a to z, then aa, ab, ..."""
    letters = chr(ord("a") + number % 26)
    return letters if number < 26 else _letters(number // 26 - 1) + letters


def _leg(one: Floats, other: Floats, finding: Finding, scene: Scene) -> Leg:
    length = float(np.linalg.norm(other - one))
    over, part = _over(one, other, length, finding, scene)
    start, end = ((float(x), float(y), float(z)) for x, y, z in (one, other))
    return Leg(mark="", start=start, end=end, over=over, part=part, length=length)


def _over(one: Floats, other: Floats, length: float, finding: Finding, scene: Scene) -> tuple[Over, str]:
    floating = (part for part in scene.parts if part.conducts == "floating" and part.name not in finding.parts)
    ends = np.stack([one, other])
    for part in floating:
        if finding.way and (off(part, ends, _ON_MM) <= _ON_MM).all():
            return Over.METAL, part.name
    on = None if finding.check == "clearance" else _surface(one, other, length, scene)
    if on is not None:
        return Over.SURFACE, on.name
    if not finding.way:
        return Over.STRAIGHT, ""
    if finding.check == "clearance":
        return Over.AIR, ""
    narrow = scene.bridged_mm is not None and length < scene.bridged_mm + _SAME_MM
    return (Over.BRIDGED if narrow else Over.AIR), ""


def _surface(one: Floats, other: Floats, length: float, scene: Scene) -> DrawnPart | None:
    """The insulation that a leg lies on from end to end, the one it lies nearest to."""
    inside = np.array([0.2, 0.5, 0.8])[:, None]
    points = one + inside * (other - one)
    near = max(_ON_MM, _ON_SHARE * length)
    far = [(float(off(part, points, near).max()), part) for part in scene.parts if part.conducts == "insulation"]
    least = min(far, key=lambda pair: pair[0], default=(np.inf, None))
    return least[1] if least[0] <= near else None


def _joined(legs: Sequence[Leg]) -> list[Leg]:
    """Legs that go on straight over the same count as one."""
    joined: list[Leg] = []
    for leg in legs:
        if joined and _goes_on(joined[-1], leg):
            last = joined[-1]
            joined[-1] = replace(last, end=leg.end, length=last.length + leg.length)
        else:
            joined.append(leg)
    return joined


def _goes_on(one: Leg, other: Leg) -> bool:
    if (one.over, one.part) != (other.over, other.part) or one.over is Over.BRIDGED:
        return False
    first, second = (np.subtract(leg.end, leg.start) / leg.length for leg in (one, other))
    return float(first @ second) > 1.0 - 1e-9


def _counted(legs: Sequence[Leg], bridged_mm: float | None) -> list[Leg]:
    """Metal counts nothing, nor does a step beside it that is narrower than X as a whole."""
    runs = [list(run) for _, run in groupby(legs, key=lambda leg: leg.over is Over.METAL)]
    return [leg for run in runs for leg in _run(run, len(runs) > 1, bridged_mm)]


def _run(run: Sequence[Leg], beside_metal: bool, bridged_mm: float | None) -> Iterator[Leg]:
    free = run[0].over is Over.METAL
    if beside_metal and bridged_mm is not None:
        free = free or sum(leg.length for leg in run) < bridged_mm
    yield from (replace(leg, counts=not free) for leg in run)
