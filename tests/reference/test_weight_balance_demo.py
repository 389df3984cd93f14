"""The two worked vehicles of the demo layouts, their figures worked out by hand: moments about the front axle.

Tug: 2980 kg (1460 / 1520), wheelbase 1800, track 1250, centre at 640; 588 kg at (1150, 0, 560) and 21.5 at
(1150, 0, 455) go out, 470 at (1030, 12, 585), 16.4 at (1050, 0, 690) and 9.1 at (900, 60, 730) come in. Sweeper:
wheelbase 2200, 1710 / 2740 kg, 96 kg more at 2450.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.findings import Status
from fitcheck.result import exit_status
from fitcheck.run import balance, check

DEMO = Path(__file__).parents[2] / "demo_geometry"
TUG = DEMO / "05_tow_tug" / "layout.yaml"
SWEEPER = DEMO / "06_street_sweeper" / "layout.yaml"


def test_the_tug():
    result = balance(TUG)
    assert result.balance is not None
    vehicle = result.balance.vehicle
    assert vehicle is not None
    before, after = vehicle.before, vehicle.after
    assert before is not None
    assert after is not None
    assert after.total.value == pytest.approx(2866.0, abs=1e-9)
    assert after.front.value == pytest.approx(1452.34, abs=0.005)
    assert after.rear.value == pytest.approx(1413.66, abs=0.005)
    assert after.cg[0].value == pytest.approx(887.9, abs=0.05)
    assert after.cg[1].value == pytest.approx(2.2, abs=0.05)
    assert after.cg[2] is not None
    assert after.cg[2].value == pytest.approx(649.4, abs=0.05)
    assert before.stability_factor is not None
    assert after.stability_factor is not None
    assert before.stability_factor.value == pytest.approx(0.977, abs=0.0005)
    assert after.stability_factor.value == pytest.approx(0.962, abs=0.0005)
    assert exit_status(result.findings) == 0


def test_the_sweeper():
    result = balance(SWEEPER)
    found = {(finding.check, finding.parts): finding for finding in result.findings}
    rear = found["axle load", ("rear axle",)]
    front = found["axle load", ("front axle",)]
    gross = found["gross mass", ()]
    assert rear.status is Status.NOT_MET
    assert rear.band is not None
    assert rear.band.value == pytest.approx(2846.91, abs=0.005)
    assert rear.required is not None
    assert rear.band.value - rear.required == pytest.approx(46.91, abs=0.005)
    assert (gross.status, front.status) == (Status.MET, Status.MET)
    assert gross.band is not None
    assert front.band is not None
    assert gross.band.value == pytest.approx(4546.0, abs=1e-9)
    assert front.band.value == pytest.approx(1699.09, abs=0.005)
    assert "proves nothing for the laden vehicle" in gross.reason
    assert exit_status(result.findings) == 1


def test_check_answers_for_the_axles_too():
    found = [finding for finding in check(SWEEPER).findings if finding.check in ("axle load", "gross mass")]
    assert [finding.status for finding in found] == [Status.MET, Status.NOT_MET, Status.MET]
