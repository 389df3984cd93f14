"""The result of one run: everything the renderers print, nothing they must work out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fitcheck.findings import Finding, Status, Verdict
from fitcheck.model.quantity import Quantity

Matrix3 = tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerRow:
    """One part in the mass ledger. `mass` None: unknown. `source` in plain words: "scale", "volume x density"."""

    part: str
    change: str
    mass: Quantity | None
    centre: tuple[float, float, float] | None
    centre_band: tuple[float, float, float]
    source: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MassSummary:
    """Mass, centre of gravity and inertia of one build; None where a part's mass or centre is unknown.

    Each *_worst and *_rss is a half-width. `inertia_kg_m2` is about the build's own centre of gravity, case axes,
    off-diagonal -sum(m x y).
    """

    mass_kg: float | None
    mass_worst: float = 0.0
    mass_rss: float = 0.0
    cg_mm: tuple[float, float, float] | None = None
    cg_worst: tuple[float, float, float] = (0.0, 0.0, 0.0)
    cg_rss: tuple[float, float, float] = (0.0, 0.0, 0.0)
    inertia_kg_m2: Matrix3 | None = None
    inertia_rss: Matrix3 | None = None
    missing: tuple[str, ...] = ()
    known_kg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Both builds side by side. `change` is None where either is unknown."""

    ledger: tuple[LedgerRow, ...]
    original: MassSummary
    proposed: MassSummary
    change: MassSummary | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How far one part could move before a finding would change, in mm; None: farther than `limit_mm`.

    In face words of the case: front, rear, left, right, bottom, top.
    """

    part: str
    limit_mm: float
    ways: tuple[tuple[str, float | None, str], ...]
    """(way, distance, what stops it)"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """What was looked at without being listed."""

    parts: int
    pairs: int
    measured: int
    far_apart: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """Everything one verb found about one layout. `verb` decides which findings make the exit status."""

    verb: str
    file: str
    title: str
    sha256: str
    judge_by: str
    verdict: Verdict
    findings: tuple[Finding, ...]
    not_covered: tuple[str, ...]
    taken_as_exact: tuple[Quantity, ...]
    guesses: tuple[Quantity, ...]
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    counted: Counted | None = None
    balance: Balance | None = None
    room: tuple[Room, ...] = ()


def verdict(findings: Iterable[Finding]) -> Verdict:
    """The one word for a list of findings; *not checked* findings leave it to `not_covered`, not to silence."""
    seen = {finding.status for finding in findings}
    if Status.NOT_MET in seen:
        return Verdict.DOES_NOT_FIT
    if Status.CANNOT_TELL in seen or (Status.MET not in seen and Status.UNDER_CONCESSION not in seen):
        return Verdict.CANNOT_TELL
    return Verdict.FITS_UNDER_CONCESSION if Status.UNDER_CONCESSION in seen else Verdict.FITS


def exit_status(findings: Iterable[Finding]) -> int:
    """0 all met or under concession, 1 something not met, 3 something cannot be told or was not checked."""
    seen = {finding.status for finding in findings}
    if Status.NOT_MET in seen:
        return 1
    return 3 if seen & {Status.CANNOT_TELL, Status.NOT_CHECKED} else 0
