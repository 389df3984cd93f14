"""Findings: what was looked at, what was found, against what, and how sure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from fitcheck.sources import Source

TOUCH_MM = 1e-6
"""Touching within this is no overlap, and reaching a limit within this is met (contract)."""

Point = tuple[float, float, float]


class Status(StrEnum):
    MET = "met"
    NOT_MET = "not met"
    CANNOT_TELL = "cannot tell"
    NOT_CHECKED = "not checked"
    UNDER_CONCESSION = "under concession"


class Sense(StrEnum):
    AT_LEAST = "at least"
    AT_MOST = "at most"


class Verdict(StrEnum):
    FITS = "fits"
    FITS_UNDER_CONCESSION = "fits under concession"
    DOES_NOT_FIT = "does not fit"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A value with its worst-case and root-sum-square bounds, one unit throughout."""

    value: float
    low: float
    high: float
    rss_low: float
    rss_high: float

    def judged(self, judge_by: str) -> tuple[float, float]:
        """The bounds that decide: worst case, or root-sum-square when the layout asks for it."""
        return (self.rss_low, self.rss_high) if judge_by == "rss" else (self.low, self.high)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What is asked for. `rule_set` names the rule set where several judge the same pair; empty: the check's first."""

    name: str
    text: str
    source: Source
    rule_set: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One answer. Lengths in mm, points in case axes; None where there is nothing to say.

    `volume_mm3` is the volume shared by two overlapping closed parts. `rests_on_guess` names the guessed values in it.
    `way` is the line of a path found between the two `points`, corner by corner, where it is not straight. `in_play`
    tells that the value stands for parts that have moved in their play, to where they are nearest.
    """

    check: str
    parts: tuple[str, ...]
    build: str
    status: Status
    rule: Rule
    state: str = ""
    band: Band | None = None
    unit: str = ""
    required: float | None = None
    sense: Sense = Sense.AT_LEAST
    points: tuple[Point, Point] | None = None
    reason: str = ""
    settle_by: str = ""
    mend: str = ""
    volume_mm3: float | None = None
    rests_on_guess: tuple[str, ...] = ()
    way: tuple[Point, ...] = ()
    in_play: bool = False


def judge(band: Band, required: float, sense: Sense, judge_by: str) -> Status:
    """*met* only if the whole judged band meets the requirement, *not met* only if none of it does."""
    low, high = band.judged(judge_by)
    if sense is Sense.AT_MOST:
        low, high, required = -high, -low, -required
    if low >= required - TOUCH_MM:
        return Status.MET
    return Status.NOT_MET if high < required - TOUCH_MM else Status.CANNOT_TELL
