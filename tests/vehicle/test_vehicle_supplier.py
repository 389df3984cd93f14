"""Vehicle data told in other axes, and the answer told in them."""

from __future__ import annotations

import numpy as np
import pytest
from vehicle_layouts import cube, layout, vehicle

PARTS = cube("new", "new", "100", (50, 20, 30))
OWN = (
    "{wheelbase: 2000, track: 1200, weighed: {front: 1000, rear: 1000}, cg_height: 600, "
    "case_low: [1000 +3/-1, -200, 400], "
    "payload: [{mass: 75, at: [800, -300, 900]}], inertia: [[500, 1, 2], [1, 1500, 3], [2, 3, 1700]]}"
)
OTHERS = {
    "forward-left-up": OWN.replace("[1000 +3/-1, -200, 400]", "[-1000 +1/-3, 200, 400]")
    .replace("[800, -300, 900]", "[-800, 300, 900]")
    .replace("[[500, 1, 2], [1, 1500, 3], [2, 3, 1700]]", "[[500, 1, -2], [1, 1500, -3], [-2, -3, 1700]]"),
    "forward-right-down": OWN.replace("[1000 +3/-1, -200, 400]", "[-1000 +1/-3, -200, -400]")
    .replace("[800, -300, 900]", "[-800, -300, -900]")
    .replace("[[500, 1, 2], [1, 1500, 3], [2, 3, 1700]]", "[[500, -1, 2], [-1, 1500, -3], [2, -3, 1700]]"),
}


@pytest.mark.parametrize("frame", OTHERS)
def test_the_same_vehicle_told_otherwise_is_the_same_vehicle(frame):
    own = vehicle(layout(PARTS, OWN))
    told = vehicle(layout(PARTS, f"{OTHERS[frame][:-1]}, frame: {frame}}}"))
    for one, other in ((own.after, told.after), (own.laden, told.laden)):
        assert one is not None
        assert other is not None
        assert (one.front, one.rear, one.cg) == (other.front, other.rear, other.cg)
    assert own.after is not None
    assert told.after is not None
    np.testing.assert_allclose(own.after.inertia_kg_m2, told.after.inertia_kg_m2, rtol=1e-12, atol=1e-9)
    assert own.after.rear.high - own.after.rear.value == pytest.approx(100 * 3 / 2000, abs=1e-9)


def test_the_centre_is_told_in_both_other_conventions():
    after = vehicle(layout(PARTS, OWN)).after
    assert after is not None
    assert after.cg[2] is not None
    x, y, z = after.cg[0].value, after.cg[1].value, after.cg[2].value
    assert dict(after.cg_elsewhere) == {"forward-left-up": (-x, -y, z), "forward-right-down": (-x, y, -z)}


def test_without_a_height_nothing_is_told_elsewhere():
    after = vehicle(layout(PARTS, OWN.replace("cg_height: 600, ", ""))).after
    assert after is not None
    assert after.cg_elsewhere == ()
