"""The result file as typed models: one definition both writes the JSON and publishes its schema."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from fitcheck.findings import Sense, Status, Verdict
from fitcheck.report.result_base import Matrix, Number, Triple
from fitcheck.report.result_base import Model as _Model
from fitcheck.report.result_file_heights import ConflictEntry, HeightEntry, MovedEntry, ScrewEntry, StackEntry


class LayoutEntry(_Model):
    """Which layout this result is about."""

    file: str
    title: str
    sha256: str = Field(description="of the layout file's bytes")


class RuleEntry(_Model):
    """What was asked, and where that was read."""

    name: str
    text: str
    source: str


class FindingEntry(_Model):
    """One answer. Lengths in mm, masses in kg, points in case axes; null where there is nothing to say."""

    check: str
    parts: tuple[str, ...]
    build: str
    state: str
    status: Status
    value: Number | None = Field(description="the nominal")
    low: Number | None = Field(description="worst case over all builds within tolerance")
    high: Number | None = Field(description="worst case over all builds within tolerance")
    rss_low: Number | None = Field(description="root-sum-square")
    rss_high: Number | None = Field(description="root-sum-square")
    unit: str
    required: Number | None
    sense: Sense | None
    points: tuple[Triple, Triple] | None
    rule: RuleEntry
    reason: str
    settle_by: str
    mend: str
    volume_mm3: Number | None = Field(default=None, description="shared by two overlapping closed parts; else left out")
    way: tuple[Triple, ...] | None = Field(
        default=None, description="corners of the path found between the two points; left out where it is straight"
    )
    rests_on_guess: tuple[str, ...] = Field(default=(), description="guessed values in it; left out when none")


class MassEntry(_Model):
    """One build, or the change between the two. Each *worst and *rss is a half-width."""

    mass_kg: Number | None
    cg_mm: Triple | None = Field(description="in case axes from the case datum")
    inertia_kg_m2: Matrix | None = Field(
        description="tensor about the build's own centre of gravity in case axes, off-diagonal -sum(m x y)"
    )
    mass_worst_kg: Number
    mass_rss_kg: Number
    cg_worst_mm: Triple
    cg_rss_mm: Triple
    inertia_worst_kg_m2: Matrix | None = Field(description="loose: never exceeded, not always reached")
    inertia_rss_kg_m2: Matrix | None
    missing: tuple[str, ...] = Field(description="parts without a known mass or centre")
    known_kg: Number = Field(description="the sum of the masses that are known")


class LedgerEntry(_Model):
    """One part's share in the balance."""

    part: str
    change: str
    mass_kg: Number | None
    mass_low_kg: Number | None
    mass_high_kg: Number | None
    centre_mm: Triple | None
    centre_band_mm: Triple
    source: str
    reason: str


class BandEntry(_Model):
    """A figure with its worst case and its root-sum-square bounds."""

    value: Number
    low: Number
    high: Number
    rss_low: Number
    rss_high: Number


class VehicleStateEntry(_Model):
    """The vehicle at one time. In vehicle axes: x rearward of the front axle, y right, z up from the ground."""

    front_kg: Number
    rear_kg: Number
    total_kg: Number
    left_kg: Number | None = Field(description="null where only axles were weighed")
    right_kg: Number | None
    cg_mm: tuple[Number, Number, Number | None] = Field(description="the height is null where nothing tells it")
    stability_factor: Number | None = Field(description="half the track over the height of the centre of gravity")
    cg_elsewhere_mm: dict[str, Triple] = Field(
        description="the same centre in other published axes from the front axle on the ground; empty without a height"
    )
    front_share: Number
    rear_share: Number
    inertia_kg_m2: Matrix | None = Field(description="about the vehicle's own centre of gravity, vehicle axes")
    inertia_worst_kg_m2: Matrix | None
    inertia_rss_kg_m2: Matrix | None
    bands: dict[str, BandEntry] = Field(description="the bands of the figures above, by name")


class VehicleChangeEntry(_Model):
    """After less before. Of centre, shares, stability factor and inertia the worst case is loose: never exceeded."""

    front_kg: BandEntry
    rear_kg: BandEntry
    total_kg: BandEntry
    cg_mm: tuple[BandEntry, BandEntry, BandEntry | None]
    left_kg: BandEntry | None = Field(description="null where no sides are known")
    right_kg: BandEntry | None
    front_share: BandEntry
    rear_share: BandEntry
    stability_factor: BandEntry | None
    inertia_kg_m2: Matrix | None = Field(description="null where the layout states no inertia; likewise the next two")
    inertia_worst_kg_m2: Matrix | None
    inertia_rss_kg_m2: Matrix | None


class LimitEntry(_Model):
    """One limit of the rating plate."""

    of: str
    limit_kg: Number
    before: BandEntry | None
    after: BandEntry | None = Field(description="with the payload where there is one")
    margin_kg: Number | None = Field(description="to the sum of parts or to the scale after the job, the smaller one")
    scale_kg: Number | None = Field(description="what the scale showed after the job")
    status: Status


class FurtherEntry(_Model):
    """The largest mass that may still go there before a limit is reached, or an axle lifts off."""

    at: str
    kg: Number = Field(description="what holds over the whole judged band; 0 where nothing is sure")
    bound_by: str
    room_kg: BandEntry | None = Field(description="as drawn, with its bands; below zero: over; null: without bound")


class MomentEntry(_Model):
    """One part's moment about the front axle; halves are worst case."""

    part: str
    change: str
    mass_kg: Number | None
    mass_half_kg: Number
    arm_mm: Triple | None
    arm_half_mm: Triple
    moment_kg_m: Number | None
    moment_half_kg_m: Number
    moment_rss_kg_m: Number
    source: str
    reason: str


class ReconciledEntry(_Model):
    """What the parts come to beside what the scale says."""

    what: str
    summed_kg: BandEntry
    scale_kg: BandEntry
    difference_kg: Number
    allowed_kg: Number
    scale_basis: str


class FastenerEntry(_Model):
    """One fastener's share of a force."""

    screw: str
    count: int
    way: Literal["shear", "pull"]
    share_n: Number = Field(description="worst case")
    share_band_n: BandEntry
    strength_n: Number | None
    basis: str


class RestraintEntry(_Model):
    """A force on the mountings: an estimate for an engineer to sign."""

    direction: str
    g: Number
    force_n: Number
    force_high_n: Number
    force_band_n: BandEntry
    source: str
    shares: tuple[FastenerEntry, ...]


class CardEntry(_Model):
    """What a rule card says and what it comes to here; not an approval."""

    name: str
    says: str
    answer: str
    source: str


class VehicleEntry(_Model):
    """What both builds do to the vehicle."""

    wheelbase_mm: Number
    track_mm: Number | None
    weighed_as: str
    steered: str
    before: VehicleStateEntry | None
    after: VehicleStateEntry | None
    laden: VehicleStateEntry | None = Field(default=None, description="after, with the payload; left out without one")
    change: VehicleChangeEntry | None
    limits: tuple[LimitEntry, ...]
    further: tuple[FurtherEntry, ...]
    moments: tuple[MomentEntry, ...]
    reconciled: tuple[ReconciledEntry, ...]
    spring_drop_mm: dict[str, BandEntry]
    ground_clearance_mm: tuple[BandEntry, BandEntry | None] | None = Field(description="measured, and after")
    raised_axle_height_mm: BandEntry | None
    restraint: tuple[RestraintEntry, ...]
    rule_cards: tuple[CardEntry, ...]
    unknown: tuple[str, ...]
    says: tuple[str, ...]


class BalanceEntry(_Model):
    """Both builds side by side; `change` is null where either is unknown."""

    original: MassEntry
    proposed: MassEntry
    change: MassEntry | None
    ledger: tuple[LedgerEntry, ...]
    vehicle: VehicleEntry | None = Field(default=None, description="left out where the layout gives no vehicle")


class WayEntry(_Model):
    """One of six ways to move; `distance_mm` null: farther than `limit_mm`."""

    way: str
    distance_mm: Number | None
    stopped_by: str


class RoomEntry(_Model):
    """How far one part could still move before a finding would change."""

    part: str
    limit_mm: Number
    ways: tuple[WayEntry, ...]


class CountedEntry(_Model):
    """What was looked at without being listed."""

    parts: int
    pairs: int
    measured: int
    far_apart: int


class SolvedEntry(_Model):
    """What the `heights` verb says in a study: of the layout with the found heights, or what contradicts."""

    heights_found: bool = Field(description="false: no heights do, and the findings speak of the layout as written")
    verdict: Verdict
    judge_by: Literal["worst case", "rss"]
    findings: tuple[FindingEntry, ...]
    notes: tuple[str, ...]


class ResultFile(_Model):
    """The result of one fitcheck run. All lengths in mm, masses in kg, voltages in V, angles in degrees."""

    fitcheck: Literal[1] = Field(description="version of this format")
    layout: LayoutEntry
    verdict: Verdict
    not_covered: tuple[str, ...] = Field(description="what the verdict does not speak of")
    taken_as_exact: int = Field(ge=0, description="how many values were taken without a band")
    findings: tuple[FindingEntry, ...]
    balance: BalanceEntry | None = Field(default=None, description="left out where the verb does not weigh")
    room_left: tuple[RoomEntry, ...] = Field(default=(), description="left out when not looked for")
    heights: tuple[HeightEntry, ...] = Field(default=(), description="left out where no heights were looked for")
    screws: tuple[ScrewEntry, ...] = Field(default=(), description="left out where no screws were looked at")
    stacks: tuple[StackEntry, ...] = Field(default=(), description="left out where no heights were looked for")
    contradiction: tuple[ConflictEntry, ...] = Field(
        default=(), description="the smallest set that cannot hold together; left out where heights were found"
    )
    moved: tuple[MovedEntry, ...] = Field(default=(), description="what the found heights drag along")
    supports: tuple[str, ...] = Field(default=(), description="what is to be said of equal supports and shim packs")
    solved: SolvedEntry | None = Field(
        default=None, description="study only, where heights or screws are stated; `findings` are of it as written"
    )
    verdicts: dict[str, Verdict] = Field(
        default_factory=dict, description="study only: what each verb says by itself; `verdict` is that of all"
    )
    verb: str = Field(description="the command that was run")
    judge_by: Literal["worst case", "rss"] = Field(description="which band decides the statuses")
    guesses: tuple[str, ...] = Field(description="names of guessed values; what rests on one is never met")
    notes: tuple[str, ...]
    counted: CountedEntry | None = Field(default=None, description="left out where no pairs were looked at")
    made_with: dict[str, str] = Field(
        default_factory=dict, description="versions of Python and of the libraries that decide numbers, by name"
    )
