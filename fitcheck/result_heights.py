"""Found heights and screws as a result holds them: what the renderers print, nothing they must work out."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.findings import Band


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundRow:
    """A height that was asked for; `height_mm` None: no choice of pieces does. `least_by` holds the least height that
    would do if it could be cut to any measure, by nominal, worst case and rss; None where nothing does.

    `below_mm` and `above_mm` are the tolerance of the whole height, `decided_by` the requirement that keeps it from
    being less, `same_as` the height that it is tied to.
    """

    part: str
    height_mm: float | None
    pieces: tuple[float, ...]
    least_nominal_mm: float | None
    least_by: tuple[tuple[str, float | None], ...]
    written_mm: float
    below_mm: float
    above_mm: float
    decided_by: str = ""
    same_as: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConflictRow:
    """One of the requirements or limits that contradict each other, and how far it alone would have to give way
    (None: that would not help). `unit` is "mm" or "pieces"."""

    what: str
    parts: tuple[str, ...]
    check: str
    by: float | None
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkRow:
    """One value in a stack: it adds `factor` times itself. Shares are of the whole uncertainty, 0 to 1."""

    value: str
    factor: float
    nominal_mm: float
    below_mm: float
    above_mm: float
    known_by: str
    share_worst: float
    share_rss: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StackRow:
    """One upright distance as a signed list of links; `rest_mm` is what no single length stands for."""

    title: str
    parts: tuple[str, ...]
    state: str
    band: Band
    required: tuple[tuple[str, float], ...]
    links: tuple[LinkRow, ...]
    rest_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedRow:
    """What the found heights change beyond themselves. `before` and `after` are as the report says them; `by` names
    the heights that moved it."""

    what: str
    parts: tuple[str, ...]
    state: str
    before: str
    after: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewRow:
    """One kind of screw. Windows are (shortest, longest) lengths; longest None: nothing limits it; the whole None:
    nothing can be said, and `notes` say why. `length_mm` None: no preferred length lies inside. The grips are None
    where nothing is clamped, or a washer that no table holds.

    `engagement_mm` is what the window was made with, `published_mm` the span that sources give, `choices` what else
    would do: (what is added, length).
    """

    screw: str
    thread: str
    places: int
    grip_mm: float | None
    grip_low_mm: float | None
    grip_high_mm: float | None
    grip_of: tuple[tuple[str, float], ...]
    engagement_mm: float | None
    published_mm: tuple[float, float] | None
    window_mm: tuple[float, float | None] | None
    worst_window_mm: tuple[float, float | None] | None
    length_mm: float | None
    length_pm_mm: float
    opened_by: str = ""
    choices: tuple[tuple[str, float], ...] = ()
    torque_nm: float | None = None
    preload_kn: tuple[float, float] | None = None
    proof_kn: float | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightsAnswer:
    """What the heights verb found beside its findings. `solved` is False where the requirements contradict;
    `is_smallest` is then whether no smaller set of them does."""

    solved: bool
    prefer: str
    found: tuple[FoundRow, ...]
    stacks: tuple[StackRow, ...] = ()
    conflict: tuple[ConflictRow, ...] = ()
    is_smallest: bool = True
    moved: tuple[MovedRow, ...] = ()
    supports: tuple[str, ...] = ()
