"""Flat go and no-go gauges for the tightest gaps, cut from a sheet that does not conduct."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace

from fitcheck.findings import Band, Finding, Sense, Status
from fitcheck.makeable.contour import Loop, Round
from fitcheck.makeable.piece import Label, Opening, Piece
from fitcheck.model.quantity import exact
from fitcheck.model.rules import Concession
from fitcheck.standards.laser_cut import accuracy_mm

MOST_GAUGES = 6
THICKNESS_MM = 3.0
MATERIAL = "non-conductive sheet (FR4 or the like)"
GO_LENGTH = 60.0
STOP_LENGTH = 20.0
BODY_LENGTH = 90.0
LEAST_BODY = 34.0
CORD_HOLE = 6.0
LARGEST_MM = 80.0
"""Wider gaps are measured with a rule."""


def gauges(
    findings: Iterable[Finding], concessions: Sequence[Concession] = (), loose: Collection[str] = ()
) -> tuple[tuple[Piece, ...], tuple[str, ...]]:
    """(gauges, what is left out and why), tightest first; pairs that ask for the same two widths share one.

    Where a gap is under concession, its gauge goes down to what was conceded. `loose` names the parts that can move
    in their play: both ends of a gauge hold where they are pushed toward the other part.
    """
    widths: dict[tuple[float, float], list[Finding]] = {}
    skipped: list[str] = []
    chosen = [_conceded(finding, concessions) for finding in findings if _asks_for_one(finding)]
    for finding in sorted(chosen, key=_margin):
        go, stop = ends(finding)
        if stop <= go:
            skipped.append(f"{' – '.join(finding.parts)}: no gauge, no build keeps the {go:g} mm")
        else:
            widths.setdefault((round(go, 3), round(stop, 3)), []).append(finding)
    kinds = list(widths.items())
    return tuple(_gauge(*kind, loose) for kind in kinds[:MOST_GAUGES]), tuple(dict.fromkeys(skipped))


def _asks_for_one(finding: Finding) -> bool:
    return (
        finding.check == "gap"
        and finding.build == "proposed"
        and finding.sense is Sense.AT_LEAST
        and finding.band is not None
        and finding.required is not None
        and 0.0 < finding.required <= LARGEST_MM
        and finding.band.high <= LARGEST_MM
        and finding.state != "end of life"
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


def _margin(finding: Finding) -> tuple[float, tuple[str, ...]]:
    band, required = _band(finding)
    return band.low - required, finding.parts


def ends(finding: Finding) -> tuple[float, float]:
    """(go, no-go) width in mm: the least gap required, and the largest that any build within tolerance has."""
    band, required = _band(finding)
    return required, band.high


def _gauge(widths: tuple[float, float], findings: list[Finding], loose: Collection[str]) -> Piece:
    go, stop = widths
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
    first = " ".join(findings[0].parts)
    return Piece(
        name=f"gauge {first}",
        kind="gauge",
        outline=Loop(corners=corners),
        openings=(Opening(contour=Round(centre=(left + BODY_LENGTH / 2.0, body - 8.0), diameter=CORD_HOLE)),),
        thickness=exact("gauge.thickness", THICKNESS_MM),
        width=exact("gauge.width", end),
        height=exact("gauge.height", body),
        material=MATERIAL,
        is_metal=False,
        of_parts=tuple(pairs),
        labels=(
            Label(text=f"GO {go:g}", at=(left + 4.0, 4.0), height=5.0),
            Label(text=f"NO-GO {stop:.2f}", at=(left + 44.0, 4.0), height=5.0),
            Label(text=f"{pairs[0]}{more}"[:40], at=(left + 4.0, 13.0), height=3.0),
        ),
        says=(*_says(go, stop), *_pushed(findings, loose)),
    )


def _says(go: float, stop: float) -> list[str]:
    says = [
        f"long end {go:g}: the least gap that is asked for or conceded; it must enter everywhere",
        (
            f"short end {stop:.2f}: the largest gap that any build within the stated tolerances has; where it enters, "
            "something is not as the layout says"
        ),
        f"finish the long end to {go:g} +0.1/-0 and the short end to {stop:.2f} +0.1/-0; check both with a caliper",
    ]
    off = accuracy_mm(THICKNESS_MM)
    if stop - go < 2.0 * off:
        says.append(f"the ends differ by {stop - go:.2f} only, and a laser cut may be {off:g} off: file them to size")
    if go < THICKNESS_MM:
        says.append(
            "a tongue narrower than the sheet is thick breaks easily: a plastic shim of that thickness does it too"
        )
    return says


def _pushed(findings: Iterable[Finding], loose: Collection[str]) -> Iterator[str]:
    movable = dict.fromkeys(name for finding in findings for name in finding.parts if name in loose)
    if movable:
        yield (
            f"{', '.join(movable)} can move as held: push it toward the other part and hold it there while either end "
            "is tried; left where it hangs, the gap is wider than what counts"
        )
