"""The same layout written in other units is the same layout."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.layoutfile.read import read_text

MM_PER = {"mm": 1.0, "in": 25.4, "cm": 10.0, "ft": 304.8, "m": 1000.0}
KG_PER = {"kg": 1.0, "lb": 0.45359237, "g": 0.001}

lengths = st.floats(min_value=0.5, max_value=3000, allow_nan=False).map(lambda value: round(value, 3))
small = st.floats(min_value=0.001, max_value=0.4, allow_nan=False).map(lambda value: round(value, 4))
masses = st.floats(min_value=0.1, max_value=600, allow_nan=False).map(lambda value: round(value, 3))


@st.composite
def layouts(draw):
    """A way of writing one layout: a function of its length and mass units, and whether each value names them."""
    sizes = draw(st.lists(lengths, min_size=11, max_size=11))
    tolerances = draw(st.lists(small, min_size=3, max_size=3))
    mass, known_by = draw(masses), draw(st.sampled_from(["drawing", "tape", "caliper", "scan"]))

    def written(length_unit: str, mass_unit: str, *, named: bool) -> str:
        def size(mm: float) -> str:
            return f"{mm / MM_PER[length_unit]!r}" + (f" {length_unit}" if named else "")

        def toleranced(mm: float, width: float) -> str:
            return f"{size(mm)} ± {width / MM_PER[length_unit]!r}"

        kg = f"{mass / KG_PER[mass_unit]!r}" + (f" {mass_unit}" if named else "")
        units = "" if named else f"units: {{length: {length_unit}, mass: {mass_unit}}}\n"
        inside = ", ".join(size(mm) for mm in sizes[:3])
        return (
            f"fitcheck: 1\n{units}general_tolerance: ISO 2768-m\ndefaults: {{known_by: {known_by}}}\nparts:\n"
            f"  case:\n    role: enclosure\n    change: retained\n"
            f"    shape: {{tray: {{inside: [{inside}], wall: {size(sizes[3])}, floor: {size(sizes[4])}}}}}\n"
            f"    inside_low_corner: [{size(sizes[5])}, {toleranced(sizes[6], tolerances[0])}, 0]\n"
            f"  m1:\n    role: module\n    change: new\n"
            f"    shape: {{box: [{toleranced(sizes[7], tolerances[1])}, {size(sizes[8])}, {size(sizes[9])}]}}\n"
            f"    mass: {kg} ± 1 %\n"
            f"    place: {{front: {toleranced(sizes[10], tolerances[2])} clear of case inside front,\n"
            f"            centre: {{y: case inside}}, bottom: on case floor}}\n"
            f"gaps:\n  - {{between: [every module, case], at_least: {size(sizes[4])}}}\n"
        )

    return written


@settings(max_examples=60, deadline=None)
@given(layouts(), st.sampled_from(sorted(MM_PER)), st.sampled_from(sorted(KG_PER)), st.booleans())
def test_a_layout_in_other_units_is_the_same_layout(written, length_unit, mass_unit, named):
    plain = read_text(written("mm", "kg", named=False), "a.yaml", Path())
    other = read_text(written(length_unit, mass_unit, named=named), "b.yaml", Path())
    assert list(plain.quantities) == list(other.quantities)
    for name, value in plain.quantities.items():
        same = other.quantities[name]
        assert (same.nominal, same.below, same.above) == pytest.approx(
            (value.nominal, value.below, value.above), rel=1e-9
        ), name
        assert (same.unit, same.basis, same.known_by) == (value.unit, value.basis, value.known_by)
    assert other.gap_rules[0].at_least.nominal == pytest.approx(plain.gap_rules[0].at_least.nominal, rel=1e-9)
    one, two = plain.by_name["m1"], other.by_name["m1"]
    for here, there in zip(one.placings, two.placings, strict=True):
        assert (here.axis, here.feature, here.reference, here.reference_feature, here.sign, here.touching) == (
            there.axis, there.feature, there.reference, there.reference_feature, there.sign, there.touching,
        )  # fmt: skip
