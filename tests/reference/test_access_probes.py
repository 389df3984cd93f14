"""The jointed finger and the wire as vehicle rules use them.

Source: UN R100 annex 3 with IEC 60529 and IEC 61032. Finger 12 mm thick, 80 long, joints at 30 and 60 from the tip,
stop face 50 x 20: three public pages that reprint the clauses or sell the probe; tip sphere of radius 4: two. Wire
1.0 mm thick, 100 long, stop sphere 35: from memory, unverified. d.c. above 60 V is high voltage: three public pages.
"""

from __future__ import annotations

import math

from fitcheck.checks.touch import STOP_CORNER_MM, as_probe
from fitcheck.standards.access_probes import FINGER, LIVE_FROM_V, WIRE


def test_the_finger() -> None:
    assert (FINGER.diameter, FINGER.length, FINGER.stop, FINGER.tip) == (12.0, 80.0, 20.0, 8.0)
    assert FINGER.joints == (30.0, 60.0)


def test_the_wire() -> None:
    assert (WIRE.diameter, WIRE.length, WIRE.stop) == (1.0, 100.0, 35.0)


def test_the_limit() -> None:
    assert LIVE_FROM_V == 60.0


def test_the_ball_for_the_stop_face_contains_it_where_a_placing_is_shown_and_fits_into_it_elsewhere() -> None:
    assert math.hypot(50.0, 20.0) / 2.0 <= STOP_CORNER_MM
    assert as_probe(FINGER).stop_radius <= min(50.0, 20.0) / 2.0
