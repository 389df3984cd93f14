"""One band per value: stated, general tolerance, instrument, or exact."""

from __future__ import annotations

import pytest
from written import layout_text, only, place_of, read

from fitcheck.standards.instruments import half_width


def part(extra: str = "", size: str = "410", mass: str = "11.9") -> str:
    return (
        f"  m1: {{role: module, change: new, shape: {{box: [{size}, 168, 126]}}, mass: {mass}, "
        f"low_corner: [10, 10, 0]{extra}}}\n"
    )


DRAWING = "general_tolerance: ISO 2768-m\ndefaults: {known_by: drawing}\n"


def size_of(text: str, name: str = "m1.x"):
    return read(text).quantities[name]


def test_a_stated_tolerance_alone():
    value = size_of(layout_text(part(", known_by: tape", "410 +0.5/-0.2"), above=DRAWING))
    assert (value.below, value.above, value.basis, value.known_by) == (0.2, 0.5, "stated", "tape")


def test_drawing_sizes_have_the_general_tolerance():
    value = size_of(layout_text(part(), above=DRAWING))
    assert (value.below, value.above, value.basis, value.known_by) == (0.8, 0.8, "ISO 2768-m", "drawing")


@pytest.mark.parametrize(("grade", "width"), [("f", 0.3), ("m", 0.8), ("c", 2.0), ("v", 4.0)])
def test_every_grade(grade, width):
    value = size_of(layout_text(part(", known_by: drawing"), above=f"general_tolerance: ISO 2768-{grade}\n"))
    assert (value.above, value.basis) == (width, f"ISO 2768-{grade}")


@pytest.mark.parametrize("size", ["0.4", "4500"])
def test_sizes_that_the_general_tolerance_does_not_speak_of_are_exact(size):
    value = size_of(layout_text(part("", size), above=DRAWING))
    assert (value.above, value.basis) == (0.0, "exact")


def test_drawing_without_a_general_tolerance_is_exact():
    assert size_of(layout_text(part(), above="defaults: {known_by: drawing}\n")).basis == "exact"


def test_general_tolerance_speaks_of_drawings_only():
    value = size_of(layout_text(part(), above="general_tolerance: ISO 2768-m\n"))
    assert (value.basis, value.known_by) == ("exact", "")


def test_an_instrument_speaks_for_what_it_measures():
    text = layout_text(part(", known_by: tape"), above=DRAWING)
    size, mass = size_of(text), size_of(text, "m1.mass")
    assert (size.above, size.basis) == (half_width("tape", "length", 410), "default for tape")
    assert (mass.above, mass.basis) == (0.0, "exact")


def test_the_value_beats_the_part_and_the_part_the_default():
    above = "defaults: {known_by: tape}\n"
    value = "{value: 410, known_by: caliper}"
    assert size_of(layout_text(part(), above=above)).known_by == "tape"
    assert size_of(layout_text(part(", known_by: scan"), above=above)).known_by == "scan"
    found = size_of(layout_text(part(", known_by: scan", value), above=above))
    assert (found.known_by, found.above) == ("caliper", half_width("caliper", "length", 410))


@pytest.mark.parametrize(
    ("written", "nominal", "below", "above"),
    [
        ("{value: 410, tolerance: 0.3}", 410, 0.3, 0.3),
        ("{value: 410, tolerance: +0.5/-0.2, unit: mm}", 410, 0.2, 0.5),
        ("{value: 410, tolerance: 1 %}", 410, 4.1, 4.1),
        ("{value: 41, tolerance: 0.3, unit: cm}", 410, 3.0, 3.0),
        ("{value: 410 ± 0.3, known_by: caliper}", 410, 0.3, 0.3),
        ("{value: 410 mm, tolerance: 0.01 in}", 410, 0.254, 0.254),
    ],
)
def test_values_in_full(written, nominal, below, above):
    value = size_of(layout_text(part("", written)))
    assert (value.nominal, value.below, value.above) == pytest.approx((nominal, below, above), rel=1e-12)
    assert value.basis == "stated"


@pytest.mark.parametrize(
    ("written", "wrong", "what"),
    [
        ("{value: 410, tolerence: 0.3}", "tolerence", "unknown key 'tolerence'"),
        ("{tolerance: 0.3}", "box", "no 'value' here"),
        ("{value: 410 ± 0.3, tolerance: 0.3}", "{value", "written twice"),
        ("{value: 410, unit: kg}", "{value", "is a mass"),
        ("{value: 410, known_by: ruler}", "ruler", "unknown word 'ruler'"),
        ("{value: 410, tolerance: 0;3}", "{value", "is no tolerance"),
        ("{value: 5, tolerance: 6}", "{value", "as large as the length itself"),
        ("5 ± 5", "5 ± 5", "as large as the length itself"),
        ("[410]", "[410]", "a list here"),
    ],
)
def test_values_that_are_refused(written, wrong, what):
    text = layout_text(part("", written))
    problem = only(text)
    assert what in problem.what
    if wrong != "box":
        assert (problem.at.line, problem.at.column) == place_of(text, wrong)


def test_places_corners_turns_and_rules_are_exact_unless_toleranced():
    text = layout_text(
        part(", known_by: tape, turn: {z: 90}, grows: {y: 2 %}"),
        below="gaps:\n  - {between: [m1, case], at_least: 5}\n",
        above=DRAWING,
    )
    layout = read(text)
    for name in ("m1.low_corner.x", "m1.turn.z", "m1.grows.y"):
        assert (layout.quantities[name].basis, layout.quantities[name].known_by) == ("exact", "")
    assert layout.gap_rules[0].at_least.is_exact
    toleranced = read(text.replace("low_corner: [10,", "low_corner: [10 ± 1,").replace("z: 90", "z: 90 ± 0.2"))
    assert toleranced.quantities["m1.low_corner.x"].above == 1.0
    assert toleranced.quantities["m1.turn.z"].above == 0.2


def test_a_corner_that_says_how_it_is_known_has_that_band():
    text = layout_text(part().replace("[10,", "[{value: 10, known_by: tape},"))
    assert size_of(text, "m1.low_corner.x").above == half_width("tape", "length", 10)


def test_a_guess_needs_a_tolerance():
    text = layout_text(part(", known_by: guess", "410 ± 5", "11.9 ± 1"))
    problems_at = only(text.replace("168, 126", "168 ± 3, 126"))
    assert "a guess without a tolerance" in problems_at.what
    layout = read(text.replace("168, 126", "168 ± 3, 126 ± 3"))
    assert layout.quantities["m1.x"].is_guess
    assert not layout.quantities["m1.low_corner.x"].is_guess


def test_a_default_wider_than_the_size_stops_at_nothing():
    text = layout_text("", above="defaults: {known_by: tape}\n").replace("wall: 2", "wall: 1.2")
    value = size_of(text, "case.wall")
    assert (value.low, value.above) == (0.0, half_width("tape", "length", 1.2))


def test_each_part_deviates_by_itself_through_a_shared_shape_and_like():
    text = layout_text(
        "  m1: {role: module, change: new, shape: module_s, mass: 9, low_corner: [10, 10, 0]}\n"
        "  m2: {role: module, change: new, shape: module_s, mass: 9, low_corner: [10, 200, 0], known_by: caliper}\n"
        "  m3: {like: m2, low_corner: [450, 200, 0]}\n",
        above="shapes: {module_s: {box: [410 ± 0.5, 168, 126]}}\n",
    )
    values = read(text).quantities
    assert {values[f"m{n}.x"].name for n in (1, 2, 3)} == {"m1.x", "m2.x", "m3.x"}
    assert (values["m1.y"].known_by, values["m2.y"].known_by, values["m3.y"].known_by) == ("", "caliper", "caliper")
    assert (values["m3.x"].at.line, values["m3.x"].at.column) == place_of(text, "410 ± 0.5")


def test_units_of_the_layout():
    text = layout_text(part(), above="units: {length: in, mass: lb, angle: rad}\n")
    values = read(text.replace("10, 10, 0]", "10 mm, 10, 0], turn: {z: 1}")).quantities
    assert values["m1.x"].nominal == pytest.approx(410 * 25.4, rel=1e-15)
    assert values["m1.mass"].nominal == pytest.approx(11.9 * 0.45359237, rel=1e-15)
    assert values["m1.low_corner.x"].nominal == 10.0
    assert values["m1.turn.z"].nominal == pytest.approx(57.29577951308232, rel=1e-15)


def test_a_unit_of_another_kind_under_units():
    text = layout_text("", above="units: {length: kg}\n")
    problem = only(text)
    assert problem.what == "'kg' is a unit of mass, not of length"
    assert (problem.at.line, problem.at.column) == place_of(text, "kg}")


def test_a_general_tolerance_that_is_none():
    assert "is no general tolerance" in only(layout_text("", above="general_tolerance: ISO 2768-x\n")).what


@pytest.mark.parametrize("known_by", ["drawing", "tape"])
@pytest.mark.parametrize("mm", [3, 6, 30, 120, 400, 1000, 2000])
def test_a_size_in_inches_falls_into_the_same_row_of_a_table(known_by, mm):
    above = f"general_tolerance: ISO 2768-m\ndefaults: {{known_by: {known_by}}}\n"
    metric = size_of(layout_text(part("", f"{mm}"), above=above))
    inches = size_of(layout_text(part("", f"{mm / 25.4!r} in"), above=above))
    assert inches.above == metric.above
