"""Flat go and no-go gauges for the tightest gaps between faces, cut from a sheet that does not conduct.

New modules are what is gauged, and they swell afterwards. So the long end is as wide as the gap must be when new for
the pair to keep what is asked of it at every age, and the short end is the largest gap of any build when new.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fitcheck.findings import TOUCH_MM, Band, Finding, Sense, Status
from fitcheck.makeable.contour import Loop, Round
from fitcheck.makeable.facing import LEAST_ACROSS_MM, LEAST_ALONG_MM, face_each_other
from fitcheck.makeable.growing import taken_mm
from fitcheck.makeable.piece import Label, Opening, Piece
from fitcheck.model.part import Part, State
from fitcheck.model.quantity import exact
from fitcheck.model.rules import Concession
from fitcheck.report.scene import DrawnPart, Scene
from fitcheck.standards.laser_cut import accuracy_mm

MOST_GAUGES = 6
THICKNESS_MM = 3.0
MATERIAL = "FR4 epoxy glass laminate"
GO_LENGTH = 60.0
STOP_LENGTH = 20.0
BODY_LENGTH = 90.0
LEAST_BODY = 34.0
CORD_HOLE = 6.0
MOST_NAMED = 12
LARGEST_MM = 80.0
"""Wider gaps are measured with a rule."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """Widths of a gauge in mm: `go` is `asked` and `taken`, what growth takes until the age that asks for most; `stop`
    is the largest gap that any build within tolerance has when new."""

    go: float
    stop: float
    asked: float
    taken: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ages:
    """The gap findings of one pair: when new, and at the end of life where the pair changes."""

    new: Finding
    aged: Finding | None

    @property
    def margin(self) -> tuple[float, tuple[str, ...]]:
        """What is to spare at the tighter age, to sort by."""
        known = [_band(finding) for finding in (self.new, self.aged) if finding is not None]
        return min(band.low - required for band, required in known), self.new.parts

    @property
    def pair(self) -> str:
        return " – ".join(self.new.parts)


def gauges(
    findings: Iterable[Finding],
    parts: Mapping[str, Part],
    scene: Scene,
    concessions: Sequence[Concession] = (),
) -> tuple[tuple[Piece, ...], tuple[str, ...]]:
    """(gauges, what is left out and why), tightest first; pairs that ask for the same two widths share one.

    Where a gap is under concession, its gauge goes down to what was conceded. A part that can move in its play is
    pushed toward the other for both ends. The scene shows the parts when new, as the findings have them.
    """
    kinds: dict[Ends, list[Finding]] = {}
    without: dict[str, list[str]] = defaultdict(list)
    left: list[str] = []
    for ages in sorted(_pairs(findings, concessions), key=lambda ages: ages.margin):
        both = ends(ages, parts)
        if both not in kinds and len(kinds) == MOST_GAUGES:
            left.append(ages.pair)
        elif reason := _why_not(ages, both, parts, scene.by_name):
            without[reason].append(ages.pair)
        else:
            kinds.setdefault(both, []).append(ages.new)
    skipped = [f"{_few(pairs)}: no gauge, {reason}" for reason, pairs in without.items()]
    if left:
        skipped.append(f"{_few(left)}: no gauge, more to spare than with the {MOST_GAUGES} kinds that are made")
    return tuple(_gauge(*kind, parts, scene) for kind in kinds.items()), tuple(skipped)


def _few(pairs: Sequence[str]) -> str:
    more = f" and {len(pairs) - MOST_NAMED} more pairs" if len(pairs) > MOST_NAMED else ""
    return ", ".join(pairs[:MOST_NAMED]) + more


def _pairs(findings: Iterable[Finding], concessions: Sequence[Concession]) -> Iterator[Ages]:
    """The pairs that a gauge may be made for."""
    found: dict[tuple[str, ...], dict[str, Finding]] = defaultdict(dict)
    for finding in findings:
        if _is_gap(finding):
            found[finding.parts][finding.state] = _conceded(finding, concessions)
    for states in found.values():
        new, aged = states.get(State.BEGINNING), states.get(State.END)
        if new is not None and _band(new)[0].high <= LARGEST_MM:
            yield Ages(new=new, aged=aged)


def _is_gap(finding: Finding) -> bool:
    return (
        finding.check == "gap"
        and finding.build == "proposed"
        and finding.sense is Sense.AT_LEAST
        and finding.band is not None
        and finding.required is not None
        and 0.0 < finding.required <= LARGEST_MM
        and finding.status is not Status.NOT_CHECKED
    )


def _conceded(finding: Finding, concessions: Sequence[Concession]) -> Finding:
    for concession in concessions:
        is_meant = concession.check == finding.check and sorted(concession.parts) == sorted(finding.parts)
        if is_meant and finding.status is Status.UNDER_CONCESSION:
            return replace(finding, required=concession.down_to.high)
    return finding


def _band(finding: Finding) -> tuple[Band, float]:
    if finding.band is None or finding.required is None:
        raise ValueError("a gauge needs a band and a requirement")
    return finding.band, finding.required


def ends(ages: Ages, parts: Mapping[str, Part]) -> Ends:
    """The two widths, to hundredths of a mm and never rounded down: a gap that lets the long end in keeps what is asked
    at every age.
    """
    new, required = _band(ages.new)
    asked = [(required, 0.0)]
    if ages.aged is not None:
        aged, then = _band(ages.aged)
        asked.append((then, taken_mm(new, aged, ages.new.parts, parts)))
    most, taken = max(asked, key=sum)
    return Ends(go=_raised(most + taken), stop=_raised(new.high), asked=most, taken=_raised(taken))


def _raised(value: float) -> float:
    """Up to the next hundredth, as the high ends of bands are printed."""
    return math.ceil((value - TOUCH_MM) * 100.0) / 100.0


def _why_not(ages: Ages, both: Ends, parts: Mapping[str, Part], placed: Mapping[str, DrawnPart]) -> str:
    """Why the pair has no gauge; "" where it has one."""
    if both.stop <= both.go:
        grown = f" after the {both.taken:g} mm that growth takes by the end of life" if both.taken else ""
        return f"no build keeps the {both.asked:g} mm{grown}"
    finding = ages.new
    one, other = (placed.get(name) for name in finding.parts)
    if one is None or other is None or finding.points is None:
        return "it is not known where the two are nearest"
    loose = sum(sum(play.most) for name in finding.parts if name in parts for play in parts[name].play)
    in_each_other = _band(finding)[0].value < 0.0
    if not face_each_other(one, other, finding.points, slack=loose, in_each_other=in_each_other):
        return (
            "no faces lie opposite each other where the gap is least, with an overlap of at least "
            f"{LEAST_ACROSS_MM:g} × {LEAST_ALONG_MM:g} mm: a flat tongue cannot measure from edge to edge or into a "
            "corner; measure it with a caliper or a ball gauge that does not conduct"
        )
    return ""


def _gauge(both: Ends, findings: list[Finding], parts: Mapping[str, Part], scene: Scene) -> Piece:
    go, stop = both.go, both.stop
    body = max(LEAST_BODY, go + 8.0, stop + 8.0)
    middle = body / 2.0
    left, right = GO_LENGTH, GO_LENGTH + BODY_LENGTH
    end = right + STOP_LENGTH
    corners = (
        (0.0, middle - go / 2.0), (left, middle - go / 2.0), (left, 0.0), (right, 0.0),
        (right, middle - stop / 2.0), (end, middle - stop / 2.0), (end, middle + stop / 2.0),
        (right, middle + stop / 2.0), (right, body), (left, body), (left, middle + go / 2.0), (0.0, middle + go / 2.0),
    )  # fmt: skip
    pairs = list(dict.fromkeys(" – ".join(finding.parts) for finding in findings))
    more = f" and {len(pairs) - 1} more" if len(pairs) > 1 else ""
    marks = [
        Label(text=f"GO {go:g}", at=(left + 4.0, 4.0), height=5.0),
        Label(text=f"NO-GO {stop:.2f}", at=(left + 44.0, 4.0), height=5.0),
        Label(text=f"{pairs[0]}{more}"[:40], at=(left + 4.0, 13.0), height=3.0),
    ]
    if both.taken:
        text = f"NEW MODULES: GROWTH {both.taken:g} IS IN GO"
        marks.append(Label(text=text, at=(left + 4.0, 18.0), height=2.5))
    return Piece(
        name=f"gauge {' '.join(findings[0].parts)}",
        kind="gauge",
        outline=Loop(corners=corners),
        openings=(Opening(contour=Round(centre=(left + BODY_LENGTH / 2.0, body - 8.0), diameter=CORD_HOLE)),),
        thickness=exact("gauge.thickness", THICKNESS_MM),
        width=exact("gauge.width", end),
        height=exact("gauge.height", body),
        material=MATERIAL,
        is_metal=False,
        of_parts=tuple(pairs),
        labels=tuple(marks),
        says=(*_says(both), *_where(findings, scene), *_pushed(findings, parts)),
    )


def _says(both: Ends) -> Iterator[str]:
    go, stop = both.go, both.stop
    if both.taken:
        yield (
            f"long end {go:g}, for new modules: {both.asked:g} that is asked for or conceded, and {both.taken:g} that "
            "growth takes of the gap by the end of life in the worst case; where it does not enter everywhere between "
            "the two faces, the gap may become too small as the modules age"
        )
    else:
        yield (
            f"long end {go:g}: the least gap that is asked for or conceded, and no growth takes of it; it must enter "
            "everywhere between the two faces"
        )
    new = ", all parts new" if both.taken else ""
    yield (
        f"short end {stop:.2f}: the largest gap that any build within the stated tolerances has{new}; where it enters, "
        "something is not as the layout says"
    )
    yield (
        f"finish the long end to {go:g} +0.1/-0 and the short end to {stop:.2f} +0.1/-0, other sizes to ±0.5; check "
        "both with a caliper"
    )
    off = accuracy_mm(THICKNESS_MM)
    if stop - go < 2.0 * off:
        yield f"the ends differ by {stop - go:.2f} only, and a cut may be {off:g} off: file them to size"
    if go < THICKNESS_MM:
        yield "a tongue narrower than the sheet is thick breaks easily: a plastic shim of that thickness does it too"


def _where(findings: Iterable[Finding], scene: Scene) -> Iterator[str]:
    """Across which gap of each pair: growth is that of this direction, and other sides may ask for another gauge."""
    along: dict[str, list[str]] = defaultdict(list)
    for finding in findings:
        along[_direction(finding, scene)].append(" – ".join(finding.parts))
    said = [f"{way} for {_few(pairs)}" for way, pairs in along.items()]
    yield f"it goes across the gap {'; '.join(said)}; of other sides of these parts it proves nothing"


def _direction(finding: Finding, scene: Scene) -> str:
    """The axis that the gap is measured along, such as "along y (right)"; "askew" between slanted faces."""
    near, far = finding.points or ((0.0,) * 3, (0.0,) * 3)
    steps = [abs(b - a) for a, b in zip(near, far, strict=True)]
    axis = steps.index(max(steps))
    if sum(steps) - steps[axis] > 0.01 * steps[axis]:
        return "askew, where the faces are nearest"
    return f"along {'xyz'[axis]} ({scene.axes[axis]})"


def _pushed(findings: Iterable[Finding], parts: Mapping[str, Part]) -> Iterator[str]:
    movable = dict.fromkeys(
        name for finding in findings for name in finding.parts if name in parts and parts[name].play
    )
    if movable:
        yield (
            f"{', '.join(movable)} can move as held: push it toward the other part and hold it there while either end "
            "is tried; left where it hangs, the gap is wider than what counts"
        )
