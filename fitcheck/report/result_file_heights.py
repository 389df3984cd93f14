"""Found heights and screws in the result file."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from fitcheck.report.result_base import Model, Number


class HeightEntry(Model):
    """A height that was asked for; `height_mm` null: no choice of pieces does."""

    part: str
    height_mm: Number | None
    pieces: tuple[Number, ...] = Field(description="thickest first")
    least_nominal_mm: Number | None = Field(description="least height that would do, if it could be cut to any measure")
    least_by: dict[str, Number | None] = Field(description="the same judged by nominal, worst case and rss")
    written_mm: Number = Field(description="the height in the layout as written")
    tolerance_mm: tuple[Number, Number] = Field(description="below and above, of the whole height")
    decided_by: str = Field(description="the requirement that keeps it from being less")
    same_as: str = Field(description="the height that it is tied to, if any")


class LinkEntry(Model):
    """One value of a stack; it adds `factor` times itself. Shares are of the whole uncertainty."""

    value: str
    factor: Number
    nominal_mm: Number
    tolerance_mm: tuple[Number, Number]
    known_by: str
    share_worst: Number
    share_rss: Number


class StackEntry(Model):
    """One upright distance as a signed list of links, with the chosen heights in it."""

    title: str
    parts: tuple[str, ...]
    state: str
    value_mm: Number
    worst_mm: tuple[Number, Number]
    rss_mm: tuple[Number, Number]
    links: tuple[LinkEntry, ...]
    rest_mm: Number = Field(description="what no single length stands for, such as growth and turns")


class ConflictEntry(Model):
    """One of the requirements that contradict each other, and how far it alone would have to give way."""

    what: str
    by: Number | None
    unit: Literal["mm", "pieces"]
    is_smallest: bool = Field(
        default=True, description="whether no smaller set contradicts; else only none of this one can be spared"
    )


class MovedEntry(Model):
    """Something that the found heights change beyond themselves."""

    what: str
    parts: tuple[str, ...]
    state: str
    before: str
    after: str
    by: str


class ScrewEntry(Model):
    """One kind of screw. Windows are (shortest, longest) lengths, the longest null where nothing limits it."""

    screw: str
    grip_mm: Number | None = Field(description="null where a clamped thickness is unknown or nothing is clamped")
    window_mm: tuple[Number, Number | None] | None = Field(description="nominal; null where nothing can be said")
    length_mm: Number | None = Field(description="null where no length inside the window is sold")
    opened_by: str = Field(description="the single washer or plate that would open one")
    thread: str
    places: int
    grip_worst_mm: tuple[Number, Number] | None
    worst_window_mm: tuple[Number, Number | None] | None = Field(
        description="nominal lengths that hold at worst, the screw's own tolerance included; crossed: none do"
    )
    length_tolerance_mm: Number
    engagement_mm: Number | None
    published_engagement_mm: tuple[Number, Number] | None
    choices: tuple[tuple[str, Number], ...] = Field(description="what else would do: what is changed, screw length")
    torque_nm: Number | None
    preload_kn: tuple[Number, Number] | None = Field(description="at both ends of what friction can be")
    proof_kn: Number | None
    notes: tuple[str, ...]
