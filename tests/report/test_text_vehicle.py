"""The vehicle in the text report."""

from __future__ import annotations

from pathlib import Path

from vehicle_layouts import cube, layout, vehicle

from fitcheck.report.as_text import render
from fitcheck.report.look import Look
from fitcheck.report.text_vehicle import section
from fitcheck.run import balance

DEMO = Path(__file__).parents[2] / "demo_geometry"


def told(path: Path) -> str:
    return render(balance(path))


def test_the_tug_in_text():
    text = told(DEMO / "05_tow_tug" / "layout.yaml")
    lines = [" ".join(line.split()) for line in text.splitlines()]
    assert "rear axle [kg] 1 520.00 1 413.66 -106.34" in lines
    assert "stability factor 0.977 0.962 -0.014" in lines
    assert "AT OR BELOW EVERY STATED LIMIT; NOT AN APPROVAL" in text
    assert "Still to be added at the pack's place: at most 344.4 kg, bound by the limit of the front axle." in text


def test_the_sweeper_in_text():
    text = told(DEMO / "06_street_sweeper" / "layout.yaml")
    assert "A STATED LIMIT IS PASSED" in text
    assert "46.91 over  not met" in text
    assert "proves nothing for the laden vehicle" in " ".join(text.split())


def test_everything_a_vehicle_can_say_fits_the_width():
    parts = cube("old", "removed", "100 ± 1", (0, 0, 0)) + cube("new", "new", "150 ± 1", (0, 30, 0))
    section_text = (
        "{wheelbase: 2000 ± 2, track: 1200, cg_height: 600 ± 20, case_low: [1000, 0, 400], steered: front, "
        "weighed: {front left: 500 ± 5, front right: 500 ± 5, rear left: 490 ± 5, rear right: 510 ± 5}, "
        "limits: {front: 1100, rear: 1100, gross: 2200}, payload: [{mass: 75, at: [800, -300, 900]}], "
        "springs: {front: 50 N/mm, rear: 60 N/mm}, ground_clearance: {measured: 180, at_least: 160}, "
        "raised_axle: {raised: rear, lift: 600, other_axle: 1080, wheel_radius: 300}, pack_weighed: 101, "
        "category: N1, held_by: {bolt: 4}, inertia: [[500, 0, 0], [0, 1500, 0], [0, 0, 1700]], "
        "rule_cards: [ride height change AU, every limit]}"
    )
    tail = "screws: {bolt: {thread: M10, property_class: 8.8, direction: down, clamps: [5], into: {nut: ISO 4032}}}\n"
    found = vehicle(layout(parts, section_text, tail=tail))
    lines = section(found, Look(width=100), whole=True)
    assert max(map(len, lines)) <= 100
    text = " ".join(" ".join(lines).split())
    for words in (
        "left wheels [kg]", "payload aboard", "inertia xz", "The rear axle sinks by", "Ground clearance",
        "by the raised axle",
        "an estimate for an engineer to sign", "kN; strength", "ride height change AU", "original pack",
    ):  # fmt: skip
        assert words in text
    short = section(found, Look(width=100), whole=False)
    assert len(short) < len(lines)
    assert not any("Moments" in line for line in short)


def test_changes_and_the_loaded_vehicle_are_told_with_their_bands(tmp_path):
    parts = cube("old", "removed", "100 ± 1", (0, 0, 0)) + cube("new", "new", "150 ± 1", (0, 30, 0))
    section_text = (
        "{wheelbase: 2000 ± 2, track: 1200, cg_height: 600 ± 20, case_low: [1000, 0, 400], "
        "weighed: {front: 1000 ± 5, rear: 1000 ± 5, left: 1000 ± 5, right: 1000 ± 5}, limits: {gross: 2300}, "
        "payload: [{mass: 75, at: [800, -300, 900]}], pack_weighed: 101}"
    )
    path = tmp_path / "layout.yaml"
    path.write_text(layout(parts, section_text), encoding="utf-8")
    text = told(path)
    for label in ("left wheels [kg]", "stability factor", "share on the rear axle", "inertia xx [kg m²]"):
        (line,) = (line for line in text.splitlines() if line.strip().startswith(f"{label}  "))
        assert line.count("±") >= 2
        assert line.rstrip().endswith(")")
    assert "stability factor, loaded  " in text
    assert "centre z, loaded [mm]  " in text
    assert "taken as exact" not in text.partition("Met:")[2]


def test_the_tally_agrees_with_the_list():
    text = told(DEMO / "05_tow_tug" / "layout.yaml")
    assert "Findings: 5 met." in text
    assert "required (5)" in text
    assert "2 figures with nothing to hold against: see the tables" in text


PLAIN = "{wheelbase: 2000, track: 1200, case_low: [1000, 0, 400], weighed: "


def words_of(parts: str, section_text: str) -> str:
    lines = section(vehicle(layout(parts, section_text)), Look(width=100), whole=True)
    return " ".join(" ".join(lines).split())


def test_what_may_still_be_added_is_told_with_its_band_or_not_at_all():
    parts = cube("new", "new", "50", (0, 0, 0))
    weighed = "{front: 1000 ± 4, rear: 1000}"
    some = words_of(parts, f"{PLAIN}{weighed}, limits: {{front: 1100}}}}")
    assert (
        "over the front axle: at most 71.0 kg (as drawn 75.0, worst case 71.0 to 79.0, root-sum-square 71.0 to 79.0 "
        "kg), bound by the limit of the front axle." in some
    )
    close = words_of(parts, f"{PLAIN}{weighed}, limits: {{front: 1027}}}}")
    assert "Whether anything may be added over the front axle cannot be told (as drawn 2.0, worst case -2.0 to" in close
    over = words_of(parts, f"{PLAIN}{weighed}, limits: {{front: 1000}}}}")
    assert "Nothing more over the front axle: the limit of the front axle is used up (as drawn -25.0" in over


def test_left_and_right_are_told_with_the_payload_too():
    """60 of 100 kg at 300 right of the middle of 1200 lie on the right wheels: three quarters of it."""
    corners = "{front left: 500, front right: 500, rear left: 500, rear right: 500}"
    parts = cube("new", "new", "50", (0, 0, 0))
    told = words_of(parts, f"{PLAIN}{corners}, payload: [{{mass: 100, at: [1000, 300, 900]}}]}}")
    assert "left wheels, payload aboard [kg] 1 050.00" in told
    assert "right wheels, payload aboard [kg] 1 100.00" in told
