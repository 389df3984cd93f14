"""The result of one run: everything the renderers print, nothing they must work out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fitcheck.findings import Band, Finding, Status, Verdict
from fitcheck.model.quantity import Quantity
from fitcheck.result_heights import HeightsAnswer, ScrewRow

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
    off-diagonal -sum(m x y); its worst case is loose: no build exceeds it, none need reach it.
    """

    mass_kg: float | None
    mass_worst: float = 0.0
    mass_rss: float = 0.0
    cg_mm: tuple[float, float, float] | None = None
    cg_worst: tuple[float, float, float] = (0.0, 0.0, 0.0)
    cg_rss: tuple[float, float, float] = (0.0, 0.0, 0.0)
    inertia_kg_m2: Matrix3 | None = None
    inertia_worst: Matrix3 | None = None
    inertia_rss: Matrix3 | None = None
    missing: tuple[str, ...] = ()
    known_kg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleState:
    """The vehicle at one time. Masses in kg; `cg` in vehicle axes in mm, its height None where nothing tells it.

    `left` and `right` are known only where wheels or sides were weighed. `cg_elsewhere` is the same centre, named axes
    and coordinates, in other published conventions from the same datum. Inertia is about the vehicle's own centre of
    gravity in vehicle axes; `inertia_worst` and `inertia_rss` are half-widths.
    """

    front: Band
    rear: Band
    total: Band
    cg: tuple[Band, Band, Band | None]
    front_share: Band
    rear_share: Band
    left: Band | None = None
    right: Band | None = None
    stability_factor: Band | None = None
    cg_elsewhere: tuple[tuple[str, tuple[float, float, float]], ...] = ()
    inertia_kg_m2: Matrix3 | None = None
    inertia_worst: Matrix3 | None = None
    inertia_rss: Matrix3 | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleChange:
    """After less before; what both have in common cancels in the bands.

    The worst case of shares, centre, stability factor and inertia is loose: no build exceeds it, none need reach it.
    """

    front: Band
    rear: Band
    total: Band
    cg: tuple[Band, Band, Band | None]
    front_share: Band
    rear_share: Band
    left: Band | None = None
    right: Band | None = None
    stability_factor: Band | None = None
    inertia_kg_m2: Matrix3 | None = None
    inertia_worst: Matrix3 | None = None
    inertia_rss: Matrix3 | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitTest:
    """One limit of the rating plate. `of` is "front axle", "rear axle" or "gross mass"; None: cannot be worked out.

    `scale_kg` is what the scale showed after the job, where that speaks of the same load.
    """

    of: str
    limit_kg: float
    before: Band | None
    after: Band | None
    status: Status
    scale_kg: float | None = None

    @property
    def margin_kg(self) -> float | None:
        """What is left by the parts or by the scale, whichever leaves less; negative: over."""
        if self.after is None:
            return None
        return self.limit_kg - max(self.after.value, self.scale_kg or 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherMass:
    """The largest mass that may still go to one place before `bound_by` stops it: a limit's name, or an axle that would
    lift off. `kg` is what holds over the whole judged band, never below zero; `room` is what there is as drawn with its
    bands, below zero where something is over already, None where it may be without bound.
    """

    at: str
    kg: float
    bound_by: str
    room: Band | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MomentRow:
    """One part's moment about the front axle. `arm_mm` in vehicle axes; halves are worst case, `moment_rss_kg_m`
    is the root-sum-square of mass and arm; None: unknown.
    """

    part: str
    change: str
    mass_kg: float | None
    mass_half_kg: float
    arm_mm: tuple[float, float, float] | None
    arm_half_mm: tuple[float, float, float]
    moment_kg_m: float | None
    moment_half_kg_m: float
    moment_rss_kg_m: float
    source: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reconciled:
    """What the parts come to beside what the scale says, in kg; `allowed` is what both uncertainties explain."""

    what: str
    summed: Band
    scale: Band
    difference: float
    allowed: float
    scale_basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FastenerShare:
    """One fastener's share of a force in N. `way` is "shear" or "pull"; `strength_n` None: the class is not known."""

    screw: str
    count: int
    way: str
    share: Band
    strength_n: float | None
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RestraintRow:
    """The force in N on the mountings in one direction: mass times g times an acceleration from a public table."""

    direction: str
    g: float
    force: Band
    source: str
    shares: tuple[FastenerShare, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CardAnswer:
    """What a rule card that the layout names says, and what it comes to here."""

    name: str
    says: str
    answer: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleBalance:
    """What both builds do to the vehicle. Lengths in mm in vehicle axes: x rearward of the front axle, y right of the
    centre line, z above the ground. `laden` is `after` with the payload, `between` the vehicle with the old parts
    out and the new ones not yet in. A time that cannot be worked out is None, and `unknown` says why.
    """

    wheelbase_mm: float
    track_mm: float | None
    weighed_as: str
    steered: str
    before: VehicleState | None
    after: VehicleState | None
    laden: VehicleState | None = None
    between: VehicleState | None = None
    change: VehicleChange | None = None
    limits: tuple[LimitTest, ...] = ()
    further: tuple[FurtherMass, ...] = ()
    moments: tuple[MomentRow, ...] = ()
    reconciled: tuple[Reconciled, ...] = ()
    spring_drop_mm: tuple[tuple[str, Band], ...] = ()
    ground_clearance: tuple[Band, Band | None] | None = None
    raised_axle_height: Band | None = None
    restraint: tuple[RestraintRow, ...] = ()
    cards: tuple[CardAnswer, ...] = ()
    case_box_mm: tuple[tuple[float, float, float], tuple[float, float, float]] | None = None
    taken_as_exact: tuple[Quantity, ...] = ()
    guesses: tuple[Quantity, ...] = ()
    unknown: tuple[str, ...] = ()
    says: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Both builds side by side. `change` is None where either is unknown, `vehicle` where none is given."""

    ledger: tuple[LedgerRow, ...]
    original: MassSummary
    proposed: MassSummary
    change: MassSummary | None
    vehicle: VehicleBalance | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """How far one part could move before a finding would change, in mm; None: farther than `limit_mm`.

    Ways are words of the vehicle: forward, rearward, left, right, down, up.
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
class Default:
    """How many values take a default band, what it is in words, and where that comes from."""

    basis: str
    count: int
    says: str
    source: str


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
    defaults: tuple[Default, ...] = ()
    notes: tuple[str, ...] = ()
    counted: Counted | None = None
    balance: Balance | None = None
    room: tuple[Room, ...] = ()
    heights: HeightsAnswer | None = None
    screws: tuple[ScrewRow, ...] = ()


def verdict(findings: Iterable[Finding]) -> Verdict:
    """The one word for a list of findings, saying the same as the exit status: what was not checked is not known to
    fit.

    No finding at all means that no two parts come near each other: that fits.
    """
    seen = {finding.status for finding in findings}
    if Status.NOT_MET in seen:
        return Verdict.DOES_NOT_FIT
    if seen & {Status.CANNOT_TELL, Status.NOT_CHECKED}:
        return Verdict.CANNOT_TELL
    return Verdict.FITS_UNDER_CONCESSION if Status.UNDER_CONCESSION in seen else Verdict.FITS


def exit_status(findings: Iterable[Finding]) -> int:
    """0 all met or under concession, 1 something not met, 3 something cannot be told or was not checked."""
    seen = {finding.status for finding in findings}
    if Status.NOT_MET in seen:
        return 1
    return 3 if seen & {Status.CANNOT_TELL, Status.NOT_CHECKED} else 0
