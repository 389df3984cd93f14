"""The vehicle's side of the balance: what it rests on, what is left over, corners, raised axle, moments."""

from __future__ import annotations

import pytest
from vehicle_layouts import HEAD, cube, layout, vehicle, weigh

from fitcheck.errors import LayoutErrors

SWAP = cube("old", "removed", "100", (0, 0, 0)) + cube("new", "new", "150", (0, 0, 0))
PLAIN = "{wheelbase: 2000, track: 1200, weighed: {front: 1000, rear: 1000}, case_low: [1000, 0, 400]"


def test_no_vehicle_no_answer():
    from vehicle_layouts import study

    from fitcheck.vehicle.balance import weighed
    from fitcheck.weights.ledger import balance_of

    one = study(f"{HEAD}parts:\n{SWAP}")
    assert weighed(one, balance_of(one)) is None


def test_axle_weights_alone_put_the_centre_on_the_line_and_say_so():
    found = vehicle(layout(SWAP, f"{PLAIN}}}"))
    assert found.before is not None
    assert found.before.cg[1].value == 0.0
    assert found.before.cg[2] is None
    assert found.before.left is None
    assert any("centre line" in text for text in found.says)
    assert any("height" in text for text in found.says)


def test_four_corners_tell_left_and_right():
    corners = "{front left: 550, front right: 450, rear left: 500, rear right: 500}"
    parts = cube("new", "new", "60", (0, 300, 0))
    found = vehicle(layout(parts, f"{{wheelbase: 2000, track: 1200, weighed: {corners}, case_low: [1000, 0, 400]}}"))
    before, after = found.before, found.after
    assert before is not None
    assert after is not None
    assert before.left is not None
    assert after.right is not None
    assert (before.front.value, before.left.value) == pytest.approx((1000, 1050), abs=1e-9)
    assert before.cg[1].value == pytest.approx(-100 / 2000 * 600, abs=1e-9)
    assert after.right.value == pytest.approx(950 + 60 * 0.75, abs=1e-9)


def test_corners_without_a_track_are_taken_as_axles():
    corners = "{front left: 550, front right: 450, rear left: 500, rear right: 500}"
    found = vehicle(layout(SWAP, f"{{wheelbase: 2000, weighed: {corners}, case_low: [1000, 0, 400]}}"))
    assert found.before is not None
    assert found.before.left is None
    assert any("no track" in text for text in found.says)


def test_case_axes_that_look_forward():
    head = HEAD.replace("{x: rearward, y: right, z: up}", "{x: forward, y: left, z: up}")
    parts = cube("new", "new", "100", (500, 100, 50))
    text = layout(parts, f"{PLAIN}, cg_height: 600}}", head=head)
    found = vehicle(text)
    assert found.moments[0].arm_mm == pytest.approx((500, -100, 450), abs=1e-9)
    assert found.after is not None
    assert found.after.front.value == pytest.approx(1075, abs=1e-9)
    assert found.after.cg[1].value == pytest.approx(-100 * 100 / 2100, abs=1e-9)


def test_moments_are_mass_times_arm():
    text = layout(SWAP.replace("mass: 150", "mass: 150 ± 1"), f"{PLAIN.replace('[1000,', '[1000 ± 2,')}}}")
    row = vehicle(text).moments[1]
    assert (row.part, row.change) == ("new", "new")
    assert row.moment_kg_m == pytest.approx(150.0, abs=1e-9)
    assert row.arm_half_mm == pytest.approx((2, 0, 0), abs=1e-9)
    assert row.moment_half_kg_m == pytest.approx((151 * 1002 - 150_000) / 1000, abs=1e-9)
    assert row.moment_rss_kg_m == pytest.approx((1000**2 + (150 * 2) ** 2) ** 0.5 / 1000, abs=1e-9)


def test_what_may_still_be_added():
    """1025 on each axle of 1100 and 1080, 2050 of 2160: 110 kg by the gross limit; in the middle each takes half."""
    found = vehicle(layout(SWAP, f"{PLAIN}, limits: {{front: 1100, rear: 1080, gross: 2160}}}}"))
    more = {one.at: one for one in found.further}
    assert more["at the pack's place"].kg == pytest.approx(110, abs=1e-9)
    assert more["at the pack's place"].bound_by == "gross mass"
    assert more["over the front axle"].kg == pytest.approx(75, abs=1e-9)
    assert more["over the rear axle"].kg == pytest.approx(55, abs=1e-9)
    assert more["over the rear axle"].bound_by == "rear axle"


def test_adding_exactly_what_is_left_reaches_the_limit_and_no_more():
    found = vehicle(layout(SWAP, f"{PLAIN}, limits: {{front: 1040, rear: 1100, gross: 2200}}}}"))
    kg = next(one.kg for one in found.further if one.at == "at the pack's place")
    filled = SWAP + cube("more", "new", repr(kg), (0, 0, 0))
    front = vehicle(layout(filled, f"{PLAIN}, limits: {{front: 1040}}}}")).limits[0]
    assert front.after is not None
    assert front.after.value == pytest.approx(1040, abs=1e-9)
    assert front.status.value == "met"


def test_what_may_still_be_added_has_a_band():
    """1025 ± 4 of 1100 on the front axle, half of which a mass at mid-wheelbase puts there: 150 ± 8 kg."""
    text = layout(SWAP, f"{PLAIN.replace('front: 1000', 'front: 1000 ± 4')}, limits: {{front: 1100}}}}")
    more = {one.at: one for one in vehicle(text).further}
    pack, front = more["at the pack's place"], more["over the front axle"]
    assert pack.room is not None
    assert front.room is not None
    found = (pack.room.low, pack.room.rss_low, pack.room.value, pack.room.rss_high, pack.room.high)
    assert found == pytest.approx((142, 142, 150, 158, 158), abs=1e-9)
    assert pack.kg == pytest.approx(142, abs=1e-9)
    assert (front.room.low, front.room.value, front.room.high) == pytest.approx((71, 75, 79), abs=1e-9)
    # Nothing over the rear axle counts on the front one, and no other limit is stated.
    assert "over the rear axle" not in more


@pytest.mark.parametrize("judge_by", ["worst case", "rss"])
def test_nothing_is_promised_anywhere_while_one_axle_cannot_be_told(judge_by):
    """1025 ± 4 of 1027 on the front axle: over the rear one a mass would not count there, and yet nothing is sure."""
    text = layout(
        SWAP,
        f"{PLAIN.replace('front: 1000', 'front: 1000 ± 4')}, limits: {{front: 1027, rear: 1100}}}}",
        tail=f"judge_by: {judge_by}\n",
    )
    rear = next(one for one in vehicle(text).further if one.at == "over the rear axle")
    assert (rear.kg, rear.bound_by) == (0.0, "front axle")
    assert rear.room is not None
    assert (rear.room.low, rear.room.rss_low) == pytest.approx((-2, -2), abs=1e-9)


def test_behind_the_rear_axle_no_more_than_lifts_the_front():
    """At x = 4000 of 2000 each kilogram takes one off the front axle, which carries 950 of its 1000 yet."""
    parts = cube("new", "new", "50", (0, 0, 0))
    text = layout(
        parts,
        f"{PLAIN.replace('case_low: [1000', 'case_low: [4000')}, limits: {{front: 1100, rear: 9000, gross: 9999}}}}",
    )
    pack = vehicle(text).further[0]
    assert pack.bound_by == "front axle lifting off"
    assert pack.kg == pytest.approx(950, abs=1e-9)


def test_four_corners_after_the_job_are_held_against_left_and_right():
    corners = "{front left: 550 ± 1, front right: 450 ± 1, rear left: 500 ± 1, rear right: 500 ± 1}"
    after = "{front left: 556 ± 1, front right: 474 ± 1, rear left: 507 ± 1, rear right: 523 ± 1}"
    parts = cube("new", "new", "60", (0, 300, 0))
    section = f"{{wheelbase: 2000, track: 1200, weighed: {corners}, weighed_after: {after}, case_low: [1000, 0, 400]}}"
    told = {one.what: one for one in vehicle(layout(parts, section)).reconciled}
    assert (told["left side"].scale.value, told["right side"].scale.value) == (1063, 997)
    assert told["left side"].difference == pytest.approx(1065 - 1063, abs=1e-9)
    assert told["right side"].difference == pytest.approx(995 - 997, abs=1e-9)
    assert told["left side"].allowed == pytest.approx(4, abs=0.01)


RAISED = "raised_axle: {raised: rear, lift: 1150 ± 2, other_axle: 1338 ± 2, wheel_radius: 300 ± 1}"


def test_the_raised_axle_tells_the_height():
    text = layout(
        SWAP,
        f"{{wheelbase: 2300, track: 1500, weighed: {{front: 1200, rear: 1100}}, case_low: [1000, 0, 400], {RAISED}}}",
    )
    found = vehicle(text)
    height = found.raised_axle_height
    assert height is not None
    assert height.low < height.rss_low < height.value < height.rss_high < height.high
    assert height.value == pytest.approx(539.02, abs=0.01)
    assert found.before is not None
    assert found.before.cg[2] is not None
    assert found.before.cg[2].value == height.value
    assert (found.before.cg[2].low, found.before.cg[2].high) == pytest.approx((height.low, height.high), abs=1e-9)


def test_two_heights_that_contradict_each_other_are_reported():
    text = layout(
        SWAP,
        f"{{wheelbase: 2300, track: 1500, cg_height: 700 ± 5, weighed: {{front: 1200, rear: 1100}}, "
        f"case_low: [1000, 0, 400], {RAISED}}}",
    )
    found = vehicle(text)
    assert any("contradict" in text for text in found.says)
    assert found.before is not None
    assert found.before.cg[2] is not None
    assert found.before.cg[2].value == 700


def test_steered_and_exact_values():
    found = vehicle(layout(SWAP, f"{PLAIN}, steered: rear, limits: {{gross: 3000}}}}"))
    assert found.steered == "rear"
    assert [value.name for value in found.taken_as_exact] == [
        "vehicle.wheelbase", "vehicle.track", "vehicle.weighed.front", "vehicle.weighed.rear",
    ]  # fmt: skip


def test_between_the_builds_the_old_parts_are_out():
    found = vehicle(layout(SWAP, f"{PLAIN}}}"))
    assert found.between is not None
    assert found.between.total.value == pytest.approx(1900, abs=1e-9)


def test_parts_heavier_than_the_vehicle_leave_nothing_to_tell():
    parts = cube("old", "removed", "2500", (0, 0, 0))
    found = weigh(layout(parts, f"{PLAIN}, limits: {{front: 1100}}}}"))
    assert found.summary.after is None
    assert any("as much as the whole vehicle" in text for text in found.summary.unknown)
    assert found.summary.limits[0].status.value == "cannot tell"


def test_an_axle_in_the_air_is_no_met_limit():
    """500 kg one wheelbase behind the rear axle lift the front by 500 kg: 100 kg were on it."""
    parts = cube("new", "new", "500", (0, 0, 0))
    text = layout(
        parts,
        "{wheelbase: 2000, weighed: {front: 100, rear: 1900}, case_low: [4000, 0, 400], limits: {front: 1000}}",
    )
    found = vehicle(text)
    assert found.limits[0].after is not None
    assert found.limits[0].after.value == pytest.approx(-400, abs=1e-9)
    assert found.limits[0].status.value == "not met"
    assert any("lift off" in said for said in found.says)


SIDED = "{front: 1000 ± 4, rear: 1000 ± 4, left: 1100 ± 4, right: 900 ± 4}"


def sided(more: str = "", *, weighed: str = SIDED, track: str = "track: 1200, ") -> str:
    parts = cube("new", "new", "60", (0, 300, 0))
    return layout(parts, f"{{wheelbase: 2000, {track}weighed: {weighed}, case_low: [1000, 0, 400]{more}}}")


def test_side_weights_beside_the_axles_tell_left_and_right():
    """1100 left and 900 right of 1200 track: 60 mm to the left. Of 60 kg at 300 right three quarters lie right."""
    found = vehicle(sided())
    before, after, change = found.before, found.after, found.change
    assert before is not None
    assert after is not None
    assert change is not None
    assert before.total.value == pytest.approx(2000, abs=1e-9)
    assert before.cg[1].value == pytest.approx(-60, abs=1e-9)
    assert before.left is not None
    assert before.right is not None
    assert after.right is not None
    assert change.right is not None
    assert (before.left.value, before.right.value) == pytest.approx((1100, 900), abs=1e-9)
    assert after.right.value == pytest.approx(945, abs=1e-9)
    assert change.right.value == pytest.approx(45, abs=1e-9)
    furthest = 600 * (904 - 1096) / 2000
    assert before.cg[1].high == pytest.approx(furthest, abs=1e-9)
    assert before.right.high >= 904
    assert not any("centre line" in text for text in found.says)


def test_even_sides_are_known_sides():
    found = vehicle(sided(weighed="{front: 1000, rear: 1000, left: 1000, right: 1000}"))
    assert found.before is not None
    assert found.before.left is not None
    assert found.before.left.value == pytest.approx(1000, abs=1e-9)


def test_sides_without_a_track_stay_out_and_that_is_said():
    found = vehicle(sided(track=""))
    assert found.before is not None
    assert found.before.left is None
    assert any("sides are weighed but no track" in text for text in found.says)


def test_sides_after_the_job_stand_beside_the_sum():
    after = "{front: 1030, rear: 1030, left: 1110, right: 950}"
    found = vehicle(sided(f", weighed_after: {after}"))
    told = {one.what: one for one in found.reconciled}
    assert told["left side"].difference == pytest.approx(1115 - 1110, abs=1e-9)
    assert told["right side"].difference == pytest.approx(945 - 950, abs=1e-9)


def test_axles_and_sides_that_contradict_each_other_are_a_problem_of_the_layout():
    with pytest.raises(LayoutErrors) as caught:
        vehicle(sided(weighed=SIDED.replace("right: 900", "right: 920")))
    assert "front and rear come to 2000 kg, left and right to 2020 kg" in str(caught.value)
    assert vehicle(sided(weighed=SIDED.replace("right: 900", "right: 915"))).before is not None
    with pytest.raises(LayoutErrors, match="left and right may stand beside them"):
        vehicle(sided(weighed="{left: 1000, right: 1000}"))
