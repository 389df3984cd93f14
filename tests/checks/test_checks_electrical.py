"""Clearance, creepage and isolation resistance: which pairs, which voltage, which status."""

from __future__ import annotations

import pytest
from engine_layouts import findings, layout, only

from fitcheck.checks.coverage import not_covered
from fitcheck.checks.potentials import kind_of, voltage_between
from fitcheck.findings import Finding, Status
from fitcheck.model.part import Build


def text(parts: str, electrical: str = "impulse: 2.5 kV, pollution_degree: 2", more: str = "") -> str:
    potentials = "{plus: 400 V, tap: 150 V, minus: 0 V, lamp: {volts: 12 V, circuit: low}}"
    return f"parts:\n{parts}electrical: {{potentials: {potentials}, {electrical}}}\n{more}"


def box(name: str, x: str, more: str, size: str = "10", role: str = "other") -> str:
    shape = f"{{box: [{size}, 10, 10]}}"
    return f"  {name}: {{role: {role}, change: new, shape: {shape}, low_corner: [{x}, 0, 0], {more}}}\n"


def two(x: str, electrical: str = "impulse: 2.5 kV, pollution_degree: 2", more: str = "") -> str:
    return text(box("a", "0", "potential: plus") + box("b", x, "potential: minus"), electrical, more)


STRIP = (
    "  strip: {role: insulator, change: new, material_group: %s, shape: {box: [90, 10, 5]}, low_corner: [0, 0, -5]}\n"
)


def bounds(found: Finding) -> tuple[float, float, float]:
    assert found.band is not None
    return found.band.value, found.band.low, found.band.high


@pytest.mark.parametrize(
    ("degree", "group", "required"), [("2", "IIIa", 4.0), ("3", "IIIa", 6.3), ("2", "I", 2.0), ("2", "IIIb", 4.0)]
)
def test_creepage_for_400_v(degree: str, group: str, required: float) -> None:
    parts = box("a", "0", "potential: plus") + box("b", "16.5", "potential: minus") + STRIP % group
    found = only(text(parts, f"impulse: 2.5 kV, pollution_degree: {degree}"), "creepage", "a", "b")
    assert found.required == required
    assert found.status is Status.MET


def test_without_insulation_in_reach_the_worst_group_counts() -> None:
    assert only(two("14"), "creepage").required == 4.0


@pytest.mark.parametrize(("altitude", "required"), [("0 m", 1.5), ("3000 m", 1.71)])
def test_clearance_for_2_5_kv(altitude: str, required: float) -> None:
    found = only(two("12", f"impulse: 2.5 kV, pollution_degree: 2, altitude: {altitude}"), "clearance")
    assert found.required == pytest.approx(required, abs=1e-12)
    assert "table F.2" in found.rule.text
    assert "bought standard decides" in found.rule.text


@pytest.mark.parametrize(
    ("x", "status"),
    [
        ("11.5", Status.MET),
        ("11.6 ± 0.1", Status.MET),
        ("11.5 ± 0.1", Status.CANNOT_TELL),
        ("10.4", Status.NOT_MET),
        ("10.1 ± 0.2", Status.NOT_MET),
        ("10", Status.NOT_MET),
        ("9.5", Status.NOT_MET),
    ],
)
def test_open_air_is_not_met_where_no_build_has_enough(x: str, status: Status) -> None:
    assert only(two(x), "clearance").status is status


def test_what_would_settle_a_straight_way_that_tolerance_makes_short() -> None:
    found = only(two("11.6 ± 0.2"), "clearance")
    assert found.settle_by == "b.low_corner.x to ± 0.1 mm"
    assert "too short within tolerance" in found.reason


def test_a_concession_never_applies() -> None:
    conceded = (
        "concessions:\n  - {check: clearance, parts: [a, b], down_to: 0.1, because: x, signed: y, date: 2026-01-01}\n"
    )
    assert only(two("11", more=conceded), "clearance").status is Status.NOT_MET


def test_far_pairs_are_not_listed() -> None:
    assert findings(two("60"), "clearance") == ()
    assert len(findings(two("35"), "clearance")) == 1


@pytest.mark.parametrize(
    ("x", "size", "low"), [("15", "8", 12.0), ("11", "9", 11.0), ("10.9", "10", 9.1), ("10.5", "10", 9.5)]
)
def test_floating_metal_is_crossed_for_nothing(x: str, size: str, low: float) -> None:
    """a ends at 10, b begins at 30: what the bar leaves of 20, where steps narrower than X = 1 count nothing."""
    ends = box("a", "0", "potential: plus") + box("b", "30", "potential: minus")
    found = only(text(ends + box("bar", x, "material: steel", size=size)), "clearance")
    assert bounds(found) == pytest.approx((low, low, low), abs=1e-9)
    assert "bar" in found.reason
    assert [point[0] for point in found.way] == pytest.approx([10.0, float(x), float(x) + float(size), 30.0], abs=1e-9)


def test_metal_that_touches_both_is_a_short_circuit_and_what_may_be_metal_is_not() -> None:
    ends = box("a", "0", "potential: plus") + box("b", "30", "potential: minus")
    assert only(text(ends + box("bar", "10", "material: steel", size="20")), "clearance").status is Status.NOT_MET
    unknown = text(ends + box("bar", "10", "mass: 1", size="20"))
    assert only(unknown, "clearance").status is Status.CANNOT_TELL
    assert any("floating metal" in said and "bar" in said for said in not_covered(layout(unknown), "check"))
    plastic = text(ends + box("bar", "10", "material_group: I", size="20"))
    assert only(plastic, "clearance").status is Status.MET


KINDS = {
    "potential: plus, material: steel": "live",
    "material: steel": "floating",
    "material: PC": "insulation",
    "material_group: II": "insulation",
    "mass: 1": "floating",
}


@pytest.mark.parametrize(("more", "kind"), KINDS.items())
def test_what_a_part_is_to_electricity(more: str, kind: str) -> None:
    written = layout(text(box("a", "0", more)))
    assert written.sections.electrical is not None
    assert kind_of(written.sections.electrical, written.by_name["a"]) == kind


@pytest.mark.parametrize(
    ("role", "more", "kind"),
    [
        ("lid", "material: steel", "bonded"),
        ("cover", "mass: 1", "insulation"),
        ("cover", "material: steel", "floating"),
        ("keep-out", "turn: {z: 0}", None),
    ],
)
def test_what_a_role_makes_of_a_part(role: str, more: str, kind: str | None) -> None:
    written = layout(text(box("a", "0", more, role=role), "chassis: [every lid]"))
    assert written.sections.electrical is not None
    assert kind_of(written.sections.electrical, written.by_name["a"]) == kind


@pytest.mark.parametrize(
    ("system", "one", "other", "volts"),
    [
        ("isolated", "plus", "minus", 400),
        ("isolated", "plus", "tap", 250),
        ("isolated", "plus", "plus", None),
        ("isolated", "minus", "", 400),
        ("isolated", "tap", "", 400),
        ("isolated", "lamp", "", 12),
        ("isolated", "lamp", "minus", 400),
        ("minus bonded", "minus", "", None),
        ("minus bonded", "tap", "", 150),
        ("minus bonded", "plus", "", 400),
        ("minus bonded", "lamp", "", 12),
    ],
)
def test_the_voltage_that_counts(system: str, one: str, other: str, volts: float | None) -> None:
    second = box("b", "20", f"potential: {other}" if other else "material: steel", role="other" if other else "lid")
    written = layout(text(box("a", "0", f"potential: {one}") + second, f"system: {system}, chassis: [every lid]"))
    assert written.sections.electrical is not None
    found = voltage_between(written.sections.electrical, written.by_name["a"], written.by_name["b"])
    assert (None if found is None else found.volts) == volts


@pytest.mark.parametrize("check", ["clearance", "creepage"])
def test_without_an_impulse_nothing_is_judged_but_a_short(check: str) -> None:
    found = only(two("14", "pollution_degree: 2"), check)
    assert found.status is Status.NOT_CHECKED
    assert "impulse" in found.mend
    statuses = [each.status for each in findings(two("10", "pollution_degree: 2"), check)]
    assert statuses == [Status.NOT_MET, Status.NOT_CHECKED]


def test_impulse_from_category_and_supply() -> None:
    found = only(two("14", "overvoltage_category: II, supply: 300 V, pollution_degree: 2, altitude: 0 m"), "clearance")
    assert found.required == 1.5


def test_no_creepage_at_degree_4() -> None:
    found = only(two("14", "impulse: 2.5 kV, pollution_degree: 4"), "creepage")
    assert found.status is Status.NOT_CHECKED
    assert "degree 4" in found.reason


def test_a_guess_is_never_met() -> None:
    found = only(two("{value: 16, tolerance: 0.5, known_by: guess}"), "clearance")
    assert found.status is Status.CANNOT_TELL
    assert found.rests_on_guess == ("b.low_corner.x",)


def test_silence_is_not_a_pass() -> None:
    nothing_live = findings(text(box("a", "0", "material: steel")), "clearance")
    assert [each.status for each in nothing_live] == [Status.NOT_CHECKED]
    case = box("case", "40", "material: steel", role="enclosure")
    unbonded = findings(text(box("a", "0", "potential: plus") + case, "impulse: 2.5 kV"), "clearance")
    assert [(each.status, each.parts) for each in unbonded] == [(Status.NOT_CHECKED, ("case",))]


def test_live_and_bonded_at_once_is_a_short() -> None:
    found = only(text(box("a", "0", "potential: plus"), "impulse: 2.5 kV, chassis: [a]"), "clearance")
    assert (found.status, found.parts) == (Status.NOT_MET, ("a",))


@pytest.mark.parametrize(
    ("reading", "status"),
    [
        ("reading: 0.42 MΩ, at: 400 V", Status.MET),
        ("reading: 40 kΩ, at: 500 V, bus: dc", Status.MET),
        ("reading: 40 kΩ, at: 500 V, bus: dc and protected ac", Status.MET),
        ("reading: 40 kΩ, at: 500 V", Status.CANNOT_TELL),
        ("reading: 199.9 kΩ, at: 500 V", Status.CANNOT_TELL),
        ("reading: 200 kΩ, at: 500 V", Status.MET),
        ("reading: 39.9 kΩ, at: 400 V", Status.NOT_MET),
        ("reading: 41 kΩ ± 5 %, at: 400 V", Status.CANNOT_TELL),
        ("reading: 0.42 MΩ, at: 9 V", Status.CANNOT_TELL),
        ("reading: 0.42 MΩ", Status.CANNOT_TELL),
        ("reading: 1 kΩ", Status.NOT_MET),
    ],
)
def test_isolation_resistance(reading: str, status: Status) -> None:
    measured = f"measured:\n  - {{isolation_resistance: plus, {reading}}}\n"
    found = only(two("30", more=measured), "isolation resistance")
    assert found.status is status
    assert found.required == pytest.approx(40_000, abs=1e-9)
    original = findings(two("30", more=measured), "isolation resistance", build=Build.ORIGINAL)
    assert [each.status for each in original] == [Status.NOT_CHECKED]


@pytest.mark.parametrize(("reading", "status"), [("200 kΩ", Status.MET), ("199.9 kΩ", Status.NOT_MET)])
def test_isolation_resistance_where_ac_is_joined(reading: str, status: Status) -> None:
    """UN R100 5.1.3: 500 ohm per volt."""
    measured = f"measured:\n  - {{isolation_resistance: plus, reading: {reading}, at: 400 V, bus: dc and ac}}\n"
    found = only(two("30", more=measured), "isolation resistance")
    assert (found.status, found.required) == (status, 200_000.0)


def test_what_bus_it_is_settles_a_reading_between_the_two_limits() -> None:
    measured = "measured:\n  - {isolation_resistance: plus, reading: 100 kΩ, at: 400 V}\n"
    found = only(two("30", more=measured), "isolation resistance")
    assert found.settle_by == "state bus: dc, or bus: dc and ac, or bus: dc and protected ac"
    assert "below the 200000 ohm" in found.reason


ALIKE = "electrical: {potentials: {plus: 0 V, minus: 0 V}, impulse: 2.5 kV, pollution_degree: 2}\n"


@pytest.mark.parametrize("check", ["clearance", "creepage"])
def test_a_circuit_whose_potentials_are_all_the_same_is_not_checked(check: str) -> None:
    found = only(f"parts:\n{box('a', '0', 'potential: plus')}{box('b', '11', 'potential: minus')}{ALIKE}", check)
    assert (found.status, found.parts) == (Status.NOT_CHECKED, ("a", "b"))
    assert found.reason == "the voltage of circuit main is not known: all its potentials are the same"
    assert "the highest and the lowest potential in use" in found.mend


def test_nor_is_an_isolation_resistance_of_one() -> None:
    measured = "measured:\n  - {isolation_resistance: plus, reading: 1 kΩ, at: 400 V}\n"
    found = only(f"parts:\n{box('a', '0', 'potential: plus')}{ALIKE}{measured}", "isolation resistance")
    assert (found.status, found.required) == (Status.NOT_CHECKED, None)


@pytest.mark.parametrize(
    ("x", "status"), [("13.9", Status.NOT_MET), ("14", Status.NOT_CHECKED), ("70", Status.NOT_CHECKED)]
)
def test_without_an_impulse_the_table_for_creepage_alone_can_only_refuse(x: str, status: Status) -> None:
    strip = STRIP % "IIIa"
    parts = box("a", "0", "potential: plus") + box("b", x, "potential: minus") + strip
    found, *others = findings(text(parts, "pollution_degree: 2"), "creepage")
    assert found.status is status
    assert [each.status for each in others] == ([Status.NOT_CHECKED] if status is Status.NOT_MET else [])
    if status is Status.NOT_CHECKED:
        assert found.reason.startswith("creepage may not be below the clearance, which is not known")
        assert "impulse" in found.mend


@pytest.mark.parametrize(
    ("group", "volts", "degree", "status"),
    [
        ("IIIb", 800, 3, Status.NOT_CHECKED),
        ("IIIb", 630, 3, Status.MET),
        ("IIIb", 800, 2, Status.MET),
        ("IIIa", 800, 3, Status.MET),
    ],
)
def test_group_iiib_in_dirt_above_630_v_is_never_met(group: str, volts: int, degree: int, status: Status) -> None:
    """IEC 61439-1 table 2, as one public page reprints it: IIIb is not recommended there."""
    parts = box("a", "0", "potential: plus") + box("b", "22.5", "potential: minus") + STRIP % group
    layout = text(parts, f"impulse: 2.5 kV, pollution_degree: {degree}").replace("400 V", f"{volts} V")
    found = only(layout, "creepage", "a", "b")
    assert found.status is status
    assert ("not recommended at pollution degree 3 above 630 V" in found.reason) is (status is Status.NOT_CHECKED)
    short = only(layout.replace("[22.5,", "[22.4,"), "creepage", "a", "b")
    if (volts, degree) == (800, 3):
        assert (short.required, short.status) == (12.5, Status.NOT_MET)


def test_where_no_insulation_is_near_none_is_of_the_wrong_group() -> None:
    parts = box("a", "0", "potential: plus") + box("b", "40", "potential: minus")
    found = only(text(parts, "impulse: 2.5 kV, pollution_degree: 3").replace("400 V", "800 V"), "creepage")
    assert found.status is Status.MET


@pytest.mark.parametrize(("peak", "required"), [("400 V", 1.5), ("2500 V", 1.8)])
def test_a_recurring_peak_goes_by_table_f8(peak: str, required: float) -> None:
    """IEC 60664-1 table F.8, row 2.5 kV: 1.8 mm, more than table F.2 asks for 2.5 kV that come but once."""
    found = only(two("14", f"impulse: 2.5 kV, pollution_degree: 2, recurring_peak: {peak}"), "clearance")
    assert found.required == required
    assert ("table F.8" in found.rule.text) is (required > 1.5)


def test_a_tracking_index_gives_the_group() -> None:
    parts = box("a", "0", "potential: plus") + box("b", "14", "potential: minus")
    strip = (STRIP % "I").replace("material_group: I", "cti: %s")
    required = [
        only(text(parts + strip % index, "impulse: 2.5 kV, pollution_degree: 2"), "creepage", "a", "b").required
        for index in ("600", "400 V", "399", "175", "100")
    ]
    assert required == [2.0, 2.8, 4.0, 4.0, 4.0]


def test_gaps_beside_floating_metal_that_count_nothing_are_named() -> None:
    parts = box("a", "0", "potential: plus") + box("b", "14", "potential: minus")
    clip = box("clip", "10.75", "material: steel", size="2.5")
    found = only(text(parts + clip), "clearance", "a", "b")
    assert found.status is Status.NOT_MET
    assert "gaps beside it narrower than 1 mm count nothing, and there are such: 0.75 mm, 0.75 mm" in found.reason


GROOVE = """  strip:
    {role: insulator, change: new, material_group: IIIa, low_corner: [0, 0, -12],
     shape: {prism: {along: y, height: 40, outline: [
       [0, -12], [40, -12], [40, 0], [20.9, 0], [20.9, -2], [20, -2], [20, 0], [0, 0]]}}}
"""


@pytest.mark.parametrize(("right", "length"), [("21.7", 0.7 + 2.0 + 0.9 + 2.0 + 0.8), ("22.4", 0.7 + 0.9 + 1.5)])
def test_x_is_a_third_of_a_clearance_below_3_mm(right: str, length: float) -> None:
    """Over a groove 0.9 wide at pollution degree 2: bridged at X = 1, walked where 2.4 mm of clearance make it 0.8."""
    shape = "{box: [5, 4, 4]}"
    ends = f"  a: {{role: terminal, change: new, potential: plus, shape: {shape}, low_corner: [14.3, 18, 0]}}\n"
    ends += f"  b: {{role: terminal, change: new, potential: minus, shape: {shape}, low_corner: [{right}, 18, 0]}}\n"
    found = only(text(ends + GROOVE), "creepage")
    value, low, _ = bounds(found)
    assert value == pytest.approx(length, rel=5e-3)
    assert low <= length + 1e-9
    assert ("narrower than 0.80 mm" in found.reason) is (right == "21.7")
