"""Band of a value that was read several times: spread of the readings and the instrument's own error together.

The spread follows JCGM 100:2008 ("GUM") 4.2: standard deviation of the mean, times Student's t at 95 %. The
instrument's half-width is added, not combined by squares: it is the same in every reading and does not shrink with
their number.

Student's t (two-sided, 95 %) was computed and agrees with three public tables. One of them misprints two values, both
in its 99 % column, which is not used here.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.errors import OutsideTable
from fitcheck.sources import Source
from fitcheck.standards.verified import COMPUTED, THREE_PAGES

STUDENT_T_SOURCE = Source(document="JCGM 100:2008", clause="table G.2, 95 %", verified=f"{COMPUTED}; {THREE_PAGES}")

# Degrees of freedom, t.
STUDENT_T_95 = (
    (1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (5, 2.571), (6, 2.447), (7, 2.365), (8, 2.306), (9, 2.262),
    (10, 2.228), (11, 2.201), (12, 2.179), (13, 2.160), (14, 2.145), (15, 2.131), (16, 2.120), (17, 2.110), (18, 2.101),
    (19, 2.093), (20, 2.086), (21, 2.080), (22, 2.074), (23, 2.069), (24, 2.064), (25, 2.060), (26, 2.056), (27, 2.052),
    (28, 2.048), (29, 2.045), (30, 2.042), (35, 2.030), (40, 2.021), (45, 2.014), (50, 2.009), (60, 2.000), (80, 1.990),
    (100, 1.984),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingBand:
    """Mean of the readings and the half-width about it, in the unit of the readings."""

    mean: float
    half_width: float


def student_t_95(degrees_of_freedom: int) -> float:
    """Student's t, two-sided 95 %; between rows and beyond the last the next smaller row, whose t is larger."""
    if degrees_of_freedom < 1:
        raise OutsideTable("Student's t needs at least one degree of freedom, that is two readings")
    return min(t for freedom, t in STUDENT_T_95 if freedom <= degrees_of_freedom)


def reading_band(readings: Sequence[float], instrument_half_width: float) -> ReadingBand:
    """Mean and half-width of one size read several times with one instrument; OutsideTable for no reading.

    A single reading has the instrument's half-width alone.

    >>> reading_band([110.4, 110.5], 0.1).half_width > 0.1
    True
    """
    if not readings:
        raise OutsideTable("no reading, no band")
    mean = statistics.fmean(readings)
    if len(readings) == 1:
        return ReadingBand(mean=mean, half_width=instrument_half_width)
    of_mean = statistics.stdev(readings) / math.sqrt(len(readings))
    return ReadingBand(mean=mean, half_width=student_t_95(len(readings) - 1) * of_mean + instrument_half_width)
