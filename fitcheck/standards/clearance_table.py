"""Tables of IEC 60664-1 behind a clearance: F.1 rated impulse, F.2 by impulse, F.8 by periodic peak, A.2 altitude.

The bought standard was not read: each row says on how many public pages that quote it the figures were read. Before any
safety claim the bought standard decides.
"""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.sources import Source
from fitcheck.standards.verified import ONE_PAGE, TWO_PAGES, in_conflict

DOCUMENT = "IEC 60664-1:2020"
PARTLY_TWICE = "read in full on one public page; a second one shows part of the table and agrees there"
NEW_EDITION = "read on one public page, row of the 2020 edition only"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearanceRow:
    """Clearance in mm by impulse withstand voltage in kV, to 2000 m: three pollution degrees for each field.

    `inhomogeneous` is case A, `homogeneous` case B, which needs an impulse test.
    """

    impulse_kv: float
    is_preferred: bool
    inhomogeneous: tuple[float, float, float]
    homogeneous: tuple[float, float, float]
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class PeakRow:
    """Clearance in mm by steady-state or periodic peak voltage in kV."""

    peak_kv: float
    inhomogeneous: float
    homogeneous: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpulseRow:
    """Rated impulse voltage in V of overvoltage categories I to IV, up to a line-to-neutral voltage in V."""

    up_to_v: float
    by_category: dict[str, float]
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class AltitudeRow:
    """What a clearance is multiplied with at an altitude in m."""

    altitude_m: float
    factor: float
    source: Source


def _source(clause: str, verified: str) -> Source:
    return Source(document=DOCUMENT, clause=clause, verified=verified)


_READ_TWICE = (1.5, 2.5, 4.0, 5.0, 6.0, 8.0, 12.0)

CLEARANCE_ROWS = tuple(
    ClearanceRow(
        impulse_kv=kv,
        is_preferred=preferred,
        inhomogeneous=case_a,
        homogeneous=case_b,
        source=_source(f"table F.2, row {kv:g} kV", TWO_PAGES if kv in _READ_TWICE else PARTLY_TWICE),
    )
    for kv, preferred, case_a, case_b in (
        (0.33, True, (0.01, 0.2, 0.8), (0.01, 0.2, 0.8)),
        (0.4, False, (0.02, 0.2, 0.8), (0.02, 0.2, 0.8)),
        (0.5, True, (0.04, 0.2, 0.8), (0.04, 0.2, 0.8)),
        (0.6, False, (0.06, 0.2, 0.8), (0.06, 0.2, 0.8)),
        (0.8, True, (0.1, 0.2, 0.8), (0.1, 0.2, 0.8)),
        (1.0, False, (0.15, 0.2, 0.8), (0.15, 0.2, 0.8)),
        (1.2, False, (0.25, 0.25, 0.8), (0.2, 0.2, 0.8)),
        (1.5, True, (0.5, 0.5, 0.8), (0.3, 0.3, 0.8)),
        (2.0, False, (1.0, 1.0, 1.0), (0.45, 0.45, 0.8)),
        (2.5, True, (1.5, 1.5, 1.5), (0.6, 0.6, 0.8)),
        (3.0, False, (2.0, 2.0, 2.0), (0.8, 0.8, 0.8)),
        (4.0, True, (3.0, 3.0, 3.0), (1.2, 1.2, 1.2)),
        (5.0, False, (4.0, 4.0, 4.0), (1.5, 1.5, 1.5)),
        (6.0, True, (5.5, 5.5, 5.5), (2.0, 2.0, 2.0)),
        (8.0, True, (8.0, 8.0, 8.0), (3.0, 3.0, 3.0)),
        (10.0, False, (11.0, 11.0, 11.0), (3.5, 3.5, 3.5)),
        (12.0, True, (14.0, 14.0, 14.0), (4.5, 4.5, 4.5)),
        (15.0, False, (18.0, 18.0, 18.0), (5.5, 5.5, 5.5)),
        (20.0, False, (25.0, 25.0, 25.0), (8.0, 8.0, 8.0)),
        (25.0, False, (33.0, 33.0, 33.0), (10.0, 10.0, 10.0)),
        (30.0, False, (40.0, 40.0, 40.0), (12.5, 12.5, 12.5)),
        (40.0, False, (60.0, 60.0, 60.0), (17.0, 17.0, 17.0)),
        (50.0, False, (75.0, 75.0, 75.0), (22.0, 22.0, 22.0)),
        (60.0, False, (90.0, 90.0, 90.0), (27.0, 27.0, 27.0)),
        (80.0, False, (130.0, 130.0, 130.0), (35.0, 35.0, 35.0)),
        (100.0, False, (170.0, 170.0, 170.0), (45.0, 45.0, 45.0)),
    )
)

_PEAKS = (
    (0.04, 0.001, 0.001),
    (0.06, 0.002, 0.002),
    (0.1, 0.003, 0.003),
    (0.12, 0.004, 0.004),
    (0.15, 0.005, 0.005),
    (0.2, 0.006, 0.006),
    (0.25, 0.008, 0.008),
    (0.33, 0.01, 0.01),
    (0.4, 0.02, 0.02),
    (0.5, 0.04, 0.04),
    (0.6, 0.06, 0.06),
    (0.8, 0.13, 0.1),
    (1.0, 0.26, 0.15),
    (1.2, 0.42, 0.2),
    (1.5, 0.76, 0.3),
    (2.0, 1.27, 0.45),
    (2.5, 1.8, 0.6),
    (3.0, 2.4, 0.8),
    (4.0, 3.8, 1.2),
    (5.0, 5.7, 1.5),
    (6.0, 7.9, 2.0),
    (8.0, 11.0, 3.0),
    (10.0, 15.2, 3.5),
    (12.0, 19.0, 4.5),
    (15.0, 25.0, 5.5),
    (20.0, 34.0, 8.0),
    (25.0, 44.0, 10.0),
    (30.0, 55.0, 12.5),
    (40.0, 77.0, 17.0),
    (50.0, 100.0, 22.0),
)

PEAK_ROWS = tuple(
    PeakRow(peak_kv=kv, inhomogeneous=case_a, homogeneous=case_b, source=_source(f"table F.8, row {kv:g} kV", ONE_PAGE))
    for kv, case_a, case_b in _PEAKS
)

_CATEGORIES = ("I", "II", "III", "IV")

IMPULSE_ROWS = tuple(
    ImpulseRow(
        up_to_v=up_to,
        by_category=dict(zip(_CATEGORIES, impulses, strict=True)),
        source=_source(f"table F.1, row {up_to:g} V", verified),
    )
    for up_to, impulses, verified in (
        (50.0, (330.0, 500.0, 800.0, 1500.0), ONE_PAGE),
        (100.0, (500.0, 800.0, 1500.0, 2500.0), ONE_PAGE),
        (150.0, (800.0, 1500.0, 2500.0, 4000.0), ONE_PAGE),
        (
            300.0,
            (1500.0, 2500.0, 4000.0, 6000.0),
            in_conflict("a heater maker quotes 1500 V (I) and 6000 V (IV) for 230/400 V"),
        ),
        (600.0, (2500.0, 4000.0, 6000.0, 8000.0), in_conflict("a forum post quotes 4000 V for category II at 600 V")),
        (
            1000.0,
            (4000.0, 6000.0, 8000.0, 12000.0),
            in_conflict("a mailing list quotes 8000 V for category III at 1000 V"),
        ),
        (1250.0, (4000.0, 6000.0, 8000.0, 12000.0), NEW_EDITION),
        (1500.0, (6000.0, 8000.0, 10000.0, 15000.0), NEW_EDITION),
    )
)

ALTITUDE_ROWS = tuple(
    AltitudeRow(altitude_m=altitude, factor=factor, source=_source(f"table A.2, row {altitude:g} m", TWO_PAGES))
    for altitude, factor in (
        (2000.0, 1.0),
        (3000.0, 1.14),
        (4000.0, 1.29),
        (5000.0, 1.48),
        (6000.0, 1.7),
        (7000.0, 1.95),
        (8000.0, 2.25),
        (9000.0, 2.62),
        (10000.0, 3.02),
        (15000.0, 6.67),
        (20000.0, 14.5),
    )
)
