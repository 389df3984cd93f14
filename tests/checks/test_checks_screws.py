from __future__ import annotations

import pytest
from engine_layouts import findings, only, study

from fitcheck.findings import Status
from fitcheck.stack.lengths import fit_of
from fitcheck.stack.screw_rows import screw_rows

PARTS = """
    parts:
      boss: {role: enclosure, change: retained, shape: {box: [80, 60, 30]}, low_corner: [0, 0, -30]}
      riser: {role: riser, change: new, shape: {box: [WIDE, 40, 35 ± 0.1]}, material: MATERIAL, low_corner: [0, 0, 0]}
    screws:
      hold_down: {thread: THREAD, head: ISO 4762, direction: down, MORE}
"""
INTO = "clamps: [washer ISO 7089, 2.0, 3.0, riser], into: {material: aluminium, usable_depth: DEPTH}, spare: 2"


def text(more: str, *, thread="M8", material="aluminium", wide=60, depth=20) -> str:
    found = PARTS.replace("MORE", more).replace("THREAD", thread).replace("MATERIAL", material)
    return found.replace("WIDE", str(wide)).replace("DEPTH", str(depth))


def screw(more: str, **other):
    placed = study(text(more, **other))
    return placed, placed.layout.sections.screws[0]


def row(more: str, **other):
    (found,) = screw_rows(screw(more, **other)[0])
    return found


def test_no_preferred_length_lies_in_the_window_and_one_washer_opens_it():
    found = row(f"{INTO}, engagement: 2 d")
    assert found.grip_mm == pytest.approx(41.6, abs=1e-9)
    assert found.window_mm == pytest.approx((57.6, 59.6), abs=1e-9)
    assert found.worst_window_mm == pytest.approx((58.5, 58.7), abs=1e-9)
    assert (found.length_mm, found.opened_by, found.choices[0]) == (
        None,
        "one more washer 1.6",
        ("one more washer 1.6", 60.0),
    )
    finding = only(text(f"{INTO}, engagement: 2 d"), "screw length")
    assert finding.status is Status.NOT_MET
    assert finding.mend.startswith("one more washer 1.6: then 60 fits")


def test_with_the_washer_60_fits_in_the_drawing_and_cannot_be_told_at_worst():
    """Window 59.2 to 61.2; the screw's own ± 0.6, the washers' ± 0.2 each and the riser's ± 0.1 reach below it."""
    more = f"{INTO}, engagement: 2 d".replace("[washer", "[washer ISO 7089, washer")
    found = row(more)
    assert found.window_mm == pytest.approx((59.2, 61.2), abs=1e-9)
    assert found.length_mm == 60.0
    placed, own = screw(more)
    nominal, down, up, _ = fit_of(placed, own).engaged()
    assert (nominal, down, up) == pytest.approx((16.8, 1.1, 1.1), abs=1e-9)


def test_a_deep_thread_makes_the_worst_case_hold():
    wanted = f"{INTO}, engagement: 2 d"
    found = row(wanted, depth=26)
    assert found.length_mm == 60.0
    statuses = {one.status for one in _length_findings(text(wanted, depth=26))}
    assert statuses == {Status.MET}


def _length_findings(layout_text):
    return findings(layout_text, "screw length")


def test_an_engagement_that_is_not_stated_is_the_larger_published_one():
    found = row(INTO, depth=40)
    assert found.published_mm == pytest.approx((16.0, 24.0))
    assert found.engagement_mm == pytest.approx(24.0)
    assert any("sources disagree" in note for note in found.notes)


def test_an_unknown_material_without_an_engagement_is_not_checked():
    more = INTO.replace("aluminium", "cheese")
    finding = only(text(more), "screw length")
    assert finding.status is Status.NOT_CHECKED
    assert "no published engagement" in finding.reason


def test_a_thread_that_no_table_holds_is_not_checked():
    finding = only(text(f"{INTO}, engagement: 2 d", thread="M7"), "screw length")
    assert finding.status is Status.NOT_CHECKED


def test_a_through_bolt_shows_one_thread_beyond_its_nut():
    """Grip 35 + 2 x 1.6, nut 6.8 high, pitch 1.25: 46.25 and up; 50 also at worst."""
    found = row("clamps: [washer ISO 7089, riser, washer ISO 7089], into: {nut: ISO 4032}")
    assert found.window_mm == (pytest.approx(46.25, abs=1e-9), None)
    assert found.length_mm == 50.0
    assert (
        only(text("clamps: [washer ISO 7089, riser, washer ISO 7089], into: {nut: ISO 4032}"), "screw length").status
        is Status.MET
    )


def test_a_stated_length_that_bottoms_out_is_not_met():
    long = _length_findings(text(f"{INTO}, engagement: 2 d, length: 65"))
    assert {one.rule.text.split(",")[0]: one.status for one in long} == {
        "thread engaged": Status.MET,
        "clear of the end of the thread": Status.NOT_MET,
    }


def test_a_depth_that_is_too_small_has_no_window():
    finding = only(text(f"{INTO}, engagement: 2 d", depth=15), "screw length")
    assert finding.status is Status.NOT_MET
    assert "usable depth is too small" in finding.reason


def test_plain_shank_in_the_thread_is_noticed():
    """An M8 x 80 to ISO 4762 has 28 of thread: 52 of shank on a grip of 41.6."""
    found = row(f"{INTO}, engagement: 2 d, length: 80", depth=60)
    assert any("52 of plain shank" in note for note in found.notes)


@pytest.mark.parametrize(("into", "deep"), [(INTO, 60), (INTO.split(", into")[0] + ", into: {nut: ISO 4032}", 20)])
def test_plain_shank_in_the_thread_clamps_nothing(into, deep):
    engaged = _length_findings(text(f"{into}, engagement: 2 d, length: 80", depth=deep))[0]
    assert (engaged.status, engaged.mend) == (Status.NOT_MET, "take a screw threaded to the head")
    assert "10.7 mm into the thread" in engaged.reason


def test_of_several_lengths_one_whose_thread_reaches_the_grip_is_taken():
    """Grip 20, window 36 to 70: an M8 x 60 to ISO 4762 has 32 of plain shank, a 45 has 17."""
    more = "clamps: [20], into: {material: aluminium, usable_depth: 50}, engagement: 2 d"
    assert row(more).length_mm == 45.0


def test_the_added_washer_may_be_thin_or_thick_itself():
    """Grip 11.6 ± 0.3, window 27.6 to 29.6; a 30 of ± 0.42 over one more washer of 1.6 ± 0.2: from 30.12 at worst."""
    more = f"{INTO}, engagement: 2 d".replace("2.0, 3.0, riser", "10 ± 0.1")
    finding = only(text(more), "screw length")
    assert finding.mend.startswith("one more washer 1.6: then 30 fits in the drawing; at worst it misses by 0.1")


def test_a_screw_that_clamps_nothing_is_not_checked():
    finding = only(text("into: {nut: ISO 4032}, length: 30"), "screw length")
    assert (finding.status, finding.reason) == (
        Status.NOT_CHECKED,
        "nothing is listed under clamps: what does it hold?",
    )


def test_a_screw_that_goes_into_nothing_is_not_checked():
    finding = only(text("clamps: [5]"), "screw length")
    assert finding.status is Status.NOT_CHECKED
    assert finding.reason.startswith("nothing is stated under into")


def test_a_property_class_typed_as_a_torque_is_noticed_without_a_class():
    finding = only(text(f"{INTO}, engagement: 2 d, torque: 12.9 N·m"), "torque")
    assert finding.status is Status.NOT_CHECKED
    assert "12.9 looks like the property class" in finding.reason


def test_plastic_in_the_load_path_is_noticed_without_a_torque():
    said = row(f"{INTO}, engagement: 2 d", material="PA66-GF30").notes
    assert any(note.startswith("riser (PA66-GF30) is plastic in the load path: it creeps") for note in said)


TORQUE = f"{INTO}, engagement: 2 d, property_class: 8.8, torque: "


def test_a_sensible_torque_is_met():
    """M8 at friction 0.10 to 0.16: 22 N·m gives 13.0 to 19.4 kN under a proof load of 21.2 kN."""
    finding = only(text(f"{TORQUE}22 N·m").replace("material: aluminium, usable", "material: steel, usable"), "torque")
    assert finding.status is Status.MET
    assert (finding.band.low, finding.band.high) == pytest.approx((13.0, 19.4), abs=0.05)
    assert finding.required == pytest.approx(21.228, abs=1e-3)


def test_a_torque_beyond_the_proof_load_is_not_met():
    assert only(text(f"{TORQUE}45 N·m"), "torque").status is Status.NOT_MET


def test_a_property_class_typed_as_a_torque_is_noticed():
    finding = only(text(f"{TORQUE}8.8 N·m"), "torque")
    assert finding.status is Status.CANNOT_TELL
    assert "looks like the property class 8.8" in finding.reason


def test_a_torque_without_a_class_is_not_checked():
    assert only(text(f"{INTO}, torque: 20 N·m"), "torque").status is Status.NOT_CHECKED


def test_a_steel_torque_in_aluminium_is_noticed():
    assert any("torque for a steel thread" in note for note in row(f"{TORQUE}22 N·m").notes)
    assert not any("torque for a steel thread" in note for note in row(f"{TORQUE}15 N·m").notes)


def test_a_steel_torque_in_aluminium_cannot_be_told_unless_the_part_maker_gave_it():
    finding = only(text(f"{TORQUE}22 N·m"), "torque")
    assert (finding.status, finding.settle_by) == (
        Status.CANNOT_TELL,
        "the case maker's torque for the thread in aluminium",
    )
    assert "may strip first" in finding.reason
    assert only(text(f"{TORQUE}{{value: 22, unit: N·m, known_by: data sheet}}"), "torque").status is Status.MET
    assert only(text(f"{TORQUE}15 N·m"), "torque").status is Status.MET


def test_any_torque_into_a_plastic_thread_cannot_be_told():
    into_plastic = text(f"{TORQUE}5 N·m").replace("material: aluminium, usable", "material: PA66, usable")
    assert only(into_plastic, "torque").status is Status.CANNOT_TELL


@pytest.mark.parametrize(
    ("material", "status"),
    [
        ("PA66-GF30", Status.CANNOT_TELL),
        ("silicone foam", Status.CANNOT_TELL),
        ("aluminium", Status.MET),
    ],
)
def test_a_torque_on_soft_clamped_parts_cannot_be_told(material, status):
    finding = only(text(f"{TORQUE}15 N·m", material=material), "torque")
    assert finding.status is status
    sleeve = "a metal sleeve through riser, listed under clamps in its place"
    assert finding.settle_by == (sleeve if status is Status.CANNOT_TELL else "")


def test_a_torque_on_a_seal_cannot_be_told_whatever_it_is_made_of():
    seal = text(f"{TORQUE}15 N·m").replace("role: riser", "role: seal")
    assert only(seal, "torque").status is Status.CANNOT_TELL


def test_a_torque_beyond_the_proof_load_stays_not_met_on_soft_parts():
    assert only(text(f"{TORQUE}45 N·m", material="PA66-GF30"), "torque").status is Status.NOT_MET


SHALLOW = "clamps: [5], into: {material: aluminium, usable_depth: 30}, spare: 2, length: LENGTH, engagement: "


@pytest.mark.parametrize("class_name", ["8.8", "12.9"])
def test_an_engagement_below_every_published_one_cannot_be_told(class_name):
    """Half a diameter in aluminium, where sources ask for 2 d and more: 16 mm, of which a 16 through 5 has 11."""
    asked = f"{SHALLOW.replace('LENGTH', '16')}0.5 d, property_class: {class_name}"
    engaged = _length_findings(text(asked))[0]
    assert engaged.status is Status.CANNOT_TELL
    assert engaged.reason.startswith("the 4 mm asked for is less than every published engagement in aluminium")
    assert "workshop rule (" in engaged.reason
    assert engaged.settle_by.startswith("the case maker's engagement, or ask for 2")


@pytest.mark.parametrize(
    "asked",
    [
        f"{SHALLOW.replace('LENGTH', '25')}0.5 d",
        f"{SHALLOW.replace('LENGTH', '16')}{{value: 4, unit: mm, known_by: data sheet}}",
    ],
    ids=["the screw reaches the published one", "the maker says so"],
)
def test_a_shallow_engagement_holds_where_something_speaks_for_it(asked):
    assert _length_findings(text(asked))[0].status is Status.MET


def test_a_spare_that_is_left_out_is_noted():
    with_spare = f"{INTO}, engagement: 2 d"
    without = with_spare.replace(", spare: 2", "")
    assert [any("no spare is stated" in note for note in row(more).notes) for more in (with_spare, without)] == [
        False,
        True,
    ]


@pytest.mark.parametrize("clamps", ["[washer ISO 7093, 5]", "[]"])
def test_a_grip_that_nobody_knows_is_no_number(clamps):
    found = row(f"clamps: {clamps}, into: {{nut: ISO 4032}}")
    assert (found.grip_mm, found.grip_low_mm, found.grip_high_mm) == (None, None, None)


@pytest.mark.parametrize(
    ("material", "words"), [("PA66-GF30", "it creeps"), ("silicone foam", "takes a set"), ("aluminium", "")]
)
def test_what_lies_in_the_load_path_is_noticed(material, words):
    said = [note for note in row(f"{TORQUE}15 N·m", material=material).notes if note.startswith("riser")]
    assert [words in note for note in said] == ([True] if words else [])


def test_standoffs_are_listed_with_the_screw_that_goes_with_them():
    """M6 through 2, 3 and the standoff, 2 d of thread, 20 deep less 2: from grip + 12 to grip + 18. A standoff of 25
    takes 42 to 48, one of 30 takes 47 to 53, one of 40 takes 57 to 63; 20 is less than the 24 that would do."""
    more = "clamps: [2.0, 3.0, riser], into: {material: aluminium, usable_depth: 20}, engagement: 2 d, spare: 2"
    placed = screw(more, thread="M6")[0]
    (found,) = screw_rows(placed, {"riser": 24.0}, {"riser": 35.0})
    assert found.choices == (
        ("riser as a standoff M6 of 25", 45.0),
        ("riser as a standoff M6 of 30", 50.0),
        ("riser as a standoff M6 of 40", 60.0),
    )


def test_a_torque_on_a_slender_riser_cannot_be_told():
    """35 high on a side of 6; from a side of 7 it is no more than five times as high."""
    finding = only(text(f"{TORQUE}15 N·m", wide=6), "torque")
    assert finding.status is Status.CANNOT_TELL
    assert "riser is 35 high on a side of 6: slender" in finding.reason
    assert finding.settle_by == "riser braced, or 7 wide and more"
    assert only(text(f"{TORQUE}15 N·m", wide=7), "torque").status is Status.MET


def test_what_is_clamped_and_of_no_stated_material_is_named_as_not_judged():
    told = "not judged: what the stated thicknesses 2 and 3 are made of"
    assert told in only(text(f"{TORQUE}15 N·m"), "torque").reason
    unstated = text(f"{TORQUE}15 N·m").replace("material: aluminium, low_corner", "low_corner")
    assert "not judged: what the stated thicknesses 2 and 3 and riser are made of" in only(unstated, "torque").reason
    bare = text(f"{TORQUE}15 N·m").replace("2.0, 3.0, riser", "riser")
    assert "not judged" not in only(bare, "torque").reason


def test_of_the_plates_that_open_a_length_the_one_with_most_to_spare_at_worst_comes_first():
    """Window at worst 58.5 to 58.7 for the nominal length: with 1.5 it is 60.0 to 60.2, which 60 just reaches."""
    added = [what for what, _ in row(f"{INTO}, engagement: 2 d").choices]
    assert added[:2] == ["one more washer 1.6", "a plate 1.5"]
