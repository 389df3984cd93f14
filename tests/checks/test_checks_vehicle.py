"""Axle load, gross mass, weighed mass, ground clearance, restraint and rule cards as findings."""

from __future__ import annotations

import pytest
from vehicle_layouts import HEAD, cube, layout, weigh

from fitcheck.checks import axle_load, gross_mass, ground_clearance, restraint, rule_card, vehicle, weighed_mass
from fitcheck.errors import LayoutErrors
from fitcheck.findings import Band, Finding, Status
from fitcheck.result import exit_status
from fitcheck.vehicle.springs import drop_at

SWAP = cube("old", "removed", "100", (0, 0, 0)) + cube("new", "new", "150", (0, 0, 0))
WHERE = "case_low: [1000, 0, 400], "
LIMITS = "limits: {front: 1100, rear: 1100, gross: 2200}, "


def section(
    more: str = "", *, weighed: str = "{front: 1000, rear: 1000}", where: str = WHERE, limits: str = LIMITS
) -> str:
    return f"{{wheelbase: 2000, track: 1200, weighed: {weighed}, {where}{limits}{more}}}"


def findings(text: str) -> dict[tuple[str, tuple[str, ...]], Finding]:
    return {(one.check, one.parts): one for one in vehicle.check(weigh(text))}


def test_each_limit_is_tested_by_itself():
    """50 kg more in the middle: 1025 on each axle, 2050 in all."""
    found = findings(layout(SWAP, section(limits="limits: {front: 1025, rear: 1024.9, gross: 2050}")))
    front, rear, gross = (
        found[key] for key in (("axle load", ("front axle",)), ("axle load", ("rear axle",)), ("gross mass", ()))
    )
    assert (front.status, rear.status, gross.status) == (Status.MET, Status.NOT_MET, Status.MET)
    assert front.band is not None
    assert front.band.value == pytest.approx(1025, abs=1e-9)


def test_a_limit_that_is_not_stated_gives_no_finding():
    found = findings(layout(SWAP, section(limits="limits: {rear: 1100}")))
    assert list(found) == [("axle load", ("rear axle",))]


def test_a_limit_inside_the_band_cannot_be_told_and_names_the_reading_that_settles_it():
    text = layout(SWAP.replace("mass: 150", "mass: 150 ± 4"), section(limits="limits: {gross: 2051}"))
    (finding,) = gross_mass.check(weigh(text))
    assert finding.status is Status.CANNOT_TELL
    assert finding.band is not None
    assert (finding.band.low, finding.band.high) == pytest.approx((2046, 2054), abs=1e-9)
    assert finding.settle_by == "new.mass to ± 1 kg"
    settled = layout(SWAP.replace("mass: 150", "mass: 150 ± 1"), section(limits="limits: {gross: 2051}"))
    assert gross_mass.check(weigh(settled))[0].status is Status.MET


def test_the_judged_band_is_the_one_the_layout_asks_for():
    parts = cube("new", "new", "150 ± 3", (0, 0, 0)) + cube("more", "new", "10 ± 4", (0, 0, 0))
    for judge_by, status in (("worst case", Status.CANNOT_TELL), ("rss", Status.MET)):
        text = layout(parts, section(limits="limits: {gross: 2166}"), head=f"{HEAD}judge_by: {judge_by}\n")
        assert gross_mass.check(weigh(text))[0].status is status


def test_a_removed_part_without_a_mass_leaves_the_axles_untold():
    text = layout(SWAP.replace("mass: 100, ", ""), section())
    found = vehicle.check(weigh(text))
    assert {one.status for one in found} == {Status.CANNOT_TELL}
    assert all("old" in one.reason for one in found)
    assert found[0].settle_by == "weigh old"
    assert exit_status(found) == 3


def test_retained_parts_need_no_mass_for_the_axles():
    kept = cube("kept", "retained", "", (0, 0, 0))
    assert {one.status for one in vehicle.check(weigh(layout(SWAP + kept, section())))} == {Status.MET}


def test_without_a_place_only_the_gross_mass_is_told():
    found = findings(layout(SWAP, section(where="")))
    assert found["gross mass", ()].status is Status.MET
    assert found["axle load", ("rear axle",)].status is Status.CANNOT_TELL
    assert "case_low" in found["axle load", ("rear axle",)].reason


def test_an_unweighed_vehicle_cannot_be_told():
    text = layout(SWAP, f"{{wheelbase: 2000, {WHERE}{LIMITS}}}")
    found = vehicle.check(weigh(text))
    assert [one.status for one in found] == [Status.CANNOT_TELL] * 3
    assert found[0].settle_by == "weigh both axles with the original build in"


def test_a_guess_is_never_met_and_still_can_fail():
    guessed = SWAP.replace("mass: 150", "mass: {value: 150, tolerance: 1, known_by: guess}")
    (gross,) = gross_mass.check(weigh(layout(guessed, section())))
    assert gross.status is Status.CANNOT_TELL
    assert gross.rests_on_guess == ("new.mass",)
    (over,) = gross_mass.check(weigh(layout(guessed, section(limits="limits: {gross: 2000}"))))
    assert over.status is Status.NOT_MET


def test_a_guessed_place_counts_too():
    placed = SWAP.replace(
        "low_corner: [-10, -10, -10]", "low_corner: [{value: -10, tolerance: 5, known_by: guess}, -10, -10]"
    )
    found = axle_load.check(weigh(layout(placed, section())))
    assert {one.status for one in found} == {Status.CANNOT_TELL}
    assert all("new.low_corner.x" in one.rests_on_guess for one in found)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("weighed_as: kerb", "proves nothing for the laden vehicle"),
        ("weighed_as: laden", ""),
        ("", "empty or laden is not stated"),
        ("weighed_as: kerb, payload: [{mass: 100, at: [500, 0, 900]}]", "payload aboard"),
    ],
)
def test_what_a_met_limit_proves_is_said(more, words):
    (gross,) = gross_mass.check(weigh(layout(SWAP, section(more))))
    assert gross.status is Status.MET
    assert words in gross.reason


def test_payload_is_put_on_top():
    found = weigh(layout(SWAP, section("payload: [{mass: 100, at: [500, 0, 900]}]")))
    front, rear = axle_load.check(found)
    assert front.band is not None
    assert rear.band is not None
    assert (front.band.value, rear.band.value) == pytest.approx((1100, 1050), abs=1e-9)
    assert found.summary.after is not None
    assert found.summary.after.front.value == pytest.approx(1025, abs=1e-9)


def test_the_scale_after_the_job_overrules_a_sum_that_says_less():
    found = weigh(layout(SWAP, section("weighed_after: {front: 1050 ± 1, rear: 1180 ± 2}")))
    rear = axle_load.check(found)[1]
    assert rear.status is Status.NOT_MET
    assert "1180.0 kg" in rear.reason
    assert [one.status for one in weighed_mass.check(found)] == [Status.NOT_MET] * 3


def test_scale_and_sum_that_agree():
    found = weighed_mass.check(weigh(layout(SWAP, section("pack_weighed: {original: 100.4, proposed: 160 ± 1}"))))
    original, proposed = found
    assert original.status is Status.MET
    assert original.required == pytest.approx(1.104, abs=1e-9)  # 0.1 kg and 1 % of 100.4
    assert proposed.status is Status.NOT_MET
    assert proposed.band is not None
    assert proposed.band.value == pytest.approx(10.0, abs=1e-9)
    assert "10.00 kg lighter" in proposed.reason


def test_a_scale_beside_an_unknown_sum_cannot_be_told():
    text = layout(SWAP.replace("mass: 100, ", ""), section("pack_weighed: {original: 100}"))
    (finding,) = weighed_mass.check(weigh(text))
    assert finding.status is Status.CANNOT_TELL


def test_springs_sink_by_weight_over_rate():
    """100 kg more over the rear axle on 60 N/mm: 100 x 9.80665 / 60 = 16.34 mm; 180 measured leave 163.66 mm."""
    parts = cube("new", "new", "100", (0, 0, 0))
    more = "springs: {front: 50 N/mm, rear: 60 N/mm}, ground_clearance: {measured: 180, at_least: 160}"
    found = weigh(layout(parts, section(more, where="case_low: [2000, 0, 400], ")))
    assert dict(found.summary.spring_drop_mm)["rear"].value == pytest.approx(16.34442, abs=1e-5)
    assert dict(found.summary.spring_drop_mm)["front"].value == pytest.approx(0.0, abs=1e-9)
    (finding,) = ground_clearance.check(found)
    assert finding.status is Status.MET
    # The case's rear end stands 10 mm behind the axle and sinks a little more.
    assert finding.band is not None
    assert finding.band.value == pytest.approx(180 - 16.34442 * 2010 / 2000, abs=1e-5)


def test_clearance_without_springs_cannot_be_told():
    (finding,) = ground_clearance.check(
        weigh(layout(SWAP, section("ground_clearance: {measured: 180, at_least: 160}")))
    )
    assert finding.status is Status.CANNOT_TELL
    assert "spring rate" in finding.settle_by


def test_a_pack_that_hangs_lower_takes_clearance():
    lower = cube("old", "removed", "100", (0, 0, 0)) + cube("new", "new", "100", (0, 0, -30))
    more = "springs: {front: 50 N/mm, rear: 60 N/mm}, ground_clearance: {measured: 180, at_least: 160}"
    (finding,) = ground_clearance.check(weigh(layout(lower, section(more))))
    assert finding.band is not None
    assert finding.band.value == pytest.approx(150.0, abs=1e-9)
    assert finding.status is Status.NOT_MET


BOLTS = "screws: {bolt: {thread: THREAD, property_class: 8.8, direction: down, clamps: [5], into: {nut: ISO 4032}}}\n"


def test_restraint_is_an_estimate_and_never_met():
    """150 kg at 20 g: 29 420 N on four M10 of 8.8: 7355 N each, where half of 800 MPa on 58 mm2 is 23.2 kN."""
    text = layout(SWAP, section("category: N1, held_by: {bolt: 4}"), tail=BOLTS.replace("THREAD", "M10"))
    shear, pull = restraint.check(weigh(text))
    assert (shear.status, pull.status) == (Status.CANNOT_TELL, Status.CANNOT_TELL)
    assert shear.band is not None
    assert pull.band is not None
    assert shear.band.value == pytest.approx(150 * 20 * 9.80665 / 4000, abs=1e-9)
    assert pull.band.value == pytest.approx(150 * 10 * 9.80665 / 4000, abs=1e-9)
    assert shear.required == pytest.approx(23.2, abs=0.01)
    assert "for an engineer to sign" in shear.reason


def test_restraint_that_breaks_the_fastener_is_not_met():
    text = layout(SWAP, section("held_by: {bolt: 1}"), tail=BOLTS.replace("THREAD", "M6"))
    shear, _ = restraint.check(weigh(text))
    assert shear.status is Status.NOT_MET


def test_restraint_tables_by_category():
    rows = weigh(layout(SWAP, section("category: M3"))).summary.restraint
    assert [(row.direction, row.g) for row in rows] == [
        ("lengthwise", 6.6), ("sideways", 5.0), ("front", 20.0), ("side", 15.0), ("rear", 10.0), ("vertical", 10.0),
    ]  # fmt: skip
    assert "from memory" in rows[3].source
    outside = weigh(layout(SWAP, section("category: T1"))).summary.restraint
    assert [row.direction for row in outside] == ["front", "side", "rear", "vertical"]


def test_without_category_or_fasteners_nothing_is_said_of_restraint():
    assert weigh(layout(SWAP, section())).summary.restraint == ()


def test_rule_cards_come_only_by_name():
    assert rule_card.check(weigh(layout(SWAP, section()))) == []
    more = (
        "springs: {front: 5 N/mm, rear: 5 N/mm}, ground_clearance: 130, "
        "rule_cards: [ride height change AU, ground clearance near axle AU, every limit, steered axle share EU]"
    )
    found = weigh(layout(SWAP, section(more)))
    told = {one.parts[0]: one for one in rule_card.check(found)}
    assert set(told) == {"ride height change AU", "ground clearance near axle AU", "steered axle share EU"}
    # 25 kg on 5 N/mm sink 49.03 mm.
    assert told["ride height change AU"].status is Status.MET
    assert told["ground clearance near axle AU"].status is Status.NOT_MET
    assert told["steered axle share EU"].band is not None
    assert told["steered axle share EU"].band.value == pytest.approx(50.0, abs=1e-9)
    assert {card.name for card in found.summary.cards} == {*told, "every limit"}
    assert all("not an approval" in card.answer for card in found.summary.cards if card.name == "ride height change AU")


def test_an_unknown_card_and_too_high_a_lift_are_problems_of_the_layout():
    more = "rule_cards: [every limt], raised_axle: {raised: rear, lift: 2000, other_axle: 1100, wheel_radius: 300}"
    with pytest.raises(LayoutErrors) as caught:
        weigh(layout(SWAP, section(more)))
    said = str(caught.value)
    assert "no rule card 'every limt'" in said
    assert "did you mean 'every limit'?" in said
    assert "lifted by as much as the wheelbase" in said


def test_two_kinds_of_fasteners_share_by_their_number():
    """150 kg at 20 g over one bolt and three studs: a quarter each."""
    tail = (
        "screws:\n"
        "  bolt: {thread: M10, property_class: 8.8, direction: down, clamps: [5], into: {nut: ISO 4032}}\n"
        "  stud: {thread: M8, direction: forward, clamps: [5], into: {nut: ISO 4032}}\n"
    )
    found = restraint.check(weigh(layout(SWAP, section("held_by: {bolt: 1, stud: 3}"), tail=tail)))
    told = {(one.parts[0], one.rule.text.partition(",")[0]): one for one in found}
    for key, g in ((("bolt", "shear"), 20), (("bolt", "pull"), 10), (("stud", "pull"), 20), (("stud", "shear"), 15)):
        band = told[key].band
        assert band is not None
        assert band.value == pytest.approx(150 * g * 9.80665 / 4000, abs=1e-9)
    assert told["stud", "pull"].required is None
    assert "class is not stated" in told["stud", "pull"].reason


def test_a_vehicle_that_rises_changes_its_ride_height_too():
    """50 kg less on springs of 5 N/mm: 25 kg an axle, 49.03 mm up; 4 N/mm: 61.29 mm."""
    lighter = cube("old", "removed", "100", (0, 0, 0)) + cube("new", "new", "50", (0, 0, 0))
    for rate, millimetres, status in ((5, 49.03325, Status.MET), (4, 61.2915625, Status.NOT_MET)):
        more = f"springs: {{front: {rate} N/mm, rear: {rate} N/mm}}, rule_cards: [ride height change AU]"
        (finding,) = rule_card.check(weigh(layout(lighter, section(more))))
        assert finding.status is status
        assert finding.band is not None
        assert finding.band.value == pytest.approx(millimetres, abs=1e-6)


def test_a_place_beyond_the_rear_axle_takes_the_front_the_wrong_way_round():
    drops = {
        "front": Band(value=10, low=8, high=12, rss_low=9, rss_high=11),
        "rear": Band(value=20, low=19, high=21, rss_low=19.5, rss_high=20.5),
    }
    found = drop_at(drops, 1.5)
    assert (found.value, found.low, found.high) == pytest.approx((25, 22.5, 27.5), abs=1e-12)
    assert (found.rss_low, found.rss_high) == pytest.approx((23.75, 26.25), abs=1e-12)


def test_a_payload_presses_the_ground_clearance_further():
    """50 kg more in the middle and 400 kg on the rear axle: 425 kg on 50 N/mm sink 83.36 mm."""
    more = "springs: {front: 50 N/mm, rear: 50 N/mm}, ground_clearance: {measured: 180, at_least: 160}"
    (bare,) = ground_clearance.check(weigh(layout(SWAP, section(more))))
    assert bare.status is Status.MET
    assert "proves nothing for the laden vehicle" in bare.reason
    loaded = f"{more}, payload: [{{mass: 400, at: [2000, 0, 900]}}]"
    (finding,) = ground_clearance.check(weigh(layout(SWAP, section(loaded))))
    assert finding.status is Status.NOT_MET
    assert finding.band is not None
    assert finding.band.value == pytest.approx(180 - 425 * 9.80665 / 50, abs=1e-9)
    assert finding.reason == "the front axle sinks by 4.9 mm; the rear axle sinks by 83.4 mm; payload aboard"


def test_more_taken_out_than_the_whole_vehicle_weighs_is_a_contradiction_told_not_a_fault():
    """The new part makes up for it in the sum, but between the two there would be less than nothing."""
    parts = cube("old", "removed", "600", (0, 0, 0)) + cube("new", "new", "700", (0, 0, 0))
    found = vehicle.check(weigh(layout(parts, section(weighed="{front: 200, rear: 300}"))))
    assert {one.status for one in found} == {Status.CANNOT_TELL}
    assert {one.reason for one in found} == {"what was taken out may weigh as much as the whole vehicle"}
    assert {one.settle_by for one in found} == {"weigh vehicle and removed parts again"}


def test_a_scale_that_shows_too_much_leaves_nothing_to_add_and_is_settled_by_a_finer_one():
    more = "weighed_after: {front: 1000 ± 60, rear: 1110 ± 60}"
    found = weigh(layout(SWAP, section(more, limits="limits: {front: 1100, rear: 1100}, ")))
    rear = {one.parts: one for one in axle_load.check(found)}["rear axle",]
    assert rear.status is Status.CANNOT_TELL
    assert rear.settle_by == "weigh the finished vehicle again, on a finer scale"
    assert {test.of: test.scale_kg for test in found.summary.limits} == {"front axle": 1000, "rear axle": 1110}
    margins = {test.of: test.margin_kg for test in found.summary.limits}
    assert margins == {"front axle": pytest.approx(75, abs=1e-9), "rear axle": pytest.approx(-10, abs=1e-9)}
    kilograms = {one.at: one.kg for one in found.summary.further}
    assert kilograms == {
        "at the pack's place": 0.0,
        "over the front axle": 0.0,
        "over the rear axle": 0.0,
    }


def test_an_axle_that_may_lift_is_settled_by_what_lifts_it():
    """10 kg 10 m behind the front axle take 40 kg off its 45; off by 2 kg each way it may come down or lift."""
    parts = cube("new", "new", "10 ± 2", (8950, 0, 0))
    text = layout(parts, section(weighed="{front: 45, rear: 1000}", limits="limits: {front: 1100}"))
    (finding,) = axle_load.check(weigh(text))
    assert finding.status is Status.CANNOT_TELL
    assert finding.settle_by.startswith("new.mass to ± 1")


@pytest.mark.parametrize(
    ("reading", "height", "said"),
    [
        (900, None, "which cannot be: look at those readings again"),
        (990, 211.7157, "below the wheel centres"),
        (1050, 741.4214, "comes from the weighing with one axle raised"),
    ],
)
def test_a_raised_axle_that_cannot_be_is_not_believed(reading, height, said):
    """Lift 400 of 2000: 300 + (reading - 1000) x 2000 x root(2000² - 400²) / (2000 x 400)."""
    more = f"raised_axle: {{raised: front, lift: 400, other_axle: {reading}, wheel_radius: 300}}"
    summary = weigh(layout(SWAP, section(more))).summary
    assert any(said in text for text in summary.says)
    assert summary.before is not None
    assert (summary.before.cg[2] is None) == (height is None)
    if height is not None:
        assert summary.before.cg[2].value == pytest.approx(300 + (reading - 1000) * 24**0.5, abs=1e-9)


def test_fasteners_of_a_pack_of_unknown_mass_are_not_passed_over():
    tail = "screws:\n  bolt: {thread: M10, property_class: 8.8, direction: down, clamps: [5], into: {nut: ISO 4032}}\n"
    kept = cube("kept", "retained", "", (0, 0, 0))
    (finding,) = restraint.check(weigh(layout(SWAP + kept, section("held_by: {bolt: 4}"), tail=tail)))
    assert finding.status is Status.CANNOT_TELL
    assert finding.parts == ("bolt",)
    assert finding.reason == "the mass of the proposed build is not known"


def test_a_category_that_the_table_does_not_know_is_said():
    for category, is_said in (("L7e", True), ("N1", False)):
        says = weigh(layout(SWAP, section(f"category: {category}"))).summary.says
        assert any("does not know" in text for text in says) is is_said


def test_bare_spring_rates_mean_newtons_per_millimetre_only_where_all_is_metric():
    springs = "springs: {front: 450, rear: 80 N/mm}"
    head = HEAD.replace("{length: mm, mass: kg, angle: deg}", "{length: in, mass: lb, angle: deg}")
    assert head != HEAD
    with pytest.raises(LayoutErrors) as caught:
        weigh(layout(SWAP, section(springs), head=head))
    assert "450 has no unit" in str(caught.value)
    assert "80" not in str(caught.value).partition("mend")[0]
    pounds = weigh(layout(SWAP, section("springs: {front: 450 lb/in, rear: 80 N/mm}"), head=head))
    assert dict(pounds.swap.vehicle.springs)["front"].nominal == pytest.approx(450 * 4.4482216152605 / 25.4, rel=1e-12)


@pytest.mark.parametrize("weighed", ["{front: 0, rear: 2000}", "{front: 0, rear: 0}", "{front: 900 ± 900, rear: 2000}"])
def test_a_wheel_that_may_weigh_nothing_is_a_problem_of_the_layout(weighed):
    with pytest.raises(LayoutErrors) as caught:
        weigh(layout(SWAP, section(weighed=weighed)))
    assert "the front weight may be nothing at all" in str(caught.value)


def test_a_payload_comes_on_top_of_what_the_scale_shows():
    """1060 kg on the scale and half of 100 kg at mid-wheelbase: 1110 kg; by the parts alone 1025 + 50."""
    more = "weighed_after: {front: 1060 ± 1, rear: 1020 ± 1}, payload: [{mass: 100, at: [1000, 0, 900]}]"
    found = {one.parts: one for one in axle_load.check(weigh(layout(SWAP, section(more))))}
    assert found["front axle",].status is Status.NOT_MET
    assert "the payload's share come to 1110.0 kg" in found["front axle",].reason
    assert found["rear axle",].status is Status.MET


def test_the_force_on_a_fastener_carries_the_band_of_the_pack():
    """150 ± 3 kg at 20 g on four bolts: 7.355 kN each, and 2 % of it either way."""
    text = layout(
        SWAP.replace("mass: 150", "mass: 150 ± 3"), section("held_by: {bolt: 4}"), tail=BOLTS.replace("THREAD", "M10")
    )
    shear, _ = restraint.check(weigh(text))
    each = 150 * 20 * 9.80665 / 4000
    assert shear.band is not None
    found = (shear.band.low, shear.band.rss_low, shear.band.value, shear.band.rss_high, shear.band.high)
    assert found == pytest.approx((0.98 * each, 0.98 * each, each, 1.02 * each, 1.02 * each), rel=1e-12)


def test_a_strength_inside_the_band_of_the_force_is_not_yet_passed():
    """8.04 kN is the strength of one M6 of 8.8 in shear: 41 kg at 20 g, so 41 ± 2 kg may or may not break it."""
    parts = cube("new", "new", "41 ± 2", (0, 0, 0))
    for mass, status in (("41 ± 2", Status.CANNOT_TELL), ("45 ± 2", Status.NOT_MET)):
        text = layout(parts.replace("41 ± 2", mass), section("held_by: {bolt: 1}"), tail=BOLTS.replace("THREAD", "M6"))
        shear, _ = restraint.check(weigh(text))
        assert shear.required == pytest.approx(8.04, abs=0.01)
        assert shear.status is status


def test_sum_and_scale_are_told_with_their_bands():
    text = layout(SWAP.replace("mass: 100", "mass: 100 ± 2"), section("pack_weighed: 101 ± 0.5"))
    (found,) = weighed_mass.check(weigh(text))
    assert "the parts come to 100.00 ± 2.00 (2.00) kg, the scale says 101.00 ± 0.50 (0.50) kg" in found.reason
    assert found.required == pytest.approx(2.5, abs=1e-9)


def test_a_concession_on_a_limit_is_answered():
    signed = "down_to: 1, because: agreed, signed: A. B., date: 2026-01-01"
    tail = f"concessions:\n  - {{check: axle load, parts: [new], {signed}}}\n"
    front, _, gross = vehicle.check(weigh(layout(SWAP, section(), tail=tail)))
    assert "a concession on axle load is written in the layout: none applies" in front.reason
    assert "concession" not in gross.reason


@pytest.mark.parametrize("inertia", ["[500, 1500, 1700]", "[[500, 0, 0], [0, 1500, 0], [0, 0, 1700]]"])
def test_a_bare_inertia_means_kilograms_and_metres_only_where_all_is_metric(inertia):
    head = HEAD.replace("{length: mm, mass: kg, angle: deg}", "{length: in, mass: lb, angle: deg}")
    with pytest.raises(LayoutErrors) as caught:
        weigh(layout(SWAP, section(f"inertia: {inertia}"), head=head))
    assert "500 has no unit" in str(caught.value)
    assert weigh(layout(SWAP, section(f"inertia: {inertia}"))).swap.vehicle.inertia is not None
    united = "inertia: [500 kg·m², 1500 kg·m², 1700 kg·m²]"
    assert weigh(layout(SWAP, section(united), head=head)).swap.vehicle.inertia is not None


def test_a_bare_inertia_of_a_part_is_refused_in_pounds_and_inches_too():
    head = HEAD.replace("{length: mm, mass: kg, angle: deg}", "{length: in, mass: lb, angle: deg}")
    parts = cube("new", "new", "150", (0, 0, 0), ", inertia: [1, 1, 1]")
    with pytest.raises(LayoutErrors, match="1 has no unit"):
        weigh(layout(parts, section(), head=head))
